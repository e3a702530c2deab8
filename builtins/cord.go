package builtins

import (
	"pulsewright/engine"

	"go.starlark.net/starlark"
)

func cordWords() []Entry {
	a := Param{Name: "a", Type: "part", Doc: "the part it comes from"}
	b := Param{Name: "b", Type: "part", Doc: "the part it goes to"}
	return []Entry{
		{Name: "patch", Topic: "placing", Sentence: "Joins two parts by a cord, which takes no room and no time, over any distance: b is fed while a is on, and told when a changes.",
			Params: []Param{a, b,
				{Name: "power", Type: "bool", Default: "True", Optional: true, Doc: "False: it carries news only"},
				{Name: "news", Type: "bool", Default: "True", Optional: true, Doc: "False: it carries power only"},
				{Name: "invert", Type: "bool", Default: "False", Optional: true, Doc: "True: b is fed while a is off"}},
			Example: "k = key((0, 0))\ng = gate(op=\"buf\")\npatch(k, g)\npress(k)\nrun()\nexpect_equal(g.state, \"on\")",
			See:     []string{"unpatch", "gate"}, Call: patch, Framed: true},
		{Name: "unpatch", Topic: "placing", Sentence: "Takes away all cords from a to b.",
			Params: []Param{a, b}, Returns: "how many there were",
			Example: "k = key((0, 0))\nl = lamp((5, 5))\npatch(k, l)\nexpect_equal(unpatch(k, l), 1)",
			See:     []string{"patch"}, Call: unpatch, Framed: true},
		{Name: "remove", Topic: "placing", Sentence: "Takes a part off the bench, with its cords and its slug; nobody is told.",
			Params:  []Param{{Name: "part", Type: "part", Doc: "what to take away; a row or a list takes away all in it"}},
			Example: "w = wire((0, 0), (3, 0))\nremove((2, 0))\nexpect_equal(len(parts()), 3)",
			See:     []string{"fresh", "undo"}, Call: remove, Framed: true},
	}
}

func patch(c *Call) (starlark.Value, error) {
	a, b := c.Part("a"), c.Part("b")
	cord := engine.Cord{Power: c.Bool("power", true), News: c.Bool("news", true), Invert: c.Bool("invert", false)}
	if c.Err == nil && !cord.Power && !cord.News {
		c.Fail("a cord with power=False and news=False carries nothing")
	}
	if c.Err != nil {
		return nil, c.Err
	}
	return nil, c.Wrap(c.Env.Bench.Patch(a, b, cord))
}

func unpatch(c *Call) (starlark.Value, error) {
	a, b := c.Part("a"), c.Part("b")
	if c.Err != nil {
		return nil, c.Err
	}
	n, err := c.Env.Bench.Unpatch(a, b)
	return starlark.MakeInt(n), c.Wrap(err)
}

func remove(c *Call) (starlark.Value, error) {
	var ids []engine.ID
	switch v := c.Value("part").(type) {
	case *Row:
		for i, id := range v.ids {
			ids = append(ids, c.partOf("part", Part{v.Bench, id}))
			if c.Wrap(c.Env.StoppedAt(i)); c.Err != nil {
				break
			}
		}
	case *starlark.List:
		if _, ok := AsCell(v); ok {
			ids = append(ids, c.Part("part"))
			break
		}
		for i := range v.Len() {
			ids = append(ids, c.partOf("part", v.Index(i)))
			if c.Wrap(c.Env.StoppedAt(i)); c.Err != nil {
				break
			}
		}
	default:
		ids = append(ids, c.Part("part"))
	}
	if c.Err != nil {
		return nil, c.Err
	}
	before := c.Env.Before(len(ids))
	done := map[engine.ID]bool{}
	for i, id := range ids {
		if done[id] {
			continue
		}
		err := c.Env.StoppedAt(i)
		if err == nil {
			err = c.Env.Bench.Remove(id)
		}
		if err != nil {
			if before != nil {
				c.Env.Bench.Restore(before)
			}
			return nil, c.Wrap(err)
		}
		done[id] = true
	}
	return nil, nil
}

// AsCell tells a cell written as a list from a list of parts.
func AsCell(v starlark.Value) (engine.Cell, bool) {
	seq, ok := v.(starlark.Indexable)
	for i := 0; ok && i < seq.Len(); i++ {
		_, ok = seq.Index(i).(starlark.Int)
	}
	if !ok { // parts are not asked for their text: that notes that somebody asks where they lie
		return engine.Cell{}, false
	}
	cell, _, want := ParseCell(v)
	return cell, want == ""
}
