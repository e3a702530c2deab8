package builtins

import (
	"fmt"
	"slices"
	"strings"

	"pulsewright/engine"
)

// story tells in a few lines why the part did not act: first the reason, then what it would have needed.
func (w *WhyNot) story(e *Env) string {
	lines := []string{e.paragraph(w.headline(), "")}
	for _, l := range w.details() {
		in := len(l) - len(strings.TrimLeft(l, " "))
		lines = append(lines, e.paragraph(l, "  "+l[:in]))
	}
	return strings.Join(lines, "\n")
}

func (w *WhyNot) name() string { return who(w.bench, w.ID) }

// since says from when on the story counts.
func (w *WhyNot) sinceText() string {
	switch {
	case w.Since == engine.Instant{}:
		return "since the beginning"
	case w.Since.Step == beforeTick(2).Step:
		return fmt.Sprintf("since tick %d", w.Since.Tick+1)
	}
	return fmt.Sprintf("since %v", w.Since)
}

// state is the part's state as a word.
func (w *WhyNot) state() string {
	switch w.bench.KindOf(w.ID) {
	case engine.Bucket, engine.Tray:
		if w.State.Tokens == 0 {
			return "without a token"
		}
		return "holding " + count(w.State.Tokens, "token")
	}
	return text(stateValue(w.bench.KindOf(w.ID), w.State))
}

// wants is the state that its power calls for.
func (w *WhyNot) wants() string {
	s := w.State
	s.On = !s.On
	return text(stateValue(w.bench.KindOf(w.ID), s))
}

func (w *WhyNot) last() string {
	if w.Event == 0 {
		return ""
	}
	return told(w.bench, w.bench.Event(w.Event))
}

func (w *WhyNot) headline() string {
	b, name := w.bench, w.name()
	kind := b.KindOf(w.ID)
	switch w.Reason {
	case engine.Acted:
		if w.Event == 0 {
			return fmt.Sprintf("%s is %s, as it was %s", name, w.state(), w.sinceText())
		}
		return fmt.Sprintf("%s did act: %s", name, w.last())
	case engine.Waits:
		return fmt.Sprintf("%s will act: its act is queued and takes its turn in the next step", name)
	case engine.Timed:
		by := ""
		if w.Event != 0 {
			by = ", set when " + w.last()
		}
		return fmt.Sprintf("%s waits for its timer, due in tick %d%s", name, w.Due, by)
	case engine.Travels:
		return fmt.Sprintf("%s is in transit: %s, and its slug lands in tick %d; until then it does not act", name, w.last(), w.Due)
	case engine.Untold:
		return w.untold()
	case engine.Agreed:
		each := ""
		if w.Told > 1 {
			each = "each time "
		}
		return fmt.Sprintf("%s was told %s %s, but %spower and state agreed: it was %s and %s", name, times(w.Told), w.sinceText(), each, w.state(), w.calls(false))
	case engine.Lapsed:
		return fmt.Sprintf("%s took its turn, but the act lapsed at %v: power and state agreed again", name, b.Event(w.Event).At())
	case engine.InTheWay:
		return w.blocked()
	case engine.Unready:
		return fmt.Sprintf("%s was told %s with a live input, but was not ready: since it went off its input has not been dead", name, times(w.Told))
	case engine.Swallowed:
		t := b.Thing(w.ID)
		return fmt.Sprintf("%s took the pulse for too short: an inertial delay of %d ticks swallows what lasts less", name, t.Ticks)
	case engine.Fed:
		return fmt.Sprintf("%s keeps still while it is fed", name)
	case engine.Empty:
		switch {
		case kind == engine.Tray:
			return fmt.Sprintf("%s holds no token: none has come", name)
		case w.By != 0:
			return fmt.Sprintf("%s finds no token behind it: %s is empty", name, who(b, w.By))
		}
		return fmt.Sprintf("%s has no token", name)
	case engine.NoHolder:
		return fmt.Sprintf("%s has no bucket or tray %s", name, w.holderPlace())
	case engine.Unfed:
		return fmt.Sprintf("%s is dead: no feed reaches it", name)
	case engine.TooFar:
		return fmt.Sprintf("%s is too far from the feed: the level falls by one a cell from %d on, and %s is the last conductor that is live", name, b.Rules().Reach, who(b, w.By))
	case engine.Opened:
		by := ""
		if w.By != 0 {
			by = " of " + who(b, w.By)
		}
		return fmt.Sprintf("%s does not conduct: the slug%s sits in it", name, by)
	case engine.Deaf:
		return fmt.Sprintf("%s never acts: it feeds always", name)
	}
	return fmt.Sprintf("%s did not act %s; whether it was told is not known, for the history does not reach back so far", name, w.sinceText())
}

