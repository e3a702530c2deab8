package calibrate

import (
	"math/rand/v2"

	"pulsewright/engine"
)

// edge is a value of a rule that is still open: one world with it is tried, all else by lot.
type edge struct {
	rule string
	is   func(c *combo) bool
	set  func(r *engine.Rules)
}

// mostEdges is how many values are tried of those that one stands for, and the last.
const mostEdges = 64

// edges are the values of all rules but the order of which more than one is left. every: there are no more than these.
func (w worlds) edges() (all []edge, every bool) {
	every = true
	add := func(rule string, some []edge) {
		left := 0
		for i := range some {
			some[i].rule = rule
			for _, k := range w.at {
				if some[i].is(&w.combos[k.combo]) {
					some[left] = some[i]
					left++
					break
				}
			}
		}
		if left > 1 {
			all = append(all, some[:left]...)
		}
	}
	var some []edge
	for _, n := range w.news {
		some = append(some, edge{is: func(c *combo) bool { return c.news == n }, set: func(*engine.Rules) {}})
	}
	add("news", some)
	some = nil
	for _, n := range w.reads {
		some = append(some, edge{is: func(c *combo) bool { return c.reads == n }, set: func(*engine.Rules) {}})
	}
	add("reads", some)
	for _, rule := range numerics {
		some = nil
		for _, n := range rule.numbers(w.space) {
			for i, v := range n.values {
				if i < mostEdges || i == len(n.values)-1 {
					some = append(some, edge{is: func(c *combo) bool { return rule.of(c) == n.least }, set: func(r *engine.Rules) { *rule.in(r) = v }})
				} else {
					every = false
				}
			}
		}
		add(rule.name, some)
	}
	return all, every
}

// with is a world with that value.
func (e edge) with(w worlds, r *rand.Rand, draw func(cluster) engine.Rules) engine.Rules {
	var have []cluster
	for _, k := range w.at {
		if e.is(&w.combos[k.combo]) {
			have = append(have, k)
		}
	}
	world := draw(have[r.IntN(len(have))])
	e.set(&world)
	return world
}
