package measure

import (
	"pulsewright/builtins/picture"
	"pulsewright/engine"
)

// mostSent is how many lanes are added for what send acts on.
const mostSent = 4

// sentAt are lanes for what is pressed or forced from an event on and has none, such as a key that the rig holds in a list or names by a text: no
// timing can be read without what it begins with.
func sentAt(b *engine.Bench, lanes []*picture.Lane, from engine.EventID) (some []*picture.Lane) {
	has := map[engine.Target]bool{}
	for _, l := range lanes {
		has[l.Target] = true
	}
	for _, e := range b.Events(from) {
		if e.Cause != 0 || e.What != engine.Forced && b.KindOf(e.ID) != engine.Key || len(some) == mostSent {
			continue
		}
		t := engine.Target{ID: e.ID}
		if at, onLattice := b.CellOf(e.ID); onLattice && (has[engine.Target{Cell: at}] || b.KindOf(e.ID) == engine.Bare) {
			t = engine.Target{Cell: at}
		}
		if !has[t] {
			has[t] = true
			some = append(some, picture.LaneFor(b, t))
		}
	}
	return some
}

// moved are those of some lanes in which anything happened from an event on, the first to move first; at most half as many
// as a scope shows.
func moved(b *engine.Bench, lanes []*picture.Lane, from engine.EventID) (some []*picture.Lane) {
	of := map[engine.ID]*picture.Lane{}
	for _, l := range lanes {
		if l.Target.ID != 0 {
			of[l.Target.ID] = l
		}
	}
	for _, e := range b.Events(from) {
		if l := of[e.ID]; l != nil && len(some) < picture.MostLanes/2 {
			some = append(some, l)
			delete(of, e.ID)
		}
	}
	return some
}
