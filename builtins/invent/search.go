package invent

import (
	"context"
	"math/big"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"

	"pulsewright/engine"
)

// arrangement is what stands in each cell of the box: 0 for nothing, else 1 and the number of the option.
type arrangement []uint8

// hunt is a search of a box for arrangements of so many parts.
type hunt struct {
	*boxed
	parts int
	found []arrangement // in the order of the box
	tally
}

// tally counts arrangements: of alike ones one was run, of mirrored and turned ones one, and those that fall apart were not run.
type tally struct {
	run, unbuilt        int64
	turned, like, apart int64
}

func (t *tally) add(o tally) {
	t.run, t.unbuilt, t.turned, t.like, t.apart = t.run+o.run, t.unbuilt+o.unbuilt, t.turned+o.turned, t.like+o.like, t.apart+o.apart
}

// arrangements is how many there are of up to so many parts: every choice of cells, every option in each.
func (b *boxed) arrangements(parts int) *big.Int {
	sum := new(big.Int)
	for k := 0; k <= parts; k++ {
		n := new(big.Int).Binomial(int64(len(b.cells)), int64(k))
		sum.Add(sum, n.Mul(n, new(big.Int).Exp(big.NewInt(int64(len(b.options))), big.NewInt(int64(k)), nil)))
	}
	return sum
}

// hunt goes through all arrangements of so many parts.
func (b *boxed) hunt(ctx context.Context, parts, workers int, told func(done, of int64)) (*hunt, error) {
	h := &hunt{boxed: b, parts: parts}
	sets := b.sets(parts)
	if workers == 0 {
		workers = runtime.GOMAXPROCS(0)
	}
	each := 1 // pieces of work of a set: one for each option of its first cell
	if parts > 0 {
		each = len(b.options)
	}
	pieces := len(sets) * each
	found, tallies := make([][]arrangement, pieces), make([]tally, pieces)
	var next, done atomic.Int64
	var wait sync.WaitGroup
	for range max(1, min(workers, pieces)) {
		wait.Add(1)
		go func() {
			defer wait.Done()
			t := newTrying(b)
			for i := next.Add(1) - 1; i < int64(pieces) && ctx.Err() == nil; i = next.Add(1) - 1 {
				found[i], tallies[i] = t.set(sets[int(i)/each], int(i)%each)
				told(done.Add(1), int64(pieces))
			}
		}()
	}
	wait.Wait()
	if ctx.Err() != nil {
		return nil, &engine.Stopped{Err: ctx.Err()}
	}
	for i := range pieces {
		h.found = append(h.found, found[i]...)
		h.tally.add(tallies[i])
	}
	return h, nil
}

// sets are all choices of so many cells, in order.
func (b *boxed) sets(k int) (all [][]int) {
	var grow func(set []int, from int)
	grow = func(set []int, from int) {
		if len(set) == k {
			all = append(all, slices.Clone(set))
			return
		}
		for c := from; c < len(b.cells); c++ {
			grow(append(set, c), c+1)
		}
	}
	grow(nil, 0)
	return all
}

// trying is one worker: a draft on which it puts parts, and what it knows of what fails most.
type trying struct {
	*boxed
	draft  *engine.Draft
	out    engine.ID
	now    arrangement
	image  arrangement
	first  []int // the numbers, those that fail most first
	option int   // in the first cell
	fails  []int
	acts   []uint64
	found  []arrangement
	tally
}

func newTrying(b *boxed) *trying {
	t := &trying{boxed: b, draft: b.newDraft(b.rules), now: make(arrangement, len(b.cells)), image: make(arrangement, len(b.cells)), fails: make([]int, len(b.numbers)), acts: make([]uint64, len(b.numbers))}
	for k := range b.numbers {
		t.first = append(t.first, k)
	}
	return t
}

// newDraft is a draft with what is fixed.
func (b *boxed) newDraft(r engine.Rules) *engine.Draft {
	lo, hi := b.lo, b.hi
	grow := func(c engine.Cell) {
		lo = engine.Cell{X: min(lo.X, c.X), Y: min(lo.Y, c.Y), Z: min(lo.Z, c.Z)}
		hi = engine.Cell{X: max(hi.X, c.X), Y: max(hi.Y, c.Y), Z: max(hi.Z, c.Z)}
	}
	grow(b.into)
	for i := range b.fixed {
		grow(b.fixed[i].cell)
	}
	d := engine.NewDraft(r, lo, hi)
	for i := range b.fixed {
		if _, err := d.Put(b.fixed[i].cell, b.fixed[i].Part); err != nil {
			panic("invent: what is fixed cannot be placed: " + err.Error())
		}
	}
	return d
}

// set tries all arrangements in some cells that have an option in the first of them.
func (t *trying) set(cells []int, first int) ([]arrangement, tally) {
	t.found, t.tally, t.option = nil, tally{}, first
	all := int64(1)
	for range cells[min(1, len(cells)):] {
		all *= int64(len(t.options))
	}
	if t.fallsApart(cells) {
		t.apart = all
		return nil, t.tally
	}
	t.fill(cells, 0, all)
	return t.found, t.tally
}