func (w *WhyNot) holderPlace() string {
	switch w.bench.KindOf(w.ID) {
	case engine.Meter:
		return "behind it to read"
	case engine.Chute:
		return "at its back or none at its front"
	}
	if w.State.Powered {
		return "in front to pass its token to"
	}
	return "under it to drop its token into"
}

// calls says what the part reads, or read.
func (w *WhyNot) calls(now bool) string {
	verb := "read"
	if now {
		verb = "reads"
	}
	live := w.State.Powered
	if w.bench.KindOf(w.ID) == engine.Gate {
		if now {
			verb = "its inputs call"
		} else {
			verb = "its inputs called"
		}
		if live {
			return verb + " for on"
		}
		return verb + " for off"
	}
	if live {
		return verb + " a live pad"
	}
	return verb + " no live pad"
}

// armedBy says since when, and by what, the part is armed.
func (w *WhyNot) armedBy() string {
	if w.Took == nil {
		return ", so it was posed"
	}
	if w.Took.By == 0 {
		return fmt.Sprintf(", since it was changed by hand at %v", w.Took.At)
	}
	return ", since " + told(w.bench, w.bench.Event(w.Took.By))
}

func (w *WhyNot) untold() string {
	name := w.name()
	kind := w.bench.KindOf(w.ID)
	switch {
	case kind == engine.Key:
		return fmt.Sprintf("%s was neither pressed nor released %s", name, w.sinceText())
	case kind == engine.Chute:
		return fmt.Sprintf("%s is armed, but nothing has told it: a token is behind it and there is room in front", name)
	case kind == engine.Bucket:
		return fmt.Sprintf("%s was never told %s: it is %s and %s", name, w.sinceText(), w.state(), w.calls(true))
	case kind == engine.Echo:
		return fmt.Sprintf("%s was never told %s", name, w.sinceText())
	case w.State.Armed && w.Told == 0:
		return fmt.Sprintf("%s is armed but untold: it is %s, its power calls for %s%s; and nothing has told it", name, w.state(), w.wants(), w.armedBy())
	case w.State.Armed:
		return fmt.Sprintf("%s is armed but untold: it is %s, its power calls for %s%s; and nothing has told it from then on", name, w.state(), w.wants(), w.armedBy())
	}
	return fmt.Sprintf("%s was never told %s, and its power agrees with its state: it is %s and %s", name, w.sinceText(), w.state(), w.calls(true))
}

func (w *WhyNot) blocked() string {
	b, name := w.bench, w.name()
	by := "something"
	if w.By != 0 {
		by = who(b, w.By)
	}
	switch b.KindOf(w.ID) {
	case engine.Bucket, engine.Chute:
		return fmt.Sprintf("%s is blocked: %s has no room for a token", name, by)
	}
	if b.KindOf(w.By) == engine.Shuttle {
		by = "the slug of " + by
	}
	if w.Event == 0 {
		return fmt.Sprintf("%s is blocked: the seat it needs is taken by %s", name, by)
	}
	return fmt.Sprintf("%s was blocked at %v: the seat it needs is taken by %s", name, b.Event(w.Event).At(), by)
}

