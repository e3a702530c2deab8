package invent

import (
	"fmt"
	"strings"

	"pulsewright/builtins"
	"pulsewright/builtins/hold"
	"pulsewright/builtins/picture"
	"pulsewright/builtins/say"
	"pulsewright/engine"

	"go.starlark.net/starlark"
)

func searchWords() []builtins.Entry {
	return []builtins.Entry{{Name: "search", Topic: "invention", Sentence: "Is there anything smaller at all? Goes through every arrangement of some kinds of part in a box, fewest parts first, and gives those that do a task, or shows that there is none.",
		Params: []builtins.Param{
			{Name: "task", Type: "a task", Doc: "what to do, as task() gives it. It must be done however the box is laid on itself with its ports and fixed parts: no machine counts that works in one neighbour order and not in its mirror image"},
			{Name: "box", Type: "a pair of cells", Doc: "its corners; at most 64 cells. The cell into which pulses are fired may lie outside it, or hold a fixed part"},
			{Name: "kinds", Type: "a list of kinds", Doc: "what may stand in a cell: \"link\", or dict(kind=\"gate\", op=\"not\", on=True); it may face all six ways unless a facing is given"},
			{Name: "fixed", Type: "function", Default: "None", Optional: true, Keyword: true, Doc: "fixed(frame): places parts that are there in any case"},
			{Name: "forbidden", Type: "a list of cells", Default: "[]", Optional: true, Keyword: true, Doc: "cells of the box that must stay empty"},
			{Name: "most", Type: "number", Default: "None", Optional: true, Keyword: true, Doc: "how many parts beside the fixed ones at most; None: as many as the box has cells"}},
		Returns: "a report with .found (how many arrangements of the least number of parts do it, of turned and mirrored ones one), .parts (that number, None if there are none), .machines (the first 100 of them, each a list of texts), .arrangements (how many there are with up to so many parts), .run (how many were run) and .ruled_out (how many were not, a dict by reason), .sketch and .script (of the first machine; \"\" if there is none)",
		Example: "delay = task((0, 0), (1, 0), [2, 3, 7], later=1)\nr = search(delay, ((1, 0), (1, 0)), [dict(kind=\"gate\", op=\"buf\"), \"wire\"])\nexpect_equal((r.found, r.parts), (1, 1))\nprint(r)",
		See:     []string{"task", "shrink"}, Call: search}}
}

// mostCells is how many cells a box may have.
const mostCells = 64

func search(c *builtins.Call) (starlark.Value, error) {
	t, ok := c.Value("task").(*task)
	if !ok {
		return nil, c.Bad("task", builtins.Show(c.Value("task")), "a task, as task() gives it")
	}
	if c.Env.Rules().Mixed {
		return nil, c.Fail("neighbour orders are mixed, so that every cell has one of its own; want rules with one order")
	}
	b := &boxed{task: t, rules: c.Env.Rules()}
	b.lo, b.hi = boxArg(c, "box")
	b.options = optionsArg(c, "kinds")
	forbidden := cellsArg(c, "forbidden")
	if c.Err == nil && len(b.options) == 0 {
		c.Bad("kinds", "no kinds", "at least one")
	}
	if c.Err == nil && len(b.options) > 250 {
		c.Bad("kinds", fmt.Sprintf("%d ways to fill a cell", len(b.options)), "at most 250: fewer kinds, or facings given")
	}
	if c.Has("fixed") && c.Err == nil {
		b.fixed = fixedArg(c, "fixed")
	}
	if c.Err != nil {
		return nil, c.Err
	}
	forbidden = append(forbidden, t.into) // what is fired into is forced, whatever lies there
	b.prepare(forbidden)
	most := c.Small("most", int64(len(b.cells)), 0)
	if c.Err != nil {
		return nil, c.Err
	}
	most = min(most, len(b.cells))
	var sum tally
	var last *hunt
	for k := 0; k <= most; k++ {
		h, err := b.hunt(c.Env.Context(), k, c.Env.Workers, func(done, of int64) { c.Env.Tell(fmt.Sprintf("search: %s", say.Count(k, "part")), done, of) })
		if err != nil {
			return nil, c.Wrap(&engine.Stopped{At: c.Env.Bench.Now(), Err: c.Env.Context().Err()})
		}
		last = h
		if sum.add(h.tally); len(h.found) > 0 {
			break
		}
	}
	v, err := b.report(c, last, sum)
	return v, c.Wrap(err)
}

