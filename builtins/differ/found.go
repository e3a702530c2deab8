package differ

import (
	"fmt"
	"slices"

	"pulsewright/builtins"
	"pulsewright/builtins/picture"
	"pulsewright/engine"

	"go.starlark.net/starlark"
)

// Found is what differ found: a story for people, fields for scripts, and lanes for a scope. It cannot be changed.
type Found struct {
	parting
	then   [2]moment // just before they part
	later  [2]int    // which event of the other is like the next one of a, and of b; 0: none
	placed []unlike
	rules  []unlike
	stood  []unlike // parts, other than those of the parting events, that stood otherwise
	told   bool     // whether placing could be compared: a log does not tell it
	posed  bool     // and posing
	slugs  int      // loose ones in a, before the first turn
	one    bool     // both are spans of one run: nothing can be placed otherwise
	text   string
	shown  bool
}

var (
	_ starlark.HasAttrs = (*Found)(nil)
	_ builtins.Shown    = (*Found)(nil)
	_ picture.Lanes     = (*Found)(nil)
)

func (d *Found) Type() string          { return "differ" }
func (d *Found) String() string        { return d.text }
func (d *Found) Freeze()               {}
func (d *Found) Truth() starlark.Bool  { return starlark.True }
func (d *Found) Hash() (uint32, error) { return 0, fmt.Errorf("a differ cannot be a key of a dict") }
func (d *Found) Shown() bool           { return d.shown }

// compare compares two sides.
func compare(e *builtins.Env, a, b *side, names, lag bool) (*Found, error) {
	d := &Found{parting: parting{a: a, b: b, lag: lag}}
	a.pick()
	b.pick()
	pair(a, b, names)
	if err := d.find(e.Stopped); err != nil {
		return nil, err
	}
	d.one = a.bench != nil && a.bench == b.bench && a.part == b.part && a.frame == b.frame
	if d.told = a.saved == nil && b.saved == nil; d.told && !d.one {
		d.placed, d.slugs, d.posed = placed(a, b)
		d.rules = rules(a, b)
	}
	for _, s := range d.sides() {
		var err error
		if s.after, err = s.end(e.Context()); err != nil {
			return nil, err
		}
	}
	if d.parted {
		for k, s := range d.sides() {
			var err error
			if d.then[k], err = d.before(e.Context(), s); err != nil {
				return nil, err
			}
			if other := d.sides()[1-k]; !d.ended(s) {
				ev := s.at(d.alike + 1)
				d.later[k] = next(other, d.alike+1, s.class[ev.ID], ev)
			}
		}
		d.stood = d.otherwise()
	}
	d.text = d.story(e)
	return d, nil
}

// concerned are the classes of the parting events, that of a first.
func (d *Found) concerned() (classes []int32) {
	for _, s := range d.sides() {
		if d.parted && !d.ended(s) {
			if c := s.class[s.at(d.alike+1).ID]; !slices.Contains(classes, c) {
				classes = append(classes, c)
			}
		}
	}
	return classes
}

// otherwise lists the other parts that did not stand alike just before.
func (d *Found) otherwise() (all []unlike) {
	if d.then[0].bench == nil || d.then[1].bench == nil {
		return nil
	}
	concerned := d.concerned()
	for c := range d.a.first {
		x, y := here(d.a, c), here(d.b, c)
		if x == 0 || y == 0 || slices.Contains(concerned, int32(c)) || d.a.who(x).kind != d.b.who(y).kind {
			continue
		}
		s, known := d.then[0].stands(x)
		t, too := d.then[1].stands(y)
		if !known || !too || s == t {
			continue
		}
		if in, other := d.then[0].words(int32(c)), d.then[1].words(int32(c)); in != other {
			all = append(all, unlike{who: d.a.called(x), what: "stood", a: in, b: other, text: fmt.Sprintf("%s: in a %s; in b %s", d.a.called(x), in, other)})
		}
	}
	return all
}

// AttrNames lists the fields.
func (d *Found) AttrNames() []string {
	return []string{"a", "b", "compared", "join", "later", "placed", "rules", "same", "stood", "text"}
}

