package differ

import (
	"math/rand/v2"
	"slices"
	"sort"
	"testing"

	"pulsewright/builtins"
	"pulsewright/builtins/stage"
	"pulsewright/engine"
)

// alter changes one part of a plan, mostly one of those that did something, and says whether it moved it.
func alter(r *rand.Rand, p *stage.Plan, b *engine.Bench) (moved bool) {
	i := r.IntN(len(p.Parts))
	for range 5 {
		id, _ := b.PartAt(p.Cells[i])
		if b.LastChange(id, 0) != 0 {
			break
		}
		i = r.IntN(len(p.Parts))
	}
	part := &p.Parts[i]
	switch r.IntN(8) {
	case 0: // gone: what stands in the way of a part that is there
		p.Cells[i], moved = p.Cells[(i+1)%len(p.Parts)], true
	case 1:
		p.Cells[i].X, moved = p.Cells[i].X+1, true
	case 2:
		part.Facing = part.Facing.Opposite()
	case 3:
		part.Facing = (part.Facing + 2) % 6
	case 4:
		part.On, part.Out = !part.On, !part.Out
		part.Tokens ^= 1
	case 5:
		part.Op, part.Ticks, part.Slug = (part.Op+3)%11, part.Ticks+1, (part.Slug+1)%4
	case 6:
		part.Name += "x"
	default:
		kinds := slices.DeleteFunc(engine.Kinds(), func(k engine.Kind) bool { return k == engine.Lamp || k == engine.Reed }) // a cord might put them out without end
		part.Kind = kinds[r.IntN(len(kinds))]
	}
	return moved
}

// played plays a plan on a bench with a history.
func played(p *stage.Plan) *engine.Bench {
	b := engine.New(engine.DefaultRules())
	b.KeepHistory(true)
	p.Play(b)
	return b
}

// world is a bench as a side, seen as it lies.
func world(letter string, b *engine.Bench) *side {
	return &side{letter: letter, bench: b, frame: builtins.World}
}

// plainly is the first event in which two logs differ, by cells and nothing else; 0: they are the same.
func plainly(a, b *engine.Bench) int {
	for i := 1; i <= max(a.EventCount(), b.EventCount()); i++ {
		if i > a.EventCount() || i > b.EventCount() {
			return i
		}
		e, f := a.Event(engine.EventID(i)), b.Event(engine.EventID(i))
		in, _ := a.CellOf(e.ID)
		other, _ := b.CellOf(f.ID)
		if e.At() != f.At() || in != other || e.What != f.What || e.Arg != f.Arg || e.Cause != f.Cause {
			return i
		}
	}
	return 0
}

// TestRandomBenches: of a thousand random benches with one part changed, differ names the first event that a plain comparison of the two logs
// names, and what it says of it is so.
func TestRandomBenches(t *testing.T) {
	same, parted, ended, joined := 0, 0, 0, 0
	for seed := range uint64(1000) {
		r := rand.New(rand.NewPCG(seed, 14))
		plan := stage.RandomPlan(r).Calm()
		other := *plan
		other.Cells, other.Parts = slices.Clone(plan.Cells), slices.Clone(plan.Parts)
		benches := [2]*engine.Bench{played(plan)}
		moved := alter(r, &other, benches[0])
		benches[1] = played(&other)
		want := plainly(benches[0], benches[1])
		for _, names := range []bool{false, true} {
			if names && moved {
				continue // a part that is known by its name is the same part elsewhere
			}
			a, b := world("a", benches[0]), world("b", benches[1])
			d, err := compare(stage.New().Env, a, b, names, false)
			if err != nil {
				t.Fatal(err)
			}
			got := 0
			if d.parted {
				got = d.alike + 1
			}
			if got != want {
				t.Fatalf("seed %d: they part at event %d, a plain comparison says %d", seed, got, want)
			}
			check(t, seed, d)
			if d.parted {
				parted++
				ended += builtins.BoolInt(d.ended(a) || d.ended(b))
				joined += builtins.BoolInt(d.join > 0)
			} else {
				same++
			}
		}
	}
	t.Logf("%d part, %d of them as one ends, %d with a common cause; %d are the same", parted, ended, joined, same)
	if same < 200 || parted < 500 || ended == 0 || joined < 100 {
		t.Error("the benches do not try all there is")
	}
}

