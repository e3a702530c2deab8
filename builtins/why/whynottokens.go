package why

import (
	"fmt"

	"pulsewright/builtins"
	"pulsewright/engine"
)

// tokens says what keeps a part still that is blocked, or has no token or holder.
func (w *WhyNot) tokens() string {
	b := w.bench
	by := "something"
	if w.By != 0 {
		by = builtins.Who(b, w.By)
		if k := b.KindOf(w.By); k == engine.Bare || k == engine.Jack { // a part there would be named, and a slug's shuttle
			at, _ := b.CellOf(w.By)
			by = fmt.Sprintf("a loose slug at %v", at)
		}
	}
	switch kind := b.KindOf(w.ID); {
	case kind == engine.Bucket && w.Hit != nil:
		return w.bucket(by)
	case kind == engine.Tray:
		return "holds no token: none has come"
	case kind == engine.Meter:
		return fmt.Sprintf("was told %s %s, but there was no %s behind it to read", times(w.Told), w.sinceText(), holders)
	case w.Reason == engine.Fed:
		return "keeps still while it is fed"
	case w.Reason == engine.Empty:
		return fmt.Sprintf("finds no token behind it: %s is empty", by)
	case w.Reason == engine.NoHolder:
		return "has no " + holders + " " + w.holderless()
	case kind == engine.Chute:
		return fmt.Sprintf("is blocked: %s has no room for a token", by)
	}
	if b.KindOf(w.By) == engine.Shuttle {
		by = "the slug of " + by
	}
	verb := "was"
	if !w.Known {
		verb = "is" // as it is now
	}
	return fmt.Sprintf("was blocked at %v: the seat it needs %s taken by %s", b.Event(w.Event).At(), verb, by)
}

// holderless says at which ends of a chute no token can be, or go.
func (w *WhyNot) holderless() string {
	switch {
	case w.holder(behind):
		return "at its front"
	case w.holder(ahead):
		return "at its back"
	}
	return "at its back, and none at its front"
}

// The two ends of a part that has a front.
const (
	ahead = iota
	behind
)

// holders are the kinds that hold tokens: bucket or tray.
var holders = builtins.KindsThat(func(t engine.Trait) bool { return t.Shows.Holds() }, " or ")

// holder reports whether a bucket or a tray stands at an end of the part now.
func (w *WhyNot) holder(end int) bool {
	b := w.bench
	cell, onLattice := b.CellOf(w.ID)
	if !onLattice {
		return false
	}
	to := b.Thing(w.ID).Facing
	if end == behind {
		to = to.Opposite()
	}
	id, ok := b.PartAt(cell.Add(to.Cell()))
	k := b.KindOf(id)
	return ok && k.Trait().Shows.Holds()
}

// bucket says how a bucket was told, and what it lacked then.
func (w *WhyNot) bucket(by string) string {
	h := w.Hit
	where, lack := "under", "to drop its token into"
	if h.Powered {
		where, lack = "in front of", "to pass its token to"
	}
	var what string
	switch w.Reason {
	case engine.Empty:
		what = "held no token"
	case engine.NoHolder:
		what = fmt.Sprintf("had no %s %s it %s", holders, where, lack)
	case engine.Fed:
		what = "was fed again"
	default:
		what = fmt.Sprintf("%s %s it had no room for a token", by, where)
	}
	fed := "unfed"
	if h.Powered {
		fed = "fed"
	}
	last := ""
	if w.Told > 1 {
		last = "the last time "
	}
	joint := ", and "
	if h.Found != w.Reason { // it was found when the timer came due
		joint = "; when its timer came due "
		if w.Reason != engine.InTheWay {
			joint += "it "
		}
	}
	return fmt.Sprintf("was told %s %s, %sat %v while %s%s%s", times(w.Told), w.sinceText(), last, h.At, fed, joint, what)
}

// droppedFor is the hearing that set the timer for which a bucket has dropped its token, if that is what it did last.
func (w *WhyNot) droppedFor() *engine.Hearing {
	if w.Event == 0 || w.bench.Event(w.Event).What != engine.Drops || w.bench.Event(w.Event).ID != w.ID {
		return nil
	}
	for i := range w.Heard {
		if h := &w.Heard[i]; !h.Powered && h.Cause == w.bench.Event(w.Event).Cause {
			return h
		}
	}
	return nil
}

// swings are when its power last changed before an instant, and when next; nil where it did not.
func (w *WhyNot) swings(at engine.Instant) (was, next *engine.Swing) {
	for i := range w.Swings {
		if s := &w.Swings[i]; at.Before(s.At) {
			return was, s
		}
		was = &w.Swings[i]
	}
	return was, nil
}

// unfed says why a bucket was unfed when it was told.
func (w *WhyNot) unfed() []string {
	b := w.bench
	if b.KindOf(w.ID) != engine.Bucket || w.Reason != engine.Timed && (w.Hit == nil || w.Hit.Powered) {
		return nil
	}
	var lines []string
	if w.Hit != nil && w.Known {
		was, next := w.swings(w.Hit.At)
		end := ""
		if next != nil {
			end = fmt.Sprintf(" up to %v", next.At)
		}
		switch {
		case was == nil:
			lines = append(lines, "nothing fed it "+w.sinceText()+end)
		case !was.Powered:
			if end == "" {
				end = " on"
			}
			line := fmt.Sprintf("nothing fed it from %v%s", was.At, end)
			if was.By != 0 {
				line += ": " + builtins.Told(b, b.Event(was.By))
			}
			lines = append(lines, line)
		}
	}
	var feeds []string
	for _, id := range w.couldFeed() {
		feeds = append(feeds, fmt.Sprintf("%s (%s)", builtins.Who(b, id), builtins.Text(builtins.StateValue(b.KindOf(id), b.State(id)))))
	}
	if len(feeds) == 0 {
		return append(lines, "no part that could feed it stands where it reads; fire() does")
	}
	return append(lines, "it would be fed by "+builtins.List(feeds, 6, " or "))
}

// couldFeed lists the parts that a part reads and that feed it while they are on.
func (w *WhyNot) couldFeed() (ids []engine.ID) {
	b := w.bench
	add := func(id engine.ID) {
		for _, known := range ids {
			if known == id {
				return
			}
		}
		ids = append(ids, id)
	}
	own, _ := b.CellOf(w.ID)
	for _, cell := range b.PadCells(w.ID) {
		id, ok := b.PartAt(cell)
		switch k := b.TraitOf(id); {
		case !ok:
		case k.Conducts, k.Feeds == engine.FeedsAround:
			add(id)
		case k.Feeds == engine.FeedsFront:
			if cell.Add(b.Thing(id).Facing.Cell()) == own {
				add(id)
			}
		}
		if sh, t := shuttleOfSeat(b, cell); sh != 0 && t.Slug != engine.Plug {
			add(sh)
		}
	}
	for _, c := range b.Cords() {
		if c.To == w.ID && c.Power && !c.Invert {
			add(c.From)
		}
	}
	return ids
}
