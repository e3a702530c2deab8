package calibrate

import (
	"fmt"
	"math"
	"strings"

	"pulsewright/builtins/say"
)

// names are the designs that a calibration is for.
func (n *concern) names() string {
	var names []string
	for _, d := range n.designs {
		names = append(names, d.Name)
	}
	return strings.Join(names, ", ")
}

// concernText says, where n worlds are left, that this is enough for the designs, or that no rig tells more.
func (c *Calibration) concernText(n float64) string {
	ws, whole := c.left.sample(drawn, c.env.Seed)
	does, what, more := c.concern.ask(c.env, ws), c.concern.names(), ""
	after := ""
	if k := c.experiments(); k > 0 {
		more, after = "more ", " after "+say.Count(k, "experiment")
	}
	why, head := "", fmt.Sprintf("nothing %sneeds to be asked for %s", more, what)
	switch {
	case !alike(does):
		head = fmt.Sprintf("nothing %scan be asked for %s", more, what)
		why = "What is open changes what it does, but no rig that is permitted tells it."
	case whole:
		why = "That does not matter: it does the same in each of these worlds, with the numbers that were tried."
	default:
		why = fmt.Sprintf("That does not matter: in %d worlds drawn from these it did the same, with the numbers that were tried, and in %d more, one for each value of news, reads, travel, reach and run that is open; in at most %.0f %% of all, at 95 %%, it does something else.",
			drawn, len(ws)-drawn, 100*(1-math.Pow(sureness, 1.0/drawn)))
	}
	if len(c.concern.designs) > 1 {
		why = strings.NewReplacer("it does", "each does", "it did", "each did").Replace(why)
	}
	return fmt.Sprintf("%s: %.0f worlds are possible%s, and open is\n%s%s\nThe first of them is %v\n", head, n, after, c.openText(), why, c.world())
}
