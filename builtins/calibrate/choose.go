package calibrate

import (
	"math"
	"sync"
	"sync/atomic"
)

// least is the number of bits below which nothing is told.
const least = 1e-9

// placedRig is a rig of an experiment, with what it shows.
type placedRig struct {
	*table
	bits float64 // what it tells by itself
	adds float64 // what it tells beyond those before it
}

// choosing is an experiment that is being chosen.
type choosing struct {
	*Calibration
	whole *split             // by none
	now   *split             // by the rigs that have been taken
	first map[*table]float64 // what each tells by itself
	left  int                // parts
	rigs  []placedRig
}

// choose finds the rigs of the next experiment: those that together split the worlds best, with so many parts at most. Each next one is that
// which tells most for each of its parts beyond those that have been taken. Rows of reeds are dear, and two short ones dearer than one that
// is long enough for all runs that are left: a shorter one only gets what parts the others leave, and where answers are checked these go to
// rigs that check, as they are needed whatever the run.
func (c *Calibration) choose(w worlds) (rigs []placedRig, told float64) {
	x := &choosing{Calibration: c, whole: w.whole(), first: map[*table]float64{}, left: c.most}
	x.now = x.whole
	x.alone()
	full := w.fullRow()
	long := func(t *table) bool { return t.about != "run" || len(t.seen[0].parts) == full }
	for x.take(long, 1) && !c.sp.mixed {
	}
	if len(x.rigs) == 0 || x.left > shortRow && !c.sp.mixed && !c.check {
		x.take(func(t *table) bool { return t.about == "run" }, 0)
	}
	if c.stopped() != nil {
		return nil, 0
	}
	return x.rigs, x.now.bits()
}

// alone finds out what each rig tells by itself, some at a time: the dearest part of a choice.
func (x *choosing) alone() {
	var fit []*table
	for _, t := range x.tables {
		if len(t.parts) <= x.left && x.skipped[t.name] == "" {
			fit = append(fit, t)
		}
	}
	bits := make([]float64, len(fit))
	var next atomic.Int64
	var all sync.WaitGroup
	for range x.env.AtOnce() {
		all.Go(func() {
			for i := int(next.Add(1)) - 1; i < len(fit) && x.stopped() == nil; i = int(next.Add(1)) - 1 {
				bits[i] = x.whole.by(fit[i]).bits()
			}
		})
	}
	all.Wait()
	for i, t := range fit {
		x.first[t] = bits[i]
	}
}

// shortRow is the number of reeds from which on a row is worth its place.
const shortRow = 6

// fullRow is how many reeds tell all runs apart that are left.
func (w worlds) fullRow() (n int) {
	for _, k := range w.at {
		n = max(n, w.combos[k.combo].run+1)
	}
	return n
}

// take takes that one of some rigs which tells most beyond those that have been taken; for each of its parts, or with none of their weight.
func (x *choosing) take(of func(*table) bool, weight float64) bool {
	var best *split
	var take *table
	bestScore, gain := 0.0, 0.0
	for _, t := range x.tables {
		if len(t.parts) > x.left || x.skipped[t.name] != "" || !of(t) {
			continue
		}
		if x.stopped() != nil {
			return false
		}
		n := math.Pow(float64(len(t.parts)), weight)
		if alone := x.first[t]; alone < least || alone/n <= bestScore {
			continue // beyond others it tells no more than alone
		}
		next := x.now.by(t)
		g := next.bits() - x.now.bits()
		if g > least && g/n > bestScore {
			best, take, bestScore, gain = next, t, g/n, g
		}
	}
	if take == nil {
		return false
	}
	x.rigs = append(x.rigs, placedRig{take, x.first[take], gain})
	x.now, x.left = best, x.left-len(take.parts)
	return true
}
