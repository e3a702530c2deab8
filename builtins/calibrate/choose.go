package calibrate

import "slices"

// least is the number of bits below which nothing is told.
const least = 1e-9

// placedRig is a rig of an experiment, with what it shows.
type placedRig struct {
	*table
	bits float64 // what it tells by itself
	adds float64 // what it tells beyond those before it
}

// choose finds the rigs of the next experiment: those that together split the worlds best, with so many parts at most. Each next one is that
// which tells most for each of its parts beyond those that have been taken.
func (c *Calibration) choose(w worlds) (rigs []placedRig, told float64) {
	now, left := w.whole(), c.most
	first := map[*table]float64{}
	for {
		var best *split
		var take *table
		bestScore, gain := 0.0, 0.0
		for _, t := range c.tables {
			n := len(t.parts)
			if n > left || c.skipped[t.name] != "" {
				continue
			}
			if c.stopped() != nil {
				return nil, 0
			}
			if len(rigs) > 0 && (first[t] < least || (first[t]/float64(n)) <= bestScore) {
				continue // beyond others it tells no more than alone
			}
			next := now.by(t)
			g := next.bits() - now.bits()
			if len(rigs) == 0 {
				first[t] = g
			}
			if g > least && g/float64(n) > bestScore {
				best, take, bestScore, gain = next, t, g/float64(n), g
			}
		}
		if take == nil {
			return rigs, now.bits()
		}
		rigs = append(rigs, placedRig{take, first[take], gain})
		if c.sp.mixed { // what it shows is known where it stands by itself
			return rigs, best.bits()
		}
		now, left = best, left-len(take.parts)
	}
}

// chooseCheck finds rigs that would show that one answer was wrong: among the worlds that fit all answers but one, they tell those apart from
// the worlds that fit all. near are these sets, one for each answer.
func (c *Calibration) chooseCheck(w worlds, near []worlds) (rigs []placedRig) {
	left := c.most
	near = slices.Clone(near)
	for i := range near {
		near[i] = near[i].less(w)
	}
	for {
		var take *table
		best := 0.0
		size := make([]float64, len(near))
		for i, v := range near {
			size[i] = v.count()
		}
		for _, t := range c.tables {
			n := len(t.parts)
			if n > left || c.skipped[t.name] != "" {
				continue
			}
			if c.stopped() != nil {
				return nil
			}
			shown, ok := t.sole(w)
			if !ok {
				continue
			}
			score := 0.0
			for i, v := range near {
				if size[i] > 0 {
					score += 1 - v.share(t, shown)/size[i]
				}
			}
			if score /= float64(n); score > best+least {
				best, take = score, t
			}
		}
		if take == nil {
			return rigs
		}
		shown, _ := take.sole(w)
		for i := range near {
			near[i] = near[i].where(take, shown)
		}
		rigs = append(rigs, placedRig{take, 0, 0})
		if c.sp.mixed {
			return rigs
		}
		left -= len(take.parts)
	}
}

// share is how many of the worlds show an outcome.
func (w worlds) share(t *table, outcome string) (n float64) {
	for _, k := range w.at {
		if s := t.showing(k.combo, outcome, w.pool[k.set]); s != nil {
			n += w.combos[k.combo].weight * float64(w.pool[k.set].countAnd(s))
		}
	}
	return n
}

// sole is what a rig shows in all of the worlds, if that is the same.
func (t *table) sole(w worlds) (outcome string, ok bool) {
	n := -1
	for _, k := range w.at {
		for _, s := range t.row(t.cellOf[k.combo], w.pool[k.set]).shows {
			if !w.pool[k.set].meets(s.orders) {
				continue
			}
			if n >= 0 && s.outcome != n {
				return "", false
			}
			n = s.outcome
		}
	}
	if n < 0 {
		return "", false
	}
	return t.outcomes[n], true
}
