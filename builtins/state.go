package builtins

import (
	"fmt"
	"strings"

	"pulsewright/engine"
)

// StandsSo says how a part stands: its state, what its power says, and what is under way; "" where there is nothing to say.
func StandsSo(kind engine.Kind, s engine.State) (state, power, underway string) {
	state = Text(StateValue(kind, s))
	if s.Conduct && s.Level > 0 {
		state += fmt.Sprintf(" %d", s.Level)
	}
	if s.Seated != engine.NoSlug {
		state += " " + s.Seated.String()
	}
	if kind.Trait().Hears != engine.HearsNot {
		power = "unpowered"
		if s.Powered {
			power = "powered"
		}
	}
	var more []string
	for _, f := range []struct {
		is   bool
		word string
	}{{s.Armed, "armed"}, {s.Queued, "act queued"}, {s.Transit, "in transit"}, {s.Timer, "timer set"}, {s.Forced, "forced"}, {s.Awaits, "slug comes"}} {
		if f.is {
			more = append(more, f.word)
		}
	}
	return state, power, strings.Join(more, ", ")
}
