package calibrate

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"pulsewright/builtins"
	"pulsewright/engine"
)

// Rig is a small arrangement that is built in the user's own world: its parts, when its keys are pressed, and when one looks at which
// parts. Nothing of it goes by steps, which cannot be seen there.
type Rig struct {
	name  string // what it does, for people: "which is told first, +x or +y"
	about string // the rule it is made for
	parts []piece
	keys  []press
	looks []int64 // the ticks at whose end one looks; none: once all is at rest
	seen  []watch
	kin   *family // the kind of the user's own that it holds, told in one of several ways; nil: built-in parts alone
}

// piece is a part of a rig in its cell. Of its name only what is seen needs one.
type piece struct {
	at engine.Cell
	engine.Part
}

// press is a key, by the number of its part, and the tick in which it is pressed, from 1.
type press struct {
	key  int
	tick int64
}

// watch is what is looked at: one part, or a row of which one counts how many are on.
type watch struct {
	name  string
	parts []int
}

// mostRestTicks is how long a rig may take to come to rest.
const mostRestTicks = 2000

// place puts the rig onto a bench, its (0, 0) at a cell, and its keys' presses, counted from the tick after now.
func (r *Rig) place(b *engine.Bench, at engine.Cell, prefix string) ([]engine.ID, error) {
	ids := make([]engine.ID, len(r.parts))
	for i, p := range r.parts {
		part := p.Part
		if part.Name != "" && prefix != "" {
			part.Name = prefix + "." + part.Name
		}
		id, err := b.Place(p.at.Add(at), part)
		if err != nil {
			return nil, err
		}
		ids[i] = id
	}
	now := b.Now().Tick
	for _, k := range r.keys {
		if err := b.Press(ids[k.key], now+k.tick); err != nil {
			return nil, err
		}
	}
	return ids, nil
}

// endless is the outcome of a rig that does not come to rest.
const endless = "does not come to rest"

// outcome runs the rig in a world and says what is seen, in the words in which it is told: "a out, b home", with ticks before them if
// there is more than one look.
func (r *Rig) outcome(rules engine.Rules, at engine.Cell) (string, error) {
	b := engine.New(engine.DefaultRules())
	b.Record(engine.RecordNone)
	if err := b.SetRules(rules); err != nil {
		return "", err
	}
	ids, err := r.place(b, at, "")
	if err != nil {
		return "", err
	}
	if len(r.looks) == 0 {
		if err := b.Run(context.Background(), engine.Budget{Turns: 10_000, Ticks: mostRestTicks, Brief: true}); err != nil {
			return endless, nil
		}
		return r.see(b, ids), nil
	}
	var all []string
	for _, t := range r.looks {
		if err := b.RunTicks(context.Background(), t-b.Now().Tick, engine.Budget{Turns: 10_000, Brief: true}); err != nil {
			return endless, nil
		}
		all = append(all, r.see(b, ids))
	}
	return r.joined(all), nil
}

// joined are the looks one after the other; what is as it was at the look before is not said again.
func (r *Rig) joined(looks []string) string {
	if len(looks) == 1 {
		return looks[0]
	}
	var s []string
	for i, l := range looks {
		if i == 0 || l != looks[i-1] {
			s = append(s, fmt.Sprintf("%s from tick %d", l, r.looks[i]))
		}
	}
	s[0] = looks[0]
	return strings.Join(s, "; ")
}

// told is the rig with one of the ways in which its kind may be told.
func (r *Rig) told(s *engine.Spec) *Rig {
	if r.kin == nil {
		return r
	}
	n := *r
	n.parts = slices.Clone(r.parts)
	for i := range n.parts {
		if n.parts[i].Kind == engine.Told {
			n.parts[i].Spec = s
		}
	}
	return &n
}

// see is how the parts that are looked at stand now.
func (r *Rig) see(b *engine.Bench, ids []engine.ID) string {
	var s []string
	for _, w := range r.seen {
		if len(w.parts) > 1 {
			n := 0
			for _, i := range w.parts {
				if b.State(ids[i]).On {
					n++
				}
			}
			s = append(s, fmt.Sprintf("%s %d", w.name, n))
			continue
		}
		s = append(s, w.name+" "+stands(b, ids[w.parts[0]]))
	}
	return strings.Join(s, ", ")
}

// stands is the state of one part, in a word.
func stands(b *engine.Bench, id engine.ID) string {
	return builtins.Text(builtins.StateValue(b.KindOf(id), b.State(id)))
}

// has reports how many parts of the rig are of a kind.
func (r *Rig) has(kinds ...engine.Kind) (n int) {
	for _, p := range r.parts {
		if slices.Contains(kinds, p.Kind) {
			n++
		}
	}
	return n
}
