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
	e := &Entry{Name: s.Name, Topic: "placing", Sentence: fmt.Sprintf("Places a %s, a kind of this script's own.", s.Name), Returns: "the part", Call: placeOne, framed: true,
		Places: engine.Told, told: t, Params: []Param{atParam}}
	if s.Faces {
		e.Params = append(e.Params, facingParam)
	}
	e.Params = append(e.Params, Param{Name: "state", Type: "string", Default: starlark.String(s.States[0]).String(), Optional: true, Keyword: true, Allowed: s.States, Doc: "the state it starts in; its neighbours are not told",
		set: func(c *Call, param string) { c.part.State = slices.Index(s.States, c.Choice(param, s.States[0])) },
		of:  func(p Part) starlark.Value { return starlark.String(s.States[p.now().Told]) }}, nameParam)
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
				{Name: "wants", Type: "a function", Doc: "wants(state, live, told) gives the state it would have, or None for as it is; live has a field for each group in pads (True or False for one cell, how many are live for sides and around), and .cords .forced; told is \"back\", \"front\", \"side\", \"around\", \"cord\", \"nudge\", \"itself\" or \"due\""},
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
	spec, err := engine.NewSpec(d, wants)
	if err != nil {
		return nil, c.Wrap(err)
	}
	t := &OwnKind{Spec: spec}
	t.word = toldWord(t)
	spec.Aside = t
	return t, nil
}

