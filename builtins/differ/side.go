package differ

import (
	"fmt"
	"slices"
	"strings"

	"pulsewright/builtins"
	"pulsewright/builtins/say"
	"pulsewright/engine"

	"go.starlark.net/starlark"
)

// side is one of the two that are compared: what happened, and to which parts.
type side struct {
	letter string // "a" or "b"
	what   string // what it is, in words
	bench  *engine.Bench
	saved  *savedLog       // instead of a bench
	frame  *builtins.Frame // from where its parts are seen
	part   bool            // it is the frame's parts alone
	inside []bool          // by engine.ID, if part
	span   *span           // it is these ticks alone; nil: all
	after  *engine.Bench   // as it stands after all that; nil: a log, or not known
	picked bool            // only some events are of this side: ids
	ids    []engine.EventID
	class  []int32          // by engine.ID: parts of the same class are the same part, in both sides; 0: not of this side
	first  []engine.ID      // by class: the part it is, the one that is there if others were removed; 0: none
	read   []starlark.Value // what a design read
	fault  string           // what ended the run, if it did not come to rest
}

// outside is the cause of what was caused by something that is not of this side.
const outside = engine.EventID(1<<32 - 1)

// events is how many there are; they are numbered from 1.
func (s *side) events() int {
	switch {
	case s.picked:
		return len(s.ids)
	case s.saved != nil:
		return len(s.saved.events)
	}
	return s.bench.EventCount()
}

// at is an event; its cause is a number of this side.
func (s *side) at(i int) engine.Event {
	if !s.picked {
		return s.whole(engine.EventID(i))
	}
	e := s.whole(s.ids[i-1])
	if e.Cause != 0 {
		if k, ok := slices.BinarySearch(s.ids, e.Cause); ok {
			e.Cause = engine.EventID(k + 1)
		} else {
			e.Cause = outside
		}
	}
	return e
}

// whole is an event of the log that this side is of.
func (s *side) whole(id engine.EventID) engine.Event {
	if s.saved != nil {
		return s.saved.events[id-1]
	}
	return s.bench.Event(id)
}

// number is the number that an event has in the log it is of.
func (s *side) number(i int) engine.EventID {
	if s.picked {
		return s.ids[i-1]
	}
	return engine.EventID(i)
}

// who is what is known of a part or bare cell.
type who struct {
	kind    engine.Kind
	name    string
	cell    engine.Cell
	shelf   bool
	removed bool
}

func (s *side) who(id engine.ID) who {
	if s.saved != nil {
		return s.saved.parts[s.saved.at[id]]
	}
	t := s.bench.Thing(id)
	return who{t.Kind, t.Name, t.Cell, t.Shelf, t.Removed}
}

// last is the highest ID that a part of this side can have.
func (s *side) last() engine.ID {
	if s.saved != nil {
		return engine.ID(len(s.saved.at) - 1)
	}
	id := engine.ID(0)
	for s.bench.Thing(id+1).ID != 0 {
		id++
	}
	return id
}

// has reports whether a part is of this side.
func (s *side) has(id engine.ID) bool {
	return (!s.part || int(id) < len(s.inside) && s.inside[id]) && (s.saved == nil || s.saved.at[id] > 0)
}

// seen is the name of a part without that of the frame from which it is seen.
func (s *side) seen(name string) string {
	if f := s.frame.Name; f != "" && strings.HasPrefix(name, f+".") {
		return name[len(f)+1:]
	}
	return name
}

// label names a part as lists do, called as sentences do.
func (s *side) label(id engine.ID) string {
	if s.bench != nil {
		return say.Clean(s.bench.Label(id))
	}
	w := s.who(id)
	switch {
	case w.name != "":
		return say.Clean(w.name)
	case w.shelf:
		return fmt.Sprintf("%v #%d", w.kind, id)
	}
	return fmt.Sprintf("%v %v", w.kind, w.cell)
}

func (s *side) called(id engine.ID) string {
	if s.who(id).name == "" {
		return s.label(id)
	}
	return s.kindOf(id) + " " + s.label(id)
}

// kindOf is the name of the kind of a part, of one's own as of those built in.
func (s *side) kindOf(id engine.ID) string {
	if s.bench != nil {
		return s.bench.KindName(id)
	}
	return s.who(id).kind.String()
}

// told says who did what and when.
func (s *side) told(e engine.Event) string {
	past := builtins.PastOf(e)
	if s.bench != nil {
		past = builtins.Past(s.bench, e) // a cause outside of a frame is a cause, too
	}
	return fmt.Sprintf("%s %s at %v", s.called(e.ID), past, e.At())
}

// within finds the parts of the frame: those that carry its name, and the seats of its shuttles.
func (s *side) within() {
	b := s.bench
	last := s.last()
	s.part, s.inside = true, make([]bool, last+1)
	seats := map[engine.Cell]bool{}
	for id := engine.ID(1); id <= last; id++ {
		t := b.Thing(id)
		if t.Kind == engine.Bare || s.seen(t.Name) == t.Name {
			continue
		}
		s.inside[id] = true
		if t.Kind == engine.Shuttle && !t.Shelf && !t.Removed {
			d := t.Facing.Cell()
			seats[t.Cell.Add(d)], seats[t.Cell.Add(d).Add(d)] = true, true
		}
	}
	for id := engine.ID(1); id <= last; id++ {
		if t := b.Thing(id); t.Kind == engine.Bare && seats[t.Cell] {
			s.inside[id] = true
		}
	}
}

// pick finds the events that are of this side, if not all are.
func (s *side) pick() {
	if s.picked = s.part || s.span != nil; !s.picked {
		return
	}
	n := 0
	if s.saved != nil {
		n = len(s.saved.events)
	} else {
		n = s.bench.EventCount()
	}
	for id := engine.EventID(1); int(id) <= n; id++ {
		if e := s.whole(id); (!s.part || s.inside[e.ID]) && s.span.has(e.Tick) {
			s.ids = append(s.ids, id)
		}
	}
}
