package why

import (
	"fmt"
	"slices"
	"strings"

	"pulsewright/builtins"
	"pulsewright/builtins/say"
	"pulsewright/engine"

	"go.starlark.net/starlark"
)

func whyWords() []builtins.Entry {
	return []builtins.Entry{{Name: "why", Topic: "seeing", Sentence: "Tells why a part last changed, or why an event happened: the chain of causes back to the stimulus, repeats folded.",
		Params: []builtins.Param{
			{Name: "target", Type: "a part, its name, its cell, or an event", Doc: "whose last change; or which event"},
			showParam, builtins.AtParam},
		Returns: "the chain, latest first: a list of steps with .event .part .what .at .told_by .count .first .last .again .times; the chain has .event .part .count .stimulus .events .steps .text, too",
		Example: "w = wire((0, 0), name=\"quay\")\nl = link((1, 0), \"+y\", name=\"pull\")\nfire(w, 3)\nrun()\ny = why(events(l)[0])\nexpect_equal((y.count, y.stimulus.what, y[0].told_by.what), (2, \"forced\", \"forced\"))",
		See:     []string{"whynot", "events"}, Call: why}}
}

// showParam keeps a word that tells a story silent.
var showParam = builtins.Param{Name: "show", Type: "bool", Default: "True", Optional: true, Doc: "False: only gives the value and prints nothing"}

func why(c *builtins.Call) (starlark.Value, error) {
	id, of := eventOrChange(c, "target")
	show := c.Bool("show", true)
	if c.Err != nil {
		return nil, c.Err
	}
	w := newWhy(c.Env, id, of)
	if show {
		c.Env.Print(w.text)
		w.shown = true
	}
	return w, nil
}

// eventOrChange reads an event, or a part or cell: then its last change, or the last one up to a moment, which may be another part's
// event.
func eventOrChange(c *builtins.Call, param string) (id engine.EventID, of engine.ID) {
	b := c.Env.Bench
	if e := c.EventParam(param); e != nil {
		if c.Has("at") {
			c.Fail("an event has a moment of its own; leave at out, or give a part")
		}
		return e.ID, 0
	}
	t := c.Target(param)
	before := engine.EventID(0)
	if c.Has("at") {
		at := c.Moment("at")
		before = builtins.EventAfter(b, at)
		if e := c.EventParam("at"); e != nil {
			before = e.ID + 1 // not what came later in that turn
		}
	}
	if c.Err != nil {
		return 0, 0
	}
	name := fmt.Sprintf("cell %v", t.Cell)
	if t.ID == 0 {
		t.ID, _ = b.IDAt(t.Cell)
	} else {
		name = say.Clean(builtins.Describe(b, t.ID))
	}
	last := engine.EventID(0)
	if t.ID != 0 {
		last = b.LastChange(t.ID, before)
	}
	if last == 0 {
		c.Fail("%s", unchanged(b, name, t.ID, before))
	}
	return last, t.ID
}

// unchanged says that a part or cell has not changed, or not before an event.
func unchanged(b *engine.Bench, name string, id engine.ID, before engine.EventID) string {
	text := name + " has not changed yet"
	if before > 0 {
		text = name + " had not changed by then"
	}
	switch last := b.LastChange(id, 0); {
	case id == 0:
	case before > 0 && last > 0:
		text += fmt.Sprintf("; its last change came at %v", b.Event(last).At())
	case b.KindOf(id) != engine.Bare:
		text += "; whynot() tells why it did not"
	}
	if b.Recording() != engine.RecordAll {
		text += fmt.Sprintf("; but only %s events are recorded now", builtins.RecordNames[b.Recording()])
	}
	return text
}

// Why is a chain of causes, the latest first.
type Why struct {
	bench *engine.Bench
	spans []engine.Span
	of    engine.ID      // whose change it is, if a part was asked about
	root  engine.EventID // the event without a cause
	count int
	text  string
	shown bool
}

var (
	_ starlark.HasAttrs  = (*Why)(nil)
	_ starlark.Indexable = (*Why)(nil)
	_ starlark.Sequence  = (*Why)(nil)
	_ builtins.Shown     = (*Why)(nil)
)

