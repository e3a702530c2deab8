package help

import (
	"fmt"
	"strings"

	"pulsewright/builtins"
	"pulsewright/builtins/inspect"
	"pulsewright/builtins/say"
	"pulsewright/engine"
)

// ownHelp explains a kind of a script's own: its docstring, how its parts are placed, and what its kind() said. facts are those on the part that was
// asked about; nil: none was.
func ownHelp(e *builtins.Env, t *builtins.OwnKind, facts []inspect.Fact) string {
	s := entryHelp(e, t.Word(), facts) + "\n" + strings.TrimSuffix(factsHelp(e, "kind", OwnFacts(t.Spec)), "\n")
	if doc := dedent(t.Doc()); doc != "" {
		s += "\n\n" + doc
	}
	return s
}

// OwnFacts are the lines on a kind of a script's own.
func OwnFacts(k *engine.Spec) []inspect.Fact {
	names := func(g engine.Groups, rest ...string) string {
		var all []string
		for i, name := range builtins.GroupNames {
			if g>>i&1 != 0 {
				all = append(all, name)
			}
		}
		all = append(all, rest...)
		return builtins.List(all, len(all), ", ")
	}
	power := []string{"cords"}
	if k.EverConducts() {
		power = nil // none may end there
	}
	facts := []inspect.Fact{
		{About: "states", Text: strings.Join(k.States, ", ") + "; the first is that of a new part"},
		{About: "letter", Text: string(k.Letter)},
		{About: "reads", Text: names(k.Pads, power...)},
		{About: "told by", Text: names(k.Hears, "cords", "a nudge")},
		{About: "reacts", Text: perState(k, func(i int) string {
			switch k.When[i] {
			case engine.Now:
				return "at once"
			case engine.NextStep:
				return "in the next step"
			}
			return "after " + say.Count(k.When[i], "tick")
		})},
		{About: "feeds", Text: perState(k, func(i int) string {
			switch f := k.Feeds[i]; {
			case f.What == engine.FeedsAround:
				return "its six neighbours"
			case f.What == engine.FeedsFront && f.Level > 0:
				return fmt.Sprintf("the cell in front, with level %d", f.Level)
			case f.What == engine.FeedsFront:
				return "the cell in front"
			}
			return "nothing"
		})},
		{About: "tells", Text: [...]string{"its six neighbours and cords", "the part in front and cords", "nobody but by the conductors that change"}[k.Tells]},
	}
	if k.Once {
		facts = append(facts, inspect.Fact{About: "looks", Text: "once: it enters what it wanted when told, whatever has become of its power"})
	}
	if k.Relook {
		facts = append(facts, inspect.Fact{About: "relook", Text: "having become something by an act or a timer it is told by itself, after the others"})
	}
	on := func(i int) string {
		if k.Active[i] {
			return "on"
		}
		return "off"
	}
	facts = append(facts, inspect.Fact{About: "cords", Text: "from it read: " + perState(k, on)})
	for i, name := range k.States {
		if k.Says[i] != "" && k.Says[i] != name {
			facts = append(facts, inspect.Fact{About: "says", Text: "that it becomes " + name + " is the event " + k.Says[i]})
		}
		if k.Conducts[i] {
			facts = append(facts, inspect.Fact{About: "conducts", Text: "while " + name})
		}
		if k.Then[i] > 0 {
			facts = append(facts, inspect.Fact{About: "then", Text: fmt.Sprintf("%s after it became %s it looks by itself", say.Count(k.Then[i], "tick"), name)})
		}
		if k.Says[i] == "" {
			facts = append(facts, inspect.Fact{About: "silent", Text: "that it becomes " + name + " is no event, and tells nobody"})
		}
	}
	return facts
}

// perState says of each state what holds there: once, if it is the same for all.
func perState(k *engine.Spec, of func(i int) string) string {
	var all []string
	same := true
	for i, name := range k.States {
		same = same && of(i) == of(0)
		all = append(all, name+": "+of(i))
	}
	if same {
		return of(0)
	}
	return strings.Join(all, "; ")
}