// check holds what is found against what can be found otherwise.
func check(t *testing.T, seed uint64, d *Found) {
	t.Helper()
	if !d.parted {
		return
	}
	// The causes of both, by sets.
	var causes [2]map[int]bool
	for k, s := range d.sides() {
		causes[k] = map[int]bool{}
		if d.ended(s) {
			continue
		}
		for id := range s.bench.Causes(engine.EventID(d.alike + 1)) {
			causes[k][int(id)] = true
		}
		delete(causes[k], d.alike+1)
	}
	join := 0
	for i := 1; i <= d.alike; i++ {
		in, other := causes[0][i] || d.ended(d.a), causes[1][i] || d.ended(d.b)
		if in && other {
			join = i
		}
	}
	if join != d.join {
		t.Fatalf("seed %d: the causes join at %d, want %d", seed, d.join, join)
	}
	for k, s := range d.sides() {
		want := 0
		for i := range causes[k] {
			want += builtins.BoolInt(i > join)
		}
		if len(d.chains[k]) != want {
			t.Fatalf("seed %d: %d causes of %s until they join, want %d", seed, len(d.chains[k]), s.letter, want)
		}
	}
	for k, s := range d.sides() {
		if d.ended(s) {
			continue
		}
		if d.then[k].bench == nil {
			t.Fatalf("seed %d: how %s stood before is not known", seed, s.letter)
		}
		o := d.sides()[1-k]
		e := s.at(d.alike + 1)
		for i := d.alike + 1; i <= o.events(); i++ {
			f := o.at(i)
			is := f.What == e.What && f.Arg == e.Arg && s.class[e.ID] == o.class[f.ID]
			if is != (i == d.later[k]) && (d.later[k] == 0 || i <= d.later[k]) {
				t.Fatalf("seed %d: %s has event %d of %s later, as %d; not so", seed, o.letter, d.alike+1, s.letter, d.later[k])
			}
		}
		if seed%4 > 0 {
			continue // what follows takes long
		}
		// How it stood, by turning copies back by as few turns as it takes.
		var back *engine.Bench
		at := d.then[k].at
		sort.Search(int(s.bench.Turns())+1, func(n int) bool {
			c := engine.New(engine.DefaultRules())
			c.Restore(s.bench.Snapshot())
			c.Back(int64(n))
			before := c.Turns() == 0 || lastTurn(c).Before(at)
			if before {
				back = c
			}
			return before
		})
		for id := range s.bench.Parts() {
			if now, want := d.then[k].bench.State(id), back.State(id); now != want {
				t.Fatalf("seed %d: in %s part %d stood so just before %v: %v, want %v", seed, s.letter, id, at, now, want)
			}
		}
	}
}

// lastTurn is when the last turn of a bench ran; quiet ticks may have passed since.
func lastTurn(b *engine.Bench) engine.Instant {
	c := engine.New(engine.DefaultRules())
	c.Restore(b.Snapshot())
	c.Back(1)
	c.Turn()
	return c.Now()
}

// TestPosed: how parts were posed is found in the history, whatever came later.
func TestPosed(t *testing.T) {
	for seed := range uint64(200) {
		plan := stage.RandomPlan(rand.New(rand.NewPCG(seed, 12)))
		posed, b := engine.New(engine.DefaultRules()), engine.New(engine.DefaultRules())
		for i, p := range plan.Parts {
			if _, err := posed.Place(plan.Cells[i], p); err != nil {
				t.Fatal(err)
			}
		}
		b.KeepHistory(true)
		plan.Play(b)
		late, err := b.Place(engine.Cell{X: 40}, engine.Part{Kind: engine.Link, Out: true})
		if err != nil {
			t.Fatal(err)
		}
		n := 0
		b.Posed(func(id engine.ID, s engine.State) {
			n++
			want := engine.State{}
			if cell, _ := b.CellOf(id); id == late {
				want = b.State(id)
			} else {
				at, _ := posed.PartAt(cell)
				want = posed.State(at)
			}
			if s.On != want.On && b.KindOf(id) != engine.Wire && b.KindOf(id) != engine.Jack || s.Tokens != want.Tokens {
				t.Errorf("seed %d: part %d was posed %v, want %v", seed, id, s, want)
			}
		})
		if n != b.Len() {
			t.Errorf("seed %d: how %d of %d parts were posed is known", seed, n, b.Len())
		}
	}
}
