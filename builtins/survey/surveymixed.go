package survey

import (
	"fmt"
	"math/rand/v2"

	"pulsewright/builtins"
	"pulsewright/builtins/say"
	"pulsewright/engine"
)

// Under mixed orders each cell tells its neighbours in an order of its own. No case follows there from another: a machine that is moved, turned or
// mirrored comes to lie in cells with other orders. So cases are drawn by lot, each with a number of the orders, a place and
// an orientation, and each is run as it is. The same are drawn for every row, so that rows can be held against each other.

const (
	mixedSeeds  = 1_000_000 // the numbers of mixed orders that are drawn from, 0 first
	mixedPlaces = 1000      // how far off, along each axis, a machine may stand, in cells
	mixedUsual  = 100       // cases of a row where a rule asks for mixed orders, and nothing is said of how many
	mixedMost   = 100_000
	mixedNamed  = 4 // so many orders are named
)

var mixedDoc = fmt.Sprintf("how many cases to draw for each row under mixed orders, where each cell has an order of its own: a number of the orders, a place and an orientation by lot, and a bound is stated; nothing follows there from anything else; they come on top of runs; %d if rules asks for mixed orders", mixedUsual)

// mixedArg reads the parameter mixed.
func (o *world) mixedArg(c *builtins.Call) {
	usual := int64(0)
	asked := o.any || len(o.seeds) > 0
	if asked {
		usual = mixedUsual
	}
	if o.any {
		o.seeds = nil
	}
	n := c.Int("mixed", usual, 0)
	switch {
	case c.Err != nil:
	case n > mixedMost:
		c.Bad("mixed", fmt.Sprint(n), fmt.Sprintf("at most %d", mixedMost))
	case n == 0 && asked:
		c.Bad("mixed", "0", "at least 1, as rules asks for mixed orders")
	}
	o.mixed = int(n)
}

// onlyMixed reports whether all orders that are to be tried are mixed ones.
func (o world) onlyMixed() bool { return (o.any || len(o.seeds) > 0) && o.orders == nil }

// sorts are the sorts of rows there are: not under mixed orders, and under such.
func (w *Survey) sorts() (mixed []bool) {
	if !w.onlyMixed {
		mixed = append(mixed, false)
	}
	if w.mixed > 0 {
		mixed = append(mixed, true)
	}
	return mixed
}

// plainRows is how many rows are not under mixed orders; they are the first.
func (p *surveyPlan) plainRows() (n int) {
	for n < len(p.Rows) && !p.Rows[n].Mixed {
		n++
	}
	return n
}

// lot reports whether the cases are drawn under mixed orders.
func (l surveyLayout) lot() bool { return len(l) > 0 && l[0].Lot }

// layMixed draws the cases of the rows under mixed orders.
func (p *surveyPlan) layMixed() {
	if p.Mixed == 0 {
		return
	}
	rng := rand.New(rand.NewPCG(uint64(p.Seed), 0x6d69786564))
	l := make(surveyLayout, 0, p.Mixed)
	orders := []surveyOrder{{engine.DefaultRules().Order, 1}}
	for range p.Mixed {
		g := rng.IntN(len(allPoses()))
		pose := allPoses()[g]
		pose.Lot, pose.Stands, pose.Orders = true, []int{g}, orders
		off := func() int32 { return rng.Int32N(2*mixedPlaces+1) - mixedPlaces }
		pose.At = engine.Cell{X: off(), Y: off(), Z: off()}
		if pose.Seed = rng.Uint64N(mixedSeeds); len(p.Seeds) > 0 {
			pose.Seed = p.Seeds[rng.IntN(len(p.Seeds))]
		}
		l = append(l, pose)
	}
	for k := p.plainRows(); k < len(p.Rows); k++ {
		p.Rows[k].Layout = len(p.Layouts)
	}
	p.Layouts = append(p.Layouts, l)
}

// order says under which sort of orders a row is.
func (r surveyRow) order() string {
	if r.Mixed {
		return "mixed"
	}
	return "one for all"
}

// aCase says what a case is.
func (p *surveyPlan) aCase() (s string) {
	if p.plainRows() > 0 {
		s = fmt.Sprintf("a case: one of 48 orientations (24 rotations and their mirror images) under %s; it holds if every sending reads right\n", p.under())
	}
	if p.Mixed > 0 {
		orders := fmt.Sprintf("N of \"mixed N\" from 0 to %d", mixedSeeds-1)
		if len(p.Seeds) > 0 {
			orders = say.Count(len(p.Seeds), "such order") + ":"
			for _, n := range p.Seeds[:min(len(p.Seeds), mixedNamed)] {
				orders += fmt.Sprintf(" \"mixed %d\"", n)
			}
			if more := len(p.Seeds) - mixedNamed; more > 0 {
				orders += fmt.Sprintf(" and %d more", more)
			}
		}
		s += fmt.Sprintf("a case under mixed orders, where each cell has one of its own: %s, a place up to %d cells off along each axis, and one of 48 orientations; it holds if every sending reads right\n", orders, mixedPlaces)
	}
	return s
}

// mixedLot says how many cases were drawn for each row, where some are under mixed orders.
func (p *surveyPlan) mixedLot() string {
	s := fmt.Sprintf("by lot: %s for each row under mixed orders, the same for each, and none follows from another", say.Count(p.Mixed, "case"))
	if p.Sample > 0 {
		s += fmt.Sprintf("; %s for each other row", say.Count(p.Sample, "case"))
	}
	return s + fmt.Sprintf("; drawn with seed %d", p.Seed)
}

// besides says of what is covered that it is not what ran under mixed orders.
func (p *surveyPlan) besides() string {
	if p.Mixed == 0 {
		return ""
	}
	return " that are not under mixed orders"
}
