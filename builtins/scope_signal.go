package builtins

import "pulsewright/engine"

// laneSort says what a part shows over time.
type laneSort int8

const (
	laneOnOff   laneSort = iota // on or off: 1 or 0
	laneLevel                   // a level
	laneMoments                 // nothing but moments at which something happens
)

// sortOf is what parts of a kind show. What a holder holds cannot be told from the log: filling it is no event.
func sortOf(k engine.Kind) laneSort {
	switch k {
	case engine.Meter:
		return laneLevel
	case engine.Bucket, engine.Tray, engine.Chute:
		return laneMoments
	}
	return laneOnOff
}

// signals follows what parts show from event to event. It needs to see all of them, in order.
type signals struct {
	bench *engine.Bench
	of    []signal // by engine.ID
}

type signal struct {
	value        int32
	known        bool // value is what the part shows
	live, forced bool // of a bare cell
}

// newSignals looks through the log for what each part showed before its first event: the opposite of what that says.
// A part without events shows what it shows now. Of a meter it cannot be told; meters are taken to begin at level 0.
func newSignals(b *engine.Bench) *signals {
	s := &signals{bench: b}
	type first struct{ live, forced, any bool }
	var seen []first
	for _, e := range b.Events(1) {
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
		case engine.On, engine.Off, engine.Out, engine.Home, engine.Lit, engine.Dark:
			if up, _ := rises(e.What); !f.any {
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
		g, f, k := &s.of[id], seen[id], b.KindOf(engine.ID(id))
		now := b.State(engine.ID(id))
		if k == engine.Bare {
			if !f.live {
				g.live = now.Conduct && now.On
			}
			if !f.forced {
				g.forced = now.Forced
			}
			g.value, g.known = bit(g.live || g.forced), true
		} else if !f.any {
			g.value, g.known = valueNow(k, now), true
		}
	}
	return s
}

// start is what a part shows before its first event.
func (s *signals) start(id engine.ID) (value int32, known bool) {
	if int(id) < len(s.of) {
		return s.of[id].value, s.of[id].known
	}
	return valueNow(s.bench.KindOf(id), s.bench.State(id)), true
}

// take looks at the next event and says whether its part shows something else from now on.
func (s *signals) take(e engine.Event) (value int32, changed bool) {
	g := &s.of[e.ID]
	switch e.What {
	case engine.Live, engine.Dead:
		g.live = e.What == engine.Live
		value = bit(g.live || g.forced)
	case engine.Forced, engine.Freed:
		if s.bench.KindOf(e.ID) != engine.Bare {
			return 0, false
		}
		g.forced = e.What == engine.Forced
		value = bit(g.live || g.forced)
	case engine.Level:
		value = e.Arg
	default:
		up, is := rises(e.What)
		if !is {
			return 0, false
		}
		value = bit(up)
	}
	if value == g.value && g.known {
		return value, false
	}
	g.value, g.known = value, true
	return value, true
}

// rises reports whether a word says that its part goes on, or off.
func rises(w engine.What) (up, is bool) {
	switch w {
	case engine.On, engine.Out, engine.Lit, engine.Live:
		return true, true
	case engine.Off, engine.Home, engine.Dark, engine.Dead:
		return false, true
	}
	return false, false
}

func bit(on bool) int32 {
	if on {
		return 1
	}
	return 0
}

// valueNow is what a part shows now.
func valueNow(k engine.Kind, s engine.State) int32 {
	switch k {
	case engine.Battery:
		return 1
	case engine.Meter:
		return int32(s.Level)
	case engine.Bucket, engine.Tray, engine.Chute:
		return 0
	case engine.Bare:
		return bit(s.Forced || s.Conduct && s.On)
	}
	return bit(s.On)
}
