package invent

import (
	"fmt"
	"maps"
	"slices"

	"pulsewright/builtins"
	"pulsewright/builtins/say"
	"pulsewright/engine"

	"go.starlark.net/starlark"
)

// boxed is what a search goes through: which parts may stand in which cells of a box, and which arrangements of them are as good as others.
type boxed struct {
	*task
	rules   engine.Rules
	lo, hi  engine.Cell
	cells   []engine.Cell // that may be filled, in order
	options []engine.Part // what may stand in each; facings and poses count
	fixed   []piece
	same    [][]uint8 // for each cell and option: the first option that cannot be told from it there
	stands  [][]bool  // for each cell and option: whether its slug stays where it may
	ways    []way     // the ways to lay the box on itself, the plain one first
	reach   int32     // how far off a part may still matter to another, in cells
	turns   int       // after which a machine is given up
	widest  int       // of the numbers, in steps
}

// way is one way to lay a box on itself with its ports and fixed parts.
type way struct {
	to    []int   // where each cell goes
	turns []uint8 // what each option becomes
	order [6]engine.Dir
}

// facingsOf are the ways in which a part may face.
func facingsOf(p engine.Part) []engine.Dir {
	if !faces(p) {
		return []engine.Dir{p.Facing}
	}
	return []engine.Dir{engine.PosX, engine.NegX, engine.PosY, engine.NegY, engine.PosZ, engine.NegZ}
}

// optionsArg reads kinds: each is placed by its word on a bench of its own, so that what the word allows is allowed.
func optionsArg(c *builtins.Call, param string) (all []engine.Part) {
	const want = "kinds such as \"link\", or dict(kind=\"gate\", op=\"not\", on=True), or what kind() gave; a facing is one of all six unless it is given"
	for _, v := range c.List(param) {
		settings := map[string]starlark.Value{}
		name, ok := starlark.AsString(v)
		own, _ := v.(*builtins.OwnKind)
		if d, isDict := v.(*starlark.Dict); isDict {
			for k, x := range d.Entries() {
				key, _ := starlark.AsString(k)
				if key == "kind" {
					name, ok = starlark.AsString(x)
					own, _ = x.(*builtins.OwnKind)
					continue
				}
				settings[key] = x
			}
		}
		word, known := builtins.Lookup(name)
		var places starlark.Value = builtins.Predeclared()[name]
		if own != nil {
			word, places, ok, known = own.Word(), own, true, true
		}
		if !ok || !known || word.Places == engine.Bare {
			c.Bad(param, showKind(v), want+say.DidYouMean(name, kindWords()))
			return nil
		}
		p, err := placedAlone(c, word, places, settings)
		if err != nil {
			c.Fail("for parameter %s: got %s: %w", param, showKind(v), err)
			return nil
		}
		switch {
		case p.Pads != nil || p.FarSet:
			c.Bad(param, showKind(v), "kinds with the pads that they have anyway")
			return nil
		case p.Name != "":
			c.Bad(param, showKind(v), "kinds without a name: there may be several of each")
			return nil
		}
		if p.On && (p.Kind == engine.Oneshot || p.Kind == engine.Echo || p.Hold > 0) || p.Keep > 0 || own != nil && own.Spec.Then[p.State] > 0 {
			c.Bad(param, showKind(v), "poses in which nothing waits for a timer")
			return nil
		}
		if i := slices.IndexFunc(all, func(q engine.Part) bool {
			return own != nil && q.Spec != nil && q.Spec.Name != p.Spec.Name && q.Spec.Letter == p.Spec.Letter
		}); i >= 0 {
			c.Fail("for parameter %s: %w", param, builtins.LetterClash(p.Spec, all[i].Spec, "before it", specsOf(append(all, p))))
			return nil
		}
		facings := facingsOf(p)
		if _, given := settings["facing"]; given {
			facings = []engine.Dir{p.Facing}
		}
		for _, d := range facings {
			if p.Facing = d; slices.ContainsFunc(all, func(q engine.Part) bool { return samePart(p, q) }) {
				c.Bad(param, showKind(v)+" a second time", "each way to fill a cell once")
				return nil
			}
			all = append(all, p)
		}
	}
	return all
}

// specsOf are the tables of the parts of kinds of a script's own.
func specsOf(parts []engine.Part) (all []*engine.Spec) {
	for _, p := range parts {
		if p.Spec != nil {
			all = append(all, p.Spec)
		}
	}
	return all
}

// showKind is a kind as it was given.
func showKind(v starlark.Value) string {
	if d, ok := v.(*starlark.Dict); ok && len(d.String()) <= 60 {
		return d.String()
	}
	return builtins.Show(v)
}

