package picture

import (
	"maps"
	"slices"

	"pulsewright/builtins"
	"pulsewright/engine"

	"go.starlark.net/starlark"
)

// everywhere is the first and the last cell of the lattice.
func everywhere() (lo, hi engine.Cell) {
	return engine.Cell{X: -engine.Limit, Y: -engine.Limit, Z: -engine.Limit}, engine.Cell{X: engine.Limit, Y: engine.Limit, Z: engine.Limit}
}

// WholeChart is a map of all that stands on a bench.
func WholeChart(e *builtins.Env) (*chart, error) {
	m := &chart{Env: e}
	return m, m.takeIn(everywhere())
}

// SideChart is WholeChart seen from the side.
func SideChart(e *builtins.Env) (*chart, error) {
	m := &chart{Env: e, side: true}
	return m, m.takeIn(everywhere())
}

// mostLayers is how many layers a reader still puts together.
const mostLayers = 3

// Tall reports whether fewer pictures show it from the side than from above.
func (m *chart) Tall() bool {
	deep := map[int32]bool{}
	for i := range m.layers {
		for at := range m.layers[i].tiles {
			deep[at.Y] = true
		}
	}
	return len(m.layers) > mostLayers && len(deep) < len(m.layers)
}

// ChartOf reads the parameters of a map, z, box, frame, of, side and at, and looks at the bench. The maps of a series have one size and one
// legend, whatever the moment; one with at= that is no still of a series has that size, and explains what is drawn.
func ChartOf(c *builtins.Call, series bool) *chart {
	m := &chart{Env: c.Env, series: series, lone: !series}
	if c.Has("at") {
		m.stood(c)
	}
	if c.Has("of") && c.Err == nil {
		if l, ok := c.Value("of").(*starlark.List); ok && l.Len() != 3 && l.Len() != 2 {
			c.Bad("of", builtins.Show(l), "one part, its name or its cell")
		} else if id := c.Part("of"); c.Err == nil {
			m.markOf(id)
		}
	}
	return m.piece(c)
}

// PieceOf is ChartOf without of and at, for a series.
func PieceOf(c *builtins.Call) *chart { return (&chart{Env: c.Env, series: true}).piece(c) }

// piece reads z, box, frame and side, and takes in what lies there.
func (m *chart) piece(c *builtins.Call) *chart {
	lo, hi := everywhere()
	m.side = c.Bool("side", false)
	if c.Has("box") && c.Err == nil {
		pair, ok := c.Value("box").(starlark.Indexable)
		if !ok || pair.Len() != 2 {
			c.Bad("box", builtins.Show(c.Value("box")), "")
			return m
		}
		p, q := c.CellIn("box", pair.Index(0)), c.CellIn("box", pair.Index(1))
		lo = engine.Cell{X: min(p.X, q.X), Y: min(p.Y, q.Y), Z: min(p.Z, q.Z)}
		hi = engine.Cell{X: max(p.X, q.X), Y: max(p.Y, q.Y), Z: max(p.Z, q.Z)}
		m.crop = true
	}
	if frames := c.FrameNames("frame"); len(frames) > 0 && c.Err == nil {
		p, q, found := boxOf(m.Bench, frames)
		if !found {
			c.Fail("for parameter %s: no part lies in that frame", c.Spec("frame").Name)
			return m
		}
		lo = engine.Cell{X: max(p.X, lo.X), Y: max(p.Y, lo.Y), Z: max(p.Z, lo.Z)}
		hi = engine.Cell{X: min(q.X, hi.X), Y: min(q.Y, hi.Y), Z: min(q.Z, hi.Z)}
		m.crop = true
	}
	if c.Has("z") && c.Err == nil {
		n, ok := c.Value("z").(starlark.Int)
		z, fits := n.Int64()
		if !ok || !fits || z < -engine.Limit || z > engine.Limit {
			c.Bad("z", builtins.Show(c.Value("z")), "a whole number, or None")
			return m
		}
		lo.Z, hi.Z = max(lo.Z, int32(z)), min(hi.Z, int32(z))
		m.crop = true
		if !m.side {
			m.besides = map[[2]int32]bool{}
		}
	}
	if c.Err == nil {
		c.Wrap(m.takeIn(lo, hi))
	}
	return m
}

// stood takes the bench as it stood at a moment.
func (m *chart) stood(c *builtins.Call) {
	at := c.Moment("at")
	if c.Err != nil {
		return
	}
	m.series = true
	if !at.Before(m.Bench.Now()) {
		return
	}
	was, err := m.Bench.BeforeTurn(c.Env.Context(), engine.Instant{Tick: at.Tick, Step: at.Step, Turn: at.Turn + 1})
	switch {
	case err != nil:
		c.Wrap(err)
	case was == nil:
		c.Bad("at", builtins.Show(c.Value("at")), "a moment that the history still knows")
	default:
		m.At(was)
	}
}

// At makes it a map of another bench, such as this one as it stood.
func (m *chart) At(b *engine.Bench) {
	env := *m.Env
	env.Bench = b
	m.Env = &env
}

