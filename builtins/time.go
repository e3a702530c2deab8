package builtins

import (
	"errors"
	"fmt"
	"slices"

	"pulsewright/builtins/say"
	"pulsewright/engine"

	"go.starlark.net/starlark"
)

func timeWords() []Entry {
	n := func(doc string) Param {
		return Param{Name: "n", Type: "number", Default: "1", Optional: true, Doc: doc}
	}
	budget := Param{Name: "budget", Type: "number", Unit: "turns", Default: fmt.Sprint(engine.DefaultTurns), Optional: true, Doc: "how many turns one tick may take before it counts as a runaway"}
	const rig = "w = wire((0, 0))\nl = link((1, 0), \"+y\")\nfire(w, 5)\n"
	return []Entry{
		{Name: "run", Topic: "time", Sentence: "Lets time pass until all is quiet, or for so many ticks.",
			Params:  []Param{{Name: "ticks", Type: "number", Unit: "ticks", Default: "None", Optional: true, Doc: "how far from now; None: until nothing is left to do"}, budget},
			Example: rig + "run()\nexpect_equal(now().tick, 1)\nrun(ticks=9)\nexpect_equal(now().tick, 10)", See: []string{"step", "turn", "tick", "now"}, Call: run},
		{Name: "tick", Topic: "time", Sentence: "Lets time pass to the end of the present tick, if that is unfinished, or of the next one that has anything to do.",
			Params: []Param{n("how many ticks"), budget}, Example: rig + "tick()\nexpect_equal(now().tick, 1)", See: []string{"run", "step"}, Call: tick},
		{Name: "step", Topic: "time", Sentence: "Does what is left of the present step, or the next step that has anything to do.",
			Params: []Param{n("how many steps"), budget}, Example: rig + "step(2)\nexpect_equal(now().step, 1)\nexpect_equal(l.state, \"out\")", See: []string{"run", "turn", "back"}, Call: step},
		{Name: "turn", Topic: "time", Sentence: "Does exactly one turn, or n.",
			Params: []Param{n("how many turns")}, Example: rig + "turn()\nexpect_equal(l.state, \"home\")", See: []string{"run", "step", "back"}, Call: turn},
		{Name: "back", Topic: "time", Sentence: "Goes back in time by n turns, as if they had not happened; what was placed or given since that moment is taken back, too.",
			Params: []Param{n("how many turns")}, Example: rig + "run()\nback(2)\nexpect_equal(w.state, \"live\")", See: []string{"turn", "undo"}, Call: back},
		{Name: "now", Topic: "time", Sentence: "Tells the instant of the last turn.", Returns: "an instant with .tick .step .turn; instants can be compared",
			Example: rig + "t = now()\nrun()\nexpect(t < now())", See: []string{"run", "quiet"}, Call: now},
		{Name: "quiet", Topic: "time", Sentence: "Tells whether nothing is left to do: no act queued, no timer set.", Returns: "True or False",
			Example: rig + "while not quiet():\n    step()\nexpect_equal(l.state, \"home\")", See: []string{"now", "run"}, Call: quiet},
	}
}

func run(c *Call) (starlark.Value, error) {
	ticks, turns := c.Int("ticks", -1, 0), c.Int("budget", 0, 1)
	if c.Err != nil {
		return nil, c.Err
	}
	b, limit := c.Env.Bench, c.budget(turns)
	var err error
	if far := c.Env.Progress; far != nil {
		what, began, total := "run: turns", b.Turns(), int64(0)
		gone := func() int64 { return b.Turns() - began }
		if c.Has("ticks") {
			start := b.Now().Tick
			what, total = "run: ticks", ticks
			gone = func() int64 { return b.Now().Tick - start }
		}
		limit.Look = func() {
			if c.Env.Moved != nil {
				c.Env.Moved()
			}
			if done := gone(); total == 0 || done < total {
				far(what, done, total)
			}
		}
		defer far(what, 1, 1) // erases it
	}
	if c.Has("ticks") {
		err = b.RunTicks(c.Env.Context(), ticks, limit)
	} else {
		err = b.Run(c.Env.Context(), limit)
	}
	c.Env.passed()
	var restless *engine.Restless
	if errors.As(err, &restless) {
		return nil, c.Fail("%w; give a number of ticks to run", err)
	}
	return nil, c.Ran(err)
}

// budget lets a run take so many turns a tick, and shows meanwhile what happens.
func (c *Call) budget(turns int64) engine.Budget {
	return engine.Budget{Turns: turns, Look: c.Env.Moved}
}

