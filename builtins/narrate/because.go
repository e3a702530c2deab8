package narrate

import (
	"strconv"

	"pulsewright/builtins"
	"pulsewright/engine"
)

// Because appends the end of a sentence about an event, with its full stop: because of what it happened. Label names a part.
func Because(buf []byte, b *engine.Bench, e engine.Event, label func(engine.ID) string) []byte {
	if e.Cause == 0 {
		if hand := builtins.Hand(b, e); hand != "" {
			buf = append(buf, hands[hand]...)
		} else {
			buf = append(buf, causeless[builtins.Causeless(b, e)]...)
		}
		return append(buf, '.')
	}
	c := b.Event(e.Cause)
	buf = append(buf, ", because "...)
	buf = append(buf, label(c.ID)...)
	buf = append(buf, ' ')
	buf = append(buf, builtins.Past(b, c)...)
	switch {
	case c.Tick == e.Tick-1:
		buf = append(buf, " one tick ago"...)
	case c.Tick < e.Tick:
		buf = strconv.AppendInt(append(buf, ' '), e.Tick-c.Tick, 10)
		buf = append(buf, " ticks ago"...)
	case c.Step < e.Step-1:
		buf = append(buf, " in step "...)
		buf = strconv.AppendInt(buf, int64(c.Step), 10)
	}
	return append(buf, '.')
}

// Sentence tells a group: who, does what, because of what.
func Sentence(b *engine.Bench, g Group, label func(engine.ID) string, dots string) string {
	who, verb := label(g.First.ID), builtins.VerbOf(b, g.First)
	does := verb.One
	if g.N > 1 {
		who, does = Span(b, g, label, dots), verb.Many
	}
	return string(Because([]byte(who+" "+does), b, g.First, label))
}

// Sentences tell the turn that a fold has collected: one sentence a group, two for a pair.
func (f *Fold) Sentences(b *engine.Bench, label func(engine.ID) string, dots string) (texts []string) {
	for _, g := range f.Groups() {
		if g.N == 2 {
			texts = append(texts, Sentence(b, Group{First: g.First, N: 1}, label, dots))
			g = Group{First: g.Last, N: 1}
		}
		texts = append(texts, Sentence(b, g, label, dots))
	}
	return texts
}

// hands are the causes of what has none: somebody did it.
var hands = map[string]string{
	"press":       ", because it was pressed",
	"release":     ", because it was released",
	"fire":        ", because it was fired",
	"end of fire": ", because the fired pulse is over",
	"nudge":       " by hand",
}

// causeless are the other events without a cause.
var causeless = map[string]string{
	"posed":             ", because so it was posed",
	"release, or posed": ", because it was released or so it was posed",
	"not recorded":      ", of a cause that was not recorded",
}
