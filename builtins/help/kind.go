package help

import (
	"fmt"
	"strings"

	"pulsewright/builtins"
	"pulsewright/builtins/say"
	"pulsewright/engine"
)

// What help and the guide say of a kind of part: which cells it reads, where its far pad is, who can tell it, when it reacts
// and what it feeds. It is read from the engine's table of kinds, and from say's where that does not know it.

// kindFact is one line on a kind.
type kindFact struct{ about, text string }

// kindFacts are the lines on a kind, the same for all of them.
func kindFacts(k engine.Kind) []kindFact {
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
	return []kindFact{{"reads", reads}, {"far pad", far}, {"told by", told}, {"reacts", n.Reacts}, {"feeds", feeds}}
}

// partFacts are the lines on a part: as for its kind, unless it was placed to read other cells, or lies on the shelf.
func partFacts(p builtins.Part) []kindFact {
	t := p.Bench.Thing(p.ID)
	facts := kindFacts(t.Kind)
	if t.Kind.Trait().Pads == engine.NoPads {
		return facts
	}
	cells := p.Bench.PadCells(p.ID)
	shown := make([]string, len(cells))
	for i, c := range cells {
		shown[i] = c.String()
	}
	for i := range facts {
		f := &facts[i]
		switch {
		case f.about == "reads" && t.Shelf:
			f.text = "its cords: it lies on the shelf"
		case f.about == "far pad" && t.Shelf:
			f.text = "none"
		case f.about == "reads" && t.Pads != nil:
			f.text = strings.Join(shown, " ") + ", the pads it was given"
		case f.about == "far pad" && t.Pads != nil:
			f.text = "none"
		case f.about == "far pad" && t.Kind.Trait().Far == engine.FarBack && t.Far != t.Facing.Opposite(),
			f.about == "far pad" && t.Kind.Trait().Far == engine.FarDown && t.Far != engine.NegZ:
			f.text = shown[len(shown)-1] + ", the far pad it was given; it hears nothing from there"
		}
	}
	return facts
}

// kindHelp is the lines on a kind or a part as help shows them.
func kindHelp(e *builtins.Env, facts []kindFact) string {
	var s strings.Builder
	s.WriteString("\n" + e.Paint.Apply(say.Title, "cells") + "\n")
	for _, f := range facts {
		indent := strings.Repeat(" ", 11)
		s.WriteString("  " + e.Paint.Apply(say.Name, say.Align(f.about, 7, "left", " ")) + "  " + strings.TrimPrefix(e.Wrap(f.text, indent), indent) + "\n")
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
				s.WriteString(" " + f.about + " |")
			}
			s.WriteString(" defaults |\n|" + strings.Repeat("---|", len(kindFacts(k))+2) + "\n")
		}
		fmt.Fprintf(&s, "| %v |", k)
		for _, f := range kindFacts(k) {
			s.WriteString(" " + f.text + " |")
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
