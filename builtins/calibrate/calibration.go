package calibrate

import (
	"fmt"
	"slices"
	"strings"
	"sync"

	"pulsewright/builtins"
	"pulsewright/engine"
)

// Calibration is what is known of the user's world so far: the worlds it may be, what was seen, and the next experiment. It changes with
// each answer, and can be taken back step by step.
type Calibration struct {
	sp      *space
	tables  []*table
	byName  map[string]*table
	env     *builtins.Env
	name    string // of the world that it finds
	most    int    // parts of one experiment
	concern *concern
	check   bool // go on until one wrong answer would show
	steps   []step
	said    *past             // the same, for undo
	skipped map[string]string // rigs that are not proposed, and why

	left   worlds   // that fit all answers
	but    []worlds // that fit all answers but one, for each
	next   *experiment
	first  *experiment // with which it begins: the dearest to work out
	key    [32]byte    // of what it began with
	at     engine.Cell // where the user builds
	frozen bool
	lock   sync.Mutex // of one that is frozen
}

// step is one thing that the user has said: what they saw, or which rigs are not to be proposed.
type step struct {
	answers []answer
	skips   []string
	why     string
	asked   bool // it answers an experiment that was proposed
}

// answer is what one rig showed.
type answer struct {
	*table
	shown string
}

// experiment are the rigs to be built side by side and fired together.
type experiment struct {
	rigs  []placedRig
	at    engine.Cell // where the user builds
	bits  float64
	check bool     // it checks answers, as there is nothing more to find
	half  bool     // it was stopped while it was chosen, and is not to be trusted
	aside []string // there are no rigs, but these, which were put aside, would find out more
}

// stopped reports whether the user has stopped what is being done: then whatever is being worked out ends soon, and is not kept.
func (c *Calibration) stopped() error { return c.env.Stopped() }

// answers are all so far.
func (c *Calibration) answers() (all []answer) {
	for _, s := range c.steps {
		all = append(all, s.answers...)
	}
	return all
}

// experiments is how many were answered.
func (c *Calibration) experiments() (n int) {
	for _, s := range c.steps {
		if s.asked && len(s.answers) > 0 {
			n++
		}
	}
	return n
}

// past is what was said so far, the last first: the same past is the same state.
type past struct {
	step   step
	before *past
}

// Stand is where the calibration stands, for undo.
func (c *Calibration) Stand() any { return c.said }

// Return goes to where the calibration once stood.
func (c *Calibration) Return(stand any) {
	var steps []*past
	for p := stand.(*past); p != nil; p = p.before {
		steps = append(steps, p)
	}
	c.steps, c.but, c.next = nil, nil, nil
	c.left, c.skipped = c.sp.all(), map[string]string{}
	for _, p := range slices.Backward(steps) {
		c.follow(p.step)
	}
	c.said = stand.(*past)
}

// take notes a step and works out what follows from it.
func (c *Calibration) take(s step) {
	c.said = &past{s, c.said}
	c.follow(s)
}

func (c *Calibration) follow(s step) {
	c.steps = append(c.steps, s)
	for _, a := range s.answers {
		for i := range c.but {
			c.but[i] = c.but[i].where(a.table, a.shown)
		}
		c.but = append(c.but, c.left)
		c.left = c.left.where(a.table, a.shown)
	}
	for _, name := range s.skips {
		c.skipped[name] = s.why
	}
	c.next = nil
}

// takeBack forgets the last step.
func (c *Calibration) takeBack() { c.Return(c.said.before) }

// torn reports whether the answers contradict each other.
func (c *Calibration) torn() bool { return c.left.empty() }

// proposal is the next experiment; one without rigs if there is none.
func (c *Calibration) proposal() *experiment {
	if c.next == nil && len(c.steps) == 0 && c.first != nil {
		c.next = c.first
	}
	if c.next == nil && len(c.steps) == 0 && c.concern == nil {
		c.next = c.open()
	}
	if c.next == nil {
		c.next = &experiment{}
		if !c.torn() {
			c.next.rigs, c.next.bits = c.ask()
			if len(c.next.rigs) == 0 {
				c.next.aside = c.aside()
			}
			if len(c.next.aside) > 0 {
				// nothing is found that could be checked
			} else if len(c.next.rigs) == 0 && c.check {
				c.next.rigs, c.next.check = c.chooseCheck(c.left, c.wanted(c.but)), true
			} else if c.check && c.concern == nil && !c.sp.mixed && len(c.steps) > 0 {
				c.next.rigs = c.fill(c.next.rigs)
			}
		}
		c.next.at = c.at
		if c.stopped() != nil {
			c.next = nil
			return &experiment{half: true}
		}
		if len(c.steps) == 0 {
			c.first = c.next
			if c.concern == nil && len(c.next.rigs) > 0 && !c.next.check {
				c.opened(c.next)
			}
		}
	}
	return c.next
}

// ask chooses the rigs that find out most: of which world it is, or of what changes what the user cares about.
func (c *Calibration) ask() ([]placedRig, float64) {
	if c.concern != nil {
		if rigs, bits, none := c.matters(c.left); none || len(rigs) > 0 {
			return rigs, bits
		}
	}
	return c.choose(c.left)
}

// aside are the rigs that were put aside and would find out more.
func (c *Calibration) aside() (names []string) {
	if len(c.skipped) == 0 {
		return nil
	}
	skipped := c.skipped
	c.skipped = map[string]string{}
	rigs, bits := c.ask()
	c.skipped = skipped
	for _, r := range rigs {
		if bits >= least && skipped[r.name] != "" {
			names = append(names, r.name)
		}
	}
	return names
}

// found reports whether what is left cannot be told apart.
func (c *Calibration) found() bool {
	p := c.proposal()
	return !c.torn() && !p.half && len(p.aside) == 0 && (len(p.rigs) == 0 || p.check)
}

// done reports whether there is nothing more to ask.
func (c *Calibration) done() bool {
	p := c.proposal()
	return len(p.rigs) == 0 && !p.half
}

// alone are the answers that no other bears out: were one of them wrong, nothing would have shown it.
func (c *Calibration) alone() (all []int) {
	for i := range c.but {
		if !c.but[i].less(c.left).empty() {
			all = append(all, i)
		}
	}
	return all
}

// record notes what the rigs of the proposal showed, in their order; "" for one of which the user is not sure.
func (c *Calibration) record(shown []string) {
	s := step{asked: true, why: "not sure"}
	for i, r := range c.proposal().rigs {
		if shown[i] == "" {
			s.skips = append(s.skips, r.name)
		} else {
			s.answers = append(s.answers, answer{r.table, shown[i]})
		}
	}
	c.take(s)
}

// possible are the outcomes that a rig may show in the worlds that are left, the likeliest first.
func (c *Calibration) possible(t *table) (all []string) {
	s := c.left.whole().by(t)
	type one struct {
		text string
		n    float64
	}
	var found []one
	for _, text := range t.outcomes {
		if n := c.left.where(t, text).count(); n > 0 {
			found = append(found, one{text, n / s.total})
		}
	}
	slices.SortStableFunc(found, func(a, b one) int {
		if n := strings.Compare(letterPart(a.text), letterPart(b.text)); n != 0 {
			return n
		}
		return lastNumber(a.text) - lastNumber(b.text)
	})
	for _, f := range found {
		all = append(all, f.text)
	}
	return all
}

// letterPart is an outcome without its last number.
func letterPart(s string) string { return strings.TrimRight(s, "0123456789") }

func lastNumber(s string) int {
	n := 0
	fmt.Sscanf(s[len(letterPart(s)):], "%d", &n)
	return n
}
