package invent

import (
	"context"
	"fmt"
	"math/rand/v2"
	"reflect"
	"slices"
	"testing"

	"pulsewright/engine"
)

// What a search finds is held against plain enumeration: every arrangement on benches of its own, with no symmetry, nothing passed over and no number
// sent before another.

// How long a machine may take here: longer than any that does a task takes.
const (
	plainTurns = 3000 // in a tick
	plainTicks = 3000
)

// each goes through all arrangements of so many parts.
func each(b *boxed, parts int, do func(a arrangement)) {
	a := make(arrangement, len(b.cells))
	var fill func(c, left int)
	fill = func(c, left int) {
		switch {
		case left > len(a)-c:
		case c == len(a):
			do(a)
		default:
			fill(c+1, left)
			for v := 1; v <= len(b.options) && left > 0; v++ {
				a[c] = uint8(v)
				fill(c+1, left-1)
			}
			a[c] = 0
		}
	}
	fill(0, parts)
}

// alikeTo is the first of all that an arrangement is when it is turned or mirrored, and of those that a search takes for the same.
func alikeTo(b *boxed, a arrangement) string {
	var best arrangement
	for _, w := range b.ways {
		image := make(arrangement, len(a))
		for c, v := range a {
			if v > 0 {
				image[w.to[c]] = b.same[w.to[c]][w.turns[v-1]] + 1
			}
		}
		if best == nil || slices.Compare(image, best) < 0 {
			best = image
		}
	}
	return string(best)
}

// partOf reports whether an arrangement with something taken out is among others.
func partOf(a arrangement, others map[string]bool) bool {
	for kept := range 1<<len(a) - 1 {
		less := slices.Clone(a)
		for c := range a {
			if kept>>c&1 == 0 {
				less[c] = 0
			}
		}
		if others[string(less)] && !slices.Equal(less, a) {
			return true
		}
	}
	return false
}

// plainly reports whether an arrangement does the task in every way to lay the box on itself: each is played as it then lies, in the order in force.
func plainly(b *boxed, a arrangement) bool {
	laid := make(arrangement, len(a))
	return !slices.ContainsFunc(b.ways, func(w way) bool {
		for c, v := range a {
			if v > 0 {
				v = w.turns[v-1] + 1
			}
			laid[w.to[c]] = v
		}
		return !plainDoes(b, laid, b.rules)
	})
}

// plainDoes sends every number to a machine of its own, and looks at the log.
func plainDoes(b *boxed, a arrangement, r engine.Rules) bool {
	var acts []string
	for k, n := range b.numbers {
		bench := engine.New(r)
		if b.place(bench, a) != nil {
			return false
		}
		for id := range bench.Parts() { // no slug lies, or comes to lie, but in the box or a jack that is fixed
			p, at := bench.Thing(id).Part, bench.Thing(id).Cell
			for range 2 {
				at = at.Add(p.Facing.Cell())
				jack := slices.ContainsFunc(b.fixed, func(q piece) bool { return q.cell == at && q.Kind == engine.Jack })
				if p.Slug != engine.NoSlug && slices.Contains(b.cells, bench.Thing(id).Cell) && !jack && !slices.Contains(b.cells, at) {
					return false
				}
			}
		}
		before := bench.Fingerprint()
		if err := bench.Fire(engine.Target{Cell: b.into}, engine.Firing{Steps: n, Late: b.late}); err != nil {
			panic(err)
		}
		if bench.Run(context.Background(), engine.Budget{Turns: plainTurns, Ticks: plainTicks, Brief: true}) != nil || bench.Fingerprint() != before {
			return false
		}
		out, _ := bench.PartAt(b.task.out)
		if out == 0 && !b.task.tells {
			return false
		}
		var up, down []engine.Instant
		act := map[string]bool{}
		for _, e := range bench.Events(1) {
			at, _ := bench.CellOf(e.ID)
			conducts := bench.KindOf(e.ID).Trait().Conducts
			switch e.What {
			case engine.On, engine.Out, engine.Lit, engine.Live, engine.Off, engine.Home, engine.Dark, engine.Dead:
				if !conducts && slices.Contains(b.cells, at) {
					act[at.String()] = true
				}
			}
			if e.ID == out {
				switch e.What {
				case engine.On, engine.Out, engine.Lit, engine.Live:
					up = append(up, e.At())
				case engine.Off, engine.Home, engine.Dark, engine.Dead:
					down = append(down, e.At())
				}
			}
		}
		if b.task.tells {
			acts = append(acts, fmt.Sprint(act))
			continue
		}
		first, then := up, down
		if b.inverted {
			first, then = down, up
		}
		w := b.wants[k]
		switch {
		case w < 0 && len(up)+len(down) > 0:
			return false
		case w < 0:
			continue
		case len(first) != 1 || len(then) != 1 || first[0].Tick != 1 || then[0].Tick != 1 || then[0].Before(first[0]) || then[0].Step-first[0].Step != w:
			return false
		case b.later >= 0 && first[0].Step != b.later:
			return false
		}
	}
	slices.Sort(acts)
	return len(slices.Compact(slices.Clone(acts))) == len(acts)
}

