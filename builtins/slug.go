package builtins

import (
	"pulsewright/engine"

	"go.starlark.net/starlark"
)

func slugWords() []Entry {
	return []Entry{{Name: "slug", Topic: "placing", Sentence: "Puts a loose slug, one that belongs to no shuttle, into an empty cell or a jack, or takes the one there away; nobody is told. It does there what a shuttle's slug does where it sits.",
		Params: []Param{
			{Name: "at", Type: "cell", Doc: "where"},
			{Name: "what", Type: "string", Default: "None", Optional: true, Allowed: slugNames, Doc: "a plug opens a jack, a feed is a battery, a bridge conducts; None: the loose slug there is taken away"}},
		Example: "w = wire((0, 0))\nslug((1, 0), \"feed\")\nexpect_equal(w.state, \"live\")\nslug((1, 0), None)\nexpect_equal(w.state, \"dead\")",
		See:     []string{"shuttle", "jack"}, Call: putSlug, Framed: true}}
}

var slugNames = []string{"plug", "feed", "bridge"}

func putSlug(c *Call) (starlark.Value, error) {
	at := c.Cell("at")
	what, _ := engine.ParseSlug(c.Choice("what", "none"))
	if c.Err != nil {
		return nil, c.Err
	}
	return nil, c.Wrap(c.Env.Bench.PutSlug(at, what))
}

var gripParam = Param{Name: "grip", Type: "string", Default: "None", Optional: true, Keyword: true, Allowed: []string{"push", "both"},
	Doc: "without a slug of its own it moves loose ones: push takes one along on its way out, both takes one back on its way home, too; with none there it goes alone, at once",
	set: func(c *Call, param string) { c.part.Grip, _ = engine.ParseGrip(c.Choice(param, "none")) },
	of: func(p Part) starlark.Value {
		if g := p.Bench.Thing(p.ID).Grip; g != engine.NoGrip {
			return starlark.String(g.String())
		}
		return starlark.None
	}}

var letGoParam = Param{Name: "letgo", Type: "bool", Default: "False", Optional: true, Keyword: true,
	Doc: "True, with a grip: told while its slug is in transit, it may let go; the slug lands at once, and it turns back alone",
	set: func(c *Call, param string) { c.part.LetGo = c.Bool(param, false) },
	of:  func(p Part) starlark.Value { return starlark.Bool(p.Bench.Thing(p.ID).LetGo) }}
