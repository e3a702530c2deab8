package sketch

import (
	"errors"
	"fmt"
	"slices"

	"pulsewright/builtins"
	"pulsewright/engine"

	"go.starlark.net/starlark"
)

// Drawing is a value with a text that sketch reads, such as map gives.
type Drawing interface {
	SketchText() string
	Kinds() []*engine.Spec // of a script's own, that occur in it
}

func sketchWords() []builtins.Entry {
	return []builtins.Entry{{Name: "sketch", Topic: "placing", Sentence: "Places what a drawing shows, in the signs in which map draws, layers below each other; a legend says what a drawing cannot show.",
		Params: []builtins.Param{
			{Name: "text", Type: "a drawing", Doc: "three columns a cell: letter, facing, mark, or a wire + in the middle; write r\"\"\"...\"\"\", or give what map() gives"},
			{Name: "at", Type: "cell", Default: "(0, 0, 0)", Optional: true, Doc: "where the drawing's (0, 0) goes: what its numbers say, or its lower left corner if it has none"},
			{Name: "legend", Type: "a dict", Default: "None", Optional: true, Doc: "settings as the placing words have them, by kind, letter, own mark or cell: {\"g\": dict(op=\"xor\"), (3, 0): dict(name=\"pull\")}; it may also stand below the drawing"},
			{Name: "times", Type: "number", Default: "None", Optional: true, Keyword: true, Doc: "how many copies, each a pitch on from the one before"},
			{Name: "pitch", Type: "an offset (x, y) or (x, y, z)", Default: "None", Optional: true, Keyword: true, Doc: "from one copy to the next, in cells"},
			{Name: "kinds", Type: "a list of kinds", Default: "None", Optional: true, Keyword: true, Doc: "the kinds of one's own whose letters it may hold, as kind() gives them; None: those of the world that the bench was made in. What map() gives knows its own"},
			{Name: "name", Type: "string", Default: "None", Optional: true, Keyword: true, Doc: "put in front of the names of its parts, as a frame's is; copies of r are r.0, r.1 and so on"}},
		Returns: "the parts: an iterable with .parts, which finds them by name, cell of the drawing, mark or kind, as in s[\"pull\"], s[(3, 0)], s[\"g\"]; with times, a list of these",
		Example: "s = sketch(r\"\"\"\n  0\n0 k   +--+-n>\nlegend\nnames: (0, 0) \"quay\"\n\"\"\", name=\"r1\")\npress(\"r1.quay\")\nrun()\nexpect_equal(s[(3, 0)].state, \"out\")\ntext = map()\nfresh()\nexpect_equal(len(sketch(text).parts), 4)",
		See:     []string{"map", "frame", "wire"}, Call: placeSketch, Framed: true}}
}

// placeSketch places all parts of a drawing, or none.
func placeSketch(c *builtins.Call) (starlark.Value, error) {
	outer := c.Frame
	if outer == nil {
		outer = builtins.World
	}
	c.Frame = nil // cells are read in the coordinates of the frame around it, and turned by the frames of the copies
	text, ok := c.Value("text").(starlark.String)
	if d, is := c.Value("text").(Drawing); is {
		text, ok = starlark.String(d.SketchText()), true
	}
	if !ok {
		return nil, c.Bad("text", builtins.Show(c.Value("text")), "a drawing as a string, or what map() gives")
	}
	var at, pitch engine.Cell
	if c.Has("at") {
		at = c.Cell("at")
	}
	if c.Has("pitch") {
		pitch = c.Cell("pitch")
	}
	times := int(c.Int("times", 1, 1))
	switch {
	case c.Err != nil:
	case c.Has("times") && times > 1 && pitch == (engine.Cell{}):
		c.Fail("missing argument pitch, want %s: how far one copy lies from the next", c.Spec("pitch").Want())
	case c.Has("pitch") && !c.Has("times"):
		c.Fail("missing argument times, want a whole number: how many copies")
	}
	name := c.Str("name")
	if c.Has("name") && c.Err == nil {
		c.CheckName("name", name)
	}
	given := legendOf(c)
	if c.Err != nil {
		return nil, c.Err
	}
	kinds := kindsOf(c)
	if c.Err != nil {
		return nil, c.Err
	}
	plan, err := Read(string(text), given, kinds)
	if err != nil {
		return nil, c.Wrap(err)
	}
	for _, tiles := range [][]Tile{plan.Tiles, plan.Shelf} {
		for i := range tiles {
			if t := &tiles[i]; t.Name != "" {
				if got, want := builtins.NameFault(t.Name); want != "" {
					return nil, c.Fail("%v: the name %s, want %s", t.At, got, want)
				}
			}
		}
	}
	s := &sketching{Call: c, plan: plan}
	before := c.Env.Before(min(times, 1<<20) * (len(plan.Tiles) + len(plan.Shelf)))
	var all []starlark.Value
	for i := range times {
		f := *outer
		if f.At, ok = copyAt(outer, at, pitch, i); !ok {
			c.Fail("copy %d lies outside the lattice; coordinates go from %d to %d", i, -engine.Limit, engine.Limit)
		} else if name != "" {
			if f.Name = outer.Prefix(name); c.Has("times") {
				f.Name += fmt.Sprintf(".%d", i)
			}
		}
		all = append(all, s.place(&f, i))
		if c.Wrap(c.Env.StoppedAt(i)); c.Err != nil {
			if before != nil {
				c.Env.Bench.Restore(before)
			} else {
				s.takeAway()
			}
			return nil, c.Err
		}
	}
	if !c.Has("times") {
		return all[0], nil
	}
	return starlark.NewList(all), nil
}