// notInWord reports whether a rune may not stand in the name of a kind, of a state or of an event.
func notInWord(r rune) bool {
	return !(r == '_' || r == ' ' || r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9')
}

func (c *Call) kindName() string {
	name := c.Str("name")
	switch {
	case c.Err != nil:
	case name == "" || strings.ContainsFunc(name, notInWord) || strings.Contains(name, " "):
		c.Bad("name", Show(c.Value("name")), "a name of letters, digits and _")
	case len(name) > 24:
		c.Bad("name", Show(c.Value("name")), "at most 24 letters")
	default:
		if _, taken := engine.ParseKind(name); taken {
			c.Fail("for parameter name: %q is a built-in kind, want another name", name)
		}
	}
	return name
}

func (c *Call) stateNames() (names []string) {
	for _, v := range c.List("states") {
		s, ok := v.(starlark.String)
		if !ok || s == "" || strings.ContainsFunc(string(s), notInWord) {
			c.Bad("states", Show(v), "names of letters, digits, _ and blanks")
			return nil
		}
		if slices.Contains(names, string(s)) {
			c.Fail("for parameter states: %q is named twice", string(s))
			return nil
		}
		names = append(names, string(s))
	}
	if c.Err == nil && (len(names) < 2 || len(names) > engine.MaxStates) {
		c.Fail("for parameter states: got %d, want 2 to %d", len(names), engine.MaxStates)
	}
	return names
}

// groups reads a set of groups of cells; far says whether far cells are among those that may be named.
func (c *Call) groups(param string, usual engine.Groups, faces, far bool) (g engine.Groups) {
	if c.Err != nil || !c.Has(param) {
		return usual
	}
	may := []string{"around"}
	if faces {
		may = []string{"back", "front", "sides"}
		if far {
			may = append(may, "far_back", "far_front")
		}
	}
	for _, v := range c.List(param) {
		name, _ := v.(starlark.String)
		if !slices.Contains(may, string(name)) {
			c.Bad(param, Show(v), "a list of "+strings.Join(may, " ")+say.DidYouMean(string(name), may))
			return 0
		}
		g |= 1 << slices.Index(groupNames, string(name))
	}
	return g
}

// stateIn is the number of a state, or c.Err.
func (c *Call) stateIn(param string, v starlark.Value, states []string) int {
	name, _ := v.(starlark.String)
	i := slices.Index(states, string(name))
	if i < 0 {
		c.Bad(param, Show(v), "one of its states, "+strings.Join(states, " ")+say.DidYouMean(string(name), states))
		return 0
	}
	return i
}

// byState reads a dict by state; take says what is wanted if a value is none of it.
func (c *Call) byState(param string, states []string, take func(i int, v starlark.Value) string) {
	if c.Err != nil || !c.Has(param) {
		return
	}
	d, ok := c.Value(param).(*starlark.Dict)
	if !ok {
		c.Bad(param, Show(c.Value(param)), "a dict by state")
		return
	}
	for _, kv := range d.Items() {
		i := c.stateIn(param, kv[0], states)
		if c.Err != nil {
			return
		}
		if want := take(i, kv[1]); want != "" {
			c.Fail("for parameter %s: state %q has %s, want %s", param, states[i], Show(kv[1]), want)
			return
		}
	}
}

func (c *Call) statesIn(param string, states []string, set []bool) {
	for _, v := range c.List(param) {
		i := c.stateIn(param, v, states)
		if c.Err != nil {
			return
		}
		set[i] = true
	}
}

// whenOf reads how the kind reacts, one way or one for each state wanted.
func (c *Call) whenOf(d *engine.SpecDef) {
	const want = `"now", "step" or a number of ticks, at least 1`
	read := func(i int, v starlark.Value) string {
		switch v := v.(type) {
		case starlark.String:
			switch v {
			case "now":
				d.When[i] = engine.Now
				return ""
			case "step":
				d.When[i] = engine.NextStep
				return ""
			}
		case starlark.Int:
			if n, ok := v.Int64(); ok && n >= 1 && n <= engine.MaxTicks {
				d.When[i] = int(n)
				return ""
			}
		}
		return want
	}
	if c.Err != nil || !c.Has("when") {
		return
	}
	if _, by := c.Value("when").(*starlark.Dict); by {
		c.byState("when", d.States, read)
		return
	}
	for i := range d.States {
		if want := read(i, c.Value("when")); want != "" {
			c.Fail("for parameter when: got %s, want %s, or a dict of that by state", Show(c.Value("when")), want)
			return
		}
	}
}

func (c *Call) feedsOf(d *engine.SpecDef) {
	const want = `"around", "front" or ("front", level)`
	c.byState("feeds", d.States, func(i int, v starlark.Value) string {
		level := 0
		if pair, ok := v.(starlark.Tuple); ok {
			if len(pair) != 2 || pair[0] != starlark.String("front") {
				return want
			}
			n, ok := pair[1].(starlark.Int)
			l, fits := n.Int64()
			if !ok || !fits || l < 1 || l > engine.MaxReach {
				return fmt.Sprintf("a level of 1 to %d", engine.MaxReach)
			}
			level, v = int(l), pair[0]
		}
		switch v {
		case starlark.String("around"):
			d.Feeds[i].What = engine.FeedsAround
		case starlark.String("front"):
			if !d.Faces {
				return `"around": a kind without a facing has no front`
			}
			d.Feeds[i] = engine.Feeds{What: engine.FeedsFront, Level: level}
		default:
			return want
		}
		return ""
	})
}

// kindLetter is the letter of a kind on maps.
func (c *Call) kindLetter(name string) rune {
	if c.Err != nil || !c.Has("letter") {
		if i := strings.IndexAny(strings.ToLower(name), freeLetters); i >= 0 {
			return rune(strings.ToLower(name)[i])
		}
		return 'q'
	}
	letter := c.Str("letter")
	if c.Err == nil && (len(letter) != 1 || !strings.Contains(freeLetters+"q", letter)) {
		c.Bad("letter", Show(c.Value("letter")), "one that nothing else on a map has: "+strings.Join(strings.Split(freeLetters, ""), " ")+" or q")
		return 0
	}
	return rune(letter[0])
}

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
	if word == nil || !word.framed || word.Places == engine.Bare {
		return nil, c.Bad("word", Show(c.Value("word")), "a placing word: a kind of one's own, or one such as lamp")
	}
	thread, f, args, kwargs := c.Thread, c.Frame, c.Rest, c.kwargs
	v, err := starlark.Call(thread, word.builtin.BindReceiver(f), args, kwargs)
	if err != nil {
		return nil, c.Wrap(err)
	}
	return v, nil
}
