package help

import (
	"fmt"
	"strings"

	"pulsewright/builtins"
	"pulsewright/builtins/say"
	"pulsewright/engine"
)

// What help and the guide say of a kind of part: which cells it reads, where its far pad is, who can tell it, when it reacts
// and what it feeds. All that the engine's table of kinds knows is read from there.

// kindNotes are what the table of kinds does not know. A test holds reacts to what parts do.
var kindNotes = map[engine.Kind]struct{ reads, told, reacts, while, feeds string }{
	engine.Battery: {reacts: "never changes"},
	engine.Key:     {told: "press and release", reacts: "in step 0", while: "while pressed"},
	engine.Wire:    {reads: "the levels around it: its own is the highest of them less one, or reach beside a feed", reacts: "in zero steps", feeds: "its six neighbours, while live"},
	engine.Jack:    {reads: "as a wire", reacts: "in zero steps", feeds: "its six neighbours, while live; a slug in its cell opens it"},
	engine.Lamp:    {reacts: "in zero steps", feeds: "nothing, and tells nobody but cords"},
	engine.Reed:    {reads: "and those of the reeds in its line, up to run cells away, through reeds that are on", reacts: "in zero steps", feeds: "nothing: it hands on news, not power"},
	engine.Link:    {reacts: "in one step", feeds: "nothing: it hands on news, not power"},
	engine.Shuttle: {told: "also itself, when its slug has landed", reacts: "in one step; the slug lands travel ticks later", feeds: "nothing itself; its slug, where it sits: a feed the six neighbours, a bridge as a wire"},
	engine.Delay:   {reacts: "in its ticks", while: "while on"},
	engine.Oneshot: {reacts: "in zero steps, and goes off after its ticks", while: "while on"},
	engine.Echo:    {reacts: "in one tick", while: "while on"},
	engine.Gate:    {reads: "of which only those count that hold something that can feed", reacts: "in one step, or its ticks", while: "while on"},
	engine.Bucket:  {reacts: "in zero steps while fed, in drop ticks while unfed", feeds: "nothing; its tokens are noticed by a meter at whose back it stands, a chute before or behind it, and cords"},
	engine.Tray:    {reacts: "in zero steps, when its first token comes or its last goes", while: "while it holds a token"},
	engine.Chute:   {reads: "and power on any of them stops it", told: "also when the tokens of the holder before or behind it change", reacts: "in its ticks", feeds: "nothing, and tells nobody"},
	engine.Meter:   {reads: "the number of tokens in the holder there", told: "also when those tokens change", reacts: "in zero steps", while: "with that number as the level"},
}

// kindFact is one line on a kind.
type kindFact struct{ about, text string }

// kindFacts are the lines on a kind, the same for all of them.
func kindFacts(k engine.Kind) []kindFact {
	t, n := k.Trait(), kindNotes[k]
	reads, far, told := builtins.PadSides[t.Pads], "none", "nobody"
	if n.reads != "" {
		reads = strings.TrimPrefix(reads+", "+n.reads, builtins.PadSides[engine.NoPads]+", ")
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
	if n.told != "" {
		told = strings.TrimPrefix(told+"; "+n.told, "nobody; ")
	}
	feeds := n.feeds
	switch t.Feeds {
	case engine.FeedsAround:
		feeds = strings.TrimSuffix("its six neighbours, "+n.while, ", ")
	case engine.FeedsFront:
		feeds = "the cell in front, " + n.while
	}
	return []kindFact{{"reads", reads}, {"far pad", far}, {"told by", told}, {"reacts", n.reacts}, {"feeds", feeds}}
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