// On is the same map of another moment: crop, numbers and legend stay those of m.
func (m *chart) On(b *engine.Bench) (*chart, error) {
	n := &chart{Env: m.Env, series: true, side: m.side, crop: m.crop, slots: m.slots}
	n.At(b)
	if err := n.takeIn(m.lo, m.hi); err != nil {
		return nil, err
	}
	n.xs, n.ys, n.besides, n.tagged = m.xs, m.ys, m.besides, m.tags()
	taken := n.layers
	n.layers = make([]layer, len(m.layers))
	for i := range m.layers {
		n.layers[i] = layer{z: m.layers[i].z, axis: m.layers[i].axis, tiles: map[engine.Cell]engine.ID{}}
		for at := range m.layers[i].tiles {
			n.layers[i].tiles[at] = 0
		}
		for k := range taken {
			if taken[k].z == n.layers[i].z {
				maps.Copy(n.layers[i].tiles, taken[k].tiles)
			}
		}
	}
	return n, nil
}

// turned is where a cell stands on the page, and which cell stands there: seen from the side, y and z change places.
func (m *chart) turned(c engine.Cell) engine.Cell {
	if m.side {
		c.Y, c.Z = c.Z, c.Y
	}
	return c
}

// onPage is a direction as it lies on the page, where +z comes out of it towards the reader. From the side one looks along +y.
func (m *chart) onPage(d engine.Dir) engine.Dir {
	if m.side {
		switch d {
		case engine.PosY:
			return engine.NegZ
		case engine.NegY:
			return engine.PosZ
		case engine.PosZ:
			return engine.PosY
		case engine.NegZ:
			return engine.NegY
		}
	}
	return d
}

// takeIn notes what stands between two cells.
func (m *chart) takeIn(lo, hi engine.Cell) error {
	b, inside := m.Bench, m.inside
	m.lo, m.hi = lo, hi
	of := map[int32]*layer{}
	axis := byte('z')
	if m.side {
		axis = 'y'
	}
	put := func(id engine.ID, at engine.Cell) {
		if !inside(at) {
			if m.besides != nil && lo.X <= at.X && at.X <= hi.X && lo.Y <= at.Y && at.Y <= hi.Y {
				m.besides[[2]int32{at.X, at.Y}] = true
			}
			return
		}
		at = m.turned(at)
		l := of[at.Z]
		if l == nil {
			l = &layer{z: at.Z, axis: axis, tiles: map[engine.Cell]engine.ID{}}
			of[at.Z] = l
		}
		if l.tiles[at] == 0 {
			l.tiles[at] = id
		}
	}
	n := 0
	for id := range b.Parts() {
		if n++; n%(1<<14) == 0 {
			if err := m.Stopped(); err != nil {
				return err
			}
		}
		at, onLattice := b.CellOf(id)
		if !onLattice {
			if !m.crop {
				m.shelf = append(m.shelf, id)
			}
		} else {
			put(id, at)
		}
	}
	for id := range b.BareCells() {
		if at, onLattice := b.CellOf(id); onLattice {
			if st := b.State(id); st.Seated != engine.NoSlug || st.Awaits || st.Forced {
				put(id, at)
			}
		}
	}
	for at, r := range m.related { // also where nothing is
		if inside(at) {
			m.drawn = append(m.drawn, r.sign())
		}
		put(0, at)
	}
	if m.series {
		for _, at := range m.foreseen() {
			put(0, at)
		}
	}
	for _, l := range of {
		m.layers = append(m.layers, *l)
	}
	m.axes()
	slices.SortFunc(m.layers, func(a, b layer) int { return int(a.z) - int(b.z) })
	return nil
}

// inside reports whether a cell is one of those that are drawn.
func (m *chart) inside(c engine.Cell) bool {
	return m.lo.X <= c.X && c.X <= m.hi.X && m.lo.Y <= c.Y && c.Y <= m.hi.Y && m.lo.Z <= c.Z && c.Z <= m.hi.Z
}

// boxOf is the box around the parts of some frames.
func boxOf(b *engine.Bench, frames []string) (lo, hi engine.Cell, found bool) {
	for id := range b.Parts() {
		at, onLattice := b.CellOf(id)
		if !onLattice || !builtins.Matches(b, id, nil, frames) {
			continue
		}
		if !found {
			lo, hi, found = at, at, true
		}
		lo = engine.Cell{X: min(lo.X, at.X), Y: min(lo.Y, at.Y), Z: min(lo.Z, at.Z)}
		hi = engine.Cell{X: max(hi.X, at.X), Y: max(hi.Y, at.Y), Z: max(hi.Z, at.Z)}
	}
	return lo, hi, found
}

// foreseen are the cells in which something may be seen at one moment and not at another, of the parts that are drawn: the seats of slugs. The legend of a
// series explains all that may be seen then.
func (m *chart) foreseen() (cells []engine.Cell) {
	b, s := m.Bench, &m.seen
	if m.lone {
		s = new(seen)
	}
	for i := range s.marks {
		s.marks[i] = true
	}
	for id := range b.Parts() {
		at, onLattice := b.CellOf(id)
		if !onLattice || b.KindOf(id) != engine.Shuttle || m.besides == nil && !m.inside(at) {
			continue
		}
		s := s
		if !m.inside(at) {
			s = new(seen)
		}
		t := b.Thing(id)
		if t.Grip != engine.NoGrip {
			s.loose[b.State(id).Carries] = true
		} else if t.Slug == engine.NoSlug {
			continue
		}
		s.slugs[t.Slug], s.awaits = true, true
		d := t.Facing.Cell()
		near := at.Add(d)
		cells = append(cells, near, near.Add(d))
	}
	return cells
}
