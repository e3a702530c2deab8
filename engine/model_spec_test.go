package engine_test

import (
	"slices"

	"pulsewright/engine"
)

// themes weigh the kinds of part: some benches are about tokens, some about lines, some about gates.
var themes = []map[engine.Kind]int{
	{engine.Battery: 1, engine.Key: 3, engine.Wire: 9, engine.Jack: 3, engine.Lamp: 3, engine.Reed: 4, engine.Link: 4, engine.Shuttle: 6,
		engine.Delay: 4, engine.Oneshot: 3, engine.Echo: 3, engine.Gate: 5, engine.Bucket: 3, engine.Tray: 3, engine.Chute: 3, engine.Meter: 3, engine.Told: 6},
	{engine.Key: 3, engine.Wire: 5, engine.Bucket: 9, engine.Tray: 7, engine.Chute: 7, engine.Meter: 5, engine.Lamp: 1, engine.Link: 2, engine.Echo: 1},
	{engine.Key: 3, engine.Wire: 8, engine.Reed: 9, engine.Link: 5, engine.Lamp: 1, engine.Shuttle: 2},
	{engine.Key: 3, engine.Wire: 8, engine.Told: 16, engine.Link: 3, engine.Gate: 4, engine.Lamp: 2, engine.Battery: 1, engine.Echo: 1, engine.Delay: 1},
	{engine.Key: 2, engine.Wire: 8, engine.Jack: 5, engine.Shuttle: 9, engine.Lamp: 2, engine.Reed: 1, engine.Battery: 1},
	{engine.Key: 3, engine.Wire: 4, engine.Delay: 6, engine.Oneshot: 5, engine.Echo: 4, engine.Gate: 9, engine.Lamp: 2},
}

// All kinds are in the first theme.
func init() {
	for _, k := range engine.Kinds() {
		if themes[0][k] == 0 {
			themes[0][k] = 3
		}
	}
}

// placed are the kinds of part that random benches are made of.
var placed = append(engine.Kinds(), engine.Told)

func (m *maker) dir() engine.Dir {
	if m.one(2) {
		return m.facing
	}
	return engine.Dir(m.IntN(6))
}

// kind chooses by weight.
func (m *maker) kind() engine.Kind {
	total := 0
	for _, k := range placed {
		total += m.weight[k]
	}
	n := m.IntN(total)
	for _, k := range placed {
		if n -= m.weight[k]; n < 0 {
			return k
		}
	}
	return engine.Wire
}

// ticks is a number of ticks: mostly few, sometimes many.
func (m *maker) ticks(n int) int {
	if m.one(40) {
		return 250 + m.IntN(300)
	}
	return m.IntN(n)
}

// spec makes a part, all of whose numbers are allowed.
func (m *maker) spec(k engine.Kind) engine.Part {
	p := engine.Part{Kind: k, Facing: m.dir()}
	posed := m.one(4)
	p.On = posed && modelKinds[k].posed
	switch k {
	case engine.Key:
		p.Hold = m.ticks(4)
	case engine.Link:
		p.Out = posed
	case engine.Shuttle:
		p.Out, p.Slug = posed, engine.Slug(m.IntN(4))
		if m.one(3) {
			p.Travel = 1 + m.ticks(4)
		}
		if m.one(3) {
			p.Slug, p.Grip, p.LetGo = engine.NoSlug, engine.Grip(1+m.IntN(2)), m.one(2)
		}
	case engine.Delay:
		p.Ticks, p.Mode = m.ticks(4), engine.Mode(m.IntN(3))
		if p.Mode == engine.Inertial && p.Ticks > 0 {
			p.Reject = m.IntN(p.Ticks + 1)
		}
	case engine.Oneshot:
		p.Ticks = m.ticks(4)
	case engine.Gate:
		p.Op = engine.Op(m.IntN(len(engine.Ops())))
		if m.one(3) {
			p.Ticks = 1 + m.ticks(3)
		}
	case engine.Bucket:
		p.Tokens, p.Drop = min(m.IntN(3), 1), m.ticks(3)
	case engine.Tray:
		p.Room, p.Keep = m.IntN(4), max(m.IntN(3)-1, 0)*m.ticks(6)
		p.Tokens = m.IntN(max(p.Room, 1) + 1)
	case engine.Chute:
		p.Ticks = m.ticks(4)
	case engine.Meter:
		p.Level = m.IntN(2)
	case engine.Told:
		if len(m.told) == 0 || len(m.told) < 4 && m.one(3) {
			m.told = append(m.told, randomKind(m.IntN(256)<<16|m.IntN(256)<<8|m.IntN(256)).spec())
		}
		if p.Spec = m.told[m.IntN(len(m.told))]; posed {
			p.State = m.IntN(len(p.Spec.States))
		}
		if !p.Spec.Faces {
			p.Facing = 0
		}
	default:
		if modelKinds[k].ticks > 0 {
			p.Ticks = m.ticks(4)
		}
	}
	if modelKinds[k].given && m.one(8) {
		p.Pads = m.offsets()
	}
	if modelKinds[k].far && p.Pads == nil && m.one(4) {
		p.Far, p.FarSet = engine.Dir(m.IntN(6)), true
	}
	return p
}

// offsets makes up to three different pads within two cells.
func (m *maker) offsets() []engine.Cell {
	pads := []engine.Cell{}
	for range 1 + m.IntN(3) {
		o := engine.Cell{X: int32(m.IntN(5) - 2), Y: int32(m.IntN(5) - 2), Z: int32(m.IntN(3) - 1)}
		if o != (engine.Cell{}) && !slices.Contains(pads, o) {
			pads = append(pads, o)
		}
	}
	return pads
}
