package engine

import "slices"

// raised is a conductor and the level it could have.
type raised struct{ site, level int32 }

// source is the level that feeds give the cell, apart from its neighbours.
func (b *Bench) source(s int32) int32 {
	st := &b.st[s]
	if !st.conducts() {
		return 0
	}
	if st.fed > 0 || st.forced > 0 {
		return int32(b.rules.Reach)
	}
	top := int32(0)
	for d, n := range b.site[s].nbr {
		if n >= 0 && (b.st[n].kind == Meter || b.st[n].slug&toldFront != 0) && b.site[n].facing == Dir(d^1) {
			top = max(top, b.frontLevel(n))
		}
	}
	return min(top, int32(b.rules.Reach))
}

// level is the cell's level as a neighbouring conductor sees it.
func (b *Bench) level(s int32) int32 {
	if st := &b.st[s]; st.conducts() {
		return st.n
	}
	return 0
}

// held reports whether the level that s has is given by a feed or a neighbour.
func (b *Bench) held(s, level, src int32) bool {
	if src >= level {
		return true
	}
	if !b.st[s].conducts() {
		return false
	}
	for _, n := range b.site[s].nbr {
		if n >= 0 && b.st[n].n > level && b.st[n].conducts() {
			return true
		}
	}
	return false
}

// settle brings all levels up to date, starting from the seeds, and leaves in changed
// the conductors whose level is another than before, marked. It touches those
// conductors and their neighbours only. Cords that start at conductors take part in
// rounds: levels, then cords, until nothing changes.
func (b *Bench) settle() {
	for round := 0; len(b.seeds) > 0; round++ {
		if round > 2*len(b.cords)+8 {
			b.broken = errLevels
			b.seeds = b.seeds[:0]
			break
		}
		b.lowerLevels()
		b.raiseLevels()
		b.seeds = b.seeds[:0]
		for _, s := range b.touched {
			b.refreshPad(s)
		}
		if b.ncond > 0 {
			for _, s := range b.touched {
				b.refreshCords(s)
			}
		}
		b.touched = b.touched[:0]
	}
	keep := b.changed[:0]
	for _, s := range b.changed {
		if b.st[s].n == b.was[s] {
			b.st[s].flags &^= fMark
		} else {
			keep = append(keep, s)
		}
	}
	b.changed = keep
}

func (b *Bench) setLevel(s, level int32) {
	st := &b.st[s]
	if st.flags&fMark == 0 {
		st.flags |= fMark
		b.was[s] = st.n
		b.changed = append(b.changed, s)
	}
	st.n = level
	b.touched = append(b.touched, s)
}

// lowerLevels takes their level from all conductors that nothing holds any more. Only a
// higher neighbour holds a conductor, and when it is lowered later those it held are
// looked at again, so nothing is lowered too early or forgotten.
func (b *Bench) lowerLevels() {
	b.lower = append(b.lower[:0], b.seeds...)
	for head := 0; head < len(b.lower); head++ {
		s := b.lower[head]
		st := &b.st[s]
		was := st.n
		if was == 0 || b.held(s, was, b.source(s)) {
			continue
		}
		b.setLevel(s, 0)
		for _, n := range b.site[s].nbr {
			if n >= 0 && b.st[n].n == was-1 && was > 1 && b.st[n].conducts() {
				b.lower = append(b.lower, n)
			}
		}
	}
}

// raiseLevels gives the conductors that were lowered, and the seeds, the level they
// should have, highest first.
func (b *Bench) raiseLevels() {
	b.raise = b.raise[:0]
	for _, s := range b.touched {
		b.consider(s)
	}
	for _, s := range b.seeds {
		b.consider(s)
	}
	if len(b.raise) > 1 {
		slices.SortStableFunc(b.raise, func(x, y raised) int { return int(y.level) - int(x.level) })
	}
	sorted, i, head := len(b.raise), 0, len(b.raise)
	for i < sorted || head < len(b.raise) {
		var r raised
		if head == len(b.raise) || i < sorted && b.raise[i].level >= b.raise[head].level {
			r = b.raise[i]
			i++
		} else {
			r = b.raise[head]
			head++
		}
		if b.st[r.site].n >= r.level {
			continue
		}
		b.setLevel(r.site, r.level)
		if r.level == 1 {
			continue
		}
		for _, n := range b.site[r.site].nbr {
			if n >= 0 && b.st[n].n < r.level-1 && b.st[n].conducts() {
				b.raise = append(b.raise, raised{n, r.level - 1})
			}
		}
	}
}

func (b *Bench) consider(s int32) {
	if !b.st[s].conducts() {
		return
	}
	best := b.source(s)
	for _, n := range b.site[s].nbr {
		if n >= 0 {
			best = max(best, b.level(n)-1)
		}
	}
	if best > b.st[s].n {
		b.raise = append(b.raise, raised{s, best})
	}
}

// settleSilently settles without telling anybody: for posing and editing.
func (b *Bench) settleSilently() {
	if len(b.seeds) == 0 {
		return
	}
	b.settle()
	for _, s := range b.changed {
		b.st[s].flags &^= fMark
	}
	b.changed = b.changed[:0]
}

// keepForUndo keeps the bench as it is before an edit, if the edit could leave levels
// that never settle: only where a cord from a conductor turns power round.
func (b *Bench) keepForUndo() *Snapshot {
	if b.nturn == 0 {
		return nil
	}
	s := b.Snapshot()
	b.own()
	return s
}

// settleEdit settles silently at the end of an edit, or takes the edit back.
func (b *Bench) settleEdit(back *Snapshot) error {
	b.settleSilently()
	if b.broken == nil {
		return nil
	}
	err := b.broken
	if back != nil {
		b.restore(back)
	}
	return err
}

// resettle settles all levels anew, silently, after the reach changed.
func (b *Bench) resettle() {
	for i := range b.st {
		if s := int32(i); b.st[s].conducts() {
			if b.st[s].n > 0 {
				b.setLevel(s, 0)
			}
			b.seeds = append(b.seeds, s)
		}
	}
	b.settleSilently()
}
