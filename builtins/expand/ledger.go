package expand

import (
	"hash/maphash"
	"slices"

	"pulsewright/engine"
)

// ledger is one run of a machine, slice by slice: what each slice is made of, and what happened there.
type ledger struct {
	*plan
	size   int
	byStep bool    // reads="step": all news of a step is delivered together
	onTop  bool    // news="lifo"
	lines  []entry // all that happened, in order
	slices []slab  // from the first slice of the plan on
}

// entry is something that happened: an event, or a level that a conductor reached while it stayed live.
type entry struct {
	when
	turn, depth int32 // depth: how many pieces of news, one caused by the other, led to it within its turn
	cause       int32 // the line that told it, queued it or set its timer; -1: none, a stimulus
	slab, nth   int32 // in which slice it is, and its number there
	conductor   bool  // it tells with the change that caused it
}

// when is a time, or the difference of two, in ticks and steps apart.
type when struct{ ticks, steps int32 }

func (a when) sub(b when) when { return when{a.ticks - b.ticks, a.steps - b.steps} }

// slab is one slice of a run.
type slab struct {
	made  uint64
	did   uint64  // what happened here, in order; equal if alike, whenever it happened
	lines []int32 // where it is written down
}

// alike reports whether two slices are made alike and do the same in the same order, whenever.
func alike(a, b *slab) bool {
	return a.made == b.made && a.did == b.did && len(a.lines) == len(b.lines)
}

// reached is a level that a conductor has reached, behind so many events.
type reached struct {
	after int
	id    engine.ID
	cause engine.EventID
	level int
}

// deed is a line as it is compared: where in the slice, and what.
type done struct {
	so   uint64 // what happened before
	cell engine.Cell
	what engine.What
	arg  int32
}

// ledger writes down a run that was recorded in full. levels are what OnLevel told of it.
func (s slicer) ledger(size int, p *plan, b *engine.Bench, levels []reached) *ledger {
	rules := b.Rules()
	l := &ledger{plan: p, size: size, byStep: rules.Reads == engine.ByStep, onTop: rules.News == engine.LIFO}
	l.lines = make([]entry, 0, b.EventCount()+len(levels))
	l.slices = make([]slab, len(p.made))
	for k := range p.made {
		l.slices[k].made = p.made[k]
	}
	lineOf := make([]int32, b.EventCount()+1) // by event
	lineOf[0] = -1
	add := func(ln entry, id engine.ID, what engine.What, arg int32) {
		at, _ := b.CellOf(id)
		k := s.of(at) - p.first
		if k < 0 || k >= len(l.slices) { // a cell beside the machine
			k = min(max(k, 0), len(l.slices)-1)
		}
		ln.slab = int32(k)
		l.link(&ln)
		slab := &l.slices[k]
		ln.nth = int32(len(slab.lines))
		slab.did = maphash.Comparable(seed, done{slab.did, s.local(at, k+p.first), what, arg})
		slab.lines = append(slab.lines, int32(len(l.lines)))
		l.lines = append(l.lines, ln)
	}
	next := 0
	for id, e := range b.Events(1) {
		lineOf[id] = int32(len(l.lines))
		add(entry{when: when{int32(e.Tick), e.Step}, turn: e.Turn, cause: lineOf[e.Cause], conductor: e.What == engine.Live || e.What == engine.Dead}, e.ID, e.What, e.Arg)
		for ; next < len(levels) && levels[next].after == int(id); next++ {
			// It is said of conductors that go live as well: how high is no part of that event.
			if r := levels[next]; r.level > 0 {
				add(entry{when: when{int32(e.Tick), e.Step}, turn: e.Turn, cause: lineOf[r.cause], conductor: true}, r.id, engine.Level, int32(r.level))
			}
		}
	}
	return l
}

// link works out how deep in the news of its turn a line lies.
func (l *ledger) link(ln *entry) {
	if ln.cause < 0 || !l.together(ln, &l.lines[ln.cause]) {
		return
	}
	c := &l.lines[ln.cause]
	ln.depth = c.depth + 1
	if ln.conductor { // told with what it was told with
		ln.depth--
	}
}

// together reports whether two lines belong to one delivery of news.
func (l *ledger) together(a, b *entry) bool {
	return a.when == b.when && (a.turn == b.turn || l.byStep && a.steps > 0)
}

// lags is how much later each line of slice j of b is than the same one of slice k of a.
func lags(a *ledger, k int, b *ledger, j int) []when {
	ds := make([]when, len(a.slices[k].lines))
	for i, at := range a.slices[k].lines {
		ds[i] = b.lines[b.slices[j].lines[i]].when.sub(a.lines[at].when)
	}
	return ds
}

// window lists what happened in slices from to to (not included), in order.
func (l *ledger) window(from, to int) []int32 {
	many := 0
	for k := from; k < to; k++ {
		many += len(l.slices[k].lines)
	}
	all := make([]int32, 0, many)
	if 8*many > len(l.lines) {
		for i := range l.lines {
			if k := int(l.lines[i].slab); from <= k && k < to {
				all = append(all, int32(i))
			}
		}
		return all
	}
	for k := from; k < to; k++ {
		all = append(all, l.slices[k].lines...)
	}
	slices.Sort(all)
	return all
}

// next is the first line from one on that is in slices from to to (not included); one behind the last if there is none.
func (l *ledger) next(line, from, to int) int {
	for line < len(l.lines) && (int(l.lines[line].slab) < from || int(l.lines[line].slab) >= to) {
		line++
	}
	return line
}