// searched is a search of up to so many parts, and what it found.
func searched(t *testing.T, name string, b *boxed, most int, all bool, workers int) (*searching, map[string]bool) {
	t.Helper()
	s := &searching{searchPlan: &searchPlan{Most: most, All: all}, boxes: []*boxed{b}, workers: workers, tell: func(string, int64, int64) {}}
	found := map[string]bool{}
	s.record = func(o *outcome) error {
		for _, m := range o.Machines {
			found[string(m.In)] = true
		}
		return nil
	}
	if err := s.run(context.Background()); err != nil {
		t.Fatal(err)
	}
	if int64(len(found)) != s.sum.Found {
		t.Errorf("%s: %d found, %d named", name, s.sum.Found, len(found))
	}
	return s, found
}

// against holds a search of up to so many parts against plain enumeration: all that it finds, or takes for the same, does the task; whatever else does it still does
// it with something taken out; and every arrangement is accounted for. It gives the least number of parts, -1 for none, and how many were gone through plainly.
func against(t *testing.T, name string, b *boxed, most int, all bool) (least int, tried int64) {
	t.Helper()
	s, found := searched(t, name, b, most, all, 2)
	if again, same := searched(t, name, b, most, all, 1); !reflect.DeepEqual(again.sum, s.sum) || !reflect.DeepEqual(found, same) {
		t.Errorf("%s: another number of workers finds something else", name)
	}
	least = -1
	does, named := map[string]bool{}, map[string]bool{}
	for k := 0; k <= s.last; k++ {
		each(b, k, func(a arrangement) {
			tried++
			one := alikeTo(b, a)
			named[one] = found[one]
			switch plain := plainly(b, a); {
			case plain && !found[one] && !partOf(a, does):
				t.Errorf("%s: %v does it, and was not found", name, b.describe(a))
			case !plain && found[one]:
				t.Errorf("%s: %v does not do it, and is taken for one that does", name, b.describe(a))
			case plain:
				does[string(a)] = true
				if least < 0 {
					least = k
				}
			}
		})
	}
	for one := range found {
		if !named[one] {
			t.Errorf("%s: found %v, which is no arrangement, or not the first of those like it", name, []byte(one))
		}
	}
	if s.sum.GivenUp > 0 {
		t.Errorf("%s: %d given up", name, s.sum.GivenUp)
	}
	if n := b.arrangements(s.last).Int64(); n != s.sum.all() || n != tried {
		t.Errorf("%s: %d arrangements, %d are accounted for, %d were gone through plainly", name, n, s.sum.all(), tried)
	}
	t.Logf("%s: %d cells, %d ways to fill each, up to %d parts: %d found, of at least %d parts; of %d gone through plainly %d do it; %+v", name, len(b.cells), len(b.options), s.last, s.sum.Found, least, tried, len(does), s.sum.tally)
	return least, tried
}

func at(x, y int32) engine.Cell { return engine.Cell{X: x, Y: y} }

var (
	wire, jack, lamp = engine.Part{Kind: engine.Wire}, engine.Part{Kind: engine.Jack}, engine.Part{Kind: engine.Lamp}
	link, reed       = engine.Part{Kind: engine.Link}, engine.Part{Kind: engine.Reed}
	plug             = engine.Part{Kind: engine.Shuttle, Slug: engine.Plug}
	buf, and         = engine.Part{Kind: engine.Gate, Op: engine.Buf}, engine.Part{Kind: engine.Gate, Op: engine.And}
	not, on          = engine.Part{Kind: engine.Gate, Op: engine.Not}, engine.Part{Kind: engine.Gate, Op: engine.Not, On: true}
)

// boxFacing is a box in which parts face as they are given.
func boxFacing(do *task, lo, hi engine.Cell, fixed []piece, kinds ...engine.Part) *boxed {
	b := &boxed{task: do, rules: engine.DefaultRules(), lo: lo, hi: hi, fixed: fixed, options: kinds}
	b.prepare(nil)
	return b
}

