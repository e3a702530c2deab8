package why

import (
	"fmt"
	"slices"

	"pulsewright/builtins"
	"pulsewright/builtins/say"
	"pulsewright/engine"
)

// details are the lines under the headline.
func (w *WhyNot) details() (lines []string) {
	b := w.bench
	switch w.Reason {
	case engine.Acted:
		if w.Hit = w.droppedFor(); w.Hit != nil {
			lines = append(append(lines, fmt.Sprintf("it was told at %v while unfed, and dropped its token for that", w.Hit.At)), w.unfed()...)
		}
		lines = append(lines, w.vain()...)
	case engine.Lapsed:
		if t := w.Took; t != nil {
			line := fmt.Sprintf("its power changed %s earlier, at %v", say.Count(int(w.Earlier), "turn"), t.At)
			if t.By != 0 {
				line = fmt.Sprintf("%s, which changed its power %s earlier", builtins.Told(b, b.Event(t.By)), say.Count(int(w.Earlier), "turn"))
			}
			lines = append(lines, line)
		}
	case engine.Agreed, engine.Unready:
		if n := len(w.Heard); n > 0 && w.Reason == engine.Unready || n > 0 && w.found(engine.Agreed) == n {
			h := w.Heard[n-1]
			if h.Cause != 0 {
				lines = append(lines, fmt.Sprintf("told last at %v, because %s", h.At, builtins.Told(b, b.Event(h.Cause))))
			}
		}
		if w.Reason == engine.Agreed {
			lines = append(lines, w.windows()...)
		}
	case engine.Untold:
		if !w.State.Armed {
			lines = append(lines, w.windows()...)
		}
		lines = append(lines, w.whoTells()...)
	case engine.Empty:
		lines = append(lines, w.unfed()...)
		if w.By == 0 {
			lines = append(lines, w.whoBrings())
		}
	case engine.NoHolder, engine.InTheWay, engine.Timed:
		lines = append(lines, w.unfed()...)
		if w.Reason == engine.InTheWay && w.Event != 0 && b.KindOf(w.ID) != engine.Bucket {
			if _, next := w.swings(b.Event(w.Event).At()); next != nil && next.By != 0 {
				lines = append(lines, fmt.Sprintf("its power changed again at %v: %s", next.At, builtins.Told(b, b.Event(next.By))))
			}
		}
	case engine.Unfed, engine.TooFar, engine.Opened:
		lines = append(lines, w.closed()...)
		if w.Reason != engine.Opened || len(w.Swings) > 0 {
			lines = append(lines, w.netLines()...)
		}
	}
	if w.Reason != engine.Acted && w.Hit != nil {
		if all := w.vain(); len(all) > 1 { // the headline tells the last alone
			lines = append(lines, all...)
		}
	}
	if b.KindOf(w.ID) == engine.Reed && w.Reason != engine.Acted {
		lines = append(lines, fmt.Sprintf("a reed wants to be on while it reads a live pad, or one at most %s along its line does and the reeds between are on", say.Count(b.Rules().Run, "cell")))
	}
	if next := w.next(); next != 0 && reference(b, next) != "" {
		lines = append(lines, fmt.Sprintf("next: whynot(%s%s)", reference(b, next), w.again()))
	}
	if b.Recording() != engine.RecordAll && !w.past() {
		lines = append(lines, `not every event is recorded now; record("all") would tell more`)
	} else if b.Recording() != engine.RecordAll {
		lines = append(lines, "not every event was recorded then")
	}
	return lines
}

// next is the one part that it makes sense to ask about next; 0 if there is none, or more than one.
func (w *WhyNot) next() engine.ID {
	b := w.bench
	var found []engine.ID
	switch w.Reason {
	case engine.Untold:
		pads := b.PadCells(w.ID)
		var read []engine.ID // those whose power it reads, too
		for _, id := range w.Tellers {
			last := b.LastChange(id, 0)
			if b.KindOf(id) == engine.Bare || last != 0 && w.Since.Before(b.Event(last).At()) {
				continue
			}
			found = append(found, id)
			if cell, onLattice := b.CellOf(id); onLattice && slices.Contains(pads, cell) {
				read = append(read, id)
			}
		}
		if len(found) > 1 {
			found = read
		}
	case engine.Unfed:
		if w.Net == nil {
			return 0
		}
		if found = w.Net.Open; len(found) == 0 {
			found = w.Net.Feeds
		}
	case engine.Opened:
		if len(w.Swings) > 0 {
			return 0 // it did conduct: look here
		}
		found = []engine.ID{w.By}
	case engine.Empty, engine.InTheWay:
		if w.By == 0 && w.Reason == engine.Empty {
			found = w.Tellers
		}
		if k := b.KindOf(w.By); k == engine.Shuttle || k.Trait().Shows.Holds() {
			found = []engine.ID{w.By}
		}
	}
	if len(found) != 1 || !b.Has(found[0]) {
		return 0
	}
	return found[0]
}

