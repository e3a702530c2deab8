package help

import (
	"fmt"
	"strings"

	"pulsewright/builtins"
	"pulsewright/builtins/inspect"
	"pulsewright/builtins/say"
	"pulsewright/engine"
)

// What help and the guide say of a kind of part: which cells it reads, where its far pad is, who can tell it, when it reacts
// and what it feeds. It is read from the engine's table of kinds, and from say's where that does not know it.

// kindFacts are the lines on a kind, the same for all of them.
func kindFacts(k engine.Kind) []inspect.Fact {
	t, n := k.Trait(), say.Kinds[k]
	reads, far, told := builtins.PadSides[t.Pads], "none", "nobody"
	if n.Reads != "" {
		reads = strings.TrimPrefix(reads+", "+n.Reads, builtins.PadSides[engine.NoPads]+", ")
	}
	if t.Far != engine.NoFar {
		far = builtins.FarSides[t.Far] + "; it hears nothing from there"
	}
	switch t.Hears {
	case engine.HearsLazily, engine.HearsAtOnce:
		told = "its six neighbours, cords, a nudge"
	case engine.HearsBehind:
		told = "its back, cords, a nudge"
	}
	if n.Told != "" {
		told = strings.TrimPrefix(told+"; "+n.Told, "nobody; ")
	}
	feeds := n.Feeds
	switch t.Feeds {
	case engine.FeedsAround:
		feeds = strings.TrimSuffix("its six neighbours, "+n.While, ", ")
	case engine.FeedsFront:
		feeds = "the cell in front, " + n.While
	}
	return []inspect.Fact{{About: "reads", Text: reads}, {About: "far pad", Text: far}, {About: "told by", Text: told}, {About: "reacts", Text: n.Reacts}, {About: "feeds", Text: feeds}}
}

// partFacts are the lines on a part: those that state() tells, and when its kind reacts.
func partFacts(e *builtins.Env, p builtins.Part) []inspect.Fact {
	facts := inspect.FactsOf(e, p)
	for _, f := range kindFacts(p.Bench.KindOf(p.ID)) {
		if f.About == "reacts" {
			facts = append(facts, f)
		}
	}
	return facts
}

// factsHelp is the lines on a kind or a part as help shows them.
func factsHelp(e *builtins.Env, title string, facts []inspect.Fact) string {
	var s strings.Builder
	s.WriteString("\n" + e.Paint.Apply(say.Title, title) + "\n")
	for _, f := range facts {
		indent := strings.Repeat(" ", inspect.FactWidth+4)
		s.WriteString("  " + e.Paint.Apply(say.Name, say.Align(f.About, inspect.FactWidth, "left", " ")) + "  " + strings.TrimPrefix(e.Wrap(f.Text, indent), indent) + "\n")
	}
	return s.String()
}

// KindTable is the guide's table of the kinds of part, in Markdown.
func KindTable() string {
	var s strings.Builder
	for i, k := range engine.Kinds() {
		if i == 0 {
			s.WriteString("| part |")
			for _, f := range kindFacts(k) {
				s.WriteString(" " + f.About + " |")
			}
			s.WriteString(" defaults |\n|" + strings.Repeat("---|", len(kindFacts(k))+2) + "\n")
		}
		fmt.Fprintf(&s, "| %v |", k)
		for _, f := range kindFacts(k) {
			s.WriteString(" " + f.Text + " |")
		}
		entry, _ := builtins.Lookup(k.String())
		var defaults []string
		for _, p := range entry.Params {
			switch p.Default {
			case "", "None", "False":
			default:
				defaults = append(defaults, strings.TrimSpace(p.Name+" "+strings.Trim(p.Default, `"`)))
			}
		}
		s.WriteString(" " + strings.Join(defaults, ", ") + " |\n")
	}
	return s.String()
}
