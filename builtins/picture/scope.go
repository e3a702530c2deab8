package picture

import (
	"slices"

	"pulsewright/builtins"
	"pulsewright/builtins/observe"
	"pulsewright/builtins/say"
	"pulsewright/engine"

	"go.starlark.net/starlark"
)

// Most columns a scope shows: in the terminal, and as SVG.
const (
	ScopeLimit    = 2000
	ScopeLimitSVG = 6000
)

var (
	laneParam    = builtins.Param{Name: "targets", Type: "part", Variadic: true, Doc: "probes, parts, names or cells, rows or lists of them: one lane each; none: the parts that went on or off"}
	AtTimeParam  = builtins.Param{Name: "at", Type: "an instant or a list of them", Default: "None", Optional: true, Keyword: true, Doc: "cursors: each an instant such as p.pulses[0].rise or now(), a pair (tick, step), an event, or a tick"}
	BetweenParam = builtins.Param{Name: "between", Type: "a pair of instants", Default: "None", Optional: true, Keyword: true, Doc: "two cursors, and how far apart they are"}
	SinceParam   = builtins.Param{Name: "since", Type: "an instant", Default: "None", Optional: true, Keyword: true, Doc: "only what came after this instant; a number: from that tick on"}
	UntilParam   = builtins.Param{Name: "until", Type: "an instant", Default: "None", Optional: true, Keyword: true, Doc: "only what came up to this instant, or to the end of that tick"}
)

func scopeWords() []builtins.Entry {
	return []builtins.Entry{{Name: "scope", Topic: "seeing", Sentence: "Draws a timing diagram: one lane for each probe or part, the axis in steps inside a tick; quiet ticks are folded, widths stand on the pulses.",
		Params: []builtins.Param{laneParam, AtTimeParam, BetweenParam, SinceParam, UntilParam,
			{Name: "width", Type: "number", Unit: "columns", Default: "None", Optional: true, Keyword: true, Doc: "how wide; None: as wide as the terminal"}},
		Returns: "the diagram: the shell shows it, print writes it; .text is its text",
		Example: "w = wire((0, 0), (5, 0))\nl = link((6, 0), \"+y\", name=\"far\")\np = probe(w.last, name=\"line\")\nfire(w.first, 4)\nrun()\nprint(scope(p, l, between=(p.pulses[0].rise, p.pulses[0].fall)))",
		See:     []string{"probe", "map", "export", "events"}, Call: showScope}}
}

func showScope(c *builtins.Call) (starlark.Value, error) {
	width := c.Env.Columns()
	if c.Has("width") {
		width = c.Small("width", 0, 20)
	}
	g := ScopeOf(c, "targets", c.Rest, "at", "between", "since", "until", max(width, 20), ScopeLimit)
	if c.Err != nil {
		return nil, c.Err
	}
	d := diagramOf(c.Env, g, width)
	if c.Wrap(c.Env.Stopped()); c.Err != nil { // it may lack rows
		return nil, c.Err
	}
	return d, nil
}