// kindWords are the words that may be given as kinds.
func kindWords() (all []string) {
	for _, k := range engine.Kinds() {
		if word, ok := builtins.Lookup(k.String()); ok && word.Places != engine.Bare {
			all = append(all, k.String())
		}
	}
	return all
}

// placedAlone is the part that a word places with some settings.
func placedAlone(c *builtins.Call, word builtins.Entry, places starlark.Value, settings map[string]starlark.Value) (p engine.Part, err error) {
	e := *c.Env
	e.Bench = engine.New(c.Env.Rules())
	thread := &starlark.Thread{Name: "kinds"}
	e.Attach(thread)
	kwargs := []starlark.Tuple{{starlark.String("at"), builtins.CellValue(engine.Cell{})}}
	if _, given := settings["facing"]; !given && slices.ContainsFunc(word.Params, func(p builtins.Param) bool { return p.Name == "facing" }) {
		kwargs = append(kwargs, starlark.Tuple{starlark.String("facing"), starlark.String("+x")})
	}
	for _, name := range slices.Sorted(maps.Keys(settings)) {
		kwargs = append(kwargs, starlark.Tuple{starlark.String(name), settings[name]})
	}
	if _, err = starlark.Call(thread, places, nil, kwargs); err != nil {
		return p, err
	}
	l, err := takeApart(e.Bench, builtins.World, 0)
	if err != nil || len(l.pieces) != 1 {
		return p, fmt.Errorf("it places no single part")
	}
	return l.pieces[0].Part, nil
}

// prepare finds what may be filled, and what is alike. What is fired into is forced, whatever lies there, and stays empty.
func (b *boxed) prepare(forbidden []engine.Cell) {
	forbidden = append(slices.Clip(forbidden), b.into)
	for x := b.lo.X; x <= b.hi.X; x++ {
		for y := b.lo.Y; y <= b.hi.Y; y++ {
			for z := b.lo.Z; z <= b.hi.Z; z++ {
				at := engine.Cell{X: x, Y: y, Z: z}
				taken := slices.Contains(forbidden, at) || slices.ContainsFunc(b.fixed, func(p piece) bool { return p.cell == at })
				if !taken {
					b.cells = append(b.cells, at)
				}
			}
		}
	}
	b.reach = b.reaches()
	for _, at := range b.cells {
		stands := make([]bool, len(b.options))
		for o, p := range b.options {
			stands[o] = b.seated(p, at)
		}
		b.stands = append(b.stands, stands)
	}
	b.alike()
	b.lay()
	b.turns, b.widest = b.patience(), slices.Max(b.numbers)
}

// reaches is how far off a part may still matter to another: as far as a slug lies off its shuttle, and as far again as anything reads, or another slug lies.
func (b *boxed) reaches() int32 {
	slug, reads := int32(0), int32(1)
	for _, p := range b.all() {
		switch {
		case p.Kind == engine.Shuttle:
			slug, reads = 2, max(reads, 2)
		case p.Kind.Trait().Far != engine.NoFar, p.FarSet, p.Kind == engine.Told, p.Kind == engine.Bucket, p.Kind == engine.Chute, p.Kind == engine.Meter:
			reads = max(reads, 2)
		}
		for _, pad := range p.Pads {
			reads = max(reads, int32(apartOf(pad, engine.Cell{})))
		}
	}
	return slug + reads
}

// seated reports whether the slug that a part brings along has both its seats in cells that may be filled, or in jacks that are fixed.
func (b *boxed) seated(p engine.Part, at engine.Cell) bool {
	if p.Kind != engine.Shuttle || p.Slug == engine.NoSlug {
		return true
	}
	for range 2 {
		at = at.Add(p.Facing.Cell())
		if !slices.Contains(b.cells, at) && !slices.ContainsFunc(b.fixed, func(q piece) bool { return q.cell == at && q.Kind == engine.Jack }) {
			return false
		}
	}
	return true
}

// all are all parts that may stand in the box.
func (b *boxed) all() []engine.Part {
	all := slices.Clone(b.options)
	for _, p := range b.fixed {
		all = append(all, p.Part)
	}
	return all
}

