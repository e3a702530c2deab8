package engine_test

import (
	"fmt"
	"strconv"
	"strings"
	"testing"

	"pulsewright/engine"
)

// sketch lays a bench from its text.
func sketch(t testing.TB, text string) *engine.Bench {
	t.Helper()
	r := engine.DefaultRules()
	lines := strings.Split(trimLines(text), "\n")
	if rest, ok := strings.CutPrefix(lines[0], "rules "); ok {
		for _, w := range strings.Fields(rest) {
			setRule(t, &r, w)
		}
		lines = lines[1:]
	}
	b := engine.New(r)
	frame{b: b}.lay(t, strings.Join(lines, "\n"))
	return b
}

// frame is a moved corner of a bench, whose name goes in front of its parts'.
type frame struct {
	b    *engine.Bench
	at   engine.Cell
	name string
}

// lay places what a text says.
func (f frame) lay(t testing.TB, text string) {
	t.Helper()
	for line := range strings.Lines(text) {
		if words := strings.Fields(line); len(words) > 0 {
			if err := f.line(words); err != nil {
				t.Fatalf("%q: %v", line, err)
			}
		}
	}
}

func setRule(t testing.TB, r *engine.Rules, word string) {
	t.Helper()
	name, value, _ := strings.Cut(word, "=")
	n, _ := strconv.Atoi(value)
	switch name {
	case "order":
		for i, s := range strings.Split(value, ",") {
			r.Order[i], _ = engine.ParseDir(s)
		}
	case "news":
		r.News = map[string]engine.News{"fifo": engine.FIFO, "lifo": engine.LIFO}[value]
	case "reads":
		r.Reads = map[string]engine.Reads{"turn": engine.ByTurn, "step": engine.ByStep}[value]
	case "travel":
		r.Travel = n
	case "reach":
		r.Reach = n
	case "run":
		r.Run = n
	default:
		t.Fatalf("unknown rule %q", word)
	}
}

// line places what one line of a sketch says.
func (f frame) line(words []string) error {
	b := f.b
	var p engine.Part
	if name, ok := strings.CutSuffix(words[0], ":"); ok {
		p.Name, words = f.name+name, words[1:]
	}
	if words[0] == "cord" {
		return f.cord(words[1:])
	}
	if words[0] == "slug" {
		what, _ := engine.ParseSlug(words[2])
		return b.PutSlug(f.at.Add(cellOf(words[1])), what)
	}
	var ok bool
	if p.Kind, ok = engine.ParseKind(words[0]); !ok {
		return fmt.Errorf("unknown kind %q", words[0])
	}
	var cells []engine.Cell
	for _, w := range words[1:] {
		if strings.HasPrefix(w, "(") {
			from, to, line := strings.Cut(w, "..")
			if !line {
				to = from
			}
			c, d := cellOf(from), cellOf(to)
			step := engine.Cell{X: sign(d.X - c.X), Y: sign(d.Y - c.Y), Z: sign(d.Z - c.Z)}
			for cells = append(cells, c); c != d; cells = append(cells, c) {
				c = c.Add(step)
			}
			continue
		}
		if err := describe(&p, w); err != nil {
			return err
		}
	}
	if cells == nil {
		_, err := b.Shelve(p)
		return err
	}
	for _, c := range cells {
		if _, err := b.Place(f.at.Add(c), p); err != nil {
			return err
		}
	}
	return nil
}

func describe(p *engine.Part, word string) error {
	name, value, numbered := strings.Cut(word, "=")
	n, _ := strconv.Atoi(value)
	dir, isDir := engine.ParseDir(word)
	slug, isSlug := engine.ParseSlug(word)
	op, isOp := engine.ParseOp(word)
	mode, isMode := engine.ParseMode(word)
	switch {
	case name == "ticks":
		p.Ticks = n
	case name == "reject":
		p.Reject = n
	case name == "hold" && numbered:
		p.Hold = n
	case name == "drop":
		p.Drop = n
	case name == "room":
		p.Room = n
	case name == "travel":
		p.Travel = n
	case name == "keep":
		p.Keep = n
	case name == "tokens":
		p.Tokens = n
	case name == "level":
		p.Level = n
	case name == "far":
		p.Far, p.FarSet = mustDir(value), true
	case name == "pads":
		for _, c := range strings.Split(value, ";") {
			p.Pads = append(p.Pads, cellOf(c))
		}
	case word == "on":
		p.On = true
	case word == "out":
		p.Out = true
	case word == "push":
		p.Grip = engine.Push
	case word == "both":
		p.Grip = engine.PushBack
	case word == "letgo":
		p.LetGo = true
	case isDir:
		p.Facing = dir
	case isSlug:
		p.Slug = slug
	case isOp:
		p.Op = op
	case isMode:
		p.Mode = mode
	default:
		return fmt.Errorf("unknown word %q", word)
	}
	return nil
}

func mustDir(s string) engine.Dir {
	d, ok := engine.ParseDir(s)
	if !ok {
		panic("unknown direction " + s)
	}
	return d
}

func (f frame) cord(words []string) error {
	from, _ := f.b.Lookup(f.name + words[0])
	to, _ := f.b.Lookup(f.name + words[1])
	c := engine.Cord{Power: true, News: true}
	for _, w := range words[2:] {
		switch w {
		case "invert":
			c.Invert = true
		case "power":
			c.News = false
		case "news":
			c.Power = false
		default:
			return fmt.Errorf("unknown word %q", w)
		}
	}
	return f.b.Patch(from, to, c)
}

func cellOf(s string) engine.Cell {
	var c engine.Cell
	n := strings.Split(strings.Trim(s, "()"), ",")
	for i, to := range []*int32{&c.X, &c.Y, &c.Z} {
		if i < len(n) {
			v, err := strconv.ParseInt(n[i], 10, 32)
			if err != nil {
				panic(err)
			}
			*to = int32(v)
		}
	}
	return c
}

func sign(n int32) int32 {
	switch {
	case n > 0:
		return 1
	case n < 0:
		return -1
	}
	return 0
}
