package builtins

import (
	"fmt"
	"slices"
	"strings"

	"pulsewright/builtins/say"
	"pulsewright/engine"

	"go.starlark.net/starlark"
	"go.starlark.net/starlarkstruct"
)

// OwnKind is a kind of a script's own, as scripts hold it: the word that places its parts. It never changes.
type OwnKind struct {
	Spec *engine.Spec
	Doc  string // the docstring of its wants
	word *Entry
}

var (
	_ starlark.Callable = (*OwnKind)(nil)
	_ starlark.HasAttrs = (*OwnKind)(nil)
)

func (t *OwnKind) String() string        { return "kind " + t.Spec.Name }
func (t *OwnKind) Name() string          { return t.Spec.Name }
func (t *OwnKind) Type() string          { return "kind" }
func (t *OwnKind) Freeze()               {}
func (t *OwnKind) Truth() starlark.Bool  { return starlark.True }
func (t *OwnKind) Hash() (uint32, error) { return starlark.String(t.Spec.Name).Hash() }

// AttrNames lists what a kind tells of itself.
func (t *OwnKind) AttrNames() []string { return []string{"letter", "name", "states"} }

// Attr reads an attribute.
func (t *OwnKind) Attr(name string) (starlark.Value, error) {
	switch name {
	case "letter":
		return starlark.String(t.Spec.Letter), nil
	case "name":
		return starlark.String(t.Spec.Name), nil
	case "states":
		states := make(starlark.Tuple, len(t.Spec.States))
		for i, s := range t.Spec.States {
			states[i] = starlark.String(s)
		}
		return states, nil
	}
	return nil, nil
}

// CallInternal places a part.
func (t *OwnKind) CallInternal(thread *starlark.Thread, args starlark.Tuple, kwargs []starlark.Tuple) (starlark.Value, error) {
	return starlark.Call(thread, t.word.builtin, args, kwargs)
}

// Word is the entry of the word that places its parts.
func (t *OwnKind) Word() Entry { return *t.word }

// GroupNames are the names of groups of cells, in the order of the engine's.
func GroupNames(g engine.Groups) (names []string) {
	for i, name := range groupNames {
		if g>>i&1 != 0 {
			names = append(names, name)
		}
	}
	return names
}

// OwnKindOf is the kind of a part if it is a script's own, nil if it is not.
func OwnKindOf(b *engine.Bench, id engine.ID) *OwnKind {
	if s := b.Spec(id); s != nil {
		return s.Aside.(*OwnKind)
	}
	return nil
}

// wordOf is the word that places parts like this one.
func wordOf(b *engine.Bench, id engine.ID) *Entry {
	if t := OwnKindOf(b, id); t != nil {
		return t.word
	}
	return placedBy(b.KindOf(id))
}

// toldWord is the entry of the word that places parts of a kind.
func toldWord(t *OwnKind) *Entry {
	s := t.Spec
	e := &Entry{Name: s.Name, Topic: "placing", Sentence: fmt.Sprintf("Places a %s, a kind of this script's own.", s.Name), Returns: "the part", Call: placeOne, Framed: true,
		Places: engine.Told, told: t, Params: []Param{atParam}}
	if s.Faces {
		e.Params = append(e.Params, facingParam)
	}
	e.Params = append(e.Params, Param{Name: "state", Type: "string", Default: starlark.String(s.States[0]).String(), Optional: true, Keyword: true, Allowed: s.States, Doc: "the state it starts in; its neighbours are not told",
		set: func(c *Call, param string) { c.part.State = slices.Index(s.States, c.Choice(param, s.States[0])) },
		of:  func(p Part) starlark.Value { return starlark.String(s.States[p.now().Told]) }}, NameParam)
	e.finish()
	e.attrs = e.partAttrs()
	return e
}

// freeLetters are those that no kind and no sign of a map has.
const freeLetters = "afhipyz"