// reference is a part as a script may write it; "" for one on the shelf without a name.
func reference(b *engine.Bench, id engine.ID) string {
	if n := b.Name(id); n != "" {
		return fmt.Sprintf("%q", n)
	}
	if cell, onLattice := b.CellOf(id); onLattice {
		return cell.String()
	}
	return ""
}

// windows tells when the part had power for a while that nobody told it of.
func (w *WhyNot) windows() (lines []string) {
	b := w.bench
	switch w.bench.KindOf(w.ID) {
	case engine.Told: // what it would do hangs on who tells it
		return nil
	case engine.Echo, engine.Key, engine.Meter: // power is nothing to them
		return nil
	case engine.Delay:
		if w.Told > 0 && b.Thing(w.ID).Mode != engine.Stretch {
			return nil
		}
	}
	const most = 3
	n := 0
	for i, s := range w.Swings {
		line := "its power called for " + w.wants()
		same := s.Powered == w.State.On
		switch w.bench.KindOf(w.ID) {
		case engine.Bucket, engine.Chute:
			line, same = "it was fed", !s.Powered
		}
		end := engine.Swing{At: b.Now()}
		if i+1 < len(w.Swings) {
			end = w.Swings[i+1]
		}
		if same || w.toldIn(s, end.At) {
			continue
		}
		if n++; n > most {
			continue
		}
		line += " from " + s.At.String()
		if s.By != 0 {
			line += " (" + builtins.Told(b, b.Event(s.By)) + ")"
		}
		if i+1 < len(w.Swings) {
			line += " to " + end.At.String()
			if end.By != 0 {
				line += " (" + builtins.Told(b, b.Event(end.By)) + ")"
			}
		}
		lines = append(lines, line+", but nothing told it then")
	}
	if n > most {
		lines = append(lines, fmt.Sprintf("and so %s more", times(n-most)))
	}
	return lines
}

// toldIn reports whether the part was told, and read it, while its power was as from a swing on, up to an instant.
func (w *WhyNot) toldIn(s engine.Swing, end engine.Instant) bool {
	return w.Told > len(w.Heard) || slices.ContainsFunc(w.Heard, func(h engine.Hearing) bool {
		return h.Powered == s.Powered && !h.At.Before(s.At) && !end.Before(h.At)
	})
}

// closed tells when a jack conducted for a while, to no avail.
func (w *WhyNot) closed() (lines []string) {
	const most = 3
	if !w.Kept {
		return nil // it may have been live
	}
	for i, s := range w.Swings {
		if !s.Powered || i >= 2*most {
			continue
		}
		line := fmt.Sprintf("it did conduct from %v", s.At)
		if s.By != 0 {
			line += " (" + builtins.Told(w.bench, w.bench.Event(s.By)) + ")"
		}
		if i+1 < len(w.Swings) {
			line += fmt.Sprintf(" to %v", w.Swings[i+1].At)
		}
		lines = append(lines, line+", but no feed reached it then")
	}
	return lines
}