// scope reads the parameters of a timing diagram, given by their names, and lays it out. Room is how many columns
// stand side by side.
func ScopeOf(c *builtins.Call, what string, targets starlark.Tuple, at, between, since, until string, room, limit int) *grid {
	b := c.Env.Bench
	var lanes []*Lane
	for _, v := range targets {
		lanes = lanesOf(c, what, lanes, v)
	}
	var cursors []cursor
	if c.Has(between) && c.Err == nil {
		pair, ok := c.Value(between).(starlark.Indexable)
		if !ok || pair.Len() != 2 {
			c.Bad(between, builtins.Show(c.Value(between)), "")
			return nil
		}
		cursors = append(cursors, cursorAt(c, between, pair.Index(0)), cursorAt(c, between, pair.Index(1)))
	}
	for _, v := range c.List(at) {
		cursors = append(cursors, cursorAt(c, at, v))
	}
	if len(cursors) > 26 {
		c.Bad(at, say.Count(len(cursors), "instant"), "at most 26")
	}
	first, last := engine.EventID(1), engine.EventID(b.EventCount())
	if c.Has(since) && c.Err == nil {
		first = c.Boundary(since, true)
	}
	if c.Has(until) && c.Err == nil {
		last = min(last, c.Boundary(until, false)-1)
	}
	if c.Err != nil {
		return nil
	}
	if len(targets) > 0 && len(lanes) == 0 {
		c.Bad(what, "an empty list", "at least one part")
		return nil
	}
	lanes, moments, more, err := Collect(c.Env, lanes, first, last)
	if err != nil {
		c.Wrap(err)
		return nil
	}
	if filled := slices.DeleteFunc(slices.Clone(lanes), func(l *Lane) bool { return !l.filled }); len(filled) > 0 {
		moments = append(moments, within(momentsOf(filled), c.Value(since), c.Value(until))...)
		slices.SortFunc(moments, Moment.compare)
		moments = slices.Compact(moments)
	}
	for _, cur := range cursors {
		m := Moment{cur.at.Tick, int32(cur.at.Step)}
		i, found := slices.BinarySearchFunc(moments, m, Moment.compare)
		if !found {
			moments = slices.Insert(moments, i, m)
		}
	}
	if len(moments) == 0 {
		now := b.Now()
		moments = []Moment{{now.Tick, int32(now.Step)}}
	}
	cols, cut := TimeAxis(moments, room, limit)
	g := LayOut(c.Env, lanes, cols, cut, cursors)
	g.More = more
	if c.Wrap(c.Env.Stopped()); c.Err != nil { // it may lack lanes
		return nil
	}
	return g
}

// lanes adds the lanes of one thing to show, an argument of parameter what.
func lanesOf(c *builtins.Call, what string, lanes []*Lane, v starlark.Value) []*Lane {
	if c.Err != nil {
		return lanes
	}
	b := c.Env.Bench
	switch v := v.(type) {
	case *observe.Probe:
		l := LaneFor(b, c.TargetOf(what, v))
		l.Name, l.from = v.Name(), v.From
		return append(lanes, l)
	case Lanes:
		return append(lanes, v.Lanes()...)
	case *builtins.Row:
		for i := range v.Len() {
			if c.Wrap(c.Env.StoppedAt(i)); c.Err != nil {
				break
			}
			lanes = lanesOf(c, what, lanes, v.Index(i))
		}
		return lanes
	case *starlark.List:
		if _, isCell := builtins.AsCell(v); isCell {
			break
		}
		for i := range v.Len() {
			if c.Wrap(c.Env.StoppedAt(i)); c.Err != nil {
				break
			}
			lanes = lanesOf(c, what, lanes, v.Index(i))
		}
		return lanes
	}
	return append(lanes, LaneFor(b, c.TargetOf(what, v)))
}

const wantInstant = "an instant such as now(), a pair (tick, step), an event or a tick"

// cursorAt reads a cursor. A pair or a tick stands for its end.
func cursorAt(c *builtins.Call, param string, v starlark.Value) cursor {
	if c.Err != nil {
		return cursor{}
	}
	switch v := v.(type) {
	case builtins.Instant:
		return cursor{at: v.Instant}
	case *builtins.Event:
		return cursor{at: v.At()}
	case starlark.Int:
		if n, ok := v.Int64(); ok && n >= 0 && n <= builtins.Biggest {
			return cursor{at: engine.Instant{Tick: n, Turn: wholeStep}}
		}
	case starlark.Tuple:
		if len(v) != 2 {
			break
		}
		var n [2]int64
		ok := true
		for k := range n {
			num, isInt := v[k].(starlark.Int)
			if isInt {
				n[k], isInt = num.Int64()
			}
			ok = ok && isInt && n[k] >= 0 && n[k] <= builtins.Biggest
		}
		if ok && n[1] < 1<<31-1 {
			return cursor{at: engine.Instant{Tick: n[0], Step: int(n[1]), Turn: wholeStep}}
		}
	}
	c.Bad(param, builtins.Show(v), wantInstant)
	return cursor{}
}