func toldWords() []Entry {
	const groups = "groups of cells, seen from the part: back, front, sides, far_back, far_front; without a facing around"
	return []Entry{
		{Name: "kind", Topic: "placing", Sentence: "Tells a kind of part of one's own: a small machine of a few states, asked once for each combination of what it may find, and run from that table.",
			Params: []Param{
				{Name: "name", Type: "string", Doc: "what it is called in the log and on maps"},
				{Name: "states", Type: "a list of strings", Doc: fmt.Sprintf("2 to %d; the first is that of a new part", engine.MaxStates)},
				{Name: "wants", Type: "a function", Doc: "wants(state, live, told) gives the state it would have, or None for as it is; live has a field for each group in pads (True or False for one cell, how many are live for sides and around), and .cords .forced; told is \"back\", \"front\", \"side\", \"around\", \"cord\", \"nudge\", \"itself\" or \"due\"; all that it can reach is frozen while it is asked, in a module for good"},
				{Name: "facing", Type: "bool", Default: "True", Optional: true, Keyword: true, Doc: "whether its parts face some way"},
				{Name: "pads", Type: "a list of strings", Default: "None", Optional: true, Keyword: true, Doc: "what it reads: " + groups + "; None: back and sides, or around"},
				{Name: "hears", Type: "a list of strings", Default: "None", Optional: true, Keyword: true, Doc: "who may tell it, of these; far cells never do, cords and a nudge always; None: back, front and sides, or around"},
				{Name: "when", Type: "value", Default: `"step"`, Optional: true, Keyword: true, Doc: "how it reacts: \"now\", in the turn in which it hears; \"step\", by an act in the next step; or after so many ticks; one of these, or a dict by the state wanted"},
				{Name: "look", Type: "string", Default: `"again"`, Optional: true, Keyword: true, Allowed: []string{"again", "once"}, Doc: "again: when its act or timer comes it looks again, and lapses if it wants nothing new; once: it enters what it wanted when told"},
				{Name: "then", Type: "a dict", Unit: "ticks", Default: "{}", Optional: true, Keyword: true, Doc: "by state: after so many ticks there it looks by itself, told \"due\", and enters at once what it wants"},
				{Name: "feeds", Type: "a dict", Default: "{}", Optional: true, Keyword: true, Doc: "by state: \"around\", \"front\" or (\"front\", level)"},
				{Name: "conducts", Type: "a list of strings", Default: "[]", Optional: true, Keyword: true, Doc: "the states in which its cell conducts like a wire"},
				{Name: "tells", Type: "string", Default: `"around"`, Optional: true, Keyword: true, Allowed: []string{"around", "front", "none"}, Doc: "who is told when it enters a state: its neighbours and cords, its front and cords, or only by the conductors that change"},
				{Name: "says", Type: "a dict", Default: "{}", Optional: true, Keyword: true, Doc: "by state: the word of the event, if not the state's name; None: no event, and nobody is told"},
				{Name: "relook", Type: "bool", Default: "False", Optional: true, Keyword: true, Doc: "True: having entered a state by an act or a timer it is told by itself, after the others"},
				{Name: "active", Type: "a list of strings", Default: "None", Optional: true, Keyword: true, Doc: "the states in which a cord from it reads on, and maps show a capital; None: all but the first"},
				{Name: "letter", Type: "string", Default: "None", Optional: true, Keyword: true, Doc: "its letter on maps, one of " + strings.Join(strings.Split(freeLetters, ""), " ") + " or q; None: the first of these in its name, else q"}},
			Returns: "the word that places its parts: word(at, facing, state=None, name=None), without facing if it has none; on a frame f.put(word, at, ...)",
			Example: "def falls(state, live, told):\n    if state == \"waits\":\n        return \"sees\" if live.back else None\n    return None if live.back else \"waits\"\n\n" +
				"sensor = kind(\"sensor\", [\"waits\", \"sees\"], falls, says={\"sees\": None, \"waits\": \"over\"}, letter=\"y\")\n" +
				"k = key((0, 0), hold=3)\ns = sensor((1, 0), \"+x\")\npress(k)\nrun()\nexpect_equal([e.what for e in events(s)], [\"over\"])",
			See: []string{"frame.put", "link", "gate"}, Call: tellKind},
		{Name: "frame.put", Topic: "frames", Sentence: "Places a part by a placing word, of a kind of one's own or built in, in the frame.",
			Params: []Param{
				{Name: "word", Type: "a placing word", Doc: "what kind() gave, or a word such as lamp"},
				{Name: "arguments", Type: "value", Variadic: true, Doc: "where, and whatever else the word takes by position"},
				{Name: "named", Type: "value", Variadic: true, Keyword: true, Doc: "whatever it takes by name"}},
			Returns: "what the word gives",
			Example: "f = frame(at=(4, 0), x=\"+y\", name=\"r1\")\nl = f.put(lamp, (1, 0), name=\"berth\")\nexpect_equal((l.at, l.name), ((4, 1), \"r1.berth\"))",
			See:     []string{"kind", "frame"}, Call: putInFrame, method: true},
	}
}

