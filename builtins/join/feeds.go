package join

import "pulsewright/engine"

// feeds is the level with which a part feeds a conductor beside it in a direction at most, 0 if it never does. That of a meter goes by how many tokens
// there is room for behind it.
func feeds(b *engine.Bench, id engine.ID, d engine.Dir) int {
	reach := b.Rules().Reach
	t := b.Thing(id)
	front := t.Facing == d
	if k := b.Spec(id); k != nil {
		most := 0
		for _, f := range k.Feeds {
			switch {
			case f.What == engine.FeedsAround, f.What == engine.FeedsFront && front && f.Level == 0:
				return reach
			case f.What == engine.FeedsFront && front:
				most = max(most, f.Level)
			}
		}
		return min(most, reach)
	}
	switch f := t.Kind.Trait().Feeds; {
	case f == engine.FeedsAround:
		return reach
	case f != engine.FeedsFront || !front:
		return 0
	case t.Kind == engine.Meter:
		if behind, ok := b.PartAt(t.Cell.Sub(d.Cell())); ok {
			switch h := b.Thing(behind); h.Kind.Trait().Shows {
			case engine.ShowsToken:
				return 1
			case engine.ShowsTokens:
				return min(h.Room, reach)
			}
		}
	}
	return reach
}

// hears reports whether what changes beside a part in a direction is news for it.
func hears(b *engine.Bench, id engine.ID, d engine.Dir) bool {
	t := b.Thing(id)
	if k := b.Spec(id); k != nil {
		return k.Hears.Mask(t.Facing)>>d&1 != 0
	}
	h := t.Kind.Trait().Hears
	return h != engine.HearsNot && (h != engine.HearsBehind || d == t.Facing.Opposite())
}
