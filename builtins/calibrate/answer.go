package calibrate

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"pulsewright/builtins"
	"pulsewright/builtins/say"
	"pulsewright/engine"
)

// read takes what the user saw of a rig and writes it as outcome does, whether any world shows it or not: "a out, b home", or the
// states alone in the order of the parts: "out home"; of a rig that is watched from tick to tick, the tick from which it is lit.
func (r *Rig) read(text string) (string, error) {
	fields := strings.FieldsFunc(text, func(c rune) bool { return c == ' ' || c == ',' || c == ';' })
	if r.kin != nil {
		return r.readSeries(text)
	}
	if len(r.looks) > 0 {
		return r.readTick(text, fields)
	}
	states := make([]string, len(r.seen))
	switch {
	case len(fields) == len(r.seen):
		copy(states, fields)
	case len(fields) == 2*len(r.seen):
		for i := 0; i < len(fields); i += 2 {
			k := slices.IndexFunc(r.seen, func(w watch) bool { return w.name == fields[i] })
			if k < 0 || states[k] != "" {
				return "", r.unread(text, fields[i], r.names())
			}
			states[k] = fields[i+1]
		}
	default:
		return "", r.unread(text, "", nil)
	}
	var all []string
	for i, s := range states {
		words, most := r.words(i)
		n, err := strconv.Atoi(s)
		if most > 0 && (err != nil || n < 0 || n > most) || most == 0 && !slices.Contains(words, s) {
			return "", r.unread(text, s, words)
		}
		all = append(all, r.seen[i].name+" "+s)
	}
	return strings.Join(all, ", "), nil
}

// readTick reads from which tick on the lamp is lit: a number, or dark.
func (r *Rig) readTick(text string, fields []string) (string, error) {
	last := r.looks[len(r.looks)-1]
	name := r.seen[0].name
	w := fields[:0]
	for _, f := range fields {
		switch f {
		case name, "from", "tick", "lit", "is":
		default:
			w = append(w, f)
		}
	}
	if n := len(w); n == 2 && w[0] == "dark" {
		w = w[1:]
	}
	if len(w) == 1 {
		if w[0] == "dark" {
			return name + " dark", nil
		}
		if t, err := strconv.ParseInt(w[0], 10, 64); err == nil && t > last && (t == last+1 || len(r.looks) == mostLooks) {
			return name + " dark", nil // by then
		} else if err == nil && t > 1 {
			return fmt.Sprintf("%s dark; %s lit from tick %d", name, name, t), nil
		} else if err == nil && t == 1 {
			return name + " lit", nil
		}
	}
	return "", fmt.Errorf("%s: got %q, want the tick from which the %s is lit, such as \"%s lit from tick 3\", or \"%s dark\" if it is not by tick %d", r.name, text, name, name, name, last)
}

// names are those of the parts that are looked at.
func (r *Rig) names() (all []string) {
	for _, w := range r.seen {
		all = append(all, w.name)
	}
	return all
}

// words are the states that a part may be seen in; of a row or a meter, numbers up to most.
func (r *Rig) words(i int) (words []string, most int) {
	w := r.seen[i]
	p := r.parts[w.parts[0]]
	switch {
	case len(w.parts) > 1:
		return nil, len(w.parts)
	case p.Kind == engine.Meter:
		return nil, mostTokens
	case p.Kind == engine.Told:
		return p.Spec.States, 0
	}
	off, on := builtins.StateWords(p.Kind)
	return []string{off, on}, 0
}

// unread is the error about an answer that cannot be read.
func (r *Rig) unread(text, word string, near []string) error {
	var want []string
	for i, w := range r.seen {
		words, most := r.words(i)
		state := strings.Join(words, " or ")
		if most > 0 {
			state = fmt.Sprintf("0 to %d", most)
		}
		want = append(want, w.name+" "+state)
	}
	return fmt.Errorf("%s: got %q, want how each part stands: %s%s", r.name, text, strings.Join(want, ", "), say.DidYouMean(word, near))
}
