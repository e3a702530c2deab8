package engine_test

import "pulsewright/engine"

// chooser makes the choices of a random bench: a random generator, or the bytes of a fuzzer.
type chooser interface{ IntN(n int) int }

// maker makes a random bench and what is done to it: small and dense, so that everything touches.
type maker struct {
	chooser
	deeds  []deed
	box    engine.Cell // its size
	facing engine.Dir  // that of most parts
	weight map[engine.Kind]int
	labels map[engine.Kind][]int // of the parts placed
	kinds  []engine.Kind         // of label 1, 2, …
	told   []*engine.Spec        // kinds of one's own
	rules  engine.Rules
	whole  bool // the last run ended at a whole tick
}

var boxes = []engine.Cell{{X: 4, Y: 4, Z: 3}, {X: 5, Y: 4, Z: 2}, {X: 7, Y: 5, Z: 2}, {X: 9, Y: 2, Z: 2}, {X: 3, Y: 3, Z: 1}, {X: 3, Y: 2, Z: 4}, {X: 12, Y: 1, Z: 2}}

// randomBench makes rules and deeds.
func randomBench(c chooser) (engine.Rules, []deed) {
	return benchOf(&maker{chooser: c}, themes)
}

// benchOf is randomBench with what the maker has already, about one of these themes.
func benchOf(m *maker, themes []map[engine.Kind]int) (engine.Rules, []deed) {
	m.labels = map[engine.Kind][]int{}
	r := m.someRules()
	m.rules = r
	m.box = boxes[m.IntN(len(boxes))]
	m.facing = engine.Dir(m.IntN(6))
	m.weight = themes[m.IntN(len(themes))]
	cells := int(m.box.X * m.box.Y * m.box.Z)
	for range m.IntN(4) {
		m.row()
	}
	for range m.IntN(4) {
		m.group()
	}
	for range 2 + m.IntN(cells)*(1+m.IntN(3))/2 {
		m.placeOne()
	}
	if m.one(4) {
		for range m.IntN(5) {
			m.putSlug(m.cell())
		}
	}
	if m.one(3) {
		for range m.IntN(8) {
			m.shelveOne()
		}
	}
	if m.one(2) {
		for range m.IntN(2 + len(m.kinds)/2) {
			m.patchOne()
		}
	}
	if m.one(4) { // a net of cords
		m.weight = map[engine.Kind]int{engine.Wire: 8, engine.Jack: 2, engine.Key: 2, engine.Gate: 2, engine.Delay: 1, engine.Lamp: 1, engine.Link: 1}
		for range 4 + m.IntN(8) {
			m.shelveOne()
		}
		for range 5 + m.IntN(12) {
			m.patchOne()
		}
	}
	for range 1 + m.IntN(5) {
		for range 1 + m.IntN(6) {
			m.stimulate()
		}
		m.runSome()
		for m.one(3) {
			m.editSome()
		}
	}
	return r, m.deeds
}

// one is true once in n.
func (m *maker) one(n int) bool { return m.IntN(n) == n-1 }

func (m *maker) do(d deed) { m.deeds = append(m.deeds, d) }

func (m *maker) someRules() engine.Rules {
	r := engine.DefaultRules()
	if m.one(2) {
		for i := 5; i > 0; i-- {
			j := m.IntN(i + 1)
			r.Order[i], r.Order[j] = r.Order[j], r.Order[i]
		}
	}
	if m.one(4) {
		r.Mixed, r.Seed = true, uint64(m.IntN(1000))
		if m.one(8) {
			r.Seed = engine.MaxSeed - r.Seed
		}
	}
	r.News, r.Reads = engine.News(m.IntN(2)), engine.Reads(m.IntN(2))
	r.Travel, r.Run = 1+m.ticks(3), m.IntN(6)
	if m.one(2) {
		r.Reach = 1 + m.IntN(6)
	}
	return r
}

func (m *maker) cell() engine.Cell {
	return engine.Cell{X: int32(m.IntN(int(m.box.X))), Y: int32(m.IntN(int(m.box.Y))), Z: int32(m.IntN(int(m.box.Z)))}
}

// label counts a part in, and returns its label.
func (m *maker) label(k engine.Kind) int {
	m.kinds = append(m.kinds, k)
	m.labels[k] = append(m.labels[k], len(m.kinds))
	return len(m.kinds)
}

// row places a row of equal parts.
func (m *maker) row() {
	spec := m.spec([]engine.Kind{engine.Wire, engine.Reed, engine.Link, engine.Told}[m.IntN(4)])
	step := engine.Dir(m.IntN(6)).Cell()
	at := m.cell()
	for range 2 + m.IntN(6) {
		m.do(deed{do: doPlace, part: m.label(spec.Kind), cell: at, spec: spec})
		at = at.Add(step)
	}
}

