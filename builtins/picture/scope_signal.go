package picture

import (
	"iter"

	"pulsewright/builtins"
	"pulsewright/engine"
)

// LaneSort says what a part shows over time.
type LaneSort int8

const (
	LaneOnOff   LaneSort = iota // on or off: 1 or 0
	LaneLevel                   // a level
	LaneMoments                 // nothing but moments at which something happens
)

// SortOf is what parts of a kind show. What a holder holds cannot be told from the log: filling it is no event.
func SortOf(k engine.Kind) LaneSort {
	switch k.Trait().Shows {
	case engine.ShowsLevel:
		return LaneLevel
	case engine.ShowsToken, engine.ShowsTokens, engine.ShowsBusy:
		return LaneMoments
	}
	return LaneOnOff
}

// signals follows what parts show from event to event. It needs to see all of them, in order.
type signals struct {
	kindOf func(engine.ID) engine.Kind
	now    func(engine.ID) engine.State
	of     []signal // by engine.ID
}

type signal struct {
	value        int32
	known        bool // value is what the part shows
	live, forced bool // of a bare cell
}

// NewSignals looks through the log for what each part showed before its first event: the opposite of what that says.
// A part without events shows what it shows now. Of a meter it cannot be told; meters are taken to begin at level 0. A kind of a script's own may have
// more than two states, and some that are no events: its parts begin as they were placed.
func NewSignals(b *engine.Bench) *signals {
	s := signalsOf(b.KindOf, b.State, b.Events(1))
	for id := range s.of {
		if state, ok := b.PlacedIn(engine.ID(id)); ok {
			s.of[id].value, s.of[id].known = Bit(b.Spec(engine.ID(id)).Active[state]), true
		}
	}
	return s
}

// signalsOf is NewSignals of any events; now is how a part stands after them.
func signalsOf(kindOf func(engine.ID) engine.Kind, now func(engine.ID) engine.State, events iter.Seq2[engine.EventID, engine.Event]) *signals {
	s := &signals{kindOf: kindOf, now: now}
	type first struct{ live, forced, any bool }
	var seen []first
	for _, e := range events {
		for int(e.ID) >= len(seen) {
			seen = append(seen, first{})
			s.of = append(s.of, signal{})
		}
		f, g := &seen[e.ID], &s.of[e.ID]
		switch e.What {
		case engine.Live, engine.Dead:
			if !f.live {
				f.live, g.live = true, e.What == engine.Dead
			}
			fallthrough
		case engine.On, engine.Off, engine.Out, engine.Home, engine.Lit, engine.Dark, engine.Enters:
			if up, _ := Rises(e); !f.any {
				f.any, g.known = true, true
				if !up {
					g.value = 1
				}
			}
		case engine.Forced, engine.Freed:
			if !f.forced {
				f.forced, g.forced = true, e.What == engine.Freed
			}
		case engine.Level:
			if !f.any {
				f.any, g.known = true, e.Arg != 0
			}
		}
	}
	for id := range s.of {
		g, f, k := &s.of[id], seen[id], kindOf(engine.ID(id))
		now := now(engine.ID(id))
		if k == engine.Bare {
			if !f.live {
				g.live = now.Conduct && now.On
			}
			if !f.forced {
				g.forced = now.Forced
			}
			g.value, g.known = Bit(g.live || g.forced), true
		} else if !f.any {
			g.value, g.known = ValueNow(k, now), true
		}
	}
	return s
}

// Start is what a part shows before its first event.
func (s *signals) Start(id engine.ID) (value int32, known bool) {
	if int(id) < len(s.of) {
		return s.of[id].value, s.of[id].known
	}
	return ValueNow(s.kindOf(id), s.now(id)), true
}

// Take looks at the next event and says whether its part shows something else from now on.
func (s *signals) Take(e engine.Event) (value int32, changed bool) {
	g := &s.of[e.ID]
	switch e.What {
	case engine.Live, engine.Dead:
		g.live = e.What == engine.Live
		value = Bit(g.live || g.forced)
	case engine.Forced, engine.Freed:
		if s.kindOf(e.ID) != engine.Bare {
			return 0, false
		}
		g.forced = e.What == engine.Forced
		value = Bit(g.live || g.forced)
	case engine.Level:
		value = e.Arg
	default:
		up, is := Rises(e)
		if !is {
			return 0, false
		}
		value = Bit(up)
	}
	if value == g.value && g.known {
		return value, false
	}
	g.value, g.known = value, true
	return value, true
}

// Rises reports whether an event says that its part goes on, or off.
func Rises(e engine.Event) (up, is bool) {
	switch e.What {
	case engine.Enters:
		return e.Arg&engine.ActiveState != 0, true
	case engine.On, engine.Out, engine.Lit, engine.Live:
		return true, true
	case engine.Off, engine.Home, engine.Dark, engine.Dead:
		return false, true
	}
	return false, false
}

func Bit(on bool) int32 {
	if on {
		return 1
	}
	return 0
}

// ValueNow is what a part shows now.
func ValueNow(k engine.Kind, s engine.State) int32 {
	switch SortOf(k) {
	case LaneLevel:
		return int32(s.Level)
	case LaneMoments:
		return 0
	}
	if k == engine.Bare {
		return Bit(s.Forced || s.Conduct && s.On)
	}
	return Bit(builtins.IsOn(k, s))
}
