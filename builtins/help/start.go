package help

import (
	"strings"

	"pulsewright/builtins"
	"pulsewright/builtins/say"
)

// firstSteps are what somebody types first, in this order, and what each is for.
var firstSteps = []struct{ typed, why string }{
	{`key((0, 0), name="quay"); lamp((1, 0), name="l")`, "place a key and a lamp"},
	{`press("quay")`, "this will happen in the next tick"},
	{`run()`, "let time pass; each row is one thing that happened"},
	{`why("l")`, "ask what caused it; map() draws, scope() shows it over time"},
	{`undo()`, "take back what changed last; fresh() clears the bench"},
}

// topicTasks says for each topic what one finds there.
var topicTasks = map[string]string{
	"placing":          "put parts on the bench, joined by cells or by cords",
	"frames":           "build the same thing again elsewhere, turned or mirrored",
	"rules":            "begin anew, with other rules of the medium",
	"acting":           "press keys, fire pulses of known width, give tokens",
	"time":             "let it pass, by ticks, steps or turns, and go back",
	"seeing":           "logs, maps, diagrams; why something happened or did not",
	"experiments":      "try a design at all sizes, everywhere; compare, publish",
	"invention":        "the smallest design for a task; where a design is weak",
	"tests":            "say what should be, and be told where it is not",
	"text and numbers": "tables, padding, random numbers that repeat",
	"keeping":          "save a script or a picture; undo",
}

// firstTerms are the terms without which the rest is hard to read.
var firstTerms = []string{"tick", "step", "turn", "power", "told", "armed", "pulse", "width"}

// startHelp is the page for somebody who knows nothing: what to type first, where the words are, which terms to look up.
func startHelp(e *builtins.Env) string {
	var s strings.Builder
	title := func(text string) { s.WriteString(e.Paint.Apply(say.Title, text) + "\n") }
	title("first, type these")
	for _, step := range firstSteps {
		line := "  " + step.typed + "  # " + step.why
		if e.Width > 0 && say.Columns(line) > e.Width {
			line = "  " + step.typed + "\n" + e.Wrap("# "+step.why, "      ")
		}
		s.WriteString(line + "\n")
	}
	title(`words by task; help("placing") lists those of one, fire? explains fire`)
	wide := 0
	for _, t := range builtins.WordTopics() {
		wide = max(wide, len(t))
	}
	for _, t := range builtins.WordTopics() {
		if t == "help" {
			continue // this page
		}
		indent := strings.Repeat(" ", wide+4)
		text := strings.TrimPrefix(e.Wrap(topicTasks[t], indent), indent)
		s.WriteString("  " + e.Paint.Apply(say.Name, say.Align(t, wide, "left", " ")) + "  " + text + "\n")
	}
	terms := e.Wrap("terms: "+strings.Join(firstTerms, ", ")+`; help("armed") tells`, "")
	s.WriteString(e.Paint.Apply(say.Title, "terms") + strings.TrimPrefix(terms, "terms") + "\n")
	title(`more; help("glossary") has all terms, x? explains yours, Tab completes`)
	s.WriteString(e.Wrap("outside the shell: pulsewright lesson (a course), pulsewright guide (pages)", "  "))
	return s.String()
}
