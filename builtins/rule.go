package builtins

import (
	"fmt"
	"strconv"
	"strings"

	"pulsewright/engine"

	"go.starlark.net/starlark"
)

// Rules are the rules of a bench as scripts hold them.
type Rules struct {
	engine.Rules
	By *Inquiry // which notes what is read of them
}

var (
	_ starlark.HasAttrs   = Rules{}
	_ starlark.Comparable = Rules{}
)

func (r Rules) Type() string          { return "rules" }
func (r Rules) Freeze()               {}
func (r Rules) Truth() starlark.Bool  { return starlark.True }
func (r Rules) Hash() (uint32, error) { return starlark.String(r.String()).Hash() }

func (r Rules) String() string {
	r.By.Want(AskedRules)
	return fmt.Sprintf("rules(order=%q, news=%q, reads=%q, travel=%d, reach=%d, run=%d)", r.OrderText(), NewsNames[r.News], ReadsNames[r.Reads], r.Travel, r.Reach, r.Run)
}

var (
	NewsNames  = []string{"fifo", "lifo"}
	ReadsNames = []string{"turn", "step"}
)

// OrderText writes the neighbour order as scripts do.
func (r Rules) OrderText() string {
	if r.Mixed {
		return fmt.Sprint("mixed ", r.Seed)
	}
	var names []string
	for _, d := range r.Order {
		names = append(names, d.String())
	}
	return strings.Join(names, " ")
}

// CompareSameType: rules are equal if each of them is.
func (r Rules) CompareSameType(op Token, y starlark.Value, _ int) (bool, error) {
	r.By.Want(AskedRules)
	y.(Rules).By.Want(AskedRules)
	return Equality(op, r.Rules == y.(Rules).Rules, "rules")
}

// AttrNames lists the attributes.
func (r Rules) AttrNames() []string {
	return []string{"news", "order", "reach", "reads", "run", "travel"}
}

// Attr reads an attribute.
func (r Rules) Attr(name string) (starlark.Value, error) {
	switch name {
	case "order":
		r.By.Want(AskedOrder)
		return starlark.String(r.OrderText()), nil
	case "news":
		r.By.Want(AskedNews)
		return starlark.String(NewsNames[r.News]), nil
	case "reads":
		r.By.Want(AskedReads)
		return starlark.String(ReadsNames[r.Reads]), nil
	case "travel":
		r.By.Want(AskedTravel)
		return starlark.MakeInt(r.Travel), nil
	case "reach":
		r.By.Want(AskedReach)
		return starlark.MakeInt(r.Reach), nil
	case "run":
		r.By.Want(askedRun)
		return starlark.MakeInt(r.Run), nil
	}
	return nil, nil
}

// Rules are those of the bench, for somebody whose work depends on them.
func (e *Env) Rules() engine.Rules {
	e.Inquiry.Want(AskedRules)
	return e.Bench.Rules()
}

// RuleParams are the parameters by which the rules are given; RulesOver reads them.
func RuleParams() []Param {
	return []Param{
		{Name: "order", Type: "string", Default: "None", Optional: true, Doc: "in which order the six neighbours hear, such as \"+x -x +y -y +z -z\", the usual one; a list will do, too; \"mixed 7\": each cell has an order of its own, fixed by the number and the cell"},
		{Name: "news", Type: "string", Default: "None", Optional: true, Allowed: NewsNames, Doc: "fifo: first told, first heard; lifo: what the newest change tells is heard first"},
		{Name: "reads", Type: "string", Default: "None", Optional: true, Allowed: ReadsNames, Doc: "turn: a part sees what earlier turns of its step did; step: all look before the first changes anything"},
		{Name: "travel", Type: "number", Unit: "ticks", Default: "None", Optional: true, Doc: "how long a slug is in transit; usually 2"},
		{Name: "reach", Type: "number", Unit: "cells", Default: "None", Optional: true, Doc: "top level of a conductor: how far a wire carries; usually 24"},
		{Name: "run", Type: "number", Unit: "cells", Default: "None", Optional: true, Doc: "how far a fed reed holds others of its line; usually 6"},
	}
}

func ruleWords() []Entry {
	params := RuleParams()
	ofWorld := append([]Param{{Name: "world", Type: "a world", Default: "None", Optional: true, Doc: "whose rules it has, as world() or calibrate() gives it, but for those named"}}, params...)
	return []Entry{
		{Name: "rules", Topic: "rules", Sentence: "Changes the rules that are named and tells how all stand now.",
			Params: params, Returns: "the rules, with .order .news .reads .travel .reach .run",
			Example: "rules(reach=100)\nexpect_equal(rules().reach, 100)\nexpect_equal(rules().travel, 2)",
			See:     []string{"fresh"}, Call: setRules},
		{Name: "fresh", Topic: "rules", Sentence: "Takes an empty bench, at tick 0, with the usual rules but for those named. Parts of the old one can no longer be used.",
			Params:  ofWorld,
			Example: "wire((0, 0))\nfresh(news=\"lifo\")\nexpect_equal(len(parts()), 0)",
			See:     []string{"rules", "world", "remove", "undo"}, Call: fresh},
	}
}