func newWhy(e *builtins.Env, id engine.EventID, of engine.ID) *Why {
	w := &Why{bench: e.Bench, spans: e.Bench.Why(id), of: of}
	for _, s := range w.spans {
		w.count += s.N
	}
	w.root = w.spans[len(w.spans)-1].First
	w.text = w.story(e)
	return w
}

// Limits of a story: of a long one the beginning and the end are told.
const storyHead, storyTail = 24, 16

func (w *Why) story(e *builtins.Env) string {
	b := w.bench
	var lines []string
	for i, s := range w.spans {
		if skip := len(w.spans) - storyHead - storyTail; skip > 1 && i >= storyHead && i < storyHead+skip {
			if i == storyHead {
				n := 0
				for _, s := range w.spans[i : i+skip] {
					n += s.N
				}
				lines = append(lines, e.Paint.Apply(say.Dim, fmt.Sprintf("  (%d causes more)", n)))
			}
			continue
		}
		text, indent := "because "+w.line(e, i), "  "
		if i == 0 {
			last := b.Event(s.Last)
			head := builtins.Told(b, last)
			if w.of != 0 && w.of != last.ID {
				head = builtins.Who(b, w.of) + " changed when " + head
			}
			if s.N == 1 {
				text, indent = head, ""
			} else {
				lines = append(lines, e.Paragraph(head, ""))
				text = "the last of " + w.line(e, i)
			}
		}
		if i == len(w.spans)-1 {
			text += w.ending()
		}
		lines = append(lines, e.Paragraph(text, indent))
	}
	return strings.Join(lines, "\n")
}

// line tells one span.
func (w *Why) line(e *builtins.Env, i int) string {
	b, s := w.bench, w.spans[i]
	first, last := b.Event(s.First), b.Event(s.Last)
	switch {
	case s.Again > 0:
		others := ""
		if last.ID != b.Event(w.spans[i-s.Again].Last).ID {
			others = ", with other parts"
		}
		return fmt.Sprintf("the same %s came %s before%s, back to %v", say.Count(s.Again, "line"), times(s.Times), others, first.At())
	case s.N == 1:
		return builtins.Told(b, last)
	}
	verb := builtins.Past(b, first)
	if first.ID == last.ID {
		return fmt.Sprintf("%s %s %d times, %s, from %v to %v", builtins.Who(b, first.ID), verb, s.N, pace(s), first.At(), last.At())
	}
	verb = strings.Replace(verb, "was ", "were ", 1)
	return fmt.Sprintf("%d %s %s, %s, from %v to %v", s.N, e.Those(b, first.ID, last.ID), verb, pace(s), first.At(), last.At())
}

func times(n int) string {
	switch n {
	case 1:
		return "once"
	case 2:
		return "twice"
	}
	return fmt.Sprintf("%d times", n)
}

// pace is how fast the events of a span follow one another.
func pace(s engine.Span) string {
	switch {
	case s.Ticks == 1:
		return "one each tick"
	case s.Ticks > 1:
		return fmt.Sprintf("one every %d ticks", s.Ticks)
	case s.Steps == 0:
		return "all in one step"
	case s.Steps == 1:
		return "one each step"
	}
	return fmt.Sprintf("one every %d steps", s.Steps)
}

// ending says what is at the root.
func (w *Why) ending() string {
	b := w.bench
	e := b.Event(w.root)
	switch {
	case builtins.Hand(b, e) != "":
		return ": the stimulus"
	case b.Stimulus(e):
		return ": by hand, or so it was posed"
	case b.Recording() == engine.RecordAll:
		return ": so it was posed"
	}
	return "; its cause was not recorded"
}

func (w *Why) Shown() bool           { return w.shown }
func (w *Why) Type() string          { return "why" }
func (w *Why) Freeze()               {}
func (w *Why) Truth() starlark.Bool  { return starlark.True }
func (w *Why) Hash() (uint32, error) { return 0, fmt.Errorf("a why cannot be a key of a dict") }
func (w *Why) String() string        { return w.text }
func (w *Why) Len() int              { return len(w.spans) }