// kindsOf are the kinds of a script's own that a drawing may hold.
func kindsOf(c *builtins.Call) (kinds []*engine.Spec) {
	add := func(s *engine.Spec) {
		i := slices.IndexFunc(kinds, func(o *engine.Spec) bool { return o.Name == s.Name })
		if i >= 0 && !kinds[i].Same(s) {
			c.Fail("for parameter kinds: two are called %s, want each under its own name", s.Name)
		}
		if i < 0 {
			kinds = append(kinds, s)
		}
	}
	if d, ok := c.Value("text").(Drawing); ok {
		for _, s := range d.Kinds() {
			add(s)
		}
	}
	if c.Has("kinds") {
		for _, v := range c.List("kinds") {
			if k, ok := v.(*builtins.OwnKind); ok {
				add(k.Spec)
			} else {
				c.Bad("kinds", builtins.Show(v), "kinds, as kind() gives them")
			}
		}
	} else if w := c.Env.World; w != nil && len(kinds) == 0 {
		for _, k := range w.Kinds() {
			add(k.Spec)
		}
	}
	return kinds
}

// copyAt is where copy i of a sketch has its (0, 0).
func copyAt(outer *builtins.Frame, at, pitch engine.Cell, i int) (engine.Cell, bool) {
	n := [3]int64{int64(at.X) + int64(i)*int64(pitch.X), int64(at.Y) + int64(i)*int64(pitch.Y), int64(at.Z) + int64(i)*int64(pitch.Z)}
	for _, n := range n {
		if n < -engine.Limit || n > engine.Limit {
			return engine.Cell{}, false
		}
	}
	to := outer.Cell(engine.Cell{X: int32(n[0]), Y: int32(n[1]), Z: int32(n[2])})
	return to, max(to.X, to.Y, to.Z, -to.X, -to.Y, -to.Z) <= engine.Limit
}

// sketching is a sketch being placed.
type sketching struct {
	*builtins.Call
	plan  *Plan
	done  []engine.ID   // in the order in which they were placed
	loose []engine.Cell // where it put loose slugs
}

// place places one copy.
func (s *sketching) place(f *builtins.Frame, copy int) starlark.Value {
	v := &Sketch{Bench: s.Env.Bench, plan: s.plan, ids: make([]engine.ID, len(s.plan.Tiles)), shelf: make([]engine.ID, len(s.plan.Shelf))}
	fail := func(at Place, err error) starlark.Value {
		switch taken := (*engine.TakenCell)(nil); {
		case copy > 0 && errors.As(err, &taken):
			err = fmt.Errorf("%w (copy %d of the sketch; the first is 0)", err, copy)
		case copy > 0 && !s.Has("name"):
			err = fmt.Errorf("%w (copy %d of the sketch; with name= each copy has names of its own)", err, copy)
		}
		s.Fail("%v: %w", at, err)
		return v
	}
	one := func(t *Tile, id *engine.ID, shelved bool) error {
		if *id != 0 || s.Err != nil {
			return s.Err
		}
		if len(s.done)%4096 == 4095 {
			if err := s.Env.Stopped(); err != nil {
				return s.Wrap(err)
			}
		}
		var err error
		if *id, err = s.part(f, t, shelved); err == nil {
			s.done = append(s.done, *id)
		}
		return err
	}
	each := func(e End) error {
		if e >= 0 {
			return one(s.plan.Part(e), &v.ids[e], false)
		}
		for i := range -e { // the shelf keeps its order
			if err := one(&s.plan.Shelf[i], &v.shelf[i], true); err != nil {
				return err
			}
		}
		return nil
	}
	for _, e := range s.plan.First {
		if err := each(e); err != nil {
			return fail(s.plan.Part(e).At, err)
		}
	}
	for i := range v.ids {
		if err := one(&s.plan.Tiles[i], &v.ids[i], false); err != nil {
			return fail(s.plan.Tiles[i].At, err)
		}
	}
	for i := range v.shelf {
		if err := one(&s.plan.Shelf[i], &v.shelf[i], true); err != nil {
			return fail(s.plan.Shelf[i].At, err)
		}
	}
	for i, l := range s.plan.Loose {
		if err := s.Wrap(s.Env.StoppedAt(i)); err != nil {
			return fail(l.At, err)
		}
		if err := s.Env.Bench.PutSlug(f.Cell(l.Cell), l.What); err != nil {
			return fail(l.At, err)
		}
		s.loose = append(s.loose, f.Cell(l.Cell))
	}
	for i := range s.plan.Cords {
		cord := &s.plan.Cords[i]
		if err := s.Wrap(s.Env.StoppedAt(i)); err != nil {
			return fail(cord.At, err)
		}
		if err := s.Env.Bench.Patch(v.id(cord.From), v.id(cord.To), cord.Cord); err != nil {
			return fail(cord.At, err)
		}
	}
	return v
}