// whoTells says who would have had to tell the part, and what these did instead.
func (w *WhyNot) whoTells() []string {
	b := w.bench
	kind := b.KindOf(w.ID)
	if kind == engine.Key {
		return nil
	}
	only := ""
	if kind == engine.Echo {
		only = "of its neighbours it hears the one at its back only; "
	}
	if len(w.Tellers) == 0 {
		if kind == engine.Echo {
			return []string{only + "nothing there could tell it, and no cord"}
		}
		return []string{"nothing beside it could tell it, and no cord"}
	}
	const most = 8
	tellers := w.Tellers
	lines := []string{only + "it would be told by a change of"}
	if w.own() && w.State.Armed {
		if tellers = setsOff(b, w.ID); len(tellers) == 0 {
			return []string{"nothing beside it would set it off, and no cord"}
		}
		lines = []string{"it would be set off by a change of"}
	}
	for i, id := range tellers {
		if i == most {
			lines = append(lines, fmt.Sprintf("  and %d more", len(tellers)-most))
			break
		}
		line := "  " + builtins.Who(b, id)
		if b.KindOf(id) == engine.Bare {
			if seat := seatOf(b, id); seat != "" {
				line += ", a seat of " + seat
			}
		} else {
			line += ", " + builtins.Text(builtins.StateValue(b.KindOf(id), b.State(id)))
		}
		if last := b.LastChange(id, 0); last != 0 && w.Since.Before(b.Event(last).At()) {
			line += ": last changed when " + builtins.Told(b, b.Event(last))
		} else if k := b.KindOf(id); k.Trait().Conducts && b.State(id).On {
			line += ": neither live nor dead anew " + w.sinceText() // its level may have changed
		} else {
			line += ": no change " + w.sinceText()
		}
		lines = append(lines, line)
	}
	return lines
}

// whoBrings says where a token would come from.
func (w *WhyNot) whoBrings() string {
	var from []string
	for _, id := range w.Tellers {
		from = append(from, builtins.Who(w.bench, id))
	}
	if len(from) == 0 {
		return "nothing beside it could bring one; fill() does"
	}
	return "one would come from " + builtins.List(from, 6, " or ")
}

// seatOf names the shuttle that has a seat in a bare cell.
func seatOf(b *engine.Bench, id engine.ID) string {
	cell, _ := b.CellOf(id)
	if sh, _ := shuttleOfSeat(b, cell); sh != 0 {
		return builtins.Who(b, sh)
	}
	return ""
}

// shuttleOfSeat finds a shuttle with a slug that has a seat in a cell; 0 if there is none.
func shuttleOfSeat(b *engine.Bench, cell engine.Cell) (engine.ID, engine.Thing) {
	for d := engine.PosX; d <= engine.NegZ; d++ {
		at := cell
		for range 2 {
			at = at.Add(d.Cell())
			if sh, ok := b.PartAt(at); ok && b.KindOf(sh) == engine.Shuttle {
				if t := b.Thing(sh); t.Facing == d.Opposite() && t.Slug != engine.NoSlug {
					return sh, t
				}
			}
		}
	}
	return 0, engine.Thing{}
}

// netLines say what hangs together with a conductor and could feed or join it.
func (w *WhyNot) netLines() (lines []string) {
	n := w.Net
	if n == nil {
		return nil
	}
	b := w.bench
	names := func(ids []engine.ID, joint string, more func(i int) string) string {
		var all []string
		for i, id := range ids {
			all = append(all, builtins.Who(b, id)+more(i))
		}
		return builtins.List(all, 6, joint)
	}
	least := ""
	if !n.Whole {
		least = "at least "
	}
	if n.Conductors > 1 {
		lines = append(lines, fmt.Sprintf("it is part of a net of %s%s", least, say.Count(n.Conductors, "conductor")))
	}
	if len(n.Feeds) > 0 {
		lines = append(lines, "it would be fed by "+names(n.Feeds, " or ", func(i int) string {
			id := n.Feeds[i]
			k := b.KindOf(id)
			if k == engine.Shuttle {
				return " with its feed beside it (now it is " + builtins.Text(builtins.StateValue(k, b.State(id))) + ")"
			}
			return " (" + builtins.Text(builtins.StateValue(k, b.State(id))) + ")"
		}))
	}
	if len(n.Open) > 0 {
		lines = append(lines, "it would go on through "+names(n.Open, " and ", func(i int) string {
			if n.Openers[i] == 0 {
				return ""
			}
			return ", opened by the slug of " + builtins.Who(b, n.Openers[i])
		}))
	}
	if len(n.Bridges) > 0 {
		lines = append(lines, "it would be joined to more by the bridge of "+names(n.Bridges, " or ", func(int) string { return "" }))
	}
	if len(n.Feeds)+len(n.Open)+len(n.Bridges) == 0 && w.Reason != engine.TooFar {
		lines = append(lines, "nothing beside it could feed it; fire() does")
	}
	return lines
}
