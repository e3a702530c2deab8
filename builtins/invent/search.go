package invent

import (
	"slices"

	"pulsewright/engine"
)

// trying is one worker: a draft on which it puts parts, and what it knows of what fails most.
type trying struct {
	*boxed
	draft  *engine.Draft
	out    engine.ID
	now    arrangement
	image  arrangement
	first  []int         // the numbers, those that fail most first
	option int           // in the first cell
	spots  []engine.Cell // scratch of fallsApart
	rest   []engine.Cell
	fails  []int
	acts   []uint64
	box    int // which one
	outcome
	ended func() bool // whether to leave off; asked now and then
	over  bool        // it was left off
}

func newTrying(b *boxed) *trying {
	t := &trying{boxed: b, draft: b.newDraft(b.rules), now: make(arrangement, len(b.cells)), image: make(arrangement, len(b.cells)), fails: make([]int, len(b.numbers)), acts: make([]uint64, len(b.numbers)), ended: func() bool { return false }}
	for k := range b.numbers {
		t.first = append(t.first, k)
	}
	if !b.task.tells {
		t.out, _ = t.draft.Bench().PartAt(b.task.out) // what is fixed may be what pulses come out of
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

// set tries all arrangements in some cells that have an option in the first of them, and counts them in its outcome.
func (t *trying) set(cells []int, first int) {
	t.option = first
	all := int64(1)
	for range cells[min(1, len(cells)):] {
		all *= int64(len(t.options))
	}
	if t.fallsApart(cells) {
		t.Apart += all
		return
	}
	t.fill(cells, 0, all)
}

// fallsApart reports whether something in these cells cannot matter: it is too far from all else that leads from where pulses come in to where they go out.
// Then the same without it does as much, with fewer parts.
func (t *trying) fallsApart(cells []int) bool {
	spots, rest, leads := append(t.spots[:0], t.into), t.rest[:0], t.boxed.task.tells
	for i := range t.fixed {
		spots = append(spots, t.fixed[i].cell)
		leads = leads || t.fixed[i].cell == t.task.out
	}
	for _, c := range cells {
		rest = append(rest, t.cells[c])
		leads = leads || t.cells[c] == t.task.out
	}
	for more := leads; more; {
		more = false
		for i := 0; i < len(rest); i++ {
			if t.near(spots, rest[i]) {
				spots, more = append(spots, rest[i]), true
				rest[i] = rest[len(rest)-1]
				rest = rest[:len(rest)-1]
				i--
			}
		}
	}
	t.spots, t.rest = spots, rest
	return !leads || len(rest) > 0
}

// near reports whether a cell is near enough to one of some others to matter to it.
func (t *trying) near(spots []engine.Cell, c engine.Cell) bool {
	for _, s := range spots {
		if apartOf(s, c) <= int(t.reach) {
			return true
		}
	}
	return false
}

// fill puts every option into the cells from one on. below is how many arrangements that is.
func (t *trying) fill(cells []int, i int, below int64) {
	if t.over {
		return
	}
	if i == len(cells) {
		switch {
		case t.other():
			t.Turned++
		default:
			t.Run++
			switch t.does() {
			case doesIt:
				t.takes()
			case givenUp:
				t.GivenUp++
			}
			t.over = t.Run&255 == 0 && t.ended()
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
			t.Like += below
			continue
		}
		if !t.stands[c][o] {
			t.Unbuilt += below
			continue
		}
		id, err := t.draft.Put(t.cells[c], t.options[o])
		if err != nil {
			t.Unbuilt += below
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

// does reports whether the arrangement on the draft does the task, laid in every way in which the box can be laid on itself. One that fails at a number
// fails, whatever was given up: so it makes no difference which number is sent first.
func (t *trying) does() fate {
	t.draft.Pose()
	all := doesIt
	for i, k := range t.first {
		is := t.send(k)
		if is == doesNot {
			if t.fails[k]++; i > 0 && t.fails[k] > t.fails[t.first[i-1]] {
				t.first[i], t.first[i-1] = t.first[i-1], k
			}
			return doesNot
		}
		all = max(all, is)
	}
	if t.task.tells && all == doesIt && !t.apartAll() {
		return doesNot
	}
	for i := 1; i < len(t.ways); i++ {
		r := t.rules
		if r.Order = t.ways[i].order; r.Order == t.rules.Order {
			continue
		}
		is := t.boxed.doesUnder(t.now, r)
		if is == doesNot {
			return doesNot
		}
		all = max(all, is)
	}
	return all
}

// send fires number k at the machine as it is posed, and reports whether what comes of it is wanted. The machine then stands as before.
func (t *trying) send(k int) fate {
	d := t.draft
	defer d.Again()
	if !t.fire(k, 0) {
		return doesNot
	}
	is := t.settles(1, soonTurns)
	if is == doesNot || is == doesIt && !d.Rested() {
		return doesNot
	}
	s := t.watch()
	switch {
	case is == givenUp && t.lost(k, &s):
		return doesNot
	case is == givenUp:
	case t.task.tells:
		t.acts[k] = s.acts
	case !t.right(k, &s, 1):
		return doesNot
	}
	return is
}

// fire fires number k in a tick; 0: the next.
func (t *trying) fire(k int, tick int64) bool {
	return t.draft.Bench().Fire(engine.Target{Cell: t.into}, engine.Firing{Steps: t.numbers[k], Late: t.late, At: tick}) == nil
}

// watch is what is to be seen of a sending.
func (t *trying) watch() (s seen) {
	b := t.draft.Bench()
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
	return s
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
func (b *boxed) doesUnder(a arrangement, r engine.Rules) fate {
	plain := *b
	plain.rules, plain.ways = r, b.ways[:1]
	t := newTrying(&plain)
	for c, v := range a {
		if v == 0 {
			continue
		}
		id, err := t.draft.Put(b.cells[c], b.options[v-1])
		if err != nil {
			return doesNot
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
