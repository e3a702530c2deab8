package invent

import (
	"fmt"
	"math/big"
	"slices"
	"strings"

	"pulsewright/builtins"
	"pulsewright/builtins/hold"
	"pulsewright/builtins/picture"
	"pulsewright/builtins/say"
	"pulsewright/builtins/trial"
	"pulsewright/engine"

	"go.starlark.net/starlark"
	"go.starlark.net/starlarkstruct"
)

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

// report says what came of a search. With c the machines of the front are designs.
func (s *searching) report(env *builtins.Env, c *builtins.Call) (*builtins.Report, error) {
	all := new(big.Int)
	for _, b := range s.boxes {
		all.Add(all, b.arrangements(s.last))
	}
	if s.Tries > 0 {
		all.SetInt64(s.sum.Run)
	}
	ruled := starlark.NewDict(4)
	for _, kv := range []struct {
		why string
		n   int64
	}{{"turned or mirrored", s.sum.Turned}, {"alike", s.sum.Like}, {"falls apart", s.sum.Apart}, {"cannot stand", s.sum.Unbuilt}} {
		ruled.SetKey(starlark.String(kv.why), starlark.MakeInt64(kv.n))
	}
	front := slices.Clone(s.sum.Front)
	slices.SortStableFunc(front, func(a, b machine) int { return a.Is.compare(b.Is, fronted) })
	first := s.sum.Machines[:min(1, len(s.sum.Machines))]
	if s.Tries > 0 || s.All {
		first = front[:min(1, len(front))]
	}
	var machines []starlark.Value
	for _, m := range s.sum.Machines {
		if s.Tries > 0 {
			break // one after the other on the way to less
		}
		machines = append(machines, textList(s.boxes[m.Box].describe(m.In)))
	}
	items, err := s.items(env, c, front)
	if err != nil {
		return nil, err
	}
	sketch, script := "", ""
	least, best := starlark.Value(starlark.None), starlark.Value(starlark.None)
	if len(first) > 0 {
		least = starlark.MakeInt(first[0].In.parts())
		b := s.boxes[first[0].Box]
		if sketch, err = b.drawn(env, first[0].In); err != nil {
			return nil, err
		}
		script = b.script(env, sketch, first[0].In)
	}
	if len(items) > 0 {
		best = items[0]
	}
	d := starlark.StringDict{"found": starlark.MakeInt64(s.sum.Found), "parts": least, "machines": starlark.NewList(machines), "front": starlark.NewList(items), "best": best, "arrangements": starlark.MakeBigInt(all),
		"run": starlark.MakeInt64(s.sum.Run), "given_up": starlark.MakeInt64(s.sum.GivenUp), "ruled_out": ruled, "whole": starlark.Bool(s.Tries == 0 && !s.stopped && s.sum.GivenUp == 0), "sketch": starlark.String(sketch), "script": starlark.String(script)}
	hold.FreezeAll(d)
	return &builtins.Report{Name: "search", Text: s.text(first, front, all.String(), sketch), Fields: d}, nil
}

func textList(texts []string) *starlark.List {
	var all []starlark.Value
	for _, s := range texts {
		all = append(all, starlark.String(s))
	}
	return starlark.NewList(all)
}

// items are the machines of a front for a script.
func (s *searching) items(env *builtins.Env, c *builtins.Call, front []machine) (all []starlark.Value, err error) {
	for i, m := range front {
		b := s.boxes[m.Box]
		sketch, err := b.drawn(env, m.In)
		if err != nil {
			return nil, err
		}
		d := starlark.StringDict{"name": starlark.String(fmt.Sprintf("found %d", i+1)), "machine": textList(b.describe(m.In)), "measures": m.Is.of(fronted), "sketch": starlark.String(sketch)}
		script := b.script(env, sketch, m.In)
		d["script"] = starlark.String(script)
		if c != nil && script != "" && !b.task.tells {
			found, err := readDesign(c, "found", script)
			if err != nil {
				return nil, err
			}
			d["build"], d["send"], d["read"], d["over"] = found.Build, found.Send, found.Read, found.Over
		}
		all = append(all, starlarkstruct.FromStringDict(starlark.String("machine"), d))
	}
	return all, nil
}

// drawn is the map of a machine.
func (b *boxed) drawn(env *builtins.Env, a arrangement) (string, error) {
	e := *env
	e.Bench, e.Width, e.Paint = engine.New(b.rules), 100, say.Paint{}
	if err := b.place(e.Bench, a); err != nil {
		return "", err
	}
	return picture.MapText(&e)
}

