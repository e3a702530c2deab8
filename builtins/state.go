package builtins

import (
	"pulsewright/engine"

	"go.starlark.net/starlark"
	"go.starlark.net/starlarkstruct"
)

func stateWords() []Entry {
	return []Entry{
		{Name: "state", Topic: "seeing", Sentence: "Tells everything that can change at a part or cell, as it is now.",
			Params:  []Param{{Name: "target", Type: "part", Doc: "a part, its name, or any cell"}},
			Returns: "a struct with .kind .name .at .state .level .tokens .powered .armed .forced .queued .timer .transit .slug .awaits",
			Example: "battery((0, 0))\nl = link((1, 0), \"+y\")\nexpect(state(l).armed)\nexpect_equal(state((5, 5)).kind, \"cell\")", See: []string{"parts", "armed"}, Call: showState},
		{Name: "parts", Topic: "seeing", Sentence: "Lists the parts of the bench, in the order placed.",
			Params: []Param{
				{Name: "kind", Type: "string", Default: "None", Optional: true, Allowed: kindNames, Doc: "only of this kind; one or a list"},
				{Name: "frame", Type: "a frame or its name", Default: "None", Optional: true, Doc: "only of this frame; one or a list"}},
			Returns: "a list of parts", Example: "wire((0, 0), (4, 0))\nlamp((5, 0))\nexpect_equal(len(parts(\"wire\")), 5)", See: []string{"state", "cost"}, Call: listParts},
	}
}

func showState(c *Call) (starlark.Value, error) {
	t := c.Target("target")
	if c.Err != nil {
		return nil, c.Err
	}
	b := c.Env.Bench
	c.Env.Inquiry.want(AskedPlace)
	c.Env.Inquiry.look()
	id, s := t.ID, engine.State{}
	cell, onLattice := t.Cell, true
	if id != 0 {
		s = b.State(id)
		cell, onLattice = b.CellOf(id)
	} else {
		s = b.CellState(cell)
	}
	kind := b.KindOf(id)
	name, at, slug := starlark.Value(starlark.None), starlark.Value(starlark.None), starlark.Value(starlark.None)
	if n := b.Name(id); n != "" {
		name = starlark.String(n)
	}
	if onLattice {
		at = CellValue(cell)
	}
	if s.Seated != engine.NoSlug {
		slug = starlark.String(s.Seated.String())
	}
	return starlarkstruct.FromStringDict(starlark.String("state"), starlark.StringDict{
		"kind": starlark.String(kind.String()), "name": name, "at": at, "slug": slug, "state": StateValue(kind, s),
		"level": starlark.MakeInt(s.Level), "tokens": starlark.MakeInt(s.Tokens),
		"powered": starlark.Bool(s.Powered), "armed": starlark.Bool(s.Armed), "forced": starlark.Bool(s.Forced),
		"queued": starlark.Bool(s.Queued), "timer": starlark.Bool(s.Timer), "transit": starlark.Bool(s.Transit), "awaits": starlark.Bool(s.Awaits),
	}), nil
}

func listParts(c *Call) (starlark.Value, error) {
	kinds, frames := c.kinds("kind"), c.FrameNames("frame")
	if c.Err != nil {
		return nil, c.Err
	}
	b := c.Env.Bench
	list := []starlark.Value{}
	for id := range b.Parts() {
		if !Matches(b, id, kinds, frames) {
			continue
		}
		list = append(list, Part{b, id})
	}
	return starlark.NewList(list), nil
}