// groups are kinds in a row that have to do with each other: all face along the row.
var groups = [][]engine.Kind{
	{engine.Tray, engine.Chute, engine.Tray},
	{engine.Bucket, engine.Chute, engine.Tray, engine.Chute, engine.Tray},
	{engine.Tray, engine.Chute, engine.Bucket, engine.Tray},
	{engine.Bucket, engine.Bucket, engine.Tray, engine.Meter},
	{engine.Tray, engine.Meter, engine.Wire},
	{engine.Shuttle, engine.Jack, engine.Bare, engine.Wire},
	{engine.Shuttle, engine.Bare, engine.Jack, engine.Wire},
	{engine.Key, engine.Delay, engine.Wire, engine.Gate, engine.Oneshot},
	{engine.Echo, engine.Delay, engine.Lamp},
	{engine.Key, engine.Told, engine.Told, engine.Wire, engine.Told},
}

func (m *maker) group() {
	d, at := engine.Dir(m.IntN(6)), m.cell()
	for _, k := range groups[m.IntN(len(groups))] {
		if k != engine.Bare {
			spec := m.spec(k)
			if spec.Spec == nil || spec.Spec.Faces {
				spec.Facing = d
			}
			m.do(deed{do: doPlace, part: m.label(k), cell: at, spec: spec})
			m.slugsFor(at, spec)
		}
		at = at.Add(d.Cell())
	}
}

func (m *maker) placeOne() {
	spec, at := m.spec(m.kind()), m.cell()
	m.do(deed{do: doPlace, part: m.label(spec.Kind), cell: at, spec: spec})
	m.slugsFor(at, spec)
}

// slugsFor puts loose slugs before a shuttle with a grip.
func (m *maker) slugsFor(at engine.Cell, spec engine.Part) {
	for d := spec.Facing.Cell(); spec.Grip != engine.NoGrip && m.one(2); {
		at = at.Add(d)
		m.putSlug(at)
	}
}

func (m *maker) putSlug(at engine.Cell) {
	m.do(deed{do: doSlug, cell: at, spec: engine.Part{Slug: engine.Slug(m.IntN(4))}})
}

func (m *maker) shelveOne() {
	spec := m.spec(m.kind())
	spec.Pads, spec.FarSet, spec.Far = nil, false, 0 // refused on the shelf
	m.do(deed{do: doShelve, part: m.label(spec.Kind), spec: spec})
}

// any returns the label of some part; of kind k, if one was placed.
func (m *maker) any(k engine.Kind) int {
	if of := m.labels[k]; len(of) > 0 {
		return of[m.IntN(len(of))]
	}
	return 1 + m.IntN(len(m.kinds))
}

func (m *maker) patchOne() {
	c := engine.Cord{Power: !m.one(5), News: !m.one(5), Invert: m.one(4)}
	from, to := m.any(engine.Bare), m.any(engine.Bare)
	if m.one(8) {
		from = to
	}
	if m.one(6) {
		m.do(deed{do: doUnpatch, part: from, to: to})
	}
	m.do(deed{do: doPatch, part: from, to: to, cord: c})
}

// stimulate gives a stimulus, or several that belong together.
func (m *maker) stimulate() {
	at := int64(m.ticks(4))
	target := deed{cell: m.cell(), at: at}
	if m.one(3) {
		target.part = m.any(engine.Bare)
	}
	switch n := m.IntN(9); {
	case n < 3:
		key := m.any(engine.Key)
		m.do(deed{do: doPress, part: key, at: at})
		if m.one(2) {
			m.do(deed{do: doRelease, part: key, at: at + int64(m.IntN(3))})
		}
	case n == 3:
		m.do(deed{do: doRelease, part: m.any(engine.Key), at: at})
	case n < 6:
		target.do, target.around = doNudge, m.one(3)
		if m.one(2) {
			target.part = m.any([]engine.Kind{engine.Chute, engine.Bucket, engine.Meter, engine.Echo, engine.Delay}[m.IntN(5)])
		}
		m.do(target)
	default:
		target.do = doFire
		target.firing = engine.Firing{Steps: m.IntN(5), Late: m.one(2)}
		if m.one(3) {
			target.firing.Ticks = m.ticks(3)
		}
		m.do(target)
		if m.one(6) { // force it twice
			target.firing.Steps = m.IntN(5)
			m.do(target)
		}
	}
}

func (m *maker) runSome() {
	n := m.IntN(7)
	m.whole = n > 2
	switch n {
	case 0, 1:
		m.do(deed{do: doTurns, n: 1 + m.IntN(12)})
	case 2:
		m.do(deed{do: doSteps, n: 1 + m.IntN(6)})
	case 3, 4:
		m.do(deed{do: doTicks, n: m.ticks(7)})
	default:
		m.do(deed{do: doRun})
	}
}

func (m *maker) editSome() {
	switch m.IntN(10) {
	case 9:
		m.putSlug(m.cell())
	case 0, 1:
		m.placeOne()
	case 2, 3:
		m.do(deed{do: doRemove, part: m.any(engine.Bare)})
	case 4:
		m.patchOne()
	case 5:
		m.do(deed{do: doFill, part: m.any([]engine.Kind{engine.Tray, engine.Bucket}[m.IntN(2)]), n: m.IntN(3)})
	case 6:
		m.do(deed{do: doRemove, part: m.any(m.kind())})
	case 7:
		m.do(deed{do: doNumber})
	default:
		r := m.someRules()
		if !m.whole { // acts that have looked have seen
			r.Reads, r.News = m.rules.Reads, m.rules.News
		}
		m.rules = r
		m.do(deed{do: doRules, rules: r})
	}
}
