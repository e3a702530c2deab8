package calibrate

import (
	"fmt"
	"slices"

	"pulsewright/builtins"
	"pulsewright/builtins/say"
	"pulsewright/builtins/trial"
	"pulsewright/engine"

	"go.starlark.net/starlark"
)

const example = `mine = world(order="+z -y +x -x -z +y", travel=1)
c = calibrate(news="fifo", reads="turn", travel=[1, 2], reach=24, run=6)
while not c.done:
    c.rehearse(mine)  # at home: build it in your world, and say c.saw("a out, b home", ...)
expect_equal(c.world, mine)
expect_equal(c.alone, [])
fresh(c.world)
`

// limits of what a calibration takes in.
const (
	mostCombos = 500_000 // of the rules but the order
	mostValues = 1 << 16 // of one rule
	mostOrders = 4096    // and of the order
	mostParts  = 32      // of one experiment: with the rigs and the numbers that more could tell apart, the next one takes more than some seconds
	mostAside  = 10_000  // cells that an experiment may go from where it is built
)

func beyondZero(n int32) int32 { return max(n, -n) }

func calibrateWords() []builtins.Entry {
	numbers := func(name, unit, usual, doc string) builtins.Param {
		return builtins.Param{Name: name, Type: "a number or a list of numbers", Unit: unit, Default: usual, Optional: true, Keyword: true, Doc: doc}
	}
	return []builtins.Entry{{Name: "calibrate", Topic: "rules", Sentence: "Finds out the rules of your own world: proposes experiments that can be done there, takes what was seen, and ends when one world is left, or those left act alike on all rigs known here.",
		Params: []builtins.Param{
			{Name: "name", Type: "string", Default: `""`, Optional: true, Doc: "what the world is to be called"},
			{Name: "order", Type: "a neighbour order or a list of them", Default: "None", Optional: true, Keyword: true, Doc: "the orders that are possible, \"mixed 7\" and its like among them; None: all 720. If any is mixed, place matters: then one rig is an experiment, and its map says at which cells it must stand"},
			{Name: "at", Type: "cell", Default: "(0, 0, 0)", Optional: true, Keyword: true, Doc: "where in your world you build: the rigs of the maps stand from this cell on"},
			{Name: "news", Type: "string", Default: "None", Optional: true, Keyword: true, Allowed: builtins.NewsNames, Doc: "how news is delivered, if it is known; None: either"},
			{Name: "reads", Type: "string", Default: "None", Optional: true, Keyword: true, Allowed: builtins.ReadsNames, Doc: "what acts see, if it is known; None: either"},
			numbers("travel", "ticks", "range(1, 9)", "the values that are possible"),
			numbers("reach", "cells", "range(1, 65)", "the values that are possible"),
			numbers("run", "cells", "range(1, 33)", "the values that are possible"),
			{Name: "kinds", Type: "a dict", Default: "{}", Optional: true, Keyword: true, Doc: "kinds of your own: from the name of each to a list of the ways in which it may be told, as kind() gives them, or a dict of them by what each is called; rigs for it are looked for by running it. The world that is found has the one that was found"},
			{Name: "parts", Type: "number", Default: "24", Optional: true, Keyword: true, Doc: "how many parts one experiment may have, 4 to 32, wires and reeds counted one by one"},
			{Name: "check", Type: "bool", Default: "True", Optional: true, Keyword: true, Doc: "True: once the world is found, goes on until one wrong answer would have shown; False: ends there, and names the answers that stand alone"},
			{Name: "for_designs", Type: "a list of designs", Default: "None", Optional: true, Keyword: true, Doc: "asks only what changes what these do: what is read, in how many ticks, with how much news; and says what stays open and why it does not matter. Of many worlds that is tried in some drawn by lot, with the bound that is stated. They are built at at=, which matters under mixed orders"},
			{Name: "size", Type: "number", Default: "None", Optional: true, Keyword: true, Doc: trial.SizeDocUsual},
			{Name: "saw", Type: "a list of pairs", Default: "[]", Optional: true, Keyword: true, Doc: "what was seen already: the name of a rig and what it showed, as .seen gives them"}},
		Returns: "a calibration, which shows the next experiment, or what was found: .saw(...) takes what each of its rigs showed, in their order (None: not sure), .unsure() and .skip(\"cannot build\") put all of them or one (rig=2) aside, .back() takes the last step back, .build() places it on the empty bench, .rehearse(w) answers it as the world w would; .world (None until it is found) .found .done .worlds .bits .open (values by rule) .seen .alone (answers that no other bears out) .clash (answers that cannot all be true) .asked .rigs (each .name .about .parts .bits .adds .look .possible) .map .text",
		Example: example, See: []string{"world", "fresh", "survey"}, Call: calibrate}}
}

