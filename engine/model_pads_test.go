package engine_test

import (
	"slices"

	"pulsewright/engine"
)

// pads lists the places p reads.
func (m *model) pads(p *modelPart) []place {
	if p.at.shelf != 0 {
		return nil
	}
	var ps []place
	if p.Pads != nil {
		for _, o := range p.Pads {
			ps = append(ps, place{cell: p.at.cell.Add(o)})
		}
		return ps
	}
	far, hasFar := p.Facing.Opposite(), false
	for _, at := range m.around(p.at) {
		switch p.Kind {
		case engine.Shuttle, engine.Link, engine.Reed, engine.Bucket:
			hasFar = true
			if !p.front(at) {
				ps = append(ps, at)
			}
		case engine.Gate:
			if !p.front(at) {
				ps = append(ps, at)
			}
		case engine.Delay, engine.Oneshot, engine.Echo, engine.Meter:
			if p.back(at) {
				ps = append(ps, at)
			}
		case engine.Chute:
			if !p.front(at) && !p.back(at) {
				ps = append(ps, at)
			}
		case engine.Lamp:
			ps = append(ps, at)
		}
	}
	if hasFar {
		if p.Kind == engine.Bucket {
			far = engine.NegZ
		}
		if p.FarSet {
			far = p.Far
		}
		at, _ := p.at.to(far, 2)
		ps = append(ps, at)
	}
	return ps
}

// padLive reports whether the pad of p at a place is live.
func (m *model) padLive(p *modelPart, at place) bool {
	return m.feedsAround(at) || m.conducts(at) && m.level[at] > 0 || m.feedsFront(at, p.at) > 0
}

// inputs lists what a gate's inputs read: pads that hold something that can feed, then power cords.
func (m *model) inputs(p *modelPart) []bool {
	var in []bool
	for _, at := range m.pads(p) {
		can := m.padLive(p, at) || m.seated(at) == engine.Feed || m.seated(at) == engine.Bridge
		switch q := m.partAt(at); m.kindAt(at) {
		case engine.Battery, engine.Key, engine.Tray, engine.Wire, engine.Jack:
			can = true
		case engine.Delay, engine.Oneshot, engine.Echo, engine.Gate, engine.Meter:
			can = can || q.front(p.at)
		}
		if can {
			in = append(in, m.padLive(p, at))
		}
	}
	for _, k := range m.cords {
		if k.to == p.id && k.Power {
			in = append(in, m.carries(k))
		}
	}
	return in
}

// live reports whether p reads live: any pad, any power cord, or its own cell forced.
func (m *model) live(p *modelPart) bool {
	if m.forced[p.at] > 0 {
		return true
	}
	for _, k := range m.cords {
		if k.to == p.id && k.Power && m.carries(k) {
			return true
		}
	}
	return slices.ContainsFunc(m.pads(p), func(at place) bool { return m.padLive(p, at) })
}
