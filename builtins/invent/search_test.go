package invent

import (
	"context"
	"fmt"
	"reflect"
	"slices"
	"testing"

	"pulsewright/engine"
)

// hunted is what a search of up to so many parts found.
func hunted(t *testing.T, b *boxed, most, workers int) *searching {
	t.Helper()
	s := &searching{searchPlan: &searchPlan{Most: most}, boxes: []*boxed{b}, workers: workers, tell: func(string, int64, int64) {}}
	if err := s.run(context.Background()); err != nil {
		t.Fatal(err)
	}
	return s
}

// plainSets are all choices of so many cells.
func plainSets(b *boxed, k int) (all [][]int) {
	for bits := range 1 << len(b.cells) {
		var set []int
		for c := range b.cells {
			if bits>>c&1 == 1 {
				set = append(set, c)
			}
		}
		if len(set) == k {
			all = append(all, set)
		}
	}
	return all
}

// plainly goes through all arrangements of so many parts one by one, each on a bench of its own, without any short cut. Turned, mirrored and alike ones
// that do the task become one.
func plainly(b *boxed, parts int) (found []string, tried int64) {
	one := map[string]bool{}
	for _, set := range plainSets(b, parts) {
		n := 1
		for range set {
			n *= len(b.options)
		}
		for i := range n {
			a := make(arrangement, len(b.cells))
			for _, c := range set {
				a[c] = uint8(i%len(b.options)) + 1
				i /= len(b.options)
			}
			tried++
			does := true
			for _, w := range b.ways {
				r := b.rules
				r.Order = w.order
				does = does && plainDoes(b, a, r)
			}
			if does {
				one[fmt.Sprint(least(b, a))] = true
			}
		}
	}
	for s := range one {
		found = append(found, s)
	}
	slices.Sort(found)
	return found, tried
}

// least is the first of all that an arrangement is when it is turned or mirrored.
func least(b *boxed, a arrangement) arrangement {
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
	return best
}