func calibrate(c *builtins.Call) (starlark.Value, error) {
	s := setup{name: c.Str("name"), most: int(c.Int("parts", 24, 4)), check: c.Bool("check", true)}
	if c.Err == nil && s.most > mostParts {
		c.Bad("parts", fmt.Sprint(s.most), fmt.Sprintf("4 to %d", mostParts))
	}
	if c.Has("at") {
		s.at = c.Cell("at")
	}
	if c.Err == nil && max(beyondZero(s.at.X), beyondZero(s.at.Y), beyondZero(s.at.Z)) > engine.Limit-mostAside {
		c.Bad("at", builtins.Show(c.Value("at")), fmt.Sprintf("coordinates from -%d to %d", engine.Limit-mostAside, engine.Limit-mostAside))
	}
	s.orders = orders(c)
	s.news, s.reads = []engine.News{engine.FIFO, engine.LIFO}, []engine.Reads{engine.ByTurn, engine.ByStep}
	if c.Has("news") {
		s.news = []engine.News{engine.News(max(0, slices.Index(builtins.NewsNames, c.Choice("news", ""))))}
	}
	if c.Has("reads") {
		s.reads = []engine.Reads{engine.Reads(max(0, slices.Index(builtins.ReadsNames, c.Choice("reads", ""))))}
	}
	s.travel, s.reach, s.run = values(c, "travel", 1, 8, engine.MaxTravel), values(c, "reach", 1, 64, engine.MaxReach), values(c, "run", 1, 32, engine.MaxRun)
	s.kin = kin(c)
	if i := slices.IndexFunc(s.kin, func(f *family) bool { return len(f.kinds) > 1 }); i >= 0 && c.Err == nil && c.Has("for_designs") {
		name := s.kin[i].name
		return nil, c.Fail("parameter for_designs goes by the rules alone, as a design holds the kinds it is made of, and %s is told in %d ways; want one way of each kind: find it out first, c = calibrate(kinds=...) without for_designs, and give what was found, kinds={%q: c.world.%s}",
			name, len(s.kin[i].kinds), name, name)
	}
	if c.Err != nil {
		return nil, c.Err
	}
	k, err := newCalibration(c.Env, s)
	if err != nil {
		return nil, c.Wrap(err)
	}
	if k.concern, err = concernOf(c, s.at); err != nil {
		return nil, err
	}
	for i, v := range c.List("saw") {
		a, err := k.observation(v)
		if err != nil {
			return nil, c.Fail("for parameter saw: observation %d: %w", i+1, err)
		}
		k.take(step{answers: []answer{a}, asked: true})
	}
	if err := k.trouble(); err != nil {
		return nil, c.Wrap(err)
	}
	return k, c.Err
}

// concernOf reads the designs that a calibration is for; nil if it is for none.
func concernOf(c *builtins.Call, at engine.Cell) (*concern, error) {
	if !c.Has("for_designs") {
		if c.Has("size") {
			return nil, c.Fail("parameter size is that of the designs: it goes with for_designs")
		}
		return nil, nil
	}
	n := &concern{at: at, does: map[engine.Rules]string{}}
	for _, v := range c.List("for_designs") {
		d := trial.DesignOf(c, "for_designs", v)
		if c.Err != nil {
			return nil, c.Err
		}
		size := trial.SizeOf(c, d, "size", 8)
		numbers, err := d.NumbersOf(c.Thread, size)
		if err != nil {
			return nil, c.Wrap(err)
		}
		if len(numbers) == 0 {
			return nil, c.Fail("the design %s is for no numbers, want some in over", d.Name)
		}
		n.designs = append(n.designs, concerned{d, size, some(numbers)})
	}
	if len(n.designs) == 0 {
		return nil, c.Bad("for_designs", "an empty list", "at least one design")
	}
	return n, c.Err
}

// observation reads a pair of a rig's name and what it showed.
func (c *Calibration) observation(v starlark.Value) (a answer, err error) {
	pair, ok := v.(starlark.Indexable)
	if _, text := v.(starlark.String); text || !ok || pair.Len() != 2 {
		return a, fmt.Errorf("got %s, want a pair of a rig's name and what it showed", builtins.Show(v))
	}
	name, _ := starlark.AsString(pair.Index(0))
	t := c.byName[name]
	if t == nil {
		var names []string
		for _, t := range c.tables {
			names = append(names, t.name)
		}
		return a, fmt.Errorf("there is no rig %s of up to %d parts, want a name as .seen has it%s", builtins.Show(pair.Index(0)), c.most, say.DidYouMean(name, names))
	}
	shown, err := t.read(builtins.Text(pair.Index(1)))
	return answer{t, shown}, err
}

// orders reads the orders that are possible.
func orders(c *builtins.Call) (all []engine.Rules) {
	if !c.Has("order") {
		return allOrders()
	}
	given := c.List("order")
	if c.Err == nil && len(given) == 0 {
		c.Bad("order", "an empty list", builtins.WantOrder)
	}
	if len(given) > mostOrders {
		c.Bad("order", fmt.Sprintf("%d orders", len(given)), fmt.Sprintf("at most %d", mostOrders))
		return nil
	}
	for _, v := range given {
		r := engine.DefaultRules()
		if bad := builtins.OrderInto(&r, v); bad != nil {
			c.Bad("order", builtins.Show(bad), builtins.WantOrder)
			return nil
		}
		if !slices.Contains(all, r) {
			all = append(all, r)
		}
	}
	return all
}

// values reads the values of a rule that are possible, least first.
func values(c *builtins.Call, param string, from, to, most int) (all []int) {
	if !c.Has(param) {
		for n := from; n <= to; n++ {
			all = append(all, n)
		}
		return all
	}
	given := []starlark.Value{c.Value(param)}
	if it, ok := c.Value(param).(starlark.Iterable); ok {
		if n := starlark.Len(c.Value(param)); n > mostValues {
			c.Bad(param, fmt.Sprintf("%d values", n), fmt.Sprintf("at most %d", mostValues))
			return nil
		}
		given = slices.Collect(starlark.Elements(it))
	}
	least := from
	if param == "run" {
		least = 0
	}
	for _, v := range given {
		n, err := starlark.AsInt32(v)
		if err != nil || n < least || n > most {
			c.Bad(param, builtins.Show(v), fmt.Sprintf("numbers from %d to %d", least, most))
			return nil
		}
		all = append(all, n)
	}
	slices.Sort(all)
	if all = slices.Compact(all); len(all) == 0 {
		c.Bad(param, "an empty list", "at least one number")
	}
	return all
}
