package observe

import (
	"fmt"
	"slices"
	"strings"

	"pulsewright/builtins"
	"pulsewright/builtins/say"
	"pulsewright/engine"

	"go.starlark.net/starlark"
)

func watchWords() []builtins.Entry {
	parts := builtins.Param{Name: "parts", Type: "a part, its name or its cell", Optional: true, Variadic: true, Doc: "any number of them; rows and lists, too"}
	const rig = "w = wire((0, 0))\nl = link((1, 0), \"+y\")\n"
	return []builtins.Entry{
		{Name: "watch", Topic: "seeing", Sentence: "Adds parts or cells to the watch list: after run, tick, step, turn and back their state is printed. watch() shows the list now.",
			Params: []builtins.Param{parts}, Returns: "of watch(): a table of the list",
			Example: rig + "watch(w, l)\nfire(w, 2)\nstep()\nexpect_equal([r[1] for r in watch().rows], [\"live 24\", \"home\"])\nunwatch(w)\nexpect_equal(len(watch().rows), 1)",
			See:     []string{"unwatch", "state", "probe"}, Call: watch},
		{Name: "unwatch", Topic: "seeing", Sentence: "Takes parts or cells off the watch list; unwatch() empties it.",
			Params: []builtins.Param{parts}, Example: rig + "watch(w, l)\nunwatch()\nexpect_equal(len(watch().rows), 0)", See: []string{"watch"}, Call: unwatch},
	}
}

// watched is one line of the watch list: a part, or a cell that held none.
type watched struct {
	bench *engine.Bench
	engine.Target
}

func (w watched) there() bool { return w.ID == 0 || (builtins.Part{Bench: w.bench, ID: w.ID}).Valid() }

func (w watched) state() engine.State {
	if w.ID != 0 {
		return w.bench.State(w.ID)
	}
	return w.bench.CellState(w.Cell)
}

// watchedArgs reads what the parameters name.
func watchedArgs(c *builtins.Call) (ws []watched) {
	args := c.Rest
	if len(args) == 0 && c.Has("parts") {
		args = starlark.Tuple{c.Value("parts")}
	}
	for _, v := range args {
		ids, cells := c.TargetsOf("parts", v)
		if c.Err != nil {
			return nil
		}
		for _, id := range ids {
			ws = append(ws, watched{c.Env.Bench, engine.Target{ID: id}})
		}
		for _, cell := range cells {
			ws = append(ws, watched{c.Env.Bench, engine.Target{Cell: cell}})
		}
	}
	return ws
}

// mostWatched keeps the list readable.
const mostWatched = 100

func watch(c *builtins.Call) (starlark.Value, error) {
	ws := watchedArgs(c)
	if c.Err != nil {
		return nil, c.Err
	}
	if len(ws) == 0 && len(c.Rest) == 0 {
		return watchTable(c.Env), nil
	}
	list := listOf(c.Env)
	for _, w := range ws {
		if slices.Contains(list, w) {
			continue
		}
		if list = append(list, w); len(list) > mostWatched {
			return nil, c.Fail("more than %s are too many to watch; probe() keeps more for later", say.Count(mostWatched, "part"))
		}
	}
	c.Env.Watch = list
	return nil, nil
}

func unwatch(c *builtins.Call) (starlark.Value, error) {
	ws := watchedArgs(c)
	if c.Err != nil {
		return nil, c.Err
	}
	list := listOf(c.Env)
	if len(c.Rest) == 0 && len(ws) == 0 {
		list = nil
	}
	for _, w := range ws {
		i := slices.Index(list, w)
		if i < 0 {
			return nil, c.Fail("%s is not on the watch list", w.label())
		}
		list = slices.Delete(list, i, i+1)
	}
	c.Env.Watch = nil
	if len(list) > 0 {
		c.Env.Watch = list
	}
	return nil, nil
}

// watchList is the parts and cells that are watched. Its methods make it the session's.
type watchList []watched

var _ builtins.WatchList = watchList(nil)

// Same reports whether two lists name the same.
func (l watchList) Same(other builtins.WatchList) bool {
	o, ok := other.(watchList)
	return ok && slices.Equal(l, o)
}

// listOf is the watch list without what is no longer on the bench.
func listOf(e *builtins.Env) (list watchList) {
	all, _ := e.Watch.(watchList)
	for _, w := range all {
		if w.bench == e.Bench && w.there() {
			list = append(list, w)
		}
	}
	return list
}

func (w watched) label() string {
	if w.ID == 0 {
		return fmt.Sprintf("cell %v", w.Cell)
	}
	return say.Clean(w.bench.Label(w.ID))
}

// row is what the list shows of a part: its name, its state, what its power says, and what is under way.
func (w watched) row() []string {
	state, power, more := builtins.StandsSo(w.bench.KindOf(w.ID), w.state())
	return []string{w.label(), state, power, more}
}

// watchTable is the watch list as a script reads it.
func watchTable(e *builtins.Env) *builtins.Table {
	t := &builtins.Table{Head: []string{"part", "state", "power", "and"}, Align: []string{"left", "left", "left", "left"}}
	for _, w := range listOf(e) {
		var row []starlark.Value
		for _, f := range w.row() {
			row = append(row, starlark.String(f))
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

// Show prints the watch list.
func (l watchList) Show(e *builtins.Env) {
	var rows [][]string
	var wide [3]int
	for _, w := range listOf(e) {
		r := w.row()
		rows = append(rows, r)
		for j := range wide {
			wide[j] = max(wide[j], say.Columns(r[j]))
		}
	}
	mark := "\u203a " // a quotation mark that points at it
	if e.ASCII {
		mark = "> "
	}
	for _, r := range rows {
		line := e.Paint.Apply(say.Dim, mark)
		for j, f := range r {
			style := say.Plain
			switch {
			case j == 0:
				style = say.Name
			case j == 3 && strings.HasPrefix(f, "armed"):
				style = say.Armed
			}
			if j < len(wide) {
				pad := strings.Repeat(" ", wide[j]-say.Columns(f))
				line += e.Paint.Apply(style, f) + pad + "  "
			} else {
				line += e.Paint.Apply(style, f)
			}
		}
		e.Print(strings.TrimRight(line, " "))
	}
}