// Ran puts the word before the error of a run.
func (c *Call) Ran(err error) error {
	var away *engine.Runaway
	if errors.As(err, &away) {
		return c.Fail("%w; budget= allows more turns", err)
	}
	return c.Wrap(err)
}

func tick(c *Call) (starlark.Value, error) {
	n, limit := c.Int("n", 1, 1), c.budget(c.Int("budget", 0, 1))
	if c.Err != nil {
		return nil, c.Err
	}
	return c.passing(n, func() (bool, error) {
		b := c.Env.Bench
		before := b.Turns()
		if err := b.RunTicks(c.Env.Context(), 0, limit); err != nil || b.Turns() > before {
			return true, err
		}
		// This one is finished: begin the next, and finish that.
		if ok, err := b.Step(c.Env.Context(), limit); !ok || err != nil {
			return ok, err
		}
		return true, b.RunTicks(c.Env.Context(), 0, limit)
	})
}

func step(c *Call) (starlark.Value, error) {
	n, limit := c.Int("n", 1, 1), c.budget(c.Int("budget", 0, 1))
	if c.Err != nil {
		return nil, c.Err
	}
	return c.passing(n, func() (bool, error) { return c.Env.Bench.Step(c.Env.Context(), limit) })
}

func turn(c *Call) (starlark.Value, error) {
	n := c.Int("n", 1, 1)
	if c.Err != nil {
		return nil, c.Err
	}
	return c.passing(n, c.Env.Bench.Turn)
}

// passing lets time pass n times, as long as there is anything to do.
func (c *Call) passing(n int64, pass func() (bool, error)) (starlark.Value, error) {
	b := c.Env.Bench
	shown, began, events := b.Turns(), b.Turns(), b.EventCount()
	for i := range n {
		if i%1024 == 1023 {
			if err := c.Env.Stopped(); err != nil {
				c.Env.passed()
				return nil, c.Wrap(err)
			}
		}
		ok, err := pass()
		if err != nil {
			c.Env.passed()
			return nil, c.Ran(err)
		}
		if !ok {
			if i == 0 {
				c.Env.remark("quiet at %v: nothing to do", b.Now())
			}
			break
		}
		if b.Turns()-shown >= 4096 {
			c.Env.moved()
			shown = b.Turns()
		}
	}
	if b.Turns() > began && b.EventCount() == events && b.Recording() == engine.RecordAll {
		c.Env.remark("%s, at %v: nothing changed", say.Count(int(b.Turns()-began), "turn"), b.Now())
	}
	c.Env.passed()
	return nil, nil
}

func back(c *Call) (starlark.Value, error) {
	n := c.Int("n", 1, 1)
	if c.Err != nil {
		return nil, c.Err
	}
	b := c.Env.Bench
	late := lateEvents(b)
	gone, err := b.Back(n)
	if err != nil {
		return nil, c.Wrap(err)
	}
	c.Env.moved()
	switch {
	case gone == 0:
		c.Env.remark("at %v: nothing to go back to", b.Now())
	case gone < n:
		c.Env.remark("back by %s only, to %v: the history goes no further", say.Count(int(gone), "turn"), b.Now())
	default:
		c.Env.remark("%s", c.Env.Paragraph(fmt.Sprintf("back to %v%s", b.Now(), takenBack(b, late)), ""))
	}
	c.Env.ShowWatch()
	return nil, nil
}

// mostLate is how many of the last events are remembered before time is turned back.
const mostLate = 64

// lateEvents are the last events, the latest first.
func lateEvents(b *engine.Bench) []late {
	var es []late
	for id := engine.EventID(b.EventCount()); id > 0 && len(es) < mostLate; id-- {
		e := b.Event(id)
		es = append(es, late{id, say.Clean(b.Label(e.ID)) + " " + b.Word(e)})
	}
	return es
}

// late is an event as it was before time was turned back, when its part may not have been there.
type late struct {
	id   engine.EventID
	text string
}

// takenBack says which of the last events are no more.
func takenBack(b *engine.Bench, es []late) string {
	var gone []string
	for _, e := range es {
		if int(e.id) > b.EventCount() {
			gone = append(gone, e.text)
		}
	}
	if len(gone) == 0 {
		return ""
	}
	slices.Reverse(gone)
	n := int(es[0].id) - b.EventCount()
	if n > 6 {
		return fmt.Sprintf(": %d events taken back, the last %s", n, gone[len(gone)-1])
	}
	return ": no longer " + List(gone, 6, ", ")
}

func now(c *Call) (starlark.Value, error) { return Instant{c.Env.Bench.Now()}, nil }

func quiet(c *Call) (starlark.Value, error) { return starlark.Bool(c.Env.Bench.Quiet()), nil }
