package calibrate

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"pulsewright/builtins"
	"pulsewright/builtins/say"
)

// open are the values that each rule may still have, in words, for the rules that have more than one.
func (w worlds) open() (rules []string, values map[string][]string) {
	values = map[string][]string{}
	add := func(rule, value string) {
		if !slices.Contains(values[rule], value) {
			values[rule] = append(values[rule], value)
		}
	}
	every := newOrderSet(len(w.orders))
	for _, k := range w.at {
		c := &w.combos[k.combo]
		for i, x := range w.pool[k.set] {
			every[i] |= x
		}
		add("news", builtins.NewsNames[c.news])
		add("reads", builtins.ReadsNames[c.reads])
		add("travel", named(w.travel, c.travel))
		add("reach", named(w.reach, c.reach))
		add("run", named(w.run, c.run))
		for _, f := range w.kin {
			add(f.name, f.labels[w.way(c.kinds, f)])
		}
	}
	for i, o := range w.orders {
		if every.has(i) {
			add("order", builtins.Rules{Rules: o}.OrderText())
		}
	}
	rules = slices.Clone(ruleNames)
	for _, f := range w.kin {
		rules = append(rules, f.name)
	}
	return rules, values
}

var ruleNames = []string{"order", "news", "reads", "travel", "reach", "run"}

// named is a number in words: 7, or 21 to 32 where one value stands for all of these.
func named(numbers []number, least int) string {
	for _, n := range numbers {
		if n.least == least && n.of > 1 {
			return fmt.Sprintf("%d to %d", n.least, n.most)
		}
	}
	return fmt.Sprint(least)
}

// mostListed is how many values of a rule are listed one by one.
const mostListed = 8

// openRule is a rule that is not known for certain, with the values that it may have.
type openRule struct {
	name   string
	values []string
}

// openRules are the rules of which more than one value is left, or of which all that was seen is that it is at least so much.
func (c *Calibration) openRules() (open []openRule) {
	rules, values := c.left.open()
	for _, r := range rules {
		v := values[r]
		if text := c.beyond(r); text != "" {
			v = []string{text}
		} else if len(v) == 1 && !strings.Contains(v[0], " to ") {
			continue
		}
		if len(v) > 0 {
			open = append(open, openRule{r, v})
		}
	}
	return open
}

// openText says in one line for each rule that is open what it may still be.
func (c *Calibration) openText() string {
	var s strings.Builder
	for _, r := range c.openRules() {
		v := r.values
		if len(v) > mostListed {
			v = append(slices.Clone(v[:2]), fmt.Sprintf("and so on to %s, %d in all", v[len(v)-1], len(v)))
		}
		fmt.Fprintf(&s, "  %s: %s\n", r.name, strings.Join(v, ", "))
	}
	return s.String()
}

// text is what there is to do next, or what was found.
func (c *Calibration) text() string {
	p := c.proposal()
	switch {
	case p.half:
		return "stopped while the next experiment was chosen; ask again"
	case c.torn():
		return c.tornText()
	case len(p.rigs) == 0:
		return c.foundText()
	}
	var s strings.Builder
	parts := 0
	for _, r := range p.rigs {
		parts += len(r.parts)
	}
	fmt.Fprintf(&s, "experiment %d: %s, %s", c.experiments()+1, say.Count(len(p.rigs), "rig"), say.Count(parts, "part"))
	if p.check {
		s.WriteString("; nothing more can be found: it checks the answers\n")
	} else {
		fmt.Fprintf(&s, "; tells %.1f of the %.1f bits that are open\n", p.bits, math.Log2(c.left.count()))
	}
	s.WriteString("Build it, press all keys in one tick, and look at what is named, once all is at rest.\n")
	if c.sp.mixed {
		s.WriteString("Each cell may have an order of its own: build it at the very cells that the map names.\n")
	}
	for i, r := range p.rigs {
		fmt.Fprintf(&s, "  r%d  %s%s\n", i+1, r.name, c.tells(r))
		fmt.Fprintf(&s, "      %s\n", r.asks())
	}
	s.WriteString("\n" + p.drawing(c.env))
	return s.String()
}

// tells is what a rig tells, in bits, or that it checks.
func (c *Calibration) tells(r placedRig) string {
	switch {
	case c.proposal().check:
		return ""
	case r.bits < least:
		return ": checks what was seen"
	case r.bits-r.adds > 0.05:
		return fmt.Sprintf(": %.1f bits, %.1f beyond the others", r.bits, r.adds)
	}
	return fmt.Sprintf(": %.1f bits", r.bits)
}

