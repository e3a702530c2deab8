package differ

import (
	"fmt"
	"strings"

	"pulsewright/builtins"
	"pulsewright/builtins/say"
	"pulsewright/engine"
)

// How much of a list a story tells; the value has all of it.
const (
	mostCauses = 8
	mostUnlike = 12
)

// teller writes a story line by line.
type teller struct {
	e     *builtins.Env
	lines []string
}

func (t *teller) add(indent, format string, args ...any) {
	t.lines = append(t.lines, t.e.Paragraph(fmt.Sprintf(format, args...), indent))
}

// list adds what is unlike, under a heading.
func (t *teller) list(heading string, all []unlike) {
	if len(all) == 0 {
		return
	}
	t.add("", "%s:", heading)
	for i, u := range all {
		if i == mostUnlike && len(all) > mostUnlike+1 {
			t.add("  ", "and %d more", len(all)-mostUnlike)
			break
		}
		t.add("  ", "%v", u)
	}
}

func (d *Found) story(e *builtins.Env) string {
	t := &teller{e: e}
	t.add("", "a: %s; b: %s", d.a.heading(), d.b.heading())
	if d.parted {
		d.tellParting(t)
	} else {
		d.tellSame(t)
	}
	d.tellPlaced(t)
	for _, s := range d.sides() {
		if s.fault != "" {
			t.add("", "%s did not come to rest: %s", s.letter, s.fault)
		}
		if s.bench != nil && s.bench.Recording() != engine.RecordAll {
			t.add("", "not all events of %s were recorded: before those that were, others may differ", s.letter)
		}
	}
	return strings.Join(t.lines, "\n")
}

// heading says what a side is, and what it read.
func (s *side) heading() string {
	what := s.what
	if s.span != nil {
		what += ", " + s.span.String()
	}
	if len(s.read) == 0 {
		return what
	}
	var got []string
	for _, v := range s.read {
		got = append(got, say.Clean(builtins.Show(v)))
	}
	return what + ", which read " + builtins.List(got, 8, " and ")
}

func (d *Found) tellSame(t *teller) {
	if d.alike == 0 {
		t.add("", "neither has any event: there is nothing to compare")
		return
	}
	when := "in the same turns"
	if d.lag {
		when = "each as long after its cause"
	}
	causes := ""
	if d.a.span != nil || d.b.span != nil {
		causes = ", as far as these lie in what is compared"
	}
	t.add("", "no event differs: %s, of %s, in the same order, %s, of the same causes%s", say.Count(d.alike, "event"), d.who(), when, causes)
}

// who counts the parts and bare cells that had events, of those that are the same.
func (d *Found) who() string {
	seen := make([]bool, len(d.a.first))
	parts, cells := 0, 0
	for i := 1; i <= d.alike; i++ {
		if c := d.a.class[d.a.at(i).ID]; !seen[c] {
			seen[c] = true
			if d.a.who(d.a.at(i).ID).kind == engine.Bare {
				cells++
			} else {
				parts++
			}
		}
	}
	var texts []string
	if parts > 0 {
		texts = append(texts, say.Count(parts, "part"))
	}
	if cells > 0 {
		texts = append(texts, say.Count(cells, "bare cell"))
	}
	return strings.Join(texts, " and ")
}

func (d *Found) tellParting(t *teller) {
	switch d.alike {
	case 0:
		t.add("", "they part at the first event:")
	default:
		t.add("", "they part after %s:", alike(d.alike))
	}
	for k, s := range d.sides() {
		t.add("  ", "%s: %s", s.letter, d.tellNext(k))
	}
	if how := d.how(); how != "" {
		t.add("  ", "%s", how)
	}
	d.tellStood(t)
	d.tellCauses(t)
}

func alike(n int) string {
	if n == 1 {
		return "1 event that is the same"
	}
	return fmt.Sprintf("%d events that are the same", n)
}

// tellNext tells the next event of a side, and when the other side does the same.
func (d *Found) tellNext(k int) string {
	s, o := d.sides()[k], d.sides()[1-k]
	i := d.alike + 1
	if d.ended(s) {
		switch {
		case s.saved != nil && d.alike == 0:
			return "the log holds no event"
		case s.saved != nil:
			return "the log ends"
		case d.alike == 0:
			return "no event"
		}
		return "no event more"
	}
	e := s.at(i)
	text := s.told(e)
	if d.lag && e.Cause != 0 && e.Cause != outside {
		text += ", " + s.since(e)
	}
	switch j := d.later[k]; {
	case j == i || d.ended(o): // the same event of the same part: how says what is not the same
	case j > 0:
		text += fmt.Sprintf("; %s has that further on, at %v", o.letter, o.at(j).At())
	case o.first[s.class[e.ID]] == 0 && o.saved == nil:
		text += fmt.Sprintf("; %s has no such part", o.letter)
	default:
		text += fmt.Sprintf("; %s does not have that from there on", o.letter)
	}
	return text
}

// since says how long after its cause an event comes.
func (s *side) since(e engine.Event) string {
	c := s.at(int(e.Cause))
	switch {
	case e.Tick == c.Tick && e.Step == c.Step:
		return "in the step of its cause"
	case e.Tick == c.Tick:
		return say.Count(int(e.Step-c.Step), "step") + " after its cause"
	}
	return fmt.Sprintf("%s after its cause, in step %d", say.Count(int(e.Tick-c.Tick), "tick"), e.Step)
}