// boxArg reads a pair of corners.
func boxArg(c *builtins.Call, param string) (lo, hi engine.Cell) {
	if c.Err != nil {
		return
	}
	pair, ok := c.Value(param).(starlark.Indexable)
	if !ok || pair.Len() != 2 {
		c.Bad(param, builtins.Show(c.Value(param)), "a pair of cells such as ((0, 0), (2, 1))")
		return
	}
	p, q := c.CellIn(param, pair.Index(0)), c.CellIn(param, pair.Index(1))
	lo = engine.Cell{X: min(p.X, q.X), Y: min(p.Y, q.Y), Z: min(p.Z, q.Z)}
	hi = engine.Cell{X: max(p.X, q.X), Y: max(p.Y, q.Y), Z: max(p.Z, q.Z)}
	if n := int64(hi.X-lo.X+1) * int64(hi.Y-lo.Y+1) * int64(hi.Z-lo.Z+1); n > mostCells && c.Err == nil {
		c.Bad(param, fmt.Sprintf("a box of %d cells", n), fmt.Sprintf("at most %d", mostCells))
	}
	return lo, hi
}

func cellsArg(c *builtins.Call, param string) (cells []engine.Cell) {
	if c.Err != nil || !c.Has(param) {
		return nil
	}
	it, ok := c.Value(param).(starlark.Iterable)
	if !ok {
		c.Bad(param, builtins.Show(c.Value(param)), "")
		return nil
	}
	for v := range starlark.Elements(it) {
		cells = append(cells, c.CellIn(param, v))
	}
	return cells
}

// fixedArg has a function place what is fixed, on a bench of its own.
func fixedArg(c *builtins.Call, param string) []piece {
	fn, ok := c.Value(param).(starlark.Callable)
	if !ok {
		c.Bad(param, builtins.Show(c.Value(param)), "")
		return nil
	}
	e := *c.Env
	e.Bench = engine.New(c.Env.Rules())
	thread := &starlark.Thread{Name: "fixed", Load: c.Thread.Load}
	e.Attach(thread)
	if _, err := starlark.Call(thread, fn, starlark.Tuple{builtins.World}, nil); err != nil {
		c.Wrap(err)
		return nil
	}
	l, err := takeApart(e.Bench, builtins.World, 0)
	switch {
	case err != nil:
		c.Wrap(err)
	case len(l.cords) > 0:
		c.Fail("for parameter %s: got parts that are joined by cords, want parts in cells alone", param)
	}
	if c.Err != nil {
		return nil
	}
	for i := range l.pieces {
		p := &l.pieces[i]
		if p.shelf > 0 || p.On && (p.Kind == engine.Oneshot || p.Kind == engine.Echo) || p.Hold > 0 && p.On || p.Keep > 0 {
			c.Fail("for parameter %s: got %s, want parts in cells, posed so that nothing waits for a timer", param, p.called())
			return nil
		}
	}
	return l.pieces
}

// place places an arrangement on a bench.
func (b *boxed) place(bench *engine.Bench, a arrangement) error {
	for i := range b.fixed {
		if _, err := bench.Place(b.fixed[i].cell, b.fixed[i].Part); err != nil {
			return err
		}
	}
	for c, v := range a {
		if v > 0 {
			if _, err := bench.Place(b.cells[c], b.options[v-1]); err != nil {
				return err
			}
		}
	}
	return nil
}

// mostMachines is how many machines a report names.
const mostMachines = 100

func (b *boxed) report(c *builtins.Call, h *hunt, sum tally) (starlark.Value, error) {
	all := b.arrangements(h.parts)
	count := func(n int64) starlark.Value { return starlark.MakeInt64(n) }
	ruled := starlark.NewDict(4)
	for _, kv := range []struct {
		why string
		n   int64
	}{{"turned or mirrored", sum.turned}, {"alike", sum.like}, {"falls apart", sum.apart}, {"cannot stand", sum.unbuilt}} {
		ruled.SetKey(starlark.String(kv.why), count(kv.n))
	}
	var machines []starlark.Value
	for i, a := range h.found {
		if i == mostMachines {
			break
		}
		var texts []starlark.Value
		for _, s := range b.describe(a) {
			texts = append(texts, starlark.String(s))
		}
		machines = append(machines, starlark.NewList(texts))
	}
	sketch, script := "", ""
	least := starlark.Value(starlark.None)
	if len(h.found) > 0 {
		least = starlark.MakeInt(h.parts)
		env := *c.Env
		env.Bench, env.Width, env.Paint = engine.New(b.rules), 100, say.Paint{}
		if err := b.place(env.Bench, h.found[0]); err != nil {
			return nil, err
		}
		var err error
		if sketch, err = picture.MapText(&env); err != nil {
			return nil, err
		}
		script = b.script(sketch)
	}
	d := starlark.StringDict{"found": starlark.MakeInt(len(h.found)), "parts": least, "machines": starlark.NewList(machines), "arrangements": starlark.MakeBigInt(all), "run": count(sum.run), "ruled_out": ruled,
		"sketch": starlark.String(sketch), "script": starlark.String(script)}
	hold.FreezeAll(d)
	return &builtins.Report{Name: "search", Text: b.text(h, sum, all.String(), sketch), Fields: d}, nil
}