// groupNames are the groups as scripts write them, in the order of the engine's.
var groupNames = []string{"back", "front", "sides", "far_back", "far_front", "around"}

// tellKind makes a kind.
func tellKind(c *Call) (starlark.Value, error) {
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
	wants, err := c.wantsOf(&d)
	if err != nil {
		return nil, err
	}
	open := fence(c.Env, c.Value("wants"))
	spec, err := engine.NewSpec(d, wants)
	open()
	if err != nil {
		return nil, c.Wrap(err)
	}
	t := &OwnKind{Spec: spec}
	if fn, ok := c.Value("wants").(*starlark.Function); ok {
		t.Doc = fn.Doc()
	}
	t.word = toldWord(t)
	spec.Aside = t
	return t, nil
}

// fence keeps the names that functions can reach from changing, until it is opened.
var fence = func(*Env, ...starlark.Value) (open func()) { return func() {} }

// JoinFence lends the fence that trials have. Package words does that, and nobody else.
func JoinFence(f func(*Env, ...starlark.Value) (open func())) { fence = f }

// mostLookSteps is how many steps of the interpreter one answer of wants may take.
const mostLookSteps = 100_000

// wantsOf makes the question that the engine asks for each combination. The function is frozen with all that it can reach, and has no bench: what it gives
// depends on nothing but what it is asked.
func (c *Call) wantsOf(d *engine.SpecDef) (func(engine.Look) (int, error), error) {
	fn, ok := c.Value("wants").(starlark.Callable)
	if !ok {
		return nil, c.Bad("wants", Show(c.Value("wants")), "a function of state, live and told")
	}
	if n := d.Combinations(); n > engine.MaxTable {
		return nil, c.Fail("it has %d combinations of states, tellers and live cells, want at most %d: name fewer states, or fewer groups in pads and hears", n, engine.MaxTable)
	}
	if c.Freeze("wants", fn); c.Err != nil {
		return nil, c.Err
	}
	asked := 0
	return func(l engine.Look) (int, error) {
		if asked++; asked%256 == 0 {
			if err := c.Env.Stopped(); err != nil {
				return 0, err
			}
		}
		live := starlark.StringDict{"cords": starlark.MakeInt(l.Cords), "forced": starlark.Bool(l.Forced)}
		for i, v := range []starlark.Value{starlark.Bool(l.Back), starlark.Bool(l.Front), starlark.MakeInt(l.Sides), starlark.Bool(l.FarBack), starlark.Bool(l.FarFront), starlark.MakeInt(l.Around)} {
			if d.Pads>>i&1 != 0 {
				live[groupNames[i]] = v
			}
		}
		value := starlarkstruct.FromStringDict(starlark.String("live"), live)
		args := starlark.Tuple{starlark.String(d.States[l.State]), value, starlark.String(l.Told.String())}
		thread := &starlark.Thread{Name: "wants", Print: func(*starlark.Thread, string) {}}
		thread.SetMaxExecutionSteps(mostLookSteps)
		v, err := starlark.Call(thread, fn, args, nil)
		where := fmt.Sprintf("wants(%s, %s, %s)", args[0], value, args[2])
		if err != nil {
			return 0, fmt.Errorf("%s fails: %s", where, Message(err))
		}
		if v == starlark.None {
			return -1, nil
		}
		name, _ := v.(starlark.String)
		if i := slices.Index(d.States, string(name)); i >= 0 {
			return i, nil
		}
		return 0, fmt.Errorf("%s gives %s, want one of its states, %s, or None%s", where, Show(v), strings.Join(d.States, " "), say.DidYouMean(string(name), d.States))
	}, nil
}

// putInFrame places by any placing word.
func putInFrame(c *Call) (starlark.Value, error) {
	var word *Entry
	switch v := c.Value("word").(type) {
	case *OwnKind:
		word = v.word
	case *starlark.Builtin:
		entries()
		word = table.byName[v.Name()]
	}
	if word == nil || !word.Framed || word.Places == engine.Bare {
		return nil, c.Bad("word", Show(c.Value("word")), "a placing word: a kind of one's own, or one such as lamp")
	}
	thread, f, args, kwargs := c.Thread, c.Frame, c.Rest, c.kwargs
	v, err := starlark.Call(thread, word.builtin.BindReceiver(f), args, kwargs)
	if err != nil {
		return nil, c.Wrap(err)
	}
	return v, nil
}
