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
	if p.Kind == engine.Told {
		return m.toldPads(p)
	}
	var ps []place
	if p.Pads != nil {
		for _, o := range p.Pads {
			ps = append(ps, place{cell: p.at.cell.Add(o)})
		}
		return ps
	}
	for _, at := range m.around(p.at) {
		if modelKinds[p.Kind].pads.at(p, at) {
			ps = append(ps, at)
		}
	}
	if modelKinds[p.Kind].far {
		far := p.Facing.Opposite()
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
		switch feeds := modelKinds[m.kindAt(at)].feeds; {
		case feeds == front:
			can = can || m.partAt(at).front(p.at)
		case m.kindAt(at) == engine.Told:
			can = can || m.toldFeeds(m.partAt(at), p.at)
		case feeds == around, m.kindAt(at) == engine.Wire, m.kindAt(at) == engine.Jack:
			can = true
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
