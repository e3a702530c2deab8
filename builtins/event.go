package builtins

import (
	"fmt"
	"slices"
	"sort"

	"pulsewright/engine"

	"go.starlark.net/starlark"
)

// Event is something that happened, as scripts hold it. It is a copy: time that is turned back does not change it.
type Event struct {
	Bench *engine.Bench
	ID    engine.EventID
	engine.Event
}

var (
	_ starlark.HasAttrs   = (*Event)(nil)
	_ starlark.Comparable = (*Event)(nil)
)

// NewEvent is the event of a bench's log with that number; nil if there is none.
func NewEvent(b *engine.Bench, id engine.EventID) *Event {
	if id == 0 || int(id) > b.EventCount() {
		return nil
	}
	return &Event{b, id, b.Event(id)}
}

func (e *Event) Type() string          { return "event" }
func (e *Event) Freeze()               {}
func (e *Event) Truth() starlark.Bool  { return starlark.True }
func (e *Event) Hash() (uint32, error) { return uint32(e.ID) * 2654435761, nil }

func (e *Event) String() string {
	InquiryOf(e.Bench).Want(AskedPlace)
	level := ""
	if e.What == engine.Level {
		level = fmt.Sprintf(" %d", e.Arg)
	}
	return fmt.Sprintf("%v %s %v%s", e.At(), e.Bench.Label(e.Event.ID), e.Bench.Word(e.Event), level)
}

// CompareSameType: events are equal if they are the same entry of the same log.
func (e *Event) CompareSameType(op Token, y starlark.Value, _ int) (bool, error) {
	f := y.(*Event)
	return Equality(op, e.Bench == f.Bench && e.ID == f.ID && e.Event == f.Event, "event")
}

// AttrNames lists the attributes.
func (e *Event) AttrNames() []string {
	return []string{"at", "cause", "cell", "level", "number", "part", "step", "tick", "turn", "what"}
}

// Attr reads an attribute.
func (e *Event) Attr(name string) (starlark.Value, error) {
	switch name {
	case "at":
		return Instant{e.At()}, nil
	case "tick":
		return starlark.MakeInt64(e.Tick), nil
	case "step":
		return starlark.MakeInt(int(e.Step)), nil
	case "turn":
		return starlark.MakeInt(int(e.Turn)), nil
	case "what":
		return starlark.String(e.Bench.Word(e.Event)), nil
	case "number":
		return starlark.MakeInt(int(e.ID)), nil
	case "level":
		if e.What != engine.Level {
			return starlark.None, nil
		}
		return starlark.MakeInt(int(e.Arg)), nil
	case "cell":
		InquiryOf(e.Bench).Want(AskedPlace)
		cell, onLattice := e.Bench.CellOf(e.Event.ID)
		if !onLattice {
			return starlark.None, nil
		}
		return CellValue(cell), nil
	case "part":
		if e.Bench.KindOf(e.Event.ID) == engine.Bare {
			return starlark.None, nil
		}
		return Part{e.Bench, e.Event.ID}, nil
	case "cause":
		if c := NewEvent(e.Bench, e.Cause); c != nil {
			return c, nil
		}
		return starlark.None, nil
	}
	return nil, nil
}

func eventWords() []Entry {
	return []Entry{{Name: "events", Topic: "seeing", Sentence: "Lists what happened, oldest first; each filter leaves out what does not match.",
		Params: []Param{
			{Name: "target", Type: "part", Default: "None", Optional: true, Doc: "only of this part or cell; a list or row: of any of these"},
			{Name: "what", Type: "string", Default: "None", Optional: true, Allowed: logWordNames, Doc: "only these words of the log; one or a list"},
			{Name: "kind", Type: "string", Default: "None", Optional: true, Allowed: kindNames, Doc: "only of these kinds of part; one or a list"},
			{Name: "frame", Type: "a frame or its name", Default: "None", Optional: true, Doc: "only of parts of this frame; one or a list"},
			{Name: "tick", Type: "number", Unit: "ticks", Default: "None", Optional: true, Doc: "only in this tick"},
			{Name: "since", Type: "an instant", Default: "None", Optional: true, Doc: "only after this instant, such as now() before a run; a number: from that tick on"},
			{Name: "until", Type: "an instant", Default: "None", Optional: true, Doc: "only up to this instant, or to the end of that tick"}},
		Returns: "a list of events, each with .tick .step .turn .at .cell .part .what .level .cause .number",
		Example: "w = wire((0, 0))\nl = link((1, 0), \"+y\")\nfire(w, 3)\nrun()\ne = events(l)[0]\nexpect_equal((e.step, e.what, e.cause.what), (1, \"out\", \"forced\"))",
		See:     []string{"probe", "log", "record"}, Call: listEvents}}
}

func listEvents(c *Call) (starlark.Value, error) {
	b := c.Env.Bench
	ids, cells := c.Targets("target")
	words, kinds, frames := c.whats("what"), c.kinds("kind"), c.FrameNames("frame")
	first, last := engine.EventID(1), engine.EventID(b.EventCount())
	if c.Has("tick") {
		t := c.Int("tick", 0, 0)
		first, last = eventAt(b, engine.Instant{Tick: t}), eventAt(b, engine.Instant{Tick: t + 1})-1
	}
	if c.Has("since") {
		first = max(first, c.Boundary("since", true))
	}
	if c.Has("until") {
		last = min(last, c.Boundary("until", false)-1)
	}
	if c.Err != nil {
		return nil, c.Err
	}
	want := map[engine.ID]bool{}
	for _, id := range ids {
		want[id] = true
	}
	found := []starlark.Value{}
	InquiryOf(b).Look()
	if first > last {
		return starlark.NewList(found), nil
	}
	for id, e := range b.Events(first) {
		if id > last {
			break
		}
		if id%4096 == 0 {
			if err := c.Env.Stopped(); err != nil {
				return nil, c.Wrap(err)
			}
		}
		if len(words) > 0 && !slices.Contains(words, b.Word(e)) {
			continue
		}
		if len(want)+len(cells) > 0 && !want[e.ID] && !InCells(b, e.ID, cells) {
			continue
		}
		if len(kinds)+len(frames) > 0 && !Matches(b, e.ID, kinds, frames) {
			continue
		}
		found = append(found, &Event{b, id, e})
	}
	return starlark.NewList(found), nil
}

// eventAt is the number of the first event that is not before an instant.
func eventAt(b *engine.Bench, at engine.Instant) engine.EventID {
	n := sort.Search(b.EventCount(), func(i int) bool { return !b.Event(engine.EventID(i + 1)).At().Before(at) })
	return engine.EventID(n + 1)
}

// Boundary reads an instant or a tick, and gives the number of the first event after it; for a tick, if from, the first
// in it.
func (c *Call) Boundary(param string, from bool) engine.EventID {
	switch v := c.Value(param).(type) {
	case Instant:
		return eventAt(c.Env.Bench, engine.Instant{Tick: v.Tick, Step: v.Step, Turn: v.Turn + 1})
	case starlark.Int:
		t := c.Int(param, 0, 0)
		if !from {
			t++
		}
		return eventAt(c.Env.Bench, engine.Instant{Tick: t})
	}
	c.Bad(param, Show(c.Value(param)), "an instant such as now(), or a tick")
	return 0
}
