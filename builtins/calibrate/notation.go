package calibrate

import (
	"fmt"
	"strconv"
	"strings"

	"pulsewright/engine"
)

// Rigs that were found by searching are kept as text, one a line: what they are about, bits, and their parts, such as
//
//	reads: key(0,0,0) reed(1,0,0)+x shuttle(2,0,0)+y/feed link(1,1,0)-x/out
//
// Key number 1 is pressed in tick 1. What moves is what is seen, once all is at rest.

// written is a part as such a line has it.
func (p piece) written() string {
	s := fmt.Sprintf("%v(%d,%d,%d)", p.Kind, p.at.X, p.at.Y, p.at.Z)
	if p.Kind.Trait().Faces {
		s += p.Facing.String()
	}
	if p.Slug != engine.NoSlug {
		s += "/" + p.Slug.String()
	}
	if p.Out || p.On {
		s += "/out"
	}
	return s
}

// written are the parts of a rig as a line has them.
func (r *Rig) written() string {
	var all []string
	for _, p := range r.parts {
		all = append(all, p.written())
	}
	return strings.Join(all, " ")
}

// readPiece reads one part of a line.
func readPiece(text string) (p piece, err error) {
	bad := fmt.Errorf("%q is no part of a rig, want one such as shuttle(2,0,0)+y/feed", text)
	word, rest, _ := strings.Cut(text, "(")
	where, settings, closed := strings.Cut(rest, ")")
	numbers := strings.Split(where, ",")
	kind, ok := kindNamed(word)
	if p.Kind = kind; !ok || !closed || len(numbers) != 3 {
		return p, bad
	}
	for i, to := range []*int32{&p.at.X, &p.at.Y, &p.at.Z} {
		n, err := strconv.ParseInt(numbers[i], 10, 32)
		if err != nil {
			return p, bad
		}
		*to = int32(n)
	}
	fields := strings.Split(settings, "/")
	if p.Kind.Trait().Faces {
		if p.Facing, ok = engine.ParseDir(fields[0]); !ok {
			return p, bad
		}
	}
	for _, f := range fields[1:] {
		if slug, ok := engine.ParseSlug(f); ok {
			p.Slug = slug
		} else if f == "out" && p.Kind == engine.Reed {
			p.On = true
		} else if f == "out" {
			p.Out = true
		} else {
			return p, bad
		}
	}
	return p, nil
}

func kindNamed(name string) (engine.Kind, bool) {
	for _, k := range engine.Kinds() {
		if k.String() == name {
			return k, true
		}
	}
	return engine.Bare, false
}

// readRig reads a line.
func readRig(line string) (*Rig, error) {
	about, text, ok := strings.Cut(line, ": ")
	if !ok {
		return nil, fmt.Errorf("%q is no rig, want what it is about, a colon and its parts", line)
	}
	r := &Rig{about: about}
	for _, f := range strings.Fields(text) {
		p, err := readPiece(f)
		if err != nil {
			return nil, err
		}
		r.add(p)
	}
	if len(r.keys) == 0 {
		return nil, fmt.Errorf("%q has no key", line)
	}
	return r, nil
}

// add puts one more part into the rig: a key is pressed in tick 1, what moves is seen, and gets a letter.
func (r *Rig) add(p piece) {
	n := len(r.parts)
	switch p.Kind {
	case engine.Key:
		r.keys = append(r.keys, press{n, 1})
		p.Name = "key"
	case engine.Shuttle, engine.Link, engine.Lamp:
		p.Name = string(rune('a' + len(r.seen)))
		r.seen = append(r.seen, watch{p.Name, []int{n}})
	}
	r.parts = append(r.parts, p)
}
