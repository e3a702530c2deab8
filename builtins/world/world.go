package world

import (
	"fmt"
	"slices"
	"strings"

	"pulsewright/builtins"
	"pulsewright/engine"

	"go.starlark.net/starlark"
	"go.starlark.net/syntax"
)

// World is a world as scripts hold it. It cannot be changed.
type World struct {
	name, note string
	rules      engine.Rules
	kinds      []*builtins.OwnKind
}

var (
	_ starlark.HasAttrs   = (*World)(nil)
	_ starlark.Comparable = (*World)(nil)
	_ builtins.Worldly    = (*World)(nil)
)

// New is a world with such rules.
func New(name, note string, rules engine.Rules, kinds []*builtins.OwnKind) *World {
	return &World{name, note, rules, kinds}
}

func (w *World) Type() string         { return "world" }
func (w *World) Freeze()              {}
func (w *World) Truth() starlark.Bool { return starlark.True }

// Hash goes by the rules, as equality does.
func (w *World) Hash() (uint32, error) { return builtins.Rules{Rules: w.rules}.Hash() }

// Laws are its rules.
func (w *World) Laws() engine.Rules { return w.rules }

// Called is its name with its note: the world "north quay" (found by 4 experiments).
func (w *World) Called() string {
	text := "a world without a name"
	if w.name != "" {
		text = "the world " + starlark.String(w.name).String()
	}
	var kinds []string
	for _, k := range w.kinds {
		kinds = append(kinds, k.Name())
	}
	if kinds != nil {
		text += ", which has the kinds " + strings.Join(kinds, " ") + " beside the built-in ones"
	}
	if w.note != "" {
		text += " (" + w.note + ")"
	}
	return text
}

// Kinds are those of its own.
func (w *World) Kinds() []*builtins.OwnKind { return w.kinds }

// String is a call that makes it again, if the names of its kinds stand for them.
func (w *World) String() string {
	var names []string
	for _, k := range w.kinds {
		names = append(names, k.Name())
	}
	return w.Written(names)
}

// Written is that call, where other names stand for its kinds.
func (w *World) Written(kinds []string) string {
	var before []string
	if w.name != "" {
		before = append(before, starlark.String(w.name).String())
	}
	_, rules, _ := strings.Cut(builtins.Rules{Rules: w.rules}.String(), "(")
	text := "world(" + strings.Join(append(before, strings.TrimSuffix(rules, ")")), ", ")
	if len(kinds) > 0 {
		text += ", kinds=[" + strings.Join(kinds, ", ") + "]"
	}
	if w.note != "" {
		text += ", note=" + starlark.String(w.note).String()
	}
	return text + ")"
}

// CompareSameType: two worlds are equal if their rules are, and their kinds are told alike, as those of a world that was saved and loaded; names and notes do not count.
func (w *World) CompareSameType(op syntax.Token, y starlark.Value, _ int) (bool, error) {
	o := y.(*World)
	same := w.rules == o.rules && len(w.kinds) == len(o.kinds)
	for _, k := range w.kinds {
		same = same && slices.ContainsFunc(o.kinds, func(l *builtins.OwnKind) bool { return k.Spec.Same(l.Spec) })
	}
	switch op {
	case syntax.EQL:
		return same, nil
	case syntax.NEQ:
		return !same, nil
	}
	return false, fmt.Errorf("worlds are equal or not; they have no order")
}

// AttrNames lists the attributes.
func (w *World) AttrNames() []string {
	names := append([]string{"kinds", "name", "note", "save"}, builtins.Rules{}.AttrNames()...)
	for _, k := range w.kinds {
		if !slices.Contains(names, k.Name()) {
			names = append(names, k.Name())
		}
	}
	slices.Sort(names)
	return names
}

// Attr reads an attribute.
func (w *World) Attr(name string) (starlark.Value, error) {
	switch name {
	case "save":
		return starlark.NewBuiltin("world.save", w.save), nil
	case "name":
		return starlark.String(w.name), nil
	case "note":
		return starlark.String(w.note), nil
	case "kinds":
		kinds := make(starlark.Tuple, len(w.kinds))
		for i, k := range w.kinds {
			kinds[i] = k
		}
		return kinds, nil
	}
	v, err := builtins.Rules{Rules: w.rules}.Attr(name)
	for _, k := range w.kinds {
		if v == nil && k.Name() == name {
			return k, nil
		}
	}
	return v, err
}

func worldWords() []builtins.Entry {
	params := []builtins.Param{{Name: "name", Type: "string", Default: `""`, Optional: true, Doc: "what it is called"}}
	for _, p := range builtins.RuleParams() {
		p.Keyword = true
		params = append(params, p)
	}
	params = append(params,
		builtins.Param{Name: "kinds", Type: "a list of kinds", Default: "[]", Optional: true, Keyword: true, Doc: "the kinds of part that it has beside the built-in ones, as kind() gives them"},
		builtins.Param{Name: "note", Type: "string", Default: `""`, Optional: true, Keyword: true, Doc: "what to know about it, such as how its rules were found"})
	return []builtins.Entry{{Name: "world", Topic: "rules", Sentence: "A world as a value: all its rules, the usual ones but for those named, and the kinds of part of its own.",
		Params:  params,
		Returns: "the world, with .name .note .kinds .order .news .reads .travel .reach .run, and each of its kinds by the name of the kind: w.sensor((0, 0), \"+x\"); .save(path) writes it as a script that stands alone, with its kinds, which load can take it from; fresh(w) takes an empty bench in it, design(..., world=w) and data sheets name it; worlds with the same rules and kinds are equal",
		Example: "w = world(\"north quay\", travel=1, news=\"lifo\")\nfresh(w)\nexpect_equal((rules().travel, rules().reach), (1, 24))\nexpect_equal(w, world(news=\"lifo\", travel=1))",
		See:     []string{"fresh", "rules", "kind", "calibrate"}, Call: makeWorld}}
}

func makeWorld(c *builtins.Call) (starlark.Value, error) {
	w := &World{name: c.Str("name"), note: c.Str("note"), rules: c.RulesOver(engine.DefaultRules())}
	for _, v := range c.List("kinds") {
		k, ok := v.(*builtins.OwnKind)
		if !ok {
			return nil, c.Bad("kinds", builtins.Show(v), "kinds, as kind() gives them")
		}
		if slices.Contains(new(World).AttrNames(), k.Name()) {
			return nil, c.Fail("for parameter kinds: a world has a .%s of its own, want another name for the kind %s", k.Name(), k.Name())
		}
		if i := slices.IndexFunc(w.kinds, func(o *builtins.OwnKind) bool { return o.Name() == k.Name() && !o.Spec.Same(k.Spec) }); i >= 0 {
			return nil, c.Fail("two of its kinds are called %s; give each its own name", k.Name())
		}
		if i := slices.IndexFunc(w.kinds, func(o *builtins.OwnKind) bool { return o.Name() != k.Name() && o.Spec.Letter == k.Spec.Letter }); i >= 0 {
			return nil, c.Fail("for parameter kinds: %w", builtins.LetterClash(k.Spec, w.kinds[i].Spec, "before it", specs(append(w.kinds, k))))
		}
		if !slices.ContainsFunc(w.kinds, func(o *builtins.OwnKind) bool { return o.Name() == k.Name() }) {
			w.kinds = append(w.kinds, k)
		}
	}
	if c.Err != nil {
		return nil, c.Err
	}
	return w, nil
}

// specs are the tables of some kinds.
func specs(kinds []*builtins.OwnKind) (all []*engine.Spec) {
	for _, k := range kinds {
		all = append(all, k.Spec)
	}
	return all
}