func (b *boxed) text(h *hunt, sum tally, all, sketch string) string {
	var t strings.Builder
	fill := func(text string) { t.WriteString(say.Fill(text, "", "", 80) + "\n") }
	fill(b.task.String())
	where := fmt.Sprintf("in the %s between %v and %v that may be filled, in %s each", say.Count(len(b.cells), "cell"), b.lo, b.hi, say.Count(len(b.options), "way"))
	beside := ""
	if len(b.fixed) > 0 {
		beside = " beside the " + say.Count(len(b.fixed), "fixed part")
	}
	if len(h.found) == 0 {
		fill(fmt.Sprintf("none: no arrangement of up to %s%s does it, %s", say.Count(h.parts, "part"), beside, where))
	} else {
		fill(fmt.Sprintf("found: %s of %s%s; none of fewer parts does it, %s", say.Count(len(h.found), "arrangement"), say.Count(h.parts, "part"), beside, where))
	}
	fill(fmt.Sprintf("all %s arrangements of up to %s were gone through: %d run; %d not, being others turned or mirrored, %d being like others as far as anything can tell, %d falling apart into pieces of which one cannot matter, %d that cannot stand", all, say.Count(h.parts, "part"), sum.run, sum.turned, sum.like, sum.apart, sum.unbuilt))
	if n := len(b.ways); n > 1 {
		fill(fmt.Sprintf("a machine counts if it does it in each of the %d ways to lay the box on itself", n))
	}
	t.WriteString(sketch)
	return strings.TrimSuffix(t.String(), "\n")
}

// script tells the first machine: its build, and how to send to it and read it if a pulse comes out.
func (b *boxed) script(sketch string) string {
	fall := ""
	if b.late {
		fall = ", fall=\"late\""
	}
	cell := func(c engine.Cell) string { return fmt.Sprintf("(%d, %d, %d)", c.X, c.Y, c.Z) }
	build := fmt.Sprintf("def build(f):\n    f.sketch(r\"\"\"\n%s\n\"\"\")\n", sketch)
	send := fmt.Sprintf("def send(rig, n):\n    fire(rig.input, n%s)\n\n", fall)
	if b.task.tells {
		return build + fmt.Sprintf("    return struct(input=f.cell(%s))\n\n", cell(b.into)) + send + fmt.Sprintf("# What it tells apart.\nNUMBERS = %s\n", strings.ReplaceAll(fmt.Sprint(b.numbers), " ", ", "))
	}
	var numbers, over []string
	known := map[int]bool{}
	for k, n := range b.numbers {
		if w := b.wants[k]; !known[w] && (w >= 0 || !b.inverted) {
			known[w] = true
			key := "None"
			if w >= 0 {
				key = fmt.Sprint(w)
			}
			numbers, over = append(numbers, fmt.Sprintf("%s: %d", key, n)), append(over, fmt.Sprint(n))
		}
	}
	read := "    return NUMBERS.get(rig.out.width)\n"
	if b.inverted { // a probe knows the widths of what is on
		read = "    e = rig.out.edges\n    return NUMBERS.get(e[-1].step - e[-2].step) if len(e) > 1 and e[-1].tick == e[-2].tick else None\n"
	}
	return build + fmt.Sprintf("    return struct(input=f.cell(%s), out=probe(f.part(%s)))\n\n", cell(b.into), cell(b.task.out)) + send +
		fmt.Sprintf("# Which number a width stands for.\nNUMBERS = {%s}\n\ndef read(rig):\n%s\nfound = design(\"found\", build, send, read, [%s])\n", strings.Join(numbers, ", "), read, strings.Join(over, ", "))
}
