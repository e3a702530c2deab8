package builtins

import (
	"fmt"
	"math"

	"pulsewright/engine"

	"go.starlark.net/starlark"
	"go.starlark.net/syntax"
)

// Token is an operator of the language.
type Token = syntax.Token

// Equality answers == and != and refuses the rest.
func Equality(op Token, same bool, what string) (bool, error) {
	switch op {
	case syntax.EQL:
		return same, nil
	case syntax.NEQ:
		return !same, nil
	}
	return false, fmt.Errorf("%s %s %s: only == and != compare these", what, op, what)
}

// Instant is a moment as scripts hold it: tick, step, turn. Instants are ordered.
type Instant struct{ engine.Instant }

var (
	_ starlark.HasAttrs       = Instant{}
	_ starlark.TotallyOrdered = Instant{}
)

func (i Instant) Type() string         { return "instant" }
func (i Instant) Freeze()              {}
func (i Instant) Truth() starlark.Bool { return starlark.True }
func (i Instant) Hash() (uint32, error) {
	return uint32(i.Tick)*31*31 + uint32(i.Step)*31 + uint32(i.Turn), nil
}

// Cmp orders instants.
func (i Instant) Cmp(y starlark.Value, _ int) (int, error) {
	j := y.(Instant)
	switch {
	case i.Before(j.Instant):
		return -1, nil
	case j.Before(i.Instant):
		return 1, nil
	}
	return 0, nil
}

// AttrNames lists the attributes.
func (i Instant) AttrNames() []string { return []string{"step", "tick", "turn"} }

// Attr reads an attribute.
func (i Instant) Attr(name string) (starlark.Value, error) {
	switch name {
	case "tick":
		return starlark.MakeInt64(i.Tick), nil
	case "step":
		return starlark.MakeInt(i.Step), nil
	case "turn":
		return starlark.MakeInt(i.Turn), nil
	}
	return nil, nil
}

// AtParam is a moment that a word looks at instead of now.
var AtParam = Param{Name: "at", Type: "an instant", Default: "None", Optional: true, Keyword: true, Doc: "as of this moment, not now: an instant such as p.pulses[0].rise, an event, or the end of a pair (tick, step) or of a tick"}

// Moment reads a moment that has been: an instant or that of an event; a pair (tick, step) and a tick stand for their ends, as far
// as they have come.
func (c *Call) Moment(param string) engine.Instant {
	const end = math.MaxInt32 - 1
	var at, begin engine.Instant
	ok := true
	count := func(v starlark.Value) int64 {
		n, isInt := v.(starlark.Int)
		i, fits := int64(0), false
		if isInt {
			i, fits = n.Int64()
		}
		ok = ok && fits && i >= 0 && i <= Biggest
		return i
	}
	switch v := c.Value(param).(type) {
	case Instant:
		at, begin = v.Instant, v.Instant
	case *Event:
		c.knows(param, v)
		at, begin = v.At(), v.At()
	case starlark.Int:
		begin.Tick = count(v)
		at = engine.Instant{Tick: begin.Tick, Step: end, Turn: end}
	case starlark.Tuple:
		if ok = len(v) == 2; ok {
			begin.Tick = count(v[0])
			if begin.Step = int(min(count(v[1]), end)); ok {
				at = engine.Instant{Tick: begin.Tick, Step: begin.Step, Turn: end}
			}
		}
	default:
		ok = false
	}
	if now := c.Env.Bench.Now(); !ok {
		c.Bad(param, Show(c.Value(param)), "an instant such as now(), an event, a pair (tick, step) or a tick")
	} else if now.Before(begin) {
		c.Bad(param, Show(c.Value(param)), fmt.Sprintf("a moment that has been: it is %v now", now))
	} else if now.Before(at) {
		at = now
	}
	return at
}

// knows refuses an event of another bench, or one that was taken back.
func (c *Call) knows(param string, e *Event) {
	b := c.Env.Bench
	switch {
	case e.Bench != b:
		c.Fail("for parameter %s: that event happened on another bench than this one", c.Spec(param).Name)
	case int(e.ID) > b.EventCount() || b.Event(e.ID) != e.Event:
		c.Fail("for parameter %s: that event is no longer in the log: it was taken back", c.Spec(param).Name)
	}
}

// EventParam reads an event of this bench; nil if it is something else.
func (c *Call) EventParam(param string) *Event {
	e, _ := c.Value(param).(*Event)
	if e != nil {
		c.knows(param, e)
	}
	return e
}

// EventAfter is the number of the first event that comes after an instant.
func EventAfter(b *engine.Bench, at engine.Instant) engine.EventID {
	return eventAt(b, engine.Instant{Tick: at.Tick, Step: at.Step, Turn: at.Turn + 1})
}
