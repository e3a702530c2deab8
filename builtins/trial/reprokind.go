package trial

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"pulsewright/builtins"
	"pulsewright/engine"
)

// kind writes a kind of a script's own as the call that tells it: its function from its text, all else from what it is. The function is asked
// once more: what it reaches by name may have changed since, and then its text would tell another kind.
func (w *scribe) kind(t *builtins.OwnKind) (string, error) {
	now, err := t.Again(w.env)
	if err == nil && now.Digest() != t.Spec.Digest() {
		err = errors.New("what its function reaches by name has changed since it was told")
	}
	if err != nil {
		return "", fmt.Errorf("the kind %s: %w", t.Name(), err)
	}
	wants, err := w.expr(t.Wants, 0)
	if err != nil {
		return "", fmt.Errorf("the kind %s: %w", t.Name(), err)
	}
	return fmt.Sprintf("kind(%q, %s, %s%s)", t.Name(), quotedList(t.Spec.States), wants, kindSettings(t.Spec)), nil
}

// quotedList writes words as a list of strings.
func quotedList(words []string) string {
	quoted := make([]string, len(words))
	for i, s := range words {
		quoted[i] = fmt.Sprintf("%q", s)
	}
	return "[" + strings.Join(quoted, ", ") + "]"
}

// kindSettings are the named arguments of kind(), as far as they are not the usual ones.
func kindSettings(s *engine.Spec) string {
	var all []string
	say := func(format string, args ...any) { all = append(all, fmt.Sprintf(format, args...)) }
	pads := engine.AroundCells
	if s.Faces {
		pads = engine.BackCell | engine.SideCells
	} else {
		say("facing=False")
	}
	hears := pads
	if s.Faces {
		hears |= engine.FrontCell
	}
	if s.Pads != pads {
		say("pads=%s", quotedList(groups(s.Pads)))
	}
	if s.Hears != hears {
		say("hears=%s", quotedList(groups(s.Hears)))
	}
	if when := whenText(s); when != "" {
		say("when=%s", when)
	}
	if s.Once {
		say("look=\"once\"")
	}
	byState := func(param string, of func(i int) string) {
		var items []string
		for i, name := range s.States {
			if text := of(i); text != "" {
				items = append(items, fmt.Sprintf("%q: %s", name, text))
			}
		}
		if len(items) > 0 {
			say("%s={%s}", param, strings.Join(items, ", "))
		}
	}
	byState("then", func(i int) string { return unless(s.Then[i] == 0, "%d", s.Then[i]) })
	byState("feeds", func(i int) string {
		switch f := s.Feeds[i]; {
		case f.What == engine.FeedsAround:
			return `"around"`
		case f.What == engine.FeedsFront && f.Level > 0:
			return fmt.Sprintf(`("front", %d)`, f.Level)
		case f.What == engine.FeedsFront:
			return `"front"`
		}
		return ""
	})
	if s.EverConducts() {
		say("conducts=%s", quotedList(statesThat(s, s.Conducts)))
	}
	if s.Tells != engine.TellsAround {
		say("tells=%q", [...]string{"around", "front", "none"}[s.Tells])
	}
	byState("says", func(i int) string {
		if s.Says[i] == "" {
			return "None"
		}
		return unless(s.Says[i] == s.States[i], "%q", s.Says[i])
	})
	if s.Relook {
		say("relook=True")
	}
	if active := statesThat(s, s.Active); !slices.Equal(active, s.States[1:]) {
		say("active=%s", quotedList(active))
	}
	say("letter=%q", string(s.Letter))
	return ", " + strings.Join(all, ", ")
}

// unless is a text, or "" if what it says goes without saying.
func unless(usual bool, format string, args ...any) string {
	if usual {
		return ""
	}
	return fmt.Sprintf(format, args...)
}

func groups(g engine.Groups) (names []string) {
	for i, name := range builtins.GroupNames {
		if g>>i&1 != 0 {
			names = append(names, name)
		}
	}
	return names
}

func statesThat(s *engine.Spec, are []bool) (names []string) {
	for i, name := range s.States {
		if are[i] {
			names = append(names, name)
		}
	}
	return names
}

// whenText is how a kind reacts, one way or one for each state; "" if that is an act in the next step.
func whenText(s *engine.Spec) string {
	one := func(n int) string {
		switch n {
		case engine.Now:
			return `"now"`
		case engine.NextStep:
			return `"step"`
		}
		return fmt.Sprint(n)
	}
	if !slices.ContainsFunc(s.When, func(n int) bool { return n != s.When[0] }) {
		return unless(s.When[0] == engine.NextStep, "%s", one(s.When[0]))
	}
	var items []string
	for i, n := range s.When {
		items = append(items, fmt.Sprintf("%q: %s", s.States[i], one(n)))
	}
	return "{" + strings.Join(items, ", ") + "}"
}

// world writes a world as a call that makes it, after its kinds.
func (w *scribe) world(v builtins.Worldly) (string, error) {
	var names []string
	for _, k := range v.Kinds() {
		name, err := w.expr(k, 0)
		if err != nil {
			return "", err
		}
		names = append(names, name)
	}
	return v.Written(names), nil
}
