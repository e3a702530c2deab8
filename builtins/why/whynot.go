package why

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"pulsewright/builtins"
	"pulsewright/builtins/say"
	"pulsewright/engine"

	"go.starlark.net/starlark"
)

func whynotWords() []builtins.Entry {
	return []builtins.Entry{{Name: "whynot", Topic: "seeing", Sentence: "Tells why a part did not act: never told, told but power and state agreed, lapsed, blocked, in transit and so on.",
		Params: []builtins.Param{
			{Name: "target", Type: "part or event", Doc: "which part; an event: its part, at that moment"},
			{Name: "since", Type: "an instant", Default: "None", Optional: true, Doc: "looks at what came after it, such as now() before a run; a number: from that tick on; None: since something was last placed or given"},
			showParam, builtins.AtParam},
		Returns: "a value with .reason (one of " + strings.Join(engine.Reasons(), ", ") + ") and .part .since .at .told .tellers .heard .power .events .event .took .earlier .by .due .powered .armed .known .next .text",
		Example: "l = link((0, 0), \"+y\", name=\"pull\")\nwire((0, -2))\nfire((0, -2), ticks=3)\nstep()\nexpect_equal(whynot(l).reason, \"untold\")\nnudge(l)\nstep(2)\nexpect_equal(whynot(l).reason, \"acted\")",
		See:     []string{"why", "armed"}, Call: whynot}}
}

func whynot(c *builtins.Call) (starlark.Value, error) {
	show := c.Bool("show", true)
	id, then, at := momentOf(c)
	if c.Err != nil {
		return nil, c.Err
	}
	since := lastGiven(then)
	if c.Has("since") {
		since = after(c, "since")
		if now := c.Env.Bench.Now(); c.Err == nil && now.Before(since) {
			c.Bad("since", builtins.Show(c.Value("since")), fmt.Sprintf("an instant that has been: it is %v now", now))
		} else if c.Err == nil && then != c.Env.Bench && at.Before(since) {
			c.Bad("since", builtins.Show(c.Value("since")), fmt.Sprintf("an instant not after at, which is %v", then.Now()))
		}
	}
	if c.Err != nil {
		return nil, c.Err
	}
	n, err := then.WhyNot(c.Env.Context(), id, since)
	if err != nil {
		return nil, c.Wrap(err)
	}
	w := &WhyNot{bench: then, today: c.Env.Bench, Still: n}
	if v, ok := c.Value("at").(starlark.Tuple); ok {
		w.asked = v.String()
	} else if v, ok := c.Value("at").(starlark.Int); ok {
		w.asked = v.String()
	}
	w.text = w.story(c.Env)
	if show {
		c.Env.Print(w.text)
		w.shown = true
	}
	return w, nil
}

// momentOf reads which part is meant, and the bench as it stood at the moment that is: now, that of the event that was given, or at.
func momentOf(c *builtins.Call) (id engine.ID, then *engine.Bench, at engine.Instant) {
	b := c.Env.Bench
	then, at = b, b.Now()
	param := "at"
	if e := c.EventParam("target"); e != nil {
		switch {
		case c.Err != nil:
		case c.Has("at"):
			c.Fail("an event has a moment of its own; leave at out, or give a part")
		case !b.Has(e.Event.ID) || b.KindOf(e.Event.ID) == engine.Bare:
			c.Bad("target", "an event of "+say.Clean(b.Label(e.Event.ID)), "a part that is there, or an event of one")
		}
		id, at, param = e.Event.ID, e.At(), "target"
	} else {
		if id = c.Part("target"); c.Has("at") {
			at = c.Moment("at")
		}
	}
	if c.Err != nil {
		return 0, nil, at
	}
	then, err := b.Then(c.Env.Context(), at)
	switch from, ok := b.Reaches(); {
	case err != nil:
		c.Wrap(err)
	case then == nil && ok:
		c.Fail("for parameter %s: the history reaches back to %v only", param, from)
	case then == nil:
		c.Fail("for parameter %s: no history is kept here, so only now can be looked at", param)
	case !then.Has(id):
		c.Fail("for parameter %s: %s was placed later than %v", param, say.Clean(builtins.Describe(b, id)), then.Now())
	}
	return id, then, at
}

// after reads an instant; a tick stands for the end of the one before.
func after(c *builtins.Call, param string) engine.Instant {
	if v, ok := c.Value(param).(builtins.Instant); ok {
		return v.Instant
	}
	if _, ok := c.Value(param).(starlark.Int); !ok {
		c.Bad(param, builtins.Show(c.Value(param)), "an instant such as now(), or a tick")
		return engine.Instant{}
	}
	return beforeTick(c.Int(param, 0, 0))
}

// beforeTick is the last instant before a tick.
func beforeTick(tick int64) engine.Instant {
	if tick <= 0 {
		return engine.Instant{}
	}
	const most = math.MaxInt32 // after what Moment takes for the end of a tick
	return engine.Instant{Tick: tick - 1, Step: most, Turn: most}
}

