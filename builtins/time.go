package builtins

import (
	"errors"
	"fmt"
	"strings"

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
			Example: rig + "run()\nexpect_equal(now().tick, 1)\nrun(ticks=9)\nexpect_equal(now().tick, 10)", See: []string{"step", "turn", "tick", "now"}, call: run},
		{Name: "tick", Topic: "time", Sentence: "Lets time pass to the end of the present tick, if that is unfinished, or of the next one that has anything to do.",
			Params: []Param{n("how many ticks"), budget}, Example: rig + "tick()\nexpect_equal(now().tick, 1)", See: []string{"run", "step"}, call: tick},
		{Name: "step", Topic: "time", Sentence: "Does what is left of the present step, or the next step that has anything to do.",
			Params: []Param{n("how many steps"), budget}, Example: rig + "step(2)\nexpect_equal(now().step, 1)\nexpect_equal(l.state, \"out\")", See: []string{"run", "turn", "back"}, call: step},
		{Name: "turn", Topic: "time", Sentence: "Does exactly one turn, or n.",
			Params: []Param{n("how many turns")}, Example: rig + "turn()\nexpect_equal(l.state, \"home\")", See: []string{"run", "step", "back"}, call: turn},
		{Name: "back", Topic: "time", Sentence: "Goes back in time by n turns, as if they had not happened; what was placed since stays. In a session, or after history was asked for.",
			Params: []Param{n("how many turns")}, Example: rig + "run()\nback()\nexpect_equal(w.state, \"live\")", See: []string{"turn", "undo"}, call: back},
		{Name: "now", Topic: "time", Sentence: "Tells the instant of the last turn.", Returns: "an instant with .tick .step .turn; instants can be compared",
			Example: rig + "t = now()\nrun()\nexpect(t < now())", See: []string{"run", "quiet"}, call: now},
		{Name: "quiet", Topic: "time", Sentence: "Tells whether nothing is left to do: no act queued, no timer set.", Returns: "True or False",
			Example: rig + "while not quiet():\n    step()\nexpect_equal(l.state, \"home\")", See: []string{"now", "run"}, call: quiet},
	}
}

// slice is about how many turns pass between two calls of Moved in a long run.
const slice = 20_000

func run(c *Call) (starlark.Value, error) {
	ticks, turns := c.Int(0, -1, 0), c.Int(1, 0, 1)
	if c.Err != nil {
		return nil, c.Err
	}
	var err error
	if c.Has(0) {
		err = c.Env.runTicks(ticks, turns)
	} else {
		err = c.Env.runQuiet(turns)
	}
	c.Env.moved()
	return nil, c.ran(err)
}

// runQuiet runs to quiet. If somebody wants to see what happens meanwhile, it does so in slices that end with a tick;
// that changes nothing but when they are told.
func (e *Env) runQuiet(turns int64) error {
	b := e.Bench
	if e.Moved == nil {
		return b.Run(e.ctx(), engine.Budget{Turns: turns})
	}
	start, ticks := b.Now(), int64(16)
	for {
		left := start.Tick + engine.DefaultTicks - b.Now().Tick
		before := b.Turns()
		err := b.Run(e.ctx(), engine.Budget{Turns: turns, Ticks: min(ticks, left)})
		var restless *engine.Restless
		if !errors.As(err, &restless) {
			return err
		}
		if b.Now().Tick >= start.Tick+engine.DefaultTicks || left <= ticks {
			return &engine.Restless{At: b.Now(), Ticks: engine.DefaultTicks}
		}
		e.Moved()
		ticks = nextSlice(ticks, b.Turns()-before)
	}
}

func (e *Env) runTicks(n, turns int64) error {
	b := e.Bench
	bud := engine.Budget{Turns: turns}
	if e.Moved == nil || n == 0 {
		return b.RunTicks(e.ctx(), n, bud)
	}
	for ticks := int64(16); n > 0; {
		part := min(ticks, n)
		before := b.Turns()
		if err := b.RunTicks(e.ctx(), part, bud); err != nil {
			return err
		}
		if n -= part; n > 0 {
			e.Moved()
		}
		ticks = nextSlice(ticks, b.Turns()-before)
	}
	return nil
}