// asks says what to look at.
func (r *Rig) asks() string {
	if r.kin != nil {
		return r.asksSeries()
	}
	if n := r.lastLook(); n > 0 {
		return fmt.Sprintf("the %s: from which tick on is it lit, counted from the press as tick 1? Watch up to tick %d", r.seen[0].name, n)
	}
	var all []string
	for i, w := range r.seen {
		words, most := r.words(i)
		switch {
		case len(w.parts) > 1:
			all = append(all, fmt.Sprintf("%s: how many of %d are %s", w.name, len(w.parts), r.onWord(i)))
		case most > 0:
			all = append(all, w.name+": the number it shows")
		default:
			all = append(all, w.name+" "+strings.Join(words, " or "))
		}
	}
	return strings.Join(all, ", ")
}

// onWord is the word for a part that is on.
func (r *Rig) onWord(i int) string {
	_, on := builtins.StateWords(r.parts[r.seen[i].parts[0]].Kind)
	return on
}

// foundText says which world it is, what stays open, and which answers stand alone.
func (c *Calibration) foundText() string {
	var s strings.Builder
	w, n, open := c.world(), c.left.count(), c.openText()
	aside := c.proposal().aside
	switch {
	case len(aside) > 0:
		fmt.Fprintf(&s, "not found: %.0f worlds are left, and what would tell more of them was put aside: %s; .back() goes back to that. Open is\n%s", n, builtins.List(aside, len(aside), " and "), open)
	case c.concern != nil && n > 1:
		s.WriteString(c.concernText(n))
	case n > 1:
		fmt.Fprintf(&s, "found by %s: %v\n%.0f worlds are left that none of the rigs known here, of up to %d parts, tells apart; open is\n%s", say.Count(c.experiments(), "experiment"), w, n, c.most, open)
	case open != "":
		fmt.Fprintf(&s, "found by %s: %v\nwhat was seen goes for larger numbers, too, which were not given as possible; open is\n%s", say.Count(c.experiments(), "experiment"), w, open)
	default:
		fmt.Fprintf(&s, "found by %s: %v\n", say.Count(c.experiments(), "experiment"), w)
	}
	answers := c.answers()
	if alone := c.alone(); len(alone) > 0 {
		s.WriteString("If one of these answers is wrong, nothing has shown it: no other bears it out.\n")
		for _, i := range alone {
			fmt.Fprintf(&s, "  %s: %s\n", answers[i].name, answers[i].shown)
		}
	} else if len(answers) > 0 {
		fmt.Fprintf(&s, "No single answer of the %d can be wrong without another contradicting it.\n", len(answers))
	}
	return strings.TrimRight(s.String(), "\n")
}

// tornText says which answers cannot all be true, and which worlds come nearest.
func (c *Calibration) tornText() string {
	var s strings.Builder
	d, answers := c.doubts(), c.answers()
	s.WriteString("The answers contradict each other: no world that was given as possible shows all of this.\n")
	line := func(i int) { fmt.Fprintf(&s, "  answer %d, %s: %s\n", i+1, answers[i].name, answers[i].shown) }
	if len(d.least) == 1 {
		s.WriteString("In no world this is seen:\n")
	} else {
		fmt.Fprintf(&s, "These %d cannot all be true:\n", len(d.least))
	}
	for _, i := range d.least {
		line(i)
	}
	if d.missing == 0 {
		s.WriteString("No world fits all answers but three.")
		return s.String()
	}
	fmt.Fprintf(&s, "The nearest worlds fit all answers but %d:\n", d.missing)
	for k, out := range d.apart {
		if k == mostApart {
			fmt.Fprintf(&s, "  and %d more ways\n", len(d.apart)-k)
			break
		}
		var names []string
		for _, i := range out {
			names = append(names, fmt.Sprintf("answer %d", i+1))
		}
		fmt.Fprintf(&s, "  without %s: %s\n", strings.Join(names, " and "), c.without(out))
	}
	return strings.TrimRight(s.String(), "\n")
}

// mostApart is how many ways to leave answers out are listed.
const mostApart = 6

// without are the worlds that fit all answers but some, in words.
func (c *Calibration) without(out []int) string {
	w := c.sp.all()
	for i, a := range c.answers() {
		if !slices.Contains(out, i) {
			w = w.where(a.table, a.shown)
		}
	}
	if w.count() > 1 {
		return fmt.Sprintf("%.0f worlds", w.count())
	}
	k := w.at[0]
	for i := range c.sp.orders {
		if c.sp.pool[k.set].has(i) {
			return builtins.Rules{Rules: c.sp.rules(&c.sp.combos[k.combo], i)}.String() + c.sp.toldText(&c.sp.combos[k.combo])
		}
	}
	return ""
}