// lastGiven is the last instant before the user did something that turns have followed; without a history, before the
// last stimulus in the log.
func lastGiven(b *engine.Bench) engine.Instant {
	if at, ok := b.LastEdit(); ok {
		return at
	}
	for id := engine.EventID(b.EventCount()); id > 0; id-- {
		if e := b.Event(id); b.Stimulus(e) && e.What != engine.Freed {
			return beforeTick(e.Tick)
		}
	}
	return engine.Instant{}
}

// WhyNot says why a part did not act.
type WhyNot struct {
	*engine.Still
	bench *engine.Bench // as it stood at the moment that is asked about
	today *engine.Bench // as it stands: what it gives a script lies there
	asked string        // that moment as it was written, if it can be written again
	text  string
	shown bool
}

var (
	_ starlark.HasAttrs = (*WhyNot)(nil)
	_ builtins.Shown    = (*WhyNot)(nil)
)

func (w *WhyNot) Shown() bool           { return w.shown }
func (w *WhyNot) Type() string          { return "whynot" }
func (w *WhyNot) Freeze()               {}
func (w *WhyNot) Truth() starlark.Bool  { return starlark.True }
func (w *WhyNot) Hash() (uint32, error) { return 0, fmt.Errorf("a whynot cannot be a key of a dict") }
func (w *WhyNot) String() string        { return w.text }

var whynotAttrs = []string{"armed", "at", "by", "due", "earlier", "event", "events", "heard", "known", "next", "part", "power", "powered", "reason", "since", "tellers", "text", "told", "took"}

// AttrNames lists the attributes.
func (w *WhyNot) AttrNames() []string { return slices.Clone(whynotAttrs) }

// Attr reads an attribute.
func (w *WhyNot) Attr(name string) (starlark.Value, error) {
	b := w.today
	switch name {
	case "reason":
		return starlark.String(w.Reason.String()), nil
	case "part":
		return builtins.PartValue(b, w.ID), nil
	case "next":
		return builtins.PartValue(b, w.next()), nil
	case "since":
		return builtins.Instant{Instant: w.Since}, nil
	case "at":
		return builtins.Instant{Instant: w.bench.Now()}, nil
	case "known":
		return starlark.Bool(w.Known), nil
	case "told":
		if !w.Known {
			return starlark.None, nil
		}
		return starlark.MakeInt(w.Told), nil
	case "tellers":
		return w.parts(w.Tellers), nil
	case "heard":
		all := make([]starlark.Value, len(w.Heard))
		for i, h := range w.Heard {
			all[i] = builtins.StructOf("hearing", starlark.StringDict{"at": builtins.Instant{Instant: h.At}, "by": builtins.PartValue(b, h.By), "cause": w.event(h.Cause),
				"found": starlark.String(h.Found.String()), "powered": starlark.Bool(h.Powered)})
		}
		return starlark.NewList(all), nil
	case "power":
		all := make([]starlark.Value, len(w.Swings))
		for i := range w.Swings {
			all[i] = w.swing(&w.Swings[i])
		}
		return starlark.NewList(all), nil
	case "events":
		all := make([]starlark.Value, len(w.Events))
		for i, id := range w.Events {
			all[i] = w.event(id)
		}
		return starlark.NewList(all), nil
	case "event":
		return w.event(w.Event), nil
	case "took":
		if w.Took == nil {
			return starlark.None, nil
		}
		return w.event(w.Took.By), nil
	case "earlier":
		if w.Reason != engine.Lapsed || w.Took == nil {
			return starlark.None, nil
		}
		return starlark.MakeInt64(w.Earlier), nil
	case "by":
		return builtins.PartValue(b, w.By), nil
	case "due":
		if w.Due == 0 {
			return starlark.None, nil
		}
		return starlark.MakeInt64(w.Due), nil
	case "powered":
		return starlark.Bool(w.State.Powered), nil
	case "armed":
		return starlark.Bool(w.State.Armed), nil
	case "text":
		return starlark.String(w.text), nil
	}
	return nil, nil
}

func (w *WhyNot) swing(s *engine.Swing) starlark.Value {
	return builtins.StructOf("swing", starlark.StringDict{"at": builtins.Instant{Instant: s.At}, "on": starlark.Bool(s.Powered), "event": w.event(s.By), "pad": builtins.PartValue(w.today, s.Pad)})
}

func (w *WhyNot) parts(ids []engine.ID) *starlark.List {
	all := make([]starlark.Value, len(ids))
	for i, id := range ids {
		all[i] = builtins.PartValue(w.today, id)
	}
	return starlark.NewList(all)
}

// event is an event as a script sees it; None if there is none, or if the log was emptied since.
func (w *WhyNot) event(id engine.EventID) starlark.Value {
	if id == 0 || int(id) > w.today.EventCount() || w.today.Event(id) != w.bench.Event(id) {
		return starlark.None
	}
	return eventValue(w.today, id)
}
