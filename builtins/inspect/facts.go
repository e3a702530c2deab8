package inspect

import (
	"fmt"
	"strings"

	"pulsewright/builtins"
	"pulsewright/builtins/say"
	"pulsewright/engine"
)

// Fact is one line of what there is to say of a part or a kind: what it is about, and the text.
type Fact struct{ About, Text string }

// FactWidth is how wide what a fact is about may be, in columns.
const FactWidth = 7

// FactsOf are the facts on a part, be it of another bench: how it was placed, what it reads now, who can tell it, what it feeds, its cords.
func FactsOf(e *builtins.Env, p builtins.Part) []Fact {
	return lookAt(e, p.Bench, engine.Target{ID: p.ID}).Facts()
}

// Facts are the lines on what was looked at.
func (l *Look) Facts() (facts []Fact) {
	feeds := Fact{"feeds", l.feeds()}
	if l.kind() == engine.Bare {
		if len(l.readers) == 0 {
			return nil
		}
		return []Fact{feeds}
	}
	facts = []Fact{{"placing", l.placing()}, {"reads", l.reads()}, {"told by", l.toldBy()}, feeds}
	if tokens := l.names(func(r engine.Reader) bool { return r.Tokens }); len(tokens) > 0 {
		facts = append(facts, Fact{"tokens", "noticed by " + builtins.List(tokens, mostTies, " and ")})
	}
	if len(l.cords) > 0 {
		facts = append(facts, Fact{"cords", l.cordTexts()})
	}
	return facts
}

// mostTies is how many parts of a sort are named.
const mostTies = 8

// placing is the call that would place the part again, in the state it is in.
func (l *Look) placing() string {
	var args []string
	if l.onLattice {
		args = append(args, "at="+l.cell.String())
	}
	for _, p := range l.params {
		args = append(args, builtins.Text(p[0])+"="+p[1].String())
	}
	if n := l.bench.Name(l.id); n != "" {
		args = append(args, fmt.Sprintf("name=%q", n))
	}
	return l.bench.KindName(l.id) + "(" + strings.Join(args, ", ") + ")"
}

// reads says of each pad what is there and whether it is live.
func (l *Look) reads() string {
	var texts, bare []string
	for _, p := range l.pads {
		at := p.Cell.String()
		if p.Far {
			at += " far off"
		}
		who := ""
		if l.bench.KindOf(p.ID) != engine.Bare {
			who = l.bench.KindName(p.ID)
			if n := l.bench.Name(p.ID); n != "" {
				who += " " + say.Clean(n)
			}
		} else if s := l.bench.CellState(p.Cell); s.Seated != engine.NoSlug {
			who = "a " + s.Seated.String()
		} else if p.Live {
			who = "a forced cell"
		}
		if who == "" {
			bare = append(bare, at)
			continue
		}
		live := "dead"
		switch {
		case p.Void && !p.Live && l.kind() == engine.Meter:
			live = "no holder"
		case l.kind() == engine.Meter:
			live = say.Count(l.bench.State(p.ID).Tokens, "token")
		case p.Live:
			live = "live"
		case p.Void:
			live = "does not feed this way"
		}
		texts = append(texts, fmt.Sprintf("%s at %s: %s", who, at, live))
	}
	if len(bare) > 0 {
		texts = append(texts, "nothing at "+builtins.List(bare, mostTies, " and "))
	}
	for _, c := range l.cords {
		if c.To == l.id && c.Power {
			live := "dead"
			if c.Live {
				live = "live"
			}
			texts = append(texts, fmt.Sprintf("%s by a cord: %s", builtins.Who(l.bench, c.From), live))
		}
	}
	if len(texts) == 0 {
		return "nothing"
	}
	return strings.Join(texts, "; ")
}

func (l *Look) toldBy() string {
	var from []string
	for _, id := range l.tellers {
		from = append(from, builtins.Who(l.bench, id))
	}
	switch t := l.kind().Trait(); {
	case l.kind() == engine.Key:
		return "press() and release()"
	case t.Hears == engine.HearsNot:
		return "nobody: it hears nothing"
	case len(from) == 0:
		return "nothing beside it, and no cord; nudge() does"
	}
	if l.kind() == engine.Shuttle && holdsSlugs(l.bench.Thing(l.id)) {
		from = append(from, "itself when its slug has landed")
	}
	return builtins.List(from, mostTies, ", ")
}

// holdsSlugs reports whether a shuttle moves slugs, its own or loose ones.
func holdsSlugs(t engine.Thing) bool { return t.Slug != engine.NoSlug || t.Grip != engine.NoGrip }

func (l *Look) feeds() string {
	fed := l.names(func(r engine.Reader) bool { return r.Live && !r.Tokens })
	would := l.names(func(r engine.Reader) bool { return !r.Live && !r.Tokens })
	var texts []string
	if len(fed) > 0 {
		texts = append(texts, builtins.List(fed, mostTies, " and "))
	}
	if len(would) > 0 {
		texts = append(texts, "not now "+builtins.List(would, mostTies, " and "))
	}
	switch t := l.kind().Trait(); {
	case len(texts) > 0:
		return strings.Join(texts, "; ")
	case t.Feeds != engine.FeedsNothing, t.Conducts, l.bench.Thing(l.id).Slug > engine.Plug:
		return "nothing: no part reads it"
	}
	return "nothing"
}

// names are those of the readers that are meant.
func (l *Look) names(meant func(engine.Reader) bool) (names []string) {
	for _, r := range l.readers {
		if meant(r) {
			names = append(names, builtins.Who(l.bench, r.ID))
		}
	}
	return names
}

func (l *Look) cordTexts() string {
	var texts []string
	for _, c := range l.cords {
		text := "from " + builtins.Who(l.bench, c.From)
		switch {
		case c.From == l.id && c.To == l.id:
			text = "to itself"
		case c.From == l.id:
			text = "to " + builtins.Who(l.bench, c.To)
		}
		switch {
		case !c.Power:
			text += ", news only"
		case !c.News:
			text += ", power only"
		}
		if c.Invert {
			text += ", inverted"
		}
		texts = append(texts, text)
	}
	if n := len(texts); n > mostTies {
		texts = append(texts[:mostTies], fmt.Sprintf("and %d more", n-mostTies))
	}
	return strings.Join(texts, "; ")
}