// nextSlice makes the slices of a run longer or shorter, towards slice turns each.
func nextSlice(ticks, turns int64) int64 {
	switch {
	case turns < slice/2:
		return ticks * 2
	case turns > slice*2:
		return max(ticks/2, 1)
	}
	return ticks
}

// ran puts the word before the error of a run, and says of a runaway who it is.
func (c *Call) ran(err error) error {
	var away *engine.Runaway
	if !errors.As(err, &away) {
		return c.Wrap(err)
	}
	b := c.Env.Bench
	var names []string
	for i, id := range away.Parts {
		if i == 8 {
			names = append(names, fmt.Sprintf("%d more", len(away.Parts)-i))
			break
		}
		names = append(names, Who(b, id))
	}
	who := strings.Join(names, ", ")
	if n := len(names); n > 1 {
		who = strings.Join(names[:n-1], ", ") + " and " + names[n-1]
	}
	period := "no period was found"
	if away.Period > 0 {
		period = "again every " + count(away.Period, "step")
	}
	return c.Fail("runaway: tick %d has taken %d turns and goes on at %v; %s keep telling each other, %s; break the ring, or allow more turns with budget%w",
		away.At.Tick, away.Turns, away.At, who, period, silent{err})
}

// silent is an error that is there for errors.As but says nothing.
type silent struct{ error }

func (silent) Error() string   { return "" }
func (s silent) Unwrap() error { return s.error }

func tick(c *Call) (starlark.Value, error) {
	n, bud := c.Int(0, 1, 1), engine.Budget{Turns: c.Int(1, 0, 1)}
	if c.Err != nil {
		return nil, c.Err
	}
	return c.passing(n, func() (bool, error) {
		b := c.Env.Bench
		before := b.Turns()
		if err := b.RunTicks(c.Env.ctx(), 0, bud); err != nil || b.Turns() > before {
			return true, err
		}
		// This one is finished: begin the next, and finish that.
		if ok, err := b.Step(c.Env.ctx(), bud); !ok || err != nil {
			return ok, err
		}
		return true, b.RunTicks(c.Env.ctx(), 0, bud)
	})
}

func step(c *Call) (starlark.Value, error) {
	n, bud := c.Int(0, 1, 1), engine.Budget{Turns: c.Int(1, 0, 1)}
	if c.Err != nil {
		return nil, c.Err
	}
	return c.passing(n, func() (bool, error) { return c.Env.Bench.Step(c.Env.ctx(), bud) })
}

func turn(c *Call) (starlark.Value, error) {
	n := c.Int(0, 1, 1)
	if c.Err != nil {
		return nil, c.Err
	}
	return c.passing(n, c.Env.Bench.Turn)
}

// passing lets time pass n times, as long as there is anything to do.
func (c *Call) passing(n int64, pass func() (bool, error)) (starlark.Value, error) {
	b := c.Env.Bench
	shown := b.Turns()
	for i := range n {
		if i%1024 == 1023 {
			if err := c.Env.stopped(); err != nil {
				c.Env.moved()
				return nil, c.Wrap(err)
			}
		}
		ok, err := pass()
		if err != nil {
			c.Env.moved()
			return nil, c.ran(err)
		}
		if !ok {
			if i == 0 && c.Env.Moved != nil {
				c.Env.print(fmt.Sprintf("quiet at %v: nothing to do", b.Now()))
			}
			break
		}
		if b.Turns()-shown >= slice {
			c.Env.moved()
			shown = b.Turns()
		}
	}
	c.Env.moved()
	return nil, nil
}

func back(c *Call) (starlark.Value, error) {
	n := c.Int(0, 1, 1)
	if c.Err != nil {
		return nil, c.Err
	}
	gone, err := c.Env.Bench.Back(n)
	if err != nil {
		return nil, c.Wrap(err)
	}
	c.Env.moved()
	if gone < n && c.Env.Moved != nil {
		c.Env.print(fmt.Sprintf("back by %s only, to %v: the history goes no further", count(int(gone), "turn"), c.Env.Bench.Now()))
	}
	return nil, nil
}

func now(c *Call) (starlark.Value, error) { return Instant{c.Env.Bench.Now()}, nil }

func quiet(c *Call) (starlark.Value, error) { return starlark.Bool(c.Env.Bench.Quiet()), nil }