// boxOf is a box in which parts face all ways.
func boxOf(do *task, lo, hi engine.Cell, fixed []piece, kinds ...engine.Part) *boxed {
	var all []engine.Part
	for _, p := range kinds {
		for _, d := range facingsOf(p) {
			p.Facing = d
			all = append(all, p)
		}
	}
	return boxFacing(do, lo, hi, fixed, all...)
}

func wants(numbers ...int) *task {
	return &task{numbers: numbers, wants: numbers, later: -1}
}

// TestSearchPlainly: small boxes of all shapes.
func TestSearchPlainly(t *testing.T) {
	delay := wants(2, 3)
	delay.out, delay.later = at(2, 0), 1
	inverter := wants(2, 5)
	inverter.out, inverter.inverted = at(1, 0), true
	two := wants(2, 3, 6)
	two.out, two.later = at(2, 0), 2
	ruler := &task{tells: true, numbers: []int{0, 1, 2}, wants: []int{0, 1, 2}, late: true}
	single := wants(4, 7)
	single.out, single.wants = at(1, 0), []int{1, 1}
	opened := &task{tells: true, numbers: []int{0, 3}, wants: []int{0, 3}, into: at(0, 0)}
	twice := wants(2, 3)
	twice.out, twice.wants = at(1, 0), []int{4, 6}
	for _, c := range []struct {
		name  string
		box   *boxed
		most  int
		all   bool
		parts int // of the least that does it; -1: none does
		ways  int // to lay the box on itself, at least
	}{
		{"delay of one step", boxOf(delay, at(0, 0), at(2, 0), nil, wire, buf, link), 3, false, 2, 4},
		{"delay with a bend", boxOf(delay, at(0, 0), at(2, 1), nil, wire, buf), 3, false, 2, 2},
		{"inverter", boxOf(inverter, at(0, 0), at(2, 1), nil, wire, on, lamp), 2, true, 1, 2},
		{"delay of two steps", boxOf(two, at(0, 0), at(2, 1), nil, buf, not, reed), 3, false, 2, 2},
		{"ruler", boxOf(ruler, at(0, 0), at(2, 1), nil, link, wire, lamp), 2, false, 2, 1},
		{"pulse of one step", boxOf(single, at(0, 0), at(1, 1), []piece{{Part: wire, cell: at(0, 0)}}, wire, and, on), 3, false, 3, 2},
		{"pulse of one step without and", boxOf(single, at(0, 0), at(1, 1), nil, wire, buf, on), 3, false, -1, 2},
		{"no doubling", boxOf(twice, at(0, 0), at(3, 0), nil, buf, link, wire), 3, false, -1, 4},
		{"a plug is pulled", boxOf(opened, at(1, 0), at(3, 1), []piece{{Part: engine.Part{Kind: engine.Battery}, cell: at(4, 1)}, {Part: wire, cell: at(0, 0)}}, plug, jack, wire), 2, false, 1, 2},
		{"out of a fixed wire", boxOf(delay, at(0, 0), at(1, 1), []piece{{Part: wire, cell: at(2, 0)}}, buf, link, wire), 3, true, 1, 2},
		{"beside a fixed wire", boxOf(delay, at(1, 0), at(2, 1), []piece{{Part: wire, cell: at(1, 0)}}, buf, link, reed), 2, false, 1, 2},
	} {
		if got, _ := against(t, c.name, c.box, c.most, c.all); got != c.parts {
			t.Errorf("%s: the least have %d parts, want %d", c.name, got, c.parts)
		}
		if len(c.box.ways) < c.ways {
			t.Errorf("%s: %d ways to lay the box on itself, want %d", c.name, len(c.box.ways), c.ways)
		}
	}
}