// alike finds options that cannot be told apart in a cell: they differ only by what they read or feed where nothing is ever live and nothing stands.
func (b *boxed) alike() {
	sliding := slices.ContainsFunc(b.all(), func(p engine.Part) bool {
		return p.Kind == engine.Shuttle || p.Kind == engine.Bucket || p.Kind == engine.Chute || p.Kind == engine.Tray
	})
	matters := func(c engine.Cell) bool {
		return sliding || c == b.into || slices.Contains(b.cells, c) || slices.ContainsFunc(b.fixed, func(p piece) bool { return p.cell == c })
	}
	for _, at := range b.cells {
		same := make([]uint8, len(b.options))
		for o, p := range b.options {
			same[o] = uint8(o)
			switch p.Kind {
			case engine.Link, engine.Gate, engine.Delay, engine.Oneshot, engine.Echo:
			default:
				continue
			}
			for k, q := range b.options[:o] {
				r := q
				r.Facing = p.Facing
				if samePart(p, r) && b.shows(p, at, matters) == b.shows(q, at, matters) {
					same[o] = same[k]
					break
				}
			}
		}
		b.same = append(b.same, same)
	}
}

// samePart reports whether two parts are placed alike. Neither names pads.
func samePart(p, q engine.Part) bool {
	p.Pads, q.Pads = nil, nil
	return fmt.Sprintf("%+v", p) == fmt.Sprintf("%+v", q)
}

// shows is what of the way a part faces in a cell can be told: which cells that matter it reads, hears alone and feeds.
func (b *boxed) shows(p engine.Part, at engine.Cell, matters func(engine.Cell) bool) string {
	front, back := at.Add(p.Facing.Cell()), at.Sub(p.Facing.Cell())
	var reads []engine.Cell
	note := func(c engine.Cell) {
		if matters(c) {
			reads = append(reads, c)
		}
	}
	switch p.Kind {
	case engine.Link, engine.Gate:
		for d := engine.PosX; d <= engine.NegZ; d++ {
			if d != p.Facing {
				note(at.Add(d.Cell()))
			}
		}
		if p.Kind == engine.Link {
			note(back.Sub(p.Facing.Cell()))
		}
	default:
		note(back)
	}
	feeds := ""
	if p.Kind != engine.Link && matters(front) {
		feeds = front.String()
	}
	return fmt.Sprint(reads, feeds)
}

// asItLies is the way to lay a box in which nothing is turned.
var asItLies = [3]engine.Dir{engine.PosX, engine.PosY, engine.PosZ}

// lay finds the ways to lay the box on itself.
func (b *boxed) lay() {
	for x := engine.PosX; x <= engine.NegZ; x++ {
		for y := engine.PosX; y <= engine.NegZ; y++ {
			if x/2 == y/2 {
				continue
			}
			for _, z := range []engine.Dir{builtins.Cross(x, y), builtins.Cross(x, y).Opposite()} {
				f := &builtins.Frame{Axes: [3]engine.Dir{x, y, z}}
				if w, ok := b.wayOf(f); ok {
					if f.Axes == asItLies {
						b.ways = slices.Insert(b.ways, 0, w)
					} else {
						b.ways = append(b.ways, w)
					}
				}
			}
		}
	}
}

// wayOf is the way that a turn lays the box on itself, if it does.
func (b *boxed) wayOf(f *builtins.Frame) (w way, ok bool) {
	sum := b.lo.Add(b.hi)
	move := func(c engine.Cell) (engine.Cell, bool) { // about the middle of the box
		t := f.Turn(c.Add(c).Sub(sum)).Add(sum)
		return engine.Cell{X: t.X >> 1, Y: t.Y >> 1, Z: t.Z >> 1}, t.X&1 == 0 && t.Y&1 == 0 && t.Z&1 == 0
	}
	if to, whole := move(b.into); !whole || to != b.into {
		return w, false
	}
	if to, whole := move(b.out); !b.task.tells && (!whole || to != b.out) {
		return w, false
	}
	for _, c := range b.cells {
		to, whole := move(c)
		k := slices.Index(b.cells, to)
		if !whole || k < 0 {
			return w, false
		}
		w.to = append(w.to, k)
	}
	turned := func(p engine.Part) engine.Part {
		if faces(p) {
			p.Facing = f.Dir(p.Facing)
		}
		return p
	}
	for _, p := range b.fixed {
		if f.Axes == asItLies {
			break // whatever pads they have
		}
		to, _ := move(p.cell)
		if !slices.ContainsFunc(b.fixed, func(q piece) bool {
			return q.cell == to && q.Pads == nil && !q.FarSet && samePart(turned(p.Part), q.Part)
		}) {
			return w, false
		}
	}
	for _, p := range b.all() {
		if p.Kind == engine.Bucket && f.Dir(engine.NegZ) != engine.NegZ {
			return w, false // its token drops
		}
	}
	for _, p := range b.options {
		q := turned(p)
		k := slices.IndexFunc(b.options, func(o engine.Part) bool { return samePart(o, q) })
		if k < 0 {
			return w, false
		}
		w.turns = append(w.turns, uint8(k))
	}
	for i, d := range b.rules.Order {
		w.order[i] = f.Dir(d)
	}
	return w, true
}
