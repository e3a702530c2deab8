package calibrate

import (
	"fmt"
	"slices"
	"strings"

	"pulsewright/engine"
)

// Of the largest value that a number may have, a rig often shows no more than that it is at least so much: a tray with as many tokens,
// a row that is live to its end. Then larger ones, which were not given as possible, would have shown the same.

// numeric is a rule that is a number.
type numeric struct {
	name    string
	numbers func(sp *space) []number
	of      func(c *combo) int
	in      func(r *engine.Rules) *int
	told    func(r *Rig) int // the value from which on it makes no difference to a rig
	most    int
}

var numerics = []numeric{
	{"travel", func(sp *space) []number { return sp.travel }, func(c *combo) int { return c.travel }, func(r *engine.Rules) *int { return &r.Travel },
		(*Rig).lastLook, engine.MaxTravel},
	{"reach", func(sp *space) []number { return sp.reach }, func(c *combo) int { return c.reach }, func(r *engine.Rules) *int { return &r.Reach },
		func(r *Rig) int { reach, _ := r.most(); return reach }, engine.MaxReach},
	{"run", func(sp *space) []number { return sp.run }, func(c *combo) int { return c.run }, func(r *engine.Rules) *int { return &r.Run },
		func(r *Rig) int { _, run := r.most(); return run }, engine.MaxRun},
}

// beyond is the text of a rule's value where larger ones than were given would have shown the same: "64 or more". "" where they would not,
// where the rule was known beforehand, and where more than its largest value is left.
func (c *Calibration) beyond(rule string) string {
	i := slices.IndexFunc(numerics, func(n numeric) bool { return n.name == rule })
	if i < 0 {
		return ""
	}
	n := numerics[i]
	numbers := n.numbers(c.sp)
	last := numbers[len(numbers)-1]
	if len(numbers) == 1 && last.of == 1 || c.left.empty() || len(c.answers()) == 0 {
		return ""
	}
	for _, k := range c.left.at {
		if n.of(&c.sp.combos[k.combo]) != last.least {
			return ""
		}
	}
	world, same := c.firstLeft(), last.most
	kinds := c.sp.combos[c.left.at[0].combo].kinds
	limit := last.most + 1 // all beyond are like this one
	for _, a := range c.answers() {
		limit = max(limit, n.told(a.Rig)+1)
	}
	for ; same < min(limit, n.most); same++ {
		*n.in(&world) = same + 1
		for _, a := range c.answers() {
			if a.laid.outcome(world, c.sp.way(kinds, a.kin)) != a.shown {
				return between(last.least, same, last.most)
			}
		}
	}
	if same == last.most {
		return ""
	}
	return fmt.Sprintf("%d or more", last.least)
}

// between is a value from least to most, where only those up to given were given; "" if there are no others.
func between(least, most, given int) string {
	if most == given {
		return ""
	}
	return fmt.Sprintf("%d to %d", least, most)
}

// firstLeft are the rules of the first world that is left.
func (c *Calibration) firstLeft() engine.Rules {
	k := c.left.at[0]
	for i := range c.sp.orders {
		if c.sp.pool[k.set].has(i) {
			return c.sp.rules(&c.sp.combos[k.combo], i)
		}
	}
	return engine.DefaultRules()
}

// atLeast says of which rules all that was seen is that they are at least so much: "reach is 64 or more".
func (c *Calibration) atLeast() string {
	var all []string
	for _, n := range numerics {
		if text := c.beyond(n.name); text != "" {
			all = append(all, n.name+" is "+text)
		}
	}
	return strings.Join(all, ", ")
}
