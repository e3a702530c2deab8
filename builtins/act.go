package builtins

import (
	"fmt"

	"pulsewright/builtins/say"
	"pulsewright/engine"

	"go.starlark.net/starlark"
)

// tickParam is when a stimulus takes effect.
var tickParam = Param{Name: "at", Type: "a tick", Default: "None", Optional: true, Doc: "when it takes effect, later than now; None: the next tick"}

func actWords() []Entry {
	key := Param{Name: "key", Type: "part", Doc: "which key"}
	target := Param{Name: "target", Type: "part", Doc: "a part, its name, or any cell"}
	return []Entry{
		{Name: "press", Topic: "acting", Sentence: "Presses a key, at step 0 of the next tick.", Params: []Param{key, tickParam},
			Example: "k = key((0, 0))\npress(k)\nrun()\nexpect_equal(k.state, \"on\")", See: []string{"release", "key", "run"}, Call: press},
		{Name: "release", Topic: "acting", Sentence: "Releases a key, at step 0 of the next tick.", Params: []Param{key, tickParam},
			Example: "k = key((0, 0))\npress(k)\nrelease(k, at=5)\nrun()\nexpect_equal(probe(k).width, (4, 0))", See: []string{"press", "key", "run"}, Call: release},
		{Name: "fire", Topic: "acting", Sentence: "Forces a cell live from step 0 of the next tick, for so many steps, or ticks and steps: a pulse of known width.",
			Params: []Param{target,
				{Name: "steps", Type: "number", Unit: "steps", Default: "None", Optional: true, Doc: "how wide; if not given: 1, or 0 where ticks is given; a pulse of 0 steps falls right after it rose"},
				{Name: "ticks", Type: "number", Unit: "ticks", Default: "0", Optional: true, Doc: "how many ticks later it falls, in step steps of that tick"},
				{Name: "fall", Type: "string", Default: "None", Optional: true, Allowed: []string{"early", "late"}, Doc: "whether it falls before the first or after the last turn of its step; if not given: as falls() says, early unless it was told otherwise",
					Now: func(e *Env) string { return fallName(e.Late) }},
				tickParam},
			Example: "w = wire((0, 0), (4, 0))\nfire((0, 0), 3)\nrun()\nexpect_equal(probe(w.last).width, 3)", See: []string{"press", "nudge", "probe"}, Call: fire},
		{Name: "nudge", Topic: "acting", Sentence: "Lets a part hear news, with no power behind it, at step 0 of the next tick.",
			Params: []Param{target,
				{Name: "around", Type: "bool", Default: "False", Optional: true, Doc: "True: the six neighbours of the cell hear instead"}, tickParam},
			Example: "battery((0, 0))\nl = link((1, 0), \"+y\")\nexpect(l.armed)\nnudge(l)\nrun()\nexpect_equal(l.state, \"out\")", See: []string{"armed", "fire"}, Call: nudge},
		{Name: "fill", Topic: "acting", Sentence: "Sets the number of tokens in a tray or bucket to n, at once; nobody is told.",
			Params: []Param{{Name: "holder", Type: "part", Doc: "which tray or bucket"},
				{Name: "n", Type: "number", Unit: "tokens", Default: "1", Optional: true, Doc: "how many it holds from now on"}},
			Example: "t = tray((0, 0), room=5)\nfill(t, 3)\nexpect_equal(t.tokens, 3)", See: []string{"tray", "bucket"}, Call: fill},
	}
}

// when reads the tick a stimulus is for; 0 is the next one.
func (c *Call) when(param string) int64 {
	if !c.Has(param) {
		return 0
	}
	now := c.Env.Bench.Now().Tick
	at := c.Int(param, 0, -Biggest)
	if c.Err == nil && at <= now {
		c.Bad(param, Show(c.Value(param)), fmt.Sprintf("a tick later than now, which is %d", now))
	}
	return at
}

// keyPart reads a key.
func (c *Call) keyPart(param string) engine.ID {
	id := c.Part(param)
	if c.Err == nil {
		c.kindCheck(param, id, engine.Key)
	}
	return id
}

// kindCheck refuses a part of another kind.
func (c *Call) kindCheck(param string, id engine.ID, kinds ...engine.Kind) {
	k := c.Env.Bench.KindOf(id)
	want := ""
	for n, w := range kinds {
		if k == w {
			return
		}
		if n > 0 {
			want += " or "
		}
		want += say.Article(w.String())
	}
	c.Bad(param, Describe(c.Env.Bench, id), want)
}

func press(c *Call) (starlark.Value, error) {
	id, at := c.keyPart("key"), c.when("at")
	if c.Err != nil {
		return nil, c.Err
	}
	return nil, c.Wrap(c.Env.Bench.Press(id, at))
}

func release(c *Call) (starlark.Value, error) {
	id, at := c.keyPart("key"), c.when("at")
	if c.Err != nil {
		return nil, c.Err
	}
	return nil, c.Wrap(c.Env.Bench.Release(id, at))
}

func fire(c *Call) (starlark.Value, error) {
	t := c.Target("target")
	if !c.Has("fall") {
		c.Env.Inquiry.Want(Fired)
	}
	f := engine.Firing{Ticks: c.Small("ticks", 0, 0), Late: c.Choice("fall", c.Env.fall()) == "late", At: c.when("at")}
	f.Steps = 1
	if f.Ticks > 0 {
		f.Steps = 0
	}
	f.Steps = c.Small("steps", int64(f.Steps), 0)
	if c.Err != nil {
		return nil, c.Err
	}
	return nil, c.Wrap(c.Env.Bench.Fire(t, f))
}

func nudge(c *Call) (starlark.Value, error) {
	t, around, at := c.Target("target"), c.Bool("around", false), c.when("at")
	if c.Err != nil {
		return nil, c.Err
	}
	return nil, c.Wrap(c.Env.Bench.Nudge(t, around, at))
}

func fill(c *Call) (starlark.Value, error) {
	id, n := c.Part("holder"), c.Small("n", 1, 0)
	if c.Err == nil {
		c.kindCheck("holder", id, engine.Tray, engine.Bucket)
	}
	if c.Err != nil {
		return nil, c.Err
	}
	return nil, c.Wrap(c.Env.Bench.Fill(id, n))
}
