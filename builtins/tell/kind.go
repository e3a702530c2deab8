package tell

import (
	"fmt"
	"slices"
	"strings"

	"pulsewright/builtins"
	"pulsewright/builtins/say"
	"pulsewright/engine"

	"go.starlark.net/starlark"
)

// teller is a call of kind().
type teller struct{ *builtins.Call }

// Words are the words of this package.
func Words() []builtins.Entry {
	const groups = "groups of cells, seen from the part; around only without a facing"
	return []builtins.Entry{{Name: "kind", Topic: "placing", Sentence: "Tells a kind of part of one's own: a small machine of a few states, asked once for each combination of what it may find, and run from that table.",
		Params: []builtins.Param{
			{Name: "name", Type: "string", Doc: "what it is called in the log and on maps"},
			{Name: "states", Type: "a list of strings", Doc: fmt.Sprintf("2 to %d; the first is that of a new part", engine.MaxStates)},
			{Name: "wants", Type: "a function", Doc: "wants(state, live, told) gives the state it would have, or None for as it is; live has a field for each group in pads (True or False for one cell, how many are live for sides and around), and .cords .forced; told is \"back\", \"front\", \"side\", \"around\", \"cord\", \"nudge\", \"itself\" or \"due\"; all that it can reach is frozen while it is asked, in a module for good"},
			{Name: "facing", Type: "bool", Default: "True", Optional: true, Keyword: true, Doc: "whether its parts face some way"},
			{Name: "pads", Type: "a list of strings", Default: "None", Optional: true, Keyword: true, Allowed: builtins.GroupNames, Doc: "what it reads: " + groups + "; None: back and sides, or around"},
			{Name: "hears", Type: "a list of strings", Default: "None", Optional: true, Keyword: true, Allowed: builtins.GroupNames, Doc: "who may tell it, of these; far cells never do, cords and a nudge always; None: back, front and sides, or around"},
			{Name: "when", Type: "value", Default: `"step"`, Optional: true, Keyword: true, Doc: "how it reacts: \"now\", in the turn in which it hears; \"step\", by an act in the next step; or after so many ticks; one of these, or a dict by the state wanted"},
			{Name: "look", Type: "string", Default: `"again"`, Optional: true, Keyword: true, Allowed: []string{"again", "once"}, Doc: "again: when its act or timer comes it looks again, and lapses if it wants nothing new; once: it enters what it wanted when told"},
			{Name: "then", Type: "a dict", Unit: "ticks", Default: "{}", Optional: true, Keyword: true, Doc: "by state: after so many ticks there it looks by itself, told \"due\", and enters at once what it wants"},
			{Name: "feeds", Type: "a dict", Default: "{}", Optional: true, Keyword: true, Doc: "by state: \"around\", \"front\" or (\"front\", level)"},
			{Name: "conducts", Type: "a list of strings", Default: "[]", Optional: true, Keyword: true, Doc: "the states in which its cell conducts like a wire"},
			{Name: "tells", Type: "string", Default: `"around"`, Optional: true, Keyword: true, Allowed: []string{"around", "front", "none"}, Doc: "who is told when it enters a state: its neighbours and cords, its front and cords, or only by the conductors that change"},
			{Name: "says", Type: "a dict", Default: "{}", Optional: true, Keyword: true, Doc: "by state: the word of the event, if not the state's name; None: no event, and nobody is told"},
			{Name: "relook", Type: "bool", Default: "False", Optional: true, Keyword: true, Doc: "True: having entered a state by an act or a timer it is told by itself, after the others"},
			{Name: "active", Type: "a list of strings", Default: "None", Optional: true, Keyword: true, Doc: "the states in which a cord from it reads on, and maps show a capital; None: all but the first"},
			{Name: "letter", Type: "string", Default: "None", Optional: true, Keyword: true, Doc: "its letter on maps, one of " + strings.Join(strings.Split(say.OwnLetters, ""), " ") + " or q; each kind on a bench has its own; None: the first of these in its name, else q"}},
		Returns: "the word that places its parts: word(at, facing, state=None, name=None), without facing if it has none; on a frame f.put(word, at, ...)",
		Example: "def falls(state, live, told):\n    if state == \"waits\":\n        return \"sees\" if live.back else None\n    return None if live.back else \"waits\"\n\n" +
			"sensor = kind(\"sensor\", [\"waits\", \"sees\"], falls, says={\"sees\": None, \"waits\": \"over\"}, letter=\"y\")\n" +
			"k = key((0, 0), hold=3)\ns = sensor((1, 0), \"+x\")\npress(k)\nrun()\nexpect_equal([e.what for e in events(s)], [\"over\"])",
		See: []string{"frame.put", "link", "gate"}, Call: tellKind}}
}