// text is the report in words.
func (s *searching) text(first, front []machine, all, sketch string) string {
	var t strings.Builder
	fill := func(text string) { t.WriteString(say.Fill(text, "", "", 80) + "\n") }
	fill((&task{intos: s.Task.Into, outs: s.Task.Out, tells: len(s.Task.Out) == 0, numbers: s.Task.Numbers}).String())
	b := s.boxes[0]
	where := fmt.Sprintf("in the %s between %v and %v that may be filled, in %s each", say.Count(len(b.cells), "cell"), s.Lo, s.Hi, say.Count(len(s.Options), "way"))
	if len(s.boxes) > 1 {
		where = fmt.Sprintf("between %v and %v, where a cell may be filled in %s, with %d choices of ports, each by itself", s.Lo, s.Hi, say.Count(len(s.Options), "way"), len(s.boxes))
	}
	beside := ""
	if len(s.Fixed) > 0 {
		beside = " beside the " + say.Count(len(s.Fixed), "fixed part")
	}
	gone := s.last // parts up to which all was gone through
	if s.stopped {
		gone--
		fill(s.cutOff())
	}
	open := s.sum.GivenUp > 0 && s.Tries == 0
	none := fmt.Sprintf("none: no arrangement of up to %s%s does it", say.Count(gone, "part"), beside)
	if open {
		none = fmt.Sprintf("nothing found among the arrangements of up to %s%s", say.Count(gone, "part"), beside)
	}
	switch {
	case s.Tries > 0 && len(first) == 0:
		fill(fmt.Sprintf("nothing found in %s, %s; that is no word on whether there is anything", s.tried(), where))
	case s.Tries > 0:
		fill(fmt.Sprintf("best found in %s: %s%s, %s; that is no word on whether there is anything smaller", s.tried(), say.Count(first[0].In.parts(), "part"), beside, where))
	case len(first) == 0 && gone < 0:
		fill("nothing found so far, " + where)
	case len(first) == 0:
		fill(fmt.Sprintf("%s, %s", none, where))
	default:
		least := first[0].In.parts()
		fewer := "; none of fewer parts does it"
		if least > gone+1 || open && s.sum.open < least {
			fewer = ""
		}
		of := " of " + say.Count(least, "part")
		if s.All {
			of = fmt.Sprintf(" of up to %s, the least of %d", say.Count(s.last, "part"), least)
		}
		fill(fmt.Sprintf("found: %s%s%s%s, %s", say.Count(int(s.sum.Found), "arrangement"), of, beside, fewer, where))
	}
	if s.Tries == 0 {
		went := fmt.Sprintf("all %s arrangements of up to %s were gone through", all, say.Count(s.last, "part"))
		if all == "1" {
			went = fmt.Sprintf("the one arrangement of up to %s was gone through", say.Count(s.last, "part"))
		}
		if s.stopped {
			went = fmt.Sprintf("%d of %s arrangements of up to %s were gone through", s.sum.all(), all, say.Count(s.last, "part"))
		}
		fill(fmt.Sprintf("%s: %d run; %d not, being others turned or mirrored, %d being like others as far as anything can tell, %d falling apart into pieces of which one cannot matter, %d that cannot stand", went, s.sum.Run, s.sum.Turned, s.sum.Like, s.sum.Apart, s.sum.Unbuilt))
	}
	if open {
		fill(fmt.Sprintf("%s of %s and more given up after %s, so that it is open whether they do it", say.Count(int(s.sum.GivenUp), "arrangement"), say.Count(s.sum.open, "part"), s.patience()))
	}
	if n := len(b.ways); n > 1 && len(s.boxes) == 1 {
		fill(fmt.Sprintf("a machine counts if it does it in each of the %d ways to lay the box on itself", n))
	}
	if s.All || s.Tries > 0 && len(front) > 1 {
		t.WriteString(s.frontText(front))
	}
	if sent, same := b.sent(); len(same) > 0 && len(first) > 0 && !b.task.tells {
		fill(fmt.Sprintf("as a design it is sent %s alone: by the width that comes out, %s cannot be told from these", say.Ranges(sent), say.Ranges(same)))
	}
	t.WriteString(sketch)
	return strings.TrimSuffix(t.String(), "\n")
}

// cutOff says where a search was stopped.
func (s *searching) cutOff() string {
	if s.Tries > 0 {
		return fmt.Sprintf("stopped: %d of %d tries were done", s.triesDone(), s.Tries)
	}
	text := fmt.Sprintf("stopped at %s: %d of %s of work on them were done", say.Count(s.last, "part"), s.done, say.Count(s.of, "unit"))
	if s.last > 0 {
		text += fmt.Sprintf("; all of up to %s", say.Count(s.last-1, "part"))
	}
	return text
}

// patience says after how many turns a machine is given up.
func (s *searching) patience() string {
	few, many := s.boxes[0].turns, 0
	for _, b := range s.boxes {
		few, many = min(few, b.turns), max(many, b.turns)
	}
	if few < many {
		return fmt.Sprintf("%d to %d turns", few, many)
	}
	return fmt.Sprintf("%d turns", few)
}

// triesDone is how many tries were done whole.
func (s *searching) triesDone() int { return (s.last-builtins.BoolInt(s.of > 0))*generation + s.done }