// Attr reads a field.
func (d *Found) Attr(name string) (starlark.Value, error) {
	switch name {
	case "same":
		return starlark.Bool(!d.parted), nil
	case "compared":
		return starlark.MakeInt(d.alike), nil
	case "a":
		return d.sideValue(0), nil
	case "b":
		return d.sideValue(1), nil
	case "join":
		return d.a.value(d.join), nil
	case "later":
		v := starlark.Tuple{starlark.None, starlark.None}
		for k, s := range d.sides() {
			if i := d.later[1-k]; i != 0 {
				v[k] = s.value(i)
			}
		}
		return v, nil
	case "placed":
		return values(d.placed), nil
	case "rules":
		return values(d.rules), nil
	case "stood":
		return values(d.stood), nil
	case "text":
		return starlark.String(d.text), nil
	}
	return nil, nil
}

// value is an event, as scripts hold it; of a log, a struct with the same fields.
func (s *side) value(i int) starlark.Value {
	if i == 0 {
		return starlark.None
	}
	if s.bench != nil {
		return builtins.NewEvent(s.bench, s.number(i))
	}
	e := s.at(i)
	cell, level := starlark.Value(starlark.None), starlark.Value(starlark.None)
	if w := s.who(e.ID); !w.shelf {
		cell = builtins.CellValue(w.cell)
	}
	if e.What == engine.Level {
		level = starlark.MakeInt(int(e.Arg))
	}
	return builtins.StructOf("event", starlark.StringDict{"at": builtins.Instant{Instant: e.At()}, "tick": starlark.MakeInt64(e.Tick), "step": starlark.MakeInt(int(e.Step)),
		"turn": starlark.MakeInt(int(e.Turn)), "what": starlark.String(e.What.String()), "part": starlark.String(s.label(e.ID)), "cell": cell, "level": level,
		"number": starlark.MakeInt(i), "cause": starlark.MakeInt(int(e.Cause))})
}

func (d *Found) sideValue(k int) starlark.Value {
	s := d.sides()[k]
	event, stood, causes := starlark.Value(starlark.None), []starlark.Value{}, []starlark.Value{}
	if d.parted {
		if !d.ended(s) {
			event = s.value(d.alike + 1)
		}
		for _, c := range d.concerned() {
			stood = append(stood, d.then[k].value(c))
		}
		for _, i := range d.chains[k] {
			causes = append(causes, s.value(i))
		}
	}
	return builtins.StructOf("side", starlark.StringDict{"what": starlark.String(s.what), "events": starlark.MakeInt(s.events()), "event": event,
		"stood": starlark.NewList(stood), "causes": starlark.NewList(causes), "read": starlark.NewList(slices.Clone(s.read))})
}

func values(all []unlike) starlark.Value {
	list := []starlark.Value{}
	for _, u := range all {
		in := func(text string) starlark.Value {
			if text == "" {
				return starlark.None
			}
			return starlark.String(text)
		}
		list = append(list, builtins.StructOf("unlike", starlark.StringDict{"part": starlark.String(u.who), "what": starlark.String(u.what), "a": in(u.a), "b": in(u.b)}))
	}
	return starlark.NewList(list)
}

// mostLanes is how many parts a scope shows of each side.
const mostLanes = 8

// Lanes are those of the parts that the parting is about, each once for a and once for b: the events in which they part, and what caused
// them, back to where that joins. Where nothing parts they are those of the first parts that did anything.
func (d *Found) Lanes() (lanes []*picture.Lane) {
	var classes []int32
	add := func(s *side, i int) {
		if i == 0 || i > s.events() {
			return
		}
		if c := s.class[s.at(i).ID]; len(classes) < mostLanes && !slices.Contains(classes, c) {
			classes = append(classes, c)
		}
	}
	if d.parted {
		add(d.a, d.alike+1)
		add(d.b, d.alike+1)
		for k, s := range d.sides() {
			for _, i := range d.chains[k] {
				if len(classes) < mostLanes-1 {
					add(s, i)
				}
			}
		}
		add(d.a, d.join)
		slices.Reverse(classes) // causes first
	} else {
		for i := 1; i <= d.alike && len(classes) < mostLanes; i++ {
			add(d.a, i)
		}
	}
	for _, c := range classes {
		for _, s := range d.sides() {
			id := s.first[c]
			if id == 0 {
				continue
			}
			var events []engine.Event
			for i := 1; i <= s.events(); i++ {
				if e := s.at(i); s.class[e.ID] == c {
					e.Tick += d.a.start() - s.start() // side by side
					events = append(events, e)
				}
			}
			var now engine.State
			if s.after != nil {
				now = s.after.State(id)
			}
			lanes = append(lanes, picture.FilledLane(s.letter+": "+s.label(id), s.who(id).kind, now, events))
		}
	}
	return lanes
}
