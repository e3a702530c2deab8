package picture

import (
	"slices"

	"pulsewright/builtins"
	"pulsewright/engine"

	"go.starlark.net/starlark"
)

// Lanes is a value that a scope can show, with lanes of its own.
type Lanes interface{ Lanes() []*Lane }

// FilledLane is the lane of a part of another bench or of a saved log: its events, and how it stands after them.
func FilledLane(name string, k engine.Kind, now engine.State, events []engine.Event) *Lane {
	const it = engine.ID(1)
	all := func(yield func(engine.EventID, engine.Event) bool) {
		for i, e := range events {
			if e.ID = it; !yield(engine.EventID(i+1), e) {
				return
			}
		}
	}
	l := &Lane{Name: name, sort: SortOf(k), filled: true}
	s := signalsOf(func(engine.ID) engine.Kind { return k }, func(engine.ID) engine.State { return now }, all)
	l.start, _ = s.Start(it)
	for _, e := range all {
		value, changed := s.Take(e)
		l.add(e, value, changed)
	}
	return l
}

// add puts an event on the lane and says whether anything is to be seen of it.
func (l *Lane) add(e engine.Event, value int32, changed bool) bool {
	switch {
	case changed && l.sort != LaneMoments:
		l.changes = append(l.changes, change{e.Tick, e.Step, e.Turn, value})
	case l.sort == LaneMoments || marked(e.What):
		l.marks = append(l.marks, mark{e.Tick, e.Step, e.What})
	default:
		return false
	}
	return true
}

// moments are those of the lanes, in order.
func momentsOf(lanes []*Lane) (moments []Moment) {
	for _, l := range lanes {
		for _, c := range l.changes {
			moments = append(moments, c.moment())
		}
		for _, m := range l.marks {
			moments = append(moments, m.moment())
		}
	}
	slices.SortFunc(moments, Moment.compare)
	return slices.Compact(moments)
}

// within are the moments from since and up to until, as a script writes them; None: no such bound.
func within(moments []Moment, since, until starlark.Value) []Moment {
	at := func(v starlark.Value) (m Moment, whole, ok bool) {
		switch v := v.(type) {
		case builtins.Instant:
			return Moment{v.Tick, int32(v.Step)}, false, true
		case starlark.Int:
			tick, _ := v.Int64()
			return Moment{Tick: tick}, true, true
		}
		return m, false, false
	}
	from, _, begins := at(since)
	to, whole, ends := at(until)
	return slices.DeleteFunc(moments, func(m Moment) bool {
		return begins && m.Before(from) || ends && (whole && m.Tick > to.Tick || !whole && to.Before(m))
	})
}