func (s *searching) tried() string {
	n := s.Tries
	if s.stopped {
		n = s.triesDone()
	}
	cut := ""
	if s.begun > 0 {
		cut = fmt.Sprintf(", and %d more that did not come to an end", s.begun)
	}
	return fmt.Sprintf("%s of up to %d candidates each%s, seed %d, %d run", say.Count(n, "try"), lots, cut, s.Seed, s.sum.Run)
}

// frontText is the front as a table.
func (s *searching) frontText(front []machine) string {
	if len(front) == 0 {
		return ""
	}
	var head []string
	for _, k := range fronted {
		head = append(head, measureNames[k])
	}
	t := &builtins.Table{Head: append([]string{"front"}, head...)}
	for i, m := range front {
		row := []starlark.Value{starlark.MakeInt(i + 1)}
		for _, k := range fronted {
			row = append(row, m.Is.show(k))
		}
		t.Rows = append(t.Rows, row)
	}
	return "nothing else that was found is as good as one of these in everything:\n" + t.String() + "\n"
}

// script tells the first machine: its build, and how to send to it and read it if a pulse comes out.
func (b *boxed) script(env *builtins.Env, sketch string, a arrangement) string {
	own, kinds, tellable := b.ownKinds(env, a)
	if !tellable {
		return ""
	}
	fall := ""
	if b.late {
		fall = ", fall=\"late\""
	}
	cell := func(c engine.Cell) string { return fmt.Sprintf("(%d, %d, %d)", c.X, c.Y, c.Z) }
	build := own + fmt.Sprintf("def build(f):\n    f.sketch(r\"\"\"\n%s\n\"\"\"%s)\n", sketch, kinds)
	send := fmt.Sprintf("def send(rig, n):\n    fire(rig.input, n%s)\n\n", fall)
	if b.task.tells {
		return build + fmt.Sprintf("    return struct(input=f.cell(%s))\n\n", cell(b.into)) + send + fmt.Sprintf("# What it tells apart.\nNUMBERS = %s\n", strings.ReplaceAll(fmt.Sprint(b.numbers), " ", ", "))
	}
	var numbers, over []string
	sent, same := b.sent()
	for k, n := range b.numbers {
		if !slices.Contains(sent, n) {
			continue
		}
		key := "None"
		if w := b.wants[k]; w >= 0 {
			key = fmt.Sprint(w)
		}
		numbers, over = append(numbers, fmt.Sprintf("%s: %d", key, n)), append(over, fmt.Sprint(n))
	}
	alone := ""
	if len(same) > 0 {
		alone = fmt.Sprintf("; %s cannot be told from these", say.Ranges(same))
	}
	read := "    return NUMBERS.get(rig.out.width)\n"
	if b.inverted { // a probe knows the widths of what is on
		read = "    e = rig.out.edges\n    return NUMBERS.get(e[-1].step - e[-2].step) if len(e) > 1 and e[-1].tick == e[-2].tick else None\n"
	}
	return build + fmt.Sprintf("    return struct(input=f.cell(%s), out=probe(f.part(%s)))\n\n", cell(b.into), cell(b.task.out)) + send +
		fmt.Sprintf("# Which number a width stands for%s.\nNUMBERS = {%s}\n\ndef read(rig):\n%s\nfound = design(\"found\", build, send, read, [%s])\n", alone, strings.Join(numbers, ", "), read, strings.Join(over, ", "))
}

// sent are the numbers that a machine is sent as a design, and those that it is not sent: what comes out of them is as wide as of one of the others, or is nothing
// where a pulse is a time in which a place is off.
func (t *task) sent() (sent, same []int) {
	known := map[int]bool{}
	for k, n := range t.numbers {
		if w := t.wants[k]; known[w] || w < 0 && t.inverted {
			same = append(same, n)
		} else {
			known[w], sent = true, append(sent, n)
		}
	}
	return sent, same
}

// ownKinds tells the kinds of one's own in a machine, and what its sketch is given so that it knows them. It reports whether they can be told.
func (b *boxed) ownKinds(env *builtins.Env, a arrangement) (text, arg string, known bool) {
	var own []starlark.Value
	take := func(p engine.Part) {
		if p.Kind != engine.Told {
			return
		}
		if k := p.Spec.Aside.(*builtins.OwnKind); !slices.Contains(own, starlark.Value(k)) {
			own = append(own, k)
		}
	}
	for i := range b.fixed {
		take(b.fixed[i].Part)
	}
	for _, v := range a {
		if v > 0 {
			take(b.options[v-1])
		}
	}
	if len(own) == 0 {
		return "", "", true
	}
	if env.Source == nil {
		return "", "", false
	}
	text, _, err := trial.WrittenAs(env, ownNames, starlark.NewList(own))
	return text + "\n", ", kinds=" + ownNames, err == nil
}