// part places one part as the frame lies.
func (s *sketching) part(f *builtins.Frame, t *Tile, shelved bool) (engine.ID, error) {
	p := t.Part
	b := s.Env.Bench
	if p.Name != "" {
		p.Name = f.Prefix(p.Name)
	}
	if p.Spec != nil {
		var err error
		if p.Spec, err = s.Env.Here(p.Spec); err != nil {
			return 0, err
		}
	}
	if shelved {
		return b.Shelve(p)
	}
	at := f.Cell(t.Cell)
	if f.Name != "" && p.Name == "" {
		if auto := f.AutoName(kindName(&p), at); auto != "" {
			if _, taken := b.Lookup(auto); !taken {
				p.Name = auto
			}
		}
	}
	if p.Spec == nil || p.Spec.Faces {
		p.Facing = f.Dir(p.Facing)
	}
	if p.FarSet {
		p.Far = f.Dir(p.Far)
	}
	if p.Pads != nil {
		p.Pads = make([]engine.Cell, len(t.Pads))
		for i, off := range t.Pads {
			p.Pads[i] = f.Turn(off)
		}
	}
	return b.Place(at, p)
}

// takeAway removes what was placed: placing and removing tell nobody, so that leaves no trace.
func (s *sketching) takeAway() {
	for _, at := range s.loose {
		if err := s.Env.Bench.PutSlug(at, engine.NoSlug); err != nil {
			s.Err = fmt.Errorf("%w (and the slug at %v could not be taken away again: %v)", s.Err, at, err)
			return
		}
	}
	for _, id := range slices.Backward(s.done) {
		if err := s.Env.Bench.Remove(id); err != nil {
			s.Err = fmt.Errorf("%w (and %v could not be taken away again: %v)", s.Err, id, err)
			return
		}
	}
}

// legendOf reads the dict that may be given beside a drawing.
func legendOf(c *builtins.Call) (all []Given) {
	if c.Err != nil || !c.Has("legend") {
		return nil
	}
	d, ok := c.Value("legend").(*starlark.Dict)
	if !ok {
		c.Bad("legend", builtins.Show(c.Value("legend")), "a dict such as {\"g\": dict(op=\"xor\")}")
		return nil
	}
	for k, v := range d.Entries() {
		in := "for parameter legend, at " + builtins.Show(k)
		g := Given{At: Place{In: in}}
		switch k := k.(type) {
		case starlark.String:
			g.Sign = string(k)
		default:
			cell, got, want := builtins.ParseCell(k)
			if want != "" {
				c.Bad("legend", got, "entries by a kind, its letter, a mark, or "+wantCell)
				return nil
			}
			g.Cells = []engine.Cell{cell}
		}
		settings, ok := v.(*starlark.Dict)
		if !ok {
			c.Fail("%s: got %s, want settings such as dict(ticks=3)", in, builtins.Show(v))
			return nil
		}
		for key, v := range settings.Entries() {
			name, isText := key.(starlark.String)
			val, ok := plain(v)
			if !isText || !ok {
				c.Fail("%s: got %s for %s, want a number, a string or a list of offsets", in, builtins.Show(v), builtins.Show(key))
				return nil
			}
			g.Settings = append(g.Settings, Setting{Key: string(name), Val: val, At: g.At})
		}
		all = append(all, g)
	}
	return all
}

// plain is a value of a script as a legend has it.
func plain(v starlark.Value) (any, bool) {
	switch v := v.(type) {
	case starlark.NoneType:
		return nil, true
	case starlark.Bool:
		return bool(v), true
	case starlark.String:
		return string(v), true
	case starlark.Int:
		n, ok := v.Int64()
		return n, ok
	case *starlark.List, starlark.Tuple:
		pads := []engine.Cell{}
		for x := range starlark.Elements(v.(starlark.Iterable)) {
			off, _, want := builtins.ParseCell(x)
			if want != "" {
				return nil, false
			}
			pads = append(pads, off)
		}
		return pads, true
	}
	return nil, false
}
