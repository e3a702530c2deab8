package builtins

import (
	"slices"

	"pulsewright/engine"

	"go.starlark.net/starlark"
)

// Most columns a scope shows: in the terminal, and as SVG.
const (
	scopeLimit    = 2000
	scopeLimitSVG = 6000
)

var (
	laneParam    = Param{Name: "targets", Type: "part", Variadic: true, Doc: "probes, parts, names or cells, rows or lists of them: one lane each; none: the parts that went on or off"}
	atTimeParam  = Param{Name: "at", Type: "an instant or a list of them", Default: "None", Optional: true, Keyword: true, Doc: "cursors: each an instant such as p.pulses[0].rise or now(), a pair (tick, step), an event, or a tick"}
	betweenParam = Param{Name: "between", Type: "a pair of instants", Default: "None", Optional: true, Keyword: true, Doc: "two cursors, and how far apart they are"}
	sinceParam   = Param{Name: "since", Type: "an instant", Default: "None", Optional: true, Keyword: true, Doc: "only what came after this instant; a number: from that tick on"}
	untilParam   = Param{Name: "until", Type: "an instant", Default: "None", Optional: true, Keyword: true, Doc: "only what came up to this instant, or to the end of that tick"}
)

func scopeWords() []Entry {
	return []Entry{{Name: "scope", Topic: "seeing", Sentence: "Draws a timing diagram: one lane for each probe or part, the axis in steps inside a tick; quiet ticks are folded, widths stand on the pulses.",
		Params: []Param{laneParam, atTimeParam, betweenParam, sinceParam, untilParam,
			{Name: "width", Type: "number", Unit: "columns", Default: "None", Optional: true, Keyword: true, Doc: "how wide; None: as wide as the terminal"}},
		Example: "w = wire((0, 0), (5, 0))\nl = link((6, 0), \"+y\", name=\"far\")\np = probe(w.last, name=\"line\")\nfire(w.first, 4)\nrun()\nscope(p, l, between=(p.pulses[0].rise, p.pulses[0].fall))",
		See:     []string{"probe", "map", "export", "events"}, call: showScope}}
}

func showScope(c *Call) (starlark.Value, error) {
	width := c.Env.width()
	if c.Has("width") {
		width = c.Small("width", 0, 20)
	}
	g := scopeOf(c, "targets", c.rest, "at", "between", "since", "until", max(width, 20), scopeLimit)
	if c.Err != nil {
		return nil, c.Err
	}
	if len(g.rows) == 0 {
		c.Env.print("nothing has gone on or off yet: name the parts to show, as in scope(part)")
		return nil, nil
	}
	c.Env.print(scopeAsText(c.Env, g, width))
	return nil, nil
}

// scope reads the parameters of a timing diagram, given by their names, and lays it out. Room is how many columns
// stand side by side.
func scopeOf(c *Call, what string, targets starlark.Tuple, at, between, since, until string, room, limit int) *grid {
	b := c.Env.Bench
	var lanes []*lane
	for _, v := range targets {
		lanes = lanesOf(c, what, lanes, v)
	}
	var cursors []cursor
	if c.Has(between) && c.Err == nil {
		pair, ok := c.Value(between).(starlark.Indexable)
		if !ok || pair.Len() != 2 {
			c.Bad(between, show(c.Value(between)), "")
			return nil
		}
		cursors = append(cursors, cursorAt(c, between, pair.Index(0)), cursorAt(c, between, pair.Index(1)))
	}
	for _, v := range c.list(at) {
		cursors = append(cursors, cursorAt(c, at, v))
	}
	if len(cursors) > 26 {
		c.Bad(at, count(len(cursors), "instant"), "at most 26")
	}
	first, last := engine.EventID(1), engine.EventID(b.EventCount())
	if c.Has(since) && c.Err == nil {
		first = c.boundary(since, true)
	}
	if c.Has(until) && c.Err == nil {
		last = min(last, c.boundary(until, false)-1)
	}
	if c.Err != nil {
		return nil
	}
	if len(targets) > 0 && len(lanes) == 0 {
		c.Bad(what, "an empty list", "at least one part")
		return nil
	}
	lanes, moments, more, err := collect(c.Env, lanes, first, last)
	if err != nil {
		c.Wrap(err)
		return nil
	}
	for _, cur := range cursors {
		m := moment{cur.at.Tick, int32(cur.at.Step)}
		i, found := slices.BinarySearchFunc(moments, m, moment.compare)
		if !found {
			moments = slices.Insert(moments, i, m)
		}
	}
	if len(moments) == 0 {
		now := b.Now()
		moments = []moment{{now.Tick, int32(now.Step)}}
	}
	cols, cut := timeAxis(moments, room, limit)
	g := layOut(lanes, cols, cut, cursors)
	g.more = more
	return g
}

// lanes adds the lanes of one thing to show, an argument of parameter what.
func lanesOf(c *Call, what string, lanes []*lane, v starlark.Value) []*lane {
	if c.Err != nil {
		return lanes
	}
	b := c.Env.Bench
	switch v := v.(type) {
	case *Probe:
		l := laneFor(b, c.targetOf(what, v))
		l.name, l.from = v.Name(), v.from
		return append(lanes, l)
	case *Row:
		for i := range v.Len() {
			lanes = lanesOf(c, what, lanes, v.Index(i))
		}
		return lanes
	case *starlark.List:
		if _, isCell := asCell(v); isCell {
			break
		}
		for i := range v.Len() {
			lanes = lanesOf(c, what, lanes, v.Index(i))
		}
		return lanes
	}
	return append(lanes, laneFor(b, c.targetOf(what, v)))
}

const wantInstant = "an instant such as now(), a pair (tick, step), an event or a tick"

// cursorAt reads a cursor. A pair or a tick stands for its end.
func cursorAt(c *Call, param string, v starlark.Value) cursor {
	if c.Err != nil {
		return cursor{}
	}
	switch v := v.(type) {
	case Instant:
		return cursor{at: v.Instant}
	case *Event:
		return cursor{at: v.At()}
	case starlark.Int:
		if n, ok := v.Int64(); ok && n >= 0 && n <= biggest {
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
			ok = ok && isInt && n[k] >= 0 && n[k] <= biggest
		}
		if ok && n[1] < 1<<31-1 {
			return cursor{at: engine.Instant{Tick: n[0], Step: int(n[1]), Turn: wholeStep}}
		}
	}
	c.Bad(param, show(v), wantInstant)
	return cursor{}
}