// tellKind makes a kind.
func tellKind(call *builtins.Call) (starlark.Value, error) {
	c := &teller{call}
	d := engine.SpecDef{Name: c.kindName(), Faces: c.Bool("facing", true), Once: c.Choice("look", "again") == "once", Relook: c.Bool("relook", false)}
	d.Tells = engine.Tells(slices.Index(c.Spec("tells").Allowed, c.Choice("tells", "around")))
	d.States = c.stateNames()
	own := engine.BackCell | engine.SideCells
	if !d.Faces {
		own = engine.AroundCells
	}
	d.Pads = c.groups("pads", own, d.Faces, true)
	if d.Faces {
		own |= engine.FrontCell
	}
	d.Hears = c.groups("hears", own, d.Faces, false)
	n := len(d.States)
	d.When, d.Then, d.Feeds, d.Conducts, d.Active = make([]int, n), make([]int, n), make([]engine.Feeds, n), make([]bool, n), make([]bool, n)
	d.Says = slices.Clone(d.States)
	for i := range d.When {
		d.When[i] = engine.NextStep
	}
	c.whenOf(&d)
	c.byState("then", d.States, func(i int, v starlark.Value) string {
		t, ok := v.(starlark.Int)
		ticks, fits := t.Int64()
		if !ok || !fits || ticks < 1 || ticks > engine.MaxTicks {
			return fmt.Sprintf("a number of ticks, 1 to %d", engine.MaxTicks)
		}
		d.Then[i] = int(ticks)
		return ""
	})
	c.feedsOf(&d)
	c.byState("says", d.States, func(i int, v starlark.Value) string {
		word, ok := v.(starlark.String)
		if v == starlark.None {
			d.Says[i] = ""
		} else if d.Says[i] = string(word); !ok || word == "" || strings.ContainsFunc(string(word), notInWord) {
			return "a word, or None for no event"
		}
		return ""
	})
	c.statesIn("conducts", d.States, d.Conducts)
	if c.Has("active") {
		c.statesIn("active", d.States, d.Active)
	} else {
		for i := 1; i < n; i++ {
			d.Active[i] = true
		}
	}
	d.Letter = c.kindLetter(d.Name)
	if c.Err != nil {
		return nil, c.Err
	}
	fn, ok := c.Value("wants").(starlark.Callable)
	if !ok {
		return nil, c.Bad("wants", builtins.Show(c.Value("wants")), "a function of state, live and told")
	}
	if n := d.Combinations(); n > engine.MaxTable {
		return nil, c.Fail("it has %d combinations of states, tellers and live cells, want at most %d: name fewer states, or fewer groups in pads and hears", n, engine.MaxTable)
	}
	if c.Freeze("wants", fn); c.Err != nil {
		return nil, c.Err
	}
	spec, err := written(c.Env, d, fn)
	if err != nil {
		return nil, c.Wrap(err)
	}
	return builtins.NewOwnKind(spec, fn, func(e *builtins.Env) (*engine.Spec, error) { return written(e, d, fn) }, c.toldAt()), nil
}

// toldAt is where a script calls kind().
func (c *teller) toldAt() string {
	if c.Thread.CallStackDepth() < 2 {
		return ""
	}
	return say.Clean(c.Thread.CallFrame(1).Pos.String())
}