// TestSearchSixCells: seven tasks in six cells, three kinds of part that may stand in each. Of kinds that face one way alone every arrangement is gone through, of
// up to six parts; of kinds that face all ways those of up to three, or of up to the least number that does it.
func TestSearchSixCells(t *testing.T) {
	facing := func(p engine.Part) engine.Part {
		p.Facing = engine.PosX
		return p
	}
	all := func(do *task, fixed []piece, kinds ...engine.Part) *boxed {
		return boxOf(do, at(1, 0), at(3, 1), fixed, kinds...)
	}
	one := func(do *task, fixed []piece, kinds ...engine.Part) *boxed {
		return boxFacing(do, at(1, 0), at(3, 1), fixed, kinds...)
	}
	mirrored := func(do *task, kinds ...engine.Part) *boxed { // above and below the row of the ports
		return boxFacing(do, at(1, -1), at(2, 1), nil, kinds...)
	}
	passing := wants(2, 3, 6)
	passing.out, passing.later = at(3, 0), 2
	inverter := wants(2, 5)
	inverter.out, inverter.inverted = at(2, 0), true
	single := wants(4, 7)
	single.out, single.wants = at(2, 0), []int{1, 1}
	shorter := wants(3, 5)
	shorter.out, shorter.wants = at(2, 0), []int{2, 4}
	ruler := &task{tells: true, numbers: []int{0, 1, 2, 3}, wants: []int{0, 1, 2, 3}, late: true}
	late := wants(2, 3)
	late.out, late.later = at(4, 0), 3
	longer := wants(2, 3)
	longer.out, longer.wants = at(2, 0), []int{4, 6}
	tried := int64(0)
	for _, c := range []struct {
		name  string
		box   *boxed
		most  int
		all   bool
		parts int
	}{
		{"delay of two steps", all(passing, nil, wire, buf, lamp), 3, false, 3},
		{"inverter", all(inverter, nil, wire, on, lamp), 2, true, 2},
		{"ruler of four", all(ruler, nil, link, wire, lamp), 3, false, -1},
		{"pulse of one step", one(single, []piece{{Part: wire, cell: at(0, 0)}}, wire, facing(and), facing(on)), 6, true, 4},
		{"a step shorter", mirrored(shorter, wire, facing(buf), facing(and)), 6, true, 4},
		{"delay of three steps out of a fixed wire", one(late, []piece{{Part: wire, cell: at(4, 0)}}, wire, facing(buf), facing(link)), 6, true, 3},
		{"no doubling", mirrored(longer, wire, facing(buf), facing(link)), 6, false, -1},
	} {
		got, n := against(t, c.name, c.box, c.most, c.all)
		tried += n
		if got != c.parts {
			t.Errorf("%s: the least have %d parts, want %d", c.name, got, c.parts)
		}
		if len(c.box.cells) != 6 {
			t.Errorf("%s: %d cells", c.name, len(c.box.cells))
		}
	}
	t.Logf("%d gone through plainly", tried)
}

// TestWays: laid another way, a machine does in the order of that way what it does as it lies in the order in force, event for event. The ways are a group, so that
// all their orders together are those in which it lies in all ways.
func TestWays(t *testing.T) {
	do := wants(2)
	do.out = at(2, 0)
	feed := engine.Part{Kind: engine.Shuttle, Slug: engine.Feed, Out: true}
	b := boxOf(do, engine.Cell{X: 1, Y: -1, Z: -1}, engine.Cell{X: 2, Y: 1, Z: 1}, []piece{{Part: wire, cell: at(0, 0)}}, wire, buf, on, link, reed, lamp, feed, jack)
	if len(b.ways) != 8 {
		t.Fatalf("%d ways, want 8", len(b.ways))
	}
	play := func(a arrangement, order [6]engine.Dir, cell func(c int) int) (all []string) {
		r := b.rules
		r.Order = order
		bench := engine.New(r)
		if b.place(bench, a) != nil {
			return nil
		}
		bench.Fire(engine.Target{Cell: b.into}, engine.Firing{Steps: 2})
		bench.Run(context.Background(), engine.Budget{Turns: plainTurns, Ticks: plainTicks, Brief: true})
		for _, e := range bench.Events(1) {
			at, _ := bench.CellOf(e.ID)
			all = append(all, fmt.Sprint(e.At(), cell(slices.Index(b.cells, at)), e.What, e.Arg, e.Cause))
		}
		return all
	}
	r := rand.New(rand.NewPCG(1, 2))
	differ := 0
	for range 300 {
		a, image := make(arrangement, len(b.cells)), make(arrangement, len(b.cells))
		for range 9 {
			a[r.IntN(len(a))] = uint8(1 + r.IntN(len(b.options)))
		}
		for _, w := range b.ways {
			for c, v := range a {
				if v > 0 {
					v = w.turns[v-1] + 1
				}
				image[w.to[c]] = v
			}
			to := func(c int) int {
				if c < 0 {
					return c // a seat outside of the box, or where pulses go in
				}
				return w.to[c]
			}
			same := func(c int) int { return c }
			as, laid := play(a, b.rules.Order, to), play(image, w.order, same)
			if !slices.Equal(as, laid) {
				t.Fatalf("%v\nas it lies: %v\nlaid another way, in its order: %v", b.describe(a), as, laid)
			}
			if !slices.Equal(as, play(image, b.rules.Order, same)) {
				differ++
			}
		}
	}
	if differ < 20 {
		t.Errorf("the order matters %d times, want 20 and more", differ)
	}
}
