package builtins

import (
	"slices"

	"pulsewright/engine"

	"go.starlark.net/starlark"
)

// A port is where a rig is joined to others: one of its parts, or a cell that it keeps free. What can be joined there follows
// from the part.

var portNames = []string{"conductor", "feed", "front feed", "hearer", "reeds"}

// PortKind says what a part is to those who are joined to it.
func PortKind(p Part) string {
	switch t := p.Bench.TraitOf(p.ID); {
	case t.Conducts:
		return "conductor"
	case p.Bench.KindOf(p.ID) == engine.Reed:
		return "reeds"
	case t.Feeds == engine.FeedsAround:
		return "feed"
	case t.Feeds == engine.FeedsFront:
		return "front feed"
	}
	return "hearer"
}

// Gives reports whether a part gives power, at times, to what stands beside it in a direction.
func Gives(b *engine.Bench, id engine.ID, d engine.Dir) bool {
	t := b.TraitOf(id)
	return t.Conducts || t.Feeds == engine.FeedsAround || t.Feeds == engine.FeedsFront && b.Thing(id).Facing == d
}

// Takes reports whether a part takes power from what stands beside it in a direction. A meter counts tokens there, which is no power.
func Takes(b *engine.Bench, id engine.ID, d engine.Dir) bool {
	if b.TraitOf(id).Conducts {
		return true
	}
	at, _ := b.CellOf(id)
	return b.KindOf(id) != engine.Meter && slices.Contains(b.PadCells(id), at.Add(d.Cell()))
}

// WayOf is the direction in which a part goes on: its front, or straight on from the only conductor beside a conductor, or from the only reed of
// its line beside a reed. ok is false if nothing says so.
func WayOf(b *engine.Bench, id engine.ID) (way engine.Dir, ok bool) {
	kind := b.KindOf(id)
	t := b.TraitOf(id)
	at, onLattice := b.CellOf(id)
	if !onLattice {
		return 0, false
	}
	if t.Feeds == engine.FeedsFront {
		return b.Thing(id).Facing, true
	}
	if !t.Conducts && kind != engine.Reed {
		return 0, false
	}
	n := 0
	for d := range engine.Dir(6) {
		next, there := b.PartAt(at.Add(d.Cell()))
		if !there || b.TraitOf(next).Conducts != t.Conducts || !t.Conducts && (b.KindOf(next) != kind || b.Thing(next).Facing != b.Thing(id).Facing) {
			continue
		}
		way = d.Opposite()
		n++
	}
	return way, n == 1
}

// wayValue is WayOf as scripts see it.
func wayValue(p Part) starlark.Value {
	InquiryOf(p.Bench).Want(AskedPlace)
	if d, ok := WayOf(p.Bench, p.ID); ok {
		return starlark.String(d.String())
	}
	return starlark.None
}