// details are the lines under the headline.
func (w *WhyNot) details() (lines []string) {
	b := w.bench
	switch w.Reason {
	case engine.Lapsed:
		if t := w.Took; t != nil {
			line := fmt.Sprintf("its power changed %s earlier, at %v", count(int(w.Earlier), "turn"), t.At)
			if t.By != 0 {
				line = fmt.Sprintf("%s, which changed its power %s earlier", told(b, b.Event(t.By)), count(int(w.Earlier), "turn"))
			}
			lines = append(lines, line)
		}
	case engine.Agreed, engine.Unready:
		if n := len(w.Heard); n > 0 {
			h := w.Heard[n-1]
			if h.Cause != 0 {
				lines = append(lines, fmt.Sprintf("told last at %v, because %s", h.At, told(b, b.Event(h.Cause))))
			}
		}
		lines = append(lines, w.windows()...)
	case engine.Untold:
		if !w.State.Armed {
			lines = append(lines, w.windows()...)
		}
		lines = append(lines, w.whoTells()...)
	case engine.Empty:
		if w.By == 0 {
			lines = append(lines, w.whoBrings())
		}
	case engine.Unfed, engine.TooFar, engine.Opened:
		lines = append(lines, w.closed()...)
		if w.Reason != engine.Opened || len(w.Swings) > 0 {
			lines = append(lines, w.netLines()...)
		}
	}
	if b.KindOf(w.ID) == engine.Reed && w.Reason != engine.Acted {
		lines = append(lines, fmt.Sprintf("a reed is on while it or one at most %s along its line reads a live pad", count(b.Rules().Run, "cell")))
	}
	if next := w.next(); next != 0 && reference(b, next) != "" {
		lines = append(lines, fmt.Sprintf("next: whynot(%s)", reference(b, next)))
	}
	if b.Recording() != engine.RecordAll {
		lines = append(lines, `not every event is recorded now; record("all") would tell more`)
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
		if w.By == 0 {
			found = w.Tellers
		}
		switch b.KindOf(w.By) {
		case engine.Shuttle, engine.Bucket, engine.Tray:
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
	const most = 3
	n := 0
	for i, s := range w.Swings {
		line := "its power called for " + w.wants()
		same := s.Powered == w.State.On
		switch w.bench.KindOf(w.ID) {
		case engine.Bucket, engine.Chute:
			line, same = "it was fed", !s.Powered
		}
		if same {
			continue
		}
		if n++; n > most {
			continue
		}
		line += " from " + s.At.String()
		if s.By != 0 {
			line += " (" + told(w.bench, w.bench.Event(s.By)) + ")"
		}
		if i+1 < len(w.Swings) {
			end := w.Swings[i+1]
			line += " to " + end.At.String()
			if end.By != 0 {
				line += " (" + told(w.bench, w.bench.Event(end.By)) + ")"
			}
		}
		lines = append(lines, line+", but nothing told it then")
	}
	if n > most {
		lines = append(lines, fmt.Sprintf("and so %s more", times(n-most)))
	}
	return lines
}

// closed tells when a jack conducted for a while, to no avail.
func (w *WhyNot) closed() (lines []string) {
	const most = 3
	for i, s := range w.Swings {
		if !s.Powered || i >= 2*most {
			continue
		}
		line := fmt.Sprintf("it did conduct from %v", s.At)
		if s.By != 0 {
			line += " (" + told(w.bench, w.bench.Event(s.By)) + ")"
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
		only = "it hears from its back only; "
	}
	if len(w.Tellers) == 0 {
		return []string{only + "nothing beside it could tell it, and no cord"}
	}
	const most = 8
	lines := []string{only + "it would be told by a change of"}
	for i, id := range w.Tellers {
		if i == most {
			lines = append(lines, fmt.Sprintf("  and %d more", len(w.Tellers)-most))
			break
		}
		line := "  " + who(b, id)
		if b.KindOf(id) == engine.Bare {
			if seat := seatOf(b, id); seat != "" {
				line += ", a seat of " + seat
			}
		} else {
			line += ", " + text(stateValue(b.KindOf(id), b.State(id)))
		}
		if last := b.LastChange(id, 0); last != 0 && w.Since.Before(b.Event(last).At()) {
			line += ": last changed when " + told(b, b.Event(last))
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
		from = append(from, who(w.bench, id))
	}
	if len(from) == 0 {
		return "nothing beside it could bring one; fill() does"
	}
	return "one would come from " + list(from, 6, " or ")
}

// seatOf names the shuttle that has a seat in a bare cell.
func seatOf(b *engine.Bench, id engine.ID) string {
	cell, _ := b.CellOf(id)
	for d := engine.PosX; d <= engine.NegZ; d++ {
		at := cell
		for range 2 {
			at = at.Add(d.Cell())
			if sh, ok := b.PartAt(at); ok && b.KindOf(sh) == engine.Shuttle {
				if t := b.Thing(sh); t.Facing == d.Opposite() && t.Slug != engine.NoSlug {
					return who(b, sh)
				}
			}
		}
	}
	return ""
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
			all = append(all, who(b, id)+more(i))
		}
		return list(all, 6, joint)
	}
	least := ""
	if !n.Whole {
		least = "at least "
	}
	if n.Conductors > 1 {
		lines = append(lines, fmt.Sprintf("it hangs together with %s%s", least, count(n.Conductors-1, "more conductor")))
	}
	if len(n.Feeds) > 0 {
		lines = append(lines, "it would be fed by "+names(n.Feeds, " or ", func(i int) string {
			id := n.Feeds[i]
			k := b.KindOf(id)
			if k == engine.Shuttle {
				return " with its feed beside it (now it is " + text(stateValue(k, b.State(id))) + ")"
			}
			return " (" + text(stateValue(k, b.State(id))) + ")"
		}))
	}
	if len(n.Open) > 0 {
		lines = append(lines, "it would go on through "+names(n.Open, " and ", func(i int) string {
			if n.Openers[i] == 0 {
				return ""
			}
			return ", opened by the slug of " + who(b, n.Openers[i])
		}))
	}
	if len(n.Bridges) > 0 {
		lines = append(lines, "it would be joined to more by the bridge of "+names(n.Bridges, " or ", func(int) string { return "" }))
	}
	if len(n.Feeds)+len(n.Open)+len(n.Bridges) == 0 && w.Reason != engine.TooFar {
		lines = append(lines, "nothing beside it could ever feed it")
	}
	return lines
}