// Index gives one step of the chain; 0 is the latest.
func (w *Why) Index(i int) starlark.Value { return &WhyStep{w, i, w.spans[i]} }

// Iterate goes along the chain, the latest step first.
func (w *Why) Iterate() starlark.Iterator { return &indexIterator{of: w} }

// AttrNames lists the attributes.
func (w *Why) AttrNames() []string {
	return []string{"count", "event", "events", "part", "steps", "stimulus", "text"}
}

// Attr reads an attribute.
func (w *Why) Attr(name string) (starlark.Value, error) {
	switch name {
	case "count":
		return starlark.MakeInt(w.count), nil
	case "event":
		return eventValue(w.bench, w.spans[0].Last), nil
	case "part":
		return builtins.PartValue(w.bench, w.bench.Event(w.spans[0].Last).ID), nil
	case "stimulus":
		if !w.bench.Stimulus(w.bench.Event(w.root)) {
			return starlark.None, nil
		}
		return eventValue(w.bench, w.root), nil
	case "text":
		return starlark.String(w.text), nil
	case "steps":
		steps := make([]starlark.Value, len(w.spans))
		for i := range steps {
			steps[i] = w.Index(i)
		}
		return starlark.NewList(steps), nil
	case "events":
		all := make([]starlark.Value, 0, w.count)
		for id, e := range w.bench.Causes(w.spans[0].Last) {
			all = append(all, &builtins.Event{Bench: w.bench, ID: id, Event: e})
		}
		return starlark.NewList(all), nil
	}
	return nil, nil
}

// WhyStep is one step of a chain of causes: an event, or several alike folded into one.
type WhyStep struct {
	why  *Why
	i    int
	span engine.Span
}

var _ starlark.HasAttrs = (*WhyStep)(nil)

func (s *WhyStep) Type() string          { return "step" }
func (s *WhyStep) Freeze()               {}
func (s *WhyStep) Truth() starlark.Bool  { return starlark.True }
func (s *WhyStep) Hash() (uint32, error) { return uint32(s.span.Last), nil }
func (s *WhyStep) String() string        { return s.why.line(&builtins.Env{ASCII: true}, s.i) }

var whyStepAttrs = []string{"again", "at", "count", "event", "first", "last", "part", "pace", "times", "told_by", "what"}

// AttrNames lists the attributes.
func (s *WhyStep) AttrNames() []string { return slices.Clone(whyStepAttrs) }

// Attr reads an attribute.
func (s *WhyStep) Attr(name string) (starlark.Value, error) {
	b := s.why.bench
	last := b.Event(s.span.Last)
	switch name {
	case "event", "last":
		return eventValue(b, s.span.Last), nil
	case "first":
		return eventValue(b, s.span.First), nil
	case "part":
		return builtins.PartValue(b, last.ID), nil
	case "what":
		return starlark.String(b.Word(last)), nil
	case "at":
		return builtins.Instant{Instant: last.At()}, nil
	case "told_by":
		return eventValue(b, b.Event(s.span.First).Cause), nil
	case "count":
		return starlark.MakeInt(s.span.N), nil
	case "again":
		return starlark.MakeInt(s.span.Again), nil
	case "times":
		return starlark.MakeInt(s.span.Times), nil
	case "pace":
		if s.span.N == 1 || s.span.Again > 0 {
			return starlark.None, nil
		}
		return starlark.Tuple{starlark.MakeInt64(s.span.Ticks), starlark.MakeInt(s.span.Steps)}, nil
	}
	return nil, nil
}

// eventValue is an event as a script sees it; None if there is none.
func eventValue(b *engine.Bench, id engine.EventID) starlark.Value {
	if e := builtins.NewEvent(b, id); e != nil {
		return e
	}
	return starlark.None
}

// indexIterator iterates over what can be indexed.
type indexIterator struct {
	of starlark.Indexable
	i  int
}

// Next gives the next element.
func (it *indexIterator) Next(p *starlark.Value) bool {
	if it.i >= it.of.Len() {
		return false
	}
	*p = it.of.Index(it.i)
	it.i++
	return true
}

// Done ends the iteration.
func (it *indexIterator) Done() {}