// Worldly is a value that names a world and its rules.
type Worldly interface {
	starlark.Value
	Laws() engine.Rules
	Called() string                // its name and what is noted of it, as a sentence goes on with it
	Kinds() []*OwnKind             // those of its own
	Written(kinds []string) string // a call that makes it, where these names stand for its kinds
}

// WorldNow is the world that the bench was made in, nil if it was made in none, or its rules are not that world's any more.
func (e *Env) WorldNow() Worldly {
	if e.World == nil || e.World.Laws() != e.Bench.Rules() {
		return nil
	}
	return e.World
}

func setRules(c *Call) (starlark.Value, error) {
	old := c.Env.Bench.Rules()
	r := c.RulesOver(old)
	if c.Err != nil {
		return nil, c.Err
	}
	if r != old {
		if err := c.Env.Bench.SetRules(r); err != nil {
			return nil, c.Wrap(err)
		}
	}
	return Rules{r, &c.Env.Inquiry}, nil
}

func fresh(c *Call) (starlark.Value, error) {
	base, w := engine.DefaultRules(), Worldly(nil)
	if c.Has("world") {
		var ok bool
		if w, ok = c.Value("world").(Worldly); !ok {
			return nil, c.Bad("world", Show(c.Value("world")), "a world, as world() gives it; rules by name, such as order=\"+x -x +y -y +z -z\"")
		}
		base = w.Laws()
	}
	r := c.RulesOver(base)
	if c.Err != nil {
		return nil, c.Err
	}
	b := engine.New(engine.DefaultRules())
	if err := b.SetRules(r); err != nil {
		return nil, c.Wrap(err)
	}
	b.KeepHistory(c.Env.History)
	c.Env.Bench, c.Env.World = b, w
	return nil, nil
}

// RulesOver reads the arguments over r.
func (c *Call) RulesOver(r engine.Rules) engine.Rules {
	if c.Has("order") {
		c.order("order", &r)
	}
	if c.Has("news") {
		r.News = engine.News(indexOf(NewsNames, c.Choice("news", "")))
	}
	if c.Has("reads") {
		r.Reads = engine.Reads(indexOf(ReadsNames, c.Choice("reads", "")))
	}
	r.Travel = c.Small("travel", int64(r.Travel), 1)
	r.Reach = c.Small("reach", int64(r.Reach), 1)
	r.Run = c.Small("run", int64(r.Run), 0)
	for _, n := range [...]struct {
		param     string
		got, most int
	}{{"travel", r.Travel, engine.MaxTravel}, {"reach", r.Reach, engine.MaxReach}, {"run", r.Run, engine.MaxRun}} {
		if c.Has(n.param) && c.Err == nil && n.got > n.most {
			c.Bad(n.param, Show(c.Value(n.param)), fmt.Sprintf("at most %d", n.most))
		}
	}
	return r
}

func indexOf(names []string, name string) int {
	for i, n := range names {
		if n == name {
			return i
		}
	}
	return 0
}

const WantOrder = "all six directions, each once, such as \"+x -x +y -y +z -z\", or \"mixed\" and a number from 0 to 18446744073709551615, such as \"mixed 7\""

// order reads a neighbour order into rules.
func (c *Call) order(param string, r *engine.Rules) {
	if bad := OrderInto(r, c.Value(param)); bad != nil {
		c.Bad(param, Show(bad), WantOrder)
	}
}

// OrderInto puts a neighbour order into rules: one for all cells, or one for each. bad is what is none, nil if it is one.
func OrderInto(r *engine.Rules, v starlark.Value) (bad starlark.Value) {
	if s, ok := v.(starlark.String); ok {
		if seed, ok := mixedOrder(string(s)); ok {
			r.Order, r.Mixed, r.Seed = engine.DefaultRules().Order, true, seed
			return nil
		}
	}
	order, bad := OrderOf(v)
	if bad == nil {
		r.Order, r.Mixed, r.Seed = order, false, 0
	}
	return bad
}

// mixedOrder reads the number of mixed orders.
func mixedOrder(s string) (uint64, bool) {
	words := strings.Fields(s)
	if len(words) != 2 || words[0] != "mixed" {
		return 0, false
	}
	n, err := strconv.ParseUint(words[1], 10, 64)
	return n, err == nil
}

// OrderOf is a value as one neighbour order for all cells; bad is what is none, nil if it is one.
func OrderOf(v starlark.Value) (order [6]engine.Dir, bad starlark.Value) {
	var words []string
	switch v := v.(type) {
	case starlark.String:
		words = strings.Fields(string(v))
	case starlark.Iterable:
		for x := range starlark.Elements(v) {
			s, ok := x.(starlark.String)
			if !ok {
				return order, v
			}
			words = append(words, string(s))
		}
	default:
		return order, v
	}
	if len(words) != 6 {
		return order, v
	}
	var seen [6]bool
	for k, w := range words {
		d, ok := engine.ParseDir(w)
		if !ok || seen[d] {
			return order, v
		}
		order[k], seen[d] = d, true
	}
	return order, nil
}
