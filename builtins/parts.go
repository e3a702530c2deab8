package builtins

import (
	"slices"
	"strings"

	"pulsewright/builtins/say"
	"pulsewright/engine"

	"go.starlark.net/starlark"
)

func partsWords() []Entry {
	return []Entry{
		{Name: "parts", Topic: "seeing", Sentence: "Lists the parts of the bench, in the order placed; only those that have all that is named.",
			Params: []Param{
				{Name: "kind", Type: "string", Default: "None", Optional: true, Allowed: kindNames, Doc: "only of this kind; one or a list"},
				{Name: "frame", Type: "a frame or its name", Default: "None", Optional: true, Doc: "only of this frame; one or a list"},
				{Name: "attribute", Type: "value", Variadic: true, Keyword: true, Doc: "any attribute of a part, such as ticks=2, far=\"+x\", armed=True: only parts that have it so; a list: any of these"}},
			Returns: "a list of parts", Example: "wire((0, 0), (4, 0))\noneshot((5, 0), \"+x\", ticks=2)\noneshot((6, 0), \"+x\", ticks=3)\nexpect_equal((len(parts(\"wire\")), len(parts(ticks=2))), (5, 1))", See: []string{"state", "cost"}, Call: listParts},
	}
}

// trait is an attribute that parts are chosen by, and the values it may have.
type trait struct {
	name   string
	values []starlark.Value
}

func listParts(c *Call) (starlark.Value, error) {
	kinds, frames := c.kinds("kind"), c.FrameNames("frame")
	wants := c.traits(kinds)
	if c.Err != nil {
		return nil, c.Err
	}
	b := c.Env.Bench
	list := []starlark.Value{}
	n := 0
	for id := range b.Parts() {
		if err := c.Env.StoppedAt(n); err != nil {
			return nil, c.Wrap(err)
		}
		n++
		if !Matches(b, id, kinds, frames) {
			continue
		}
		if p := (Part{b, id}); p.has(wants) {
			list = append(list, p)
		}
	}
	return starlark.NewList(list), nil
}

// has reports whether a part has all attributes so.
func (p Part) has(wants []trait) bool {
	for _, w := range wants {
		if !slices.Contains(wordOf(p.Bench, p.ID).attrs, w.name) {
			return false
		}
		is, err := p.Attr(w.name)
		if err != nil || !slices.ContainsFunc(w.values, func(v starlark.Value) bool {
			same, err := starlark.Equal(is, v)
			return err == nil && same
		}) {
			return false
		}
	}
	return true
}

// traits reads the attributes that parts are chosen by: those that parts of these kinds have, or of any kind.
func (c *Call) traits(kinds []string) (wants []trait) {
	if c.Err != nil || len(c.kwargs) == 0 {
		return nil
	}
	var all []string
	var words []*Entry // that place parts of these kinds
	place := func(e *Entry) {
		all = append(all, e.attrs...)
		if len(kinds) == 0 || slices.Contains(kinds, e.Name) {
			words = append(words, e)
		}
	}
	for _, k := range engine.Kinds() {
		place(placedBy(k))
	}
	for _, s := range c.Env.Bench.Specs() {
		place(s.Aside.(*OwnKind).word)
	}
	slices.Sort(all)
	all = slices.DeleteFunc(slices.Compact(all), func(name string) bool { return name == "kind" })
	for _, kv := range c.kwargs {
		name := Text(kv[0])
		if !slices.Contains(all, name) {
			c.Fail("no parameter %q, want one of kind frame %s%s", name, strings.Join(all, " "), say.DidYouMean(name, all))
			return nil
		}
		has := slices.IndexFunc(words, func(e *Entry) bool { return slices.Contains(e.attrs, name) })
		if has < 0 {
			if len(words) > 0 {
				c.Fail("%s has no .%s; it has .%s", say.Article(words[0].Name), name, strings.Join(words[0].attrs, " ."))
			}
			return nil
		}
		wants = append(wants, trait{name, c.traitValues(words[has].attribute(name), kv[1])})
	}
	return wants
}

// attribute is the parameter that an attribute of a part comes from, or one made for those that are none.
func (e *Entry) attribute(name string) *Param {
	if i := e.param(name); i >= 0 {
		return &e.Params[i]
	}
	p := &Param{Name: name, Type: "value"}
	switch name {
	case "armed", "powered":
		p.Type = "bool"
	case "level":
		p.Type = "number"
	case "port":
		p.Type, p.Allowed = "string", portNames
	case "facing", "way":
		p.Type, p.Default, p.Allowed = "string", "None", dirNames
	}
	return p
}

// traitValues reads what an attribute may be: one value, or a list of them.
func (c *Call) traitValues(p *Param, v starlark.Value) []starlark.Value {
	bad := func(v starlark.Value) []starlark.Value {
		c.Fail("for parameter %s: got %s, want %s", p.Name, Show(v), p.Want())
		return nil
	}
	if p.Name == "pads" { // is a list itself
		if v == starlark.None {
			return []starlark.Value{v}
		}
		if _, ok := v.(starlark.Iterable); !ok {
			return bad(v)
		}
		var offsets []starlark.Value
		for x := range starlark.Elements(v.(starlark.Iterable)) {
			cell, ok := AsCell(x)
			if !ok {
				return bad(v)
			}
			offsets = append(offsets, CellValue(cell))
		}
		return []starlark.Value{starlark.NewList(offsets)}
	}
	if p.Type == "cell" {
		if cell, got, want := ParseCell(v); want == "" {
			return []starlark.Value{CellValue(cell)}
		} else if v != starlark.None {
			c.Fail("for parameter %s: got %s, want %s", p.Name, got, want)
		}
		return []starlark.Value{v}
	}
	values := []starlark.Value{v}
	if l, ok := v.(*starlark.List); ok {
		values = slices.Collect(l.Elements())
	}
	for _, v := range values {
		ok := true
		switch s, isText := v.(starlark.String); {
		case v == starlark.None:
			ok = p.Default == "None" || p.Name == "facing" || p.Name == "way" || p.Type == "value"
		case p.Type == "number":
			_, ok = v.(starlark.Int)
		case p.Type == "bool":
			_, ok = v.(starlark.Bool)
		case p.Type == "string":
			ok = isText && (len(p.Allowed) == 0 || slices.Contains(p.Allowed, string(s)))
		}
		if !ok {
			return bad(v)
		}
	}
	return values
}