// how says in what the next events differ, if they are the same word of the same part.
func (d *Found) how() string {
	i := d.alike + 1
	if d.later[0] != i {
		return ""
	}
	ea, eb := d.a.at(i), d.b.at(i)
	switch {
	case ea.Cause != eb.Cause && (d.lag || d.together(ea, eb)):
		return "the same event, but of another cause"
	case d.lag && (ea.Cause == 0 || ea.Cause == outside):
		return "the same event, but not as long after the last one that nothing in its frame caused"
	case d.lag:
		return "the same event, but not as long after its cause"
	case ea.Cause != eb.Cause:
		return "the same event, but at another time, and of another cause"
	}
	return "the same event, but at another time"
}

// tellStood tells how the parts stood just before.
func (d *Found) tellStood(t *teller) {
	t.add("", "%s:", d.when())
	for _, c := range d.concerned() {
		s := d.a
		if s.first[c] == 0 {
			s = d.b
		}
		name := s.called(s.first[c])
		in, other := d.then[0].words(c), d.then[1].words(c)
		if in == other {
			t.add("  ", "%s was %s in both", name, in)
		} else {
			t.add("  ", "%s: in a %s; in b %s", name, in, other)
		}
	}
	if len(d.stood) > 0 {
		t.list("other parts that stood otherwise then", d.stood)
	}
}

// when says what the moment is, of each side.
func (d *Found) when() string {
	var texts [2]string
	for k := range d.sides() {
		if texts[k] = "in the end"; !d.then[k].end {
			texts[k] = fmt.Sprintf("just before turn %v", d.then[k].at)
		}
	}
	if texts[0] == texts[1] {
		return texts[0]
	}
	return texts[0] + " of a, and " + texts[1] + " of b"
}

// tellCauses tells what caused both, from the latest event that both go back to.
func (d *Found) tellCauses(t *teller) {
	indent := "  "
	switch single := d.ended(d.a) || d.ended(d.b); {
	case d.join != 0:
		in, other := d.a.told(d.a.at(d.join)), d.b.told(d.b.at(d.join))
		if in != other {
			in += " in a, " + other + " in b"
		}
		if single {
			t.add("", "what caused it happened in both: %s", in)
		} else {
			t.add("", "the causes of both join at: %s", in)
		}
	case single:
		indent = ""
	default:
		within := "the"
		switch {
		case d.a.span != nil || d.b.span != nil:
			within = "within what is compared the"
		case d.a.part || d.b.part:
			within = "within the frame the"
		}
		t.add("", "%s causes of both have nothing in common:", within)
	}
	for k, s := range d.sides() {
		chain := d.chains[k]
		if d.ended(s) || d.join != 0 && len(chain) == 0 {
			continue
		}
		e := s.at(d.alike + 1)
		if d.join == 0 && len(chain) == 0 {
			t.add(indent, "in %s it %s", s.letter, s.causeless(e))
			continue
		}
		t.add("  ", "%s: %s", s.letter, s.told(e))
		for n, i := range chain {
			if n == mostCauses && len(chain) > mostCauses+1 {
				t.add("    ", "and %d causes more", len(chain)-mostCauses)
				break
			}
			t.add("    ", "because %s", s.told(s.at(i)))
		}
		if d.join == 0 {
			t.add("    ", "which %s", s.causeless(s.at(chain[len(chain)-1])))
		}
	}
	if e := d.joinOutside(); e != 0 {
		t.add("", "in the whole log they join at: %s", builtins.Told(d.a.bench, d.a.bench.Event(e)))
	}
}

// causeless says why an event has no cause.
func (s *side) causeless(e engine.Event) string {
	switch {
	case e.Cause == outside && s.span != nil && s.part:
		return "came from outside of the frame, or before " + s.span.String()
	case e.Cause == outside && s.span != nil:
		return fmt.Sprintf("was caused before tick %d", s.span.first)
	case e.Cause == outside:
		return "came from outside of the frame"
	case s.bench != nil && s.bench.Stimulus(e):
		return "is a stimulus"
	}
	return "has no cause in the log"
}

// tellPlaced tells what is placed or posed differently.
func (d *Found) tellPlaced(t *teller) {
	t.list("placed or posed differently", d.placed)
	t.list("in the end under other rules", d.rules)
	switch {
	case d.one:
	case !d.told:
		t.add("", "how parts are placed and posed was not compared: a log does not tell")
	case !d.posed:
		t.add("", "how some parts were posed was not compared: the history does not reach back so far")
	case len(d.placed) == 0:
		n := 0
		for c := range d.a.first {
			n += builtins.BoolInt(here(d.a, c) != 0)
		}
		t.add("", "%s placed and posed alike", thingsAre(n, d.slugs, d.a.cords()))
	}
}

// thingsAre counts them, with their verb.
func thingsAre(parts, slugs, cords int) string {
	all := []string{say.Count(parts, "part")}
	if slugs > 0 {
		all = append(all, say.Count(slugs, "loose slug"))
	}
	if cords > 0 {
		all = append(all, say.Count(cords, "cord"))
	}
	if len(all) == 1 && parts == 1 {
		return all[0] + " is"
	}
	return builtins.List(all, len(all), " and ") + " are"
}
