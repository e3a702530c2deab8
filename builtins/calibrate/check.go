package calibrate

import (
	"math"
	"slices"
)

// Answers bear one another out: as long as a world is possible that fits all answers but one, that one stands alone. Rigs that check tell such
// worlds apart from those that fit all.

// course is one way in which the answers may turn out.
type course struct {
	truth worlds   // whose answers these are
	near  []worlds // for each answer, the worlds that fit all others but not it
}

// guessed is for how many of the worlds that are left it is weighed what checks best.
const guessed = 3

// chooseCheck finds rigs that would show that one answer was wrong. near are the worlds that fit all answers but one, for each.
func (c *Calibration) chooseCheck(w worlds, near []worlds) []placedRig {
	k := course{w, slices.Clone(near)}
	for i := range near {
		k.near[i] = near[i].less(w)
	}
	if c.sp.mixed {
		return c.bearOut(nil, []course{k}, 1)
	}
	// What all of this shows is known beforehand, as far as it checks: so the whole way is gone through in some ways, and the shortest is taken.
	best, fewest := []placedRig(nil), math.Inf(1)
	for _, weight := range []float64{1, 0.75, 0.5, 0.25, 0} {
		way, length := []course{{w, slices.Clone(k.near)}}, 0.0
		first := c.bearOut(nil, way, weight)
		for rigs := first; len(rigs) > 0; rigs = c.bearOut(nil, way, weight) {
			length++
			for _, r := range rigs {
				length += float64(len(r.parts)) / 1e4
			}
		}
		if c.stopped() != nil {
			return nil
		}
		if length < fewest {
			best, fewest = first, length
		}
	}
	return best
}

// fill adds rigs that check to those that find out, as far as the parts of an experiment go.
func (c *Calibration) fill(rigs []placedRig) []placedRig {
	var courses []course
	for _, h := range c.left.some(guessed) {
		w, k := c.left, course{h, slices.Clone(c.but)}
		for _, r := range rigs {
			shown, _ := r.sole(h)
			for i := range k.near {
				k.near[i] = k.near[i].where(r.table, shown)
			}
			k.near = append(k.near, w)
			w = w.where(r.table, shown)
		}
		for i := range k.near {
			k.near[i] = k.near[i].less(w)
		}
		courses = append(courses, k)
	}
	return c.bearOut(rigs, courses, 1)
}

// bearOut adds to some rigs those that check best, whichever course the answers take: for each of their parts, or with less of their weight.
func (c *Calibration) bearOut(rigs []placedRig, courses []course, weight float64) []placedRig {
	left := c.most
	for _, r := range rigs {
		left -= len(r.parts)
	}
	for {
		var take *table
		best, open := 0.0, 0.0
		for _, k := range courses {
			for _, v := range k.near {
				open += float64(min(len(v.at), 1))
			}
		}
		for _, t := range c.tables {
			n := math.Pow(float64(len(t.parts)), weight)
			if len(t.parts) > left || open/n <= best || c.skipped[t.name] != "" || slices.ContainsFunc(rigs, func(r placedRig) bool { return r.table == t }) {
				continue
			}
			if c.stopped() != nil {
				return nil
			}
			if score := shows(t, courses) / n; score > best+least {
				best, take = score, t
			}
		}
		if take == nil {
			return rigs
		}
		for _, k := range courses {
			shown, _ := take.sole(k.truth)
			for i := range k.near {
				k.near[i] = k.near[i].where(take, shown)
			}
		}
		rigs = append(rigs, placedRig{take, 0, 0})
		if c.sp.mixed {
			return rigs
		}
		left -= len(take.parts)
	}
}

// shows is how much of the near worlds a rig tells apart from the true ones; nothing if these do not all show the same.
func shows(t *table, courses []course) (score float64) {
	for _, k := range courses {
		shown, ok := t.sole(k.truth)
		if !ok {
			return 0
		}
		for _, v := range k.near {
			if len(v.at) == 0 {
				continue
			}
			// A row that is too short leaves a longer one to be built all the same.
			if share := v.share(t, shown); share == 0 || t.about != "run" {
				score += 1 - share/v.count()
			}
		}
	}
	return score
}

// some are n of the worlds, each by itself, spread over all of them.
func (w worlds) some(n int) (all []worlds) {
	total := w.count()
	for i := range n {
		at := total * (float64(i) + 0.5) / float64(n)
		for _, k := range w.at {
			weight := w.combos[k.combo].weight
			if at -= weight * float64(w.size[k.set]); at >= 0 {
				continue
			}
			order := int(-at/weight) % len(w.orders) // from the back; any will do
			for !w.pool[k.set].has(order) {
				order = (order + 1) % len(w.orders)
			}
			one := newOrderSet(len(w.orders))
			one.add(order)
			all = append(all, worlds{w.space, []cluster{{k.combo, w.intern(one)}}})
			break
		}
	}
	return all
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