// fallsApart reports whether something in these cells cannot matter: it is too far from all else that leads from where pulses come in to where they go out.
// Then the same without it does as much, with fewer parts.
func (t *trying) fallsApart(cells []int) bool {
	if !t.boxed.task.tells && !slices.ContainsFunc(cells, func(c int) bool { return t.cells[c] == t.task.out }) && !slices.ContainsFunc(t.fixed, func(p piece) bool { return p.cell == t.task.out }) {
		return true
	}
	near := func(a, b engine.Cell) bool {
		d := a.Sub(b)
		return max(d.X, -d.X)+max(d.Y, -d.Y)+max(d.Z, -d.Z) <= t.reach
	}
	spots := []engine.Cell{t.into}
	for i := range t.fixed {
		spots = append(spots, t.fixed[i].cell)
	}
	rest := make([]engine.Cell, 0, len(cells))
	for _, c := range cells {
		rest = append(rest, t.cells[c])
	}
	for more := true; more; {
		more = false
		rest = slices.DeleteFunc(rest, func(c engine.Cell) bool {
			if !slices.ContainsFunc(spots, func(s engine.Cell) bool { return near(s, c) }) {
				return false
			}
			spots, more = append(spots, c), true
			return true
		})
	}
	return len(rest) > 0
}

// fill puts every option into the cells from one on. below is how many arrangements that is.
func (t *trying) fill(cells []int, i int, below int64) {
	if i == len(cells) {
		switch {
		case t.other():
			t.turned++
		default:
			t.run++
			if t.does() {
				t.found = append(t.found, slices.Clone(t.now))
			}
		}
		return
	}
	c := cells[i]
	from, to := 0, len(t.options)
	if i == 0 {
		from, to = t.option, t.option+1
	}
	below /= int64(to - from)
	for o := from; o < to; o++ {
		if int(t.same[c][o]) != o {
			t.like += below
			continue
		}
		id, err := t.draft.Put(t.cells[c], t.options[o])
		if err != nil {
			t.unbuilt += below
			continue
		}
		t.now[c] = uint8(o) + 1
		was := t.out
		if t.cells[c] == t.task.out && !t.task.tells {
			t.out = id
		}
		t.fill(cells, i+1, below)
		t.out = was
		t.now[c] = 0
		t.draft.Back()
	}
}

// other reports whether an arrangement is another one that comes before it, turned or mirrored.
func (t *trying) other() bool {
	for i := 1; i < len(t.ways); i++ {
		w := &t.ways[i]
		for c, v := range t.now {
			if v > 0 {
				v = t.same[w.to[c]][w.turns[v-1]] + 1
			}
			t.image[w.to[c]] = v
		}
		if slices.Compare(t.image, t.now) < 0 {
			return true
		}
	}
	return false
}

// does reports whether the arrangement on the draft does the task, laid in every way in which the box can be laid on itself.
func (t *trying) does() bool {
	t.draft.Pose()
	for i, k := range t.first {
		if t.send(t.draft, k) {
			continue
		}
		if t.fails[k]++; i > 0 && t.fails[k] > t.fails[t.first[i-1]] {
			t.first[i], t.first[i-1] = t.first[i-1], k
		}
		return false
	}
	if t.task.tells && !t.apartAll() {
		return false
	}
	for i := 1; i < len(t.ways); i++ {
		r := t.rules
		r.Order = t.ways[i].order
		if r.Order != t.rules.Order && !t.boxed.doesUnder(t.now, r) {
			return false
		}
	}
	return true
}

// send fires number k at the machine as it is posed, and reports whether what comes of it is wanted. The machine then stands as before.
func (t *trying) send(d *engine.Draft, k int) bool {
	b := d.Bench()
	defer d.Again()
	if b.Fire(engine.Target{Cell: t.into}, engine.Firing{Steps: t.numbers[k], Late: t.late}) != nil || !d.Run(taskTurns, taskTicks) || !d.Rested() {
		return false
	}
	var s seen
	for id := 1; id <= b.EventCount(); id++ {
		e := b.Event(engine.EventID(id))
		conducts, bit := true, uint64(0)
		if t.task.tells {
			if conducts = b.KindOf(e.ID).Trait().Conducts; !conducts {
				at, _ := b.CellOf(e.ID)
				bit = t.bit(at)
			}
		}
		s.see(e, t.out, conducts, bit)
	}
	if t.task.tells {
		t.acts[k] = s.acts
		return true
	}
	return t.right(k, &s)
}

// bit is that of a cell of the box; of what is fixed there is none.
func (b *boxed) bit(at engine.Cell) uint64 {
	for i, c := range b.cells {
		if c == at {
			return 1 << i
		}
	}
	return 0
}

// apartAll reports whether no two numbers set off the same parts.
func (t *trying) apartAll() bool {
	for i, a := range t.acts {
		if slices.Contains(t.acts[:i], a) {
			return false
		}
	}
	return true
}

// doesUnder reports whether an arrangement does the task under other rules, without regard to how it might be turned.
func (b *boxed) doesUnder(a arrangement, r engine.Rules) bool {
	plain := *b
	plain.rules, plain.ways = r, b.ways[:1]
	t := newTrying(&plain)
	for c, v := range a {
		if v == 0 {
			continue
		}
		id, err := t.draft.Put(b.cells[c], b.options[v-1])
		if err != nil {
			return false
		}
		if b.cells[c] == b.task.out && !b.task.tells {
			t.out = id
		}
	}
	return t.does()
}

// describe names what stands where.
func (b *boxed) describe(a arrangement) (texts []string) {
	for c, v := range a {
		if v > 0 {
			p := piece{Part: b.options[v-1], cell: b.cells[c]}
			text := p.called()
			if faces(p.Part) {
				text += " " + p.Facing.String()
			}
			texts = append(texts, text)
		}
	}
	return texts
}
