package differ

import (
	"context"
	"strings"

	"pulsewright/builtins"
	"pulsewright/builtins/picture"
	"pulsewright/engine"

	"go.starlark.net/starlark"
)

// moment is a side just before it parts from the other. Where instants are the same, that is before the earlier of the two turns in which
// the next events happen; else before the turn of its own next event. What has come to its end by then stands as it does in the end.
type moment struct {
	*side
	at    engine.Instant
	bench *engine.Bench // as it stood then; nil: not known, or a log
	upto  int           // events of the side until then
	end   bool
}

// before gives the moment of a side.
func (p *parting) before(ctx context.Context, s *side) (m moment, err error) {
	m = moment{side: s, upto: p.alike}
	if p.ended(s) && p.lag {
		m.end, m.bench = true, s.after
		return m, nil
	}
	for _, o := range p.sides() {
		if p.ended(o) || p.lag && o != s {
			continue
		}
		at := o.at(p.alike + 1).At()
		if at.Tick += s.start() - o.start(); m.at == (engine.Instant{}) || at.Before(m.at) {
			m.at = at
		}
	}
	for m.upto > 0 && !s.at(m.upto).At().Before(m.at) {
		m.upto--
	}
	switch {
	case s.bench == nil:
		m.end = p.ended(s) && m.upto == s.events()
	case s.bench.Now().Before(m.at) || !s.span.has(m.at.Tick):
		m.end, m.bench = true, s.after
	default:
		m.bench, err = s.bench.BeforeTurn(ctx, m.at)
	}
	return m, err
}

// stands is how a part stands; known is false if that cannot be told.
func (m moment) stands(id engine.ID) (s engine.State, known bool) {
	if m.bench != nil {
		t := m.bench.Thing(id)
		return m.bench.State(id), t.ID != 0 && !t.Removed
	}
	if m.side.bench != nil {
		return s, false
	}
	// A log tells whether a part is on from what it did last, or else from what it did first.
	for i := m.upto; i > 0; i-- {
		if e := m.side.at(i); e.ID == id {
			if on, says := picture.Rises(e); says {
				return engine.State{On: on}, true
			}
			if e.What == engine.Level {
				return engine.State{On: e.Arg > 0, Level: int(e.Arg)}, true
			}
		}
	}
	for i := m.upto + 1; i <= m.events(); i++ {
		if e := m.side.at(i); e.ID == id {
			if on, says := picture.Rises(e); says {
				return engine.State{On: !on}, true
			}
		}
	}
	return s, false
}

// words say how a part stood.
func (m moment) words(class int32) string {
	id := m.first[class]
	if id == 0 {
		return "no such part"
	}
	s, known := m.stands(id)
	if !known {
		return "not known"
	}
	kind := m.who(id).kind
	if m.bench == nil {
		return builtins.Text(builtins.StateValue(kind, s))
	}
	state, power, underway := builtins.StandsSo(kind, s)
	words := []string{state}
	for _, w := range []string{power, underway} {
		if w != "" {
			words = append(words, w)
		}
	}
	return strings.Join(words, ", ")
}

// value is how a part stood, for scripts.
func (m moment) value(class int32) starlark.Value {
	id := m.first[class]
	if id == 0 {
		return starlark.None
	}
	s, known := m.stands(id)
	if !known {
		return starlark.None
	}
	d := starlark.StringDict{"part": starlark.String(m.label(id)), "state": builtins.StateValue(m.who(id).kind, s)}
	for name, is := range map[string]bool{"powered": s.Powered, "armed": s.Armed, "forced": s.Forced, "queued": s.Queued, "timer": s.Timer, "transit": s.Transit} {
		if d[name] = starlark.None; m.bench != nil {
			d[name] = starlark.Bool(is)
		}
	}
	return builtins.StructOf("stood", d)
}