// plainDoes sends every number to a machine of its own, and looks at the log.
func plainDoes(b *boxed, a arrangement, r engine.Rules) bool {
	var acts []string
	for k, n := range b.numbers {
		bench := engine.New(r)
		if b.place(bench, a) != nil {
			return false
		}
		before := bench.Fingerprint()
		if err := bench.Fire(engine.Target{Cell: b.into}, engine.Firing{Steps: n, Late: b.late}); err != nil {
			panic(err)
		}
		if bench.Run(context.Background(), engine.Budget{Turns: taskTurns, Ticks: taskTicks, Brief: true}) != nil || bench.Turns() > taskTurns || bench.Fingerprint() != before {
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

func boxOf(t *testing.T, do *task, lo, hi engine.Cell, fixed []piece, kinds ...engine.Part) *boxed {
	t.Helper()
	b := &boxed{task: do, rules: engine.DefaultRules(), lo: lo, hi: hi, fixed: fixed}
	for _, p := range kinds {
		for _, d := range facingsOf(p) {
			p.Facing = d
			b.options = append(b.options, p)
		}
	}
	b.prepare([]engine.Cell{do.into})
	return b
}

func wants(numbers ...int) *task {
	return &task{numbers: numbers, wants: numbers, later: -1}
}

// TestSearchPlainly: what a search finds, and that there is nothing else, is what plain enumeration finds; every arrangement is accounted for.
func TestSearchPlainly(t *testing.T) {
	at := func(x, y int32) engine.Cell { return engine.Cell{X: x, Y: y} }
	wire, link, buf, not, on := engine.Part{Kind: engine.Wire}, engine.Part{Kind: engine.Link}, engine.Part{Kind: engine.Gate, Op: engine.Buf}, engine.Part{Kind: engine.Gate, Op: engine.Not}, engine.Part{Kind: engine.Gate, Op: engine.Not, On: true}
	reed, lamp := engine.Part{Kind: engine.Reed}, engine.Part{Kind: engine.Lamp}
	delay := wants(2, 3)
	delay.out, delay.later = at(2, 0), 1
	inverter := wants(2, 5)
	inverter.out, inverter.inverted = at(1, 0), true
	two := wants(2, 3, 6)
	two.out, two.later = at(2, 0), 2
	ruler := &task{tells: true, numbers: []int{0, 1, 2}, wants: []int{0, 1, 2}, late: true}
	and := engine.Part{Kind: engine.Gate, Op: engine.And}
	single := wants(4, 7)
	single.out, single.wants = at(1, 0), []int{1, 1}
	plug, jack := engine.Part{Kind: engine.Shuttle, Slug: engine.Plug}, engine.Part{Kind: engine.Jack}
	opened := &task{tells: true, numbers: []int{0, 3}, wants: []int{0, 3}, into: at(0, 0)}
	twice := wants(2, 3)
	twice.out, twice.wants = at(1, 0), []int{4, 6}
	for _, c := range []struct {
		name   string
		box    *boxed
		most   int
		parts  int // of the least that does it; -1: none does
		unlike int // at least so many ways to lay the box on itself
	}{
		{"delay of one step", boxOf(t, delay, at(0, 0), at(2, 0), nil, wire, buf, link), 3, 2, 4},
		{"delay with a bend", boxOf(t, delay, at(0, 0), at(2, 1), nil, wire, buf), 3, 2, 2},
		{"inverter", boxOf(t, inverter, at(0, 0), at(2, 1), nil, wire, on, lamp), 2, 1, 2},
		{"delay of two steps", boxOf(t, two, at(0, 0), at(2, 1), nil, buf, not, reed), 3, 2, 2},
		{"ruler", boxOf(t, ruler, at(0, 0), at(2, 1), nil, link, wire, lamp), 2, 2, 1},
		{"pulse of one step", boxOf(t, single, at(0, 0), at(1, 1), []piece{{Part: wire, cell: at(0, 0)}}, wire, and, on), 3, 3, 2},
		{"pulse of one step without and", boxOf(t, single, at(0, 0), at(1, 1), nil, wire, buf, on), 3, -1, 2},
		{"no doubling", boxOf(t, twice, at(0, 0), at(3, 0), nil, buf, link, wire), 3, -1, 4},
		{"a plug is pulled", boxOf(t, opened, at(1, 0), at(2, 1), []piece{{Part: engine.Part{Kind: engine.Battery}, cell: at(3, 1)}, {Part: wire, cell: at(0, 0)}}, plug, jack, wire), 2, 1, 2},
		{"out of a fixed wire", boxOf(t, delay, at(0, 0), at(1, 1), []piece{{Part: wire, cell: at(2, 0)}}, buf, link, wire), 3, 1, 2},
		{"beside a fixed wire", boxOf(t, delay, at(1, 0), at(2, 1), []piece{{Part: wire, cell: at(1, 0)}}, buf, link, reed), 2, 1, 2},
	} {
		h := hunted(t, c.box, c.most, 2)
		sum := h.sum
		if got := h.last; (sum.Found > 0) != (c.parts >= 0) || c.parts >= 0 && got != c.parts {
			t.Errorf("%s: found %d of %d parts, want %d", c.name, sum.Found, got, c.parts)
		}
		if len(c.box.ways) < c.unlike {
			t.Errorf("%s: %d ways to lay the box on itself, want %d", c.name, len(c.box.ways), c.unlike)
		}
		if c.box.arrangements(h.last).Int64() != sum.all() {
			t.Errorf("%s: %v arrangements, and %d are accounted for", c.name, c.box.arrangements(h.last), sum.all())
		}
		tried := int64(0)
		for k := 0; k <= h.last; k++ {
			want, n := plainly(c.box, k)
			tried += n
			var got []string
			if k == h.last {
				for _, m := range sum.Machines {
					got = append(got, fmt.Sprint(m.In))
				}
				slices.Sort(got)
			}
			if !slices.Equal(got, want) {
				t.Errorf("%s, %d parts: a search finds %v, plain enumeration %v", c.name, k, got, want)
			}
		}
		if tried != c.box.arrangements(h.last).Int64() {
			t.Errorf("%s: %d tried plainly, %v arrangements", c.name, tried, c.box.arrangements(h.last))
		}
		if again := hunted(t, c.box, c.most, 1); !reflect.DeepEqual(again.sum, sum) {
			t.Errorf("%s: another number of workers finds something else", c.name)
		}
		t.Logf("%s: %d of %d parts; %+v", c.name, sum.Found, h.last, sum.tally)
	}
}

// TestSearchAllocates: no memory a candidate.
func TestSearchAllocates(t *testing.T) {
	delay := wants(2, 3)
	delay.out, delay.later = engine.Cell{X: 3}, 9
	b := boxOf(t, delay, engine.Cell{}, engine.Cell{X: 3}, nil, engine.Part{Kind: engine.Wire}, engine.Part{Kind: engine.Gate}, engine.Part{Kind: engine.Link})
	w := newTrying(b)
	w.set([]int{0, 1, 2}, 0)
	if n := testing.AllocsPerRun(3, func() { w.set([]int{0, 1, 2}, 0) }); n > 10 { // some for the set of cells
		t.Errorf("%v allocations for %d candidates", n, w.Run)
	}
}

// BenchmarkSearch: arrangements of three parts that are run, a second, on one core.
func BenchmarkSearch(b *testing.B) {
	delay := wants(2, 3, 5)
	delay.out, delay.later = engine.Cell{X: 3}, 9
	box := &boxed{task: delay, rules: engine.DefaultRules(), hi: engine.Cell{X: 3}}
	for _, p := range []engine.Part{{Kind: engine.Wire}, {Kind: engine.Gate}, {Kind: engine.Link}} {
		for _, d := range facingsOf(p) {
			p.Facing = d
			box.options = append(box.options, p)
		}
	}
	box.prepare([]engine.Cell{delay.into})
	w := newTrying(box)
	b.ReportAllocs()
	run := int64(0)
	for b.Loop() {
		w.set([]int{0, 1, 2}, 1)
		run += w.Run
		w.Run = 0
	}
	b.ReportMetric(float64(run)/b.Elapsed().Seconds(), "candidates/s")
}
