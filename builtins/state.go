package builtins

import (
	"fmt"
	"strings"

	"pulsewright/engine"

	"go.starlark.net/starlark"
)

func stateWords() []Entry {
	return []Entry{
		{Name: "state", Topic: "seeing", Sentence: "Tells all there is to know of a part or cell, as it is now: how it was placed, what it reads and whether that is live, who can tell it, what it feeds.",
			Params:  []Param{{Name: "target", Type: "part", Doc: "a part, its name, or any cell"}},
			Returns: "a state with .kind .name .at .state .level .tokens .powered .armed .forced .queued .timer .transit .slug (that sits there) .awaits; .params, as the placing word takes them; .reads (each .cell .part .live .far), .tellers, .feeds (each .part .live), .cords (each .a .b .power .news .invert .live); .text",
			Example: "battery((0, 0))\nl = link((1, 0), \"+y\")\nexpect(state(l).armed)\nexpect_equal([(r.cell, r.part) for r in state(l).reads if r.live], [((0, 0), parts(\"battery\")[0])])\nlink((9, 9), **state(l).params)\nexpect_equal(state((5, 5)).kind, \"cell\")", See: []string{"parts", "armed"}, Call: showState},
		{Name: "parts", Topic: "seeing", Sentence: "Lists the parts of the bench, in the order placed; only those that have all that is named.",
			Params: []Param{
				{Name: "kind", Type: "string", Default: "None", Optional: true, Allowed: kindNames, Doc: "only of this kind; one or a list"},
				{Name: "frame", Type: "a frame or its name", Default: "None", Optional: true, Doc: "only of this frame; one or a list"},
				{Name: "attribute", Type: "value", Variadic: true, Keyword: true, Doc: "any attribute of a part, such as ticks=2, far=\"+x\", armed=True: only parts that have it so; a list: any of these"}},
			Returns: "a list of parts", Example: "wire((0, 0), (4, 0))\noneshot((5, 0), \"+x\", ticks=2)\noneshot((6, 0), \"+x\", ticks=3)\nexpect_equal((len(parts(\"wire\")), len(parts(ticks=2))), (5, 1))", See: []string{"state", "cost"}, Call: listParts},
	}
}

func showState(c *Call) (starlark.Value, error) {
	t := c.Target("target")
	if c.Err != nil {
		return nil, c.Err
	}
	return lookAt(c.Env, c.Env.Bench, t), nil
}

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
