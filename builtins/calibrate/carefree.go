package calibrate

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"pulsewright/builtins"
	"pulsewright/builtins/say"
)

// placed reports whether place matters to what the designs do: some order that is left is a mixed one.
func (c *Calibration) placed() bool {
	return slices.ContainsFunc(c.left.at, func(k cluster) bool {
		for i, o := range c.sp.orders {
			if o.Mixed && c.sp.pool[k.set].has(i) {
				return true
			}
		}
		return false
	})
}

// concerns are the designs that a calibration is for, and where they stand, if that matters.
func (c *Calibration) concerns() string {
	var names []string
	for _, d := range c.concern.designs {
		names = append(names, d.Name)
	}
	text := strings.Join(names, ", ")
	if c.placed() {
		text += fmt.Sprintf(" at %v", c.concern.at)
	}
	return text
}

// byValue says of which rules each open value was tried in so many worlds of its own; "" if there are none.
func (w worlds) byValue() string {
	edges, every := w.edges()
	var rules []string
	for _, e := range edges {
		if !slices.Contains(rules, e.rule) {
			rules = append(rules, e.rule)
		}
	}
	if len(rules) == 0 {
		return ""
	}
	text := fmt.Sprintf(", and in %d more, one for each value of %s that is open", len(edges), builtins.List(rules, len(rules), " and "))
	if !every {
		text += fmt.Sprintf(" (of those that no rig tells apart, the first %d and the last)", mostEdges)
	}
	return text
}

// concernText says, where n worlds are left, that this is enough for the designs, or that no rig tells more.
func (c *Calibration) concernText(n float64) string {
	ws, whole := c.left.sample(drawn, c.env.Seed)
	does, what, more := c.concern.ask(c.env, ws), c.concerns(), ""
	after := ""
	if k := c.experiments(); k > 0 {
		more, after = "more ", " after "+say.Count(k, "experiment")
	}
	why, head := "", fmt.Sprintf("nothing %sneeds to be asked for %s", more, what)
	switch {
	case !alike(does):
		head = fmt.Sprintf("nothing %scan be asked for %s", more, what)
		why = fmt.Sprintf("What is open changes what it does, but none of the rigs known here, of up to %d parts, tells it.", c.most)
	case whole:
		why = "That does not matter: it does the same in each of these worlds, with the numbers that were tried."
	default:
		why = fmt.Sprintf("That does not matter: in %d worlds drawn from these it did the same, with the numbers that were tried%s; in at most %.0f %% of all, at 95 %%, it does something else.",
			drawn, c.left.byValue(), 100*(1-math.Pow(sureness, 1.0/drawn)))
	}
	if c.placed() {
		why = strings.Replace(why, "does not matter:", "does not matter there:", 1)
		why += fmt.Sprintf(" That was tried with it built at %v, as at= says, the +x and +y of its frame along +x and +y. An order may be a mixed one: elsewhere, or turned, it may do something else, which was not tried.", c.concern.at)
	}
	if len(c.concern.designs) > 1 {
		why = strings.NewReplacer("it does", "each does", "it did", "each did", "with it built", "with each built", "it may do", "each may do").Replace(why)
	}
	return fmt.Sprintf("%s: %.0f worlds are possible%s, and open is\n%s%s\nThe first of them is %v\n", head, n, after, c.openText(), why, c.world())
}
