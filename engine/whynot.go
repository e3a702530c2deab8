package engine

import "context"

// Reason says why a part did not act.
type Reason uint8

// The reasons, from a part that did act to one of which nothing is known.
const (
	Acted     Reason = iota + 1 // it did
	Waits                       // its act is queued, and its turn is still to come
	Timed                       // its timer is set, and not yet due
	Travels                     // its slug is in transit
	Untold                      // nothing told it since its power called for it
	Agreed                      // it was told, but power and state agreed
	Lapsed                      // its act took its turn too late: power and state agreed again
	InTheWay                    // blocked: the seat is taken, or the holder has no room
	Unready                     // a oneshot that has not been told with a dead input since it went on
	Swallowed                   // an inertial delay took the pulse for too short
	Fed                         // a chute that keeps still while it is fed; a bucket that was fed when its timer came due
	Empty                       // there is no token to pass, drop or move
	NoHolder                    // there is no bucket or tray where a token would go or come from
	Unfed                       // a conductor that no feed reaches
	TooFar                      // a conductor too far from its feed
	Opened                      // a jack with a slug in it
	Deaf                        // it never acts
	Unknown                     // the history does not reach back so far
	reasons
)

var reasonNames = [reasons]string{"", "acted", "queued", "timer", "transit", "untold", "agreed", "lapsed", "blocked", "unready",
	"swallowed", "fed", "empty", "no holder", "unfed", "too far", "opened", "deaf", "unknown"}

// String returns the reason as one or two words.
func (r Reason) String() string { return reasonNames[r] }

// Reasons lists the words for all reasons.
func Reasons() []string { return reasonNames[1:] }

// Still says why a part did not act since an instant.
type Still struct {
	ID     ID
	Since  Instant
	Reason Reason
	State  State // now

	Kept   bool      // its own events are recorded now
	Known  bool      // the history reaches back to Since; if not, Told, Heard and Swings are empty
	Ran    bool      // turns have run since, and Known
	Late   bool      // it was placed later than Since, and Known
	Told   int       // how often it was told
	Heard  []Hearing // the last of these, at most 1000
	Swings []Swing   // changes of what its power calls for; of a jack: of whether it conducts
	Events []EventID // its own events

	Hit     *Hearing // of what was told and came to nothing: the hearing that decides
	Event   EventID  // the event that decides: the lapse, the block, its last change, what set its timer or slug going
	Took    *Swing   // lapsed: what took its power; untold but armed: what armed it
	Earlier int64    // lapsed: how many turns before its act
	By      ID       // what is in the way; of a jack: the shuttle that opens it; of a conductor too far off: the last live one
	Due     int64    // the tick in which its timer or slug comes due
	Step    int      // queued: the step in which its act takes its turn
	Tellers []ID     // who would have had to tell it; of a tray or bucket without a token: who could bring one
	Net     *Net     // of a conductor
}

// WhyNot finds out why a part did not act since an instant. It runs that time again, on a copy.
func (b *Bench) WhyNot(ctx context.Context, id ID, since Instant) (*Still, error) {
	s, err := b.partSite(id)
	if err != nil {
		return nil, err
	}
	n := &Still{ID: id, Since: since, State: b.State(id), Tellers: b.Tellers(id)}
	n.Kept = b.recording == RecordAll || b.recording == RecordSome && b.st[s].flags&fRec != 0
	w, err := b.testify(ctx, id, since)
	if err != nil {
		return nil, err
	}
	if n.Known = w != nil; !n.Known {
		w = b.fromLog(id, since)
	}
	n.Ran, n.Late, n.Told, n.Swings = w.ran, w.late, w.told, w.swings
	n.Heard = w.heard[max(0, len(w.heard)-mostHeard):]
	for _, d := range w.deeds {
		n.Events = append(n.Events, d.id)
	}
	n.Due, _ = b.dueTick(s)
	n.decide(b, s, w)
	return n, nil
}

// fromLog is what the log alone knows.
func (b *Bench) fromLog(id ID, since Instant) *witness {
	w := &witness{id: id}
	for i := EventID(b.n); i > 0 && since.Before(b.event(i).At()); i-- {
		if e := b.event(i); e.ID == id {
			w.deeds = append(w.deeds, deed{id: i, what: e.What})
		}
	}
	for i, j := 0, len(w.deeds)-1; i < j; i, j = i+1, j-1 {
		w.deeds[i], w.deeds[j] = w.deeds[j], w.deeds[i]
	}
	return w
}

// decide finds the reason, from what the part did and heard.
func (n *Still) decide(b *Bench, s int32, w *witness) {
	last := deed{}
	for _, d := range w.deeds {
		switch d.what {
		case Forced, Freed, Nudged: // done to it
		case Lands: // only the end of what it did
		default:
			last = d
		}
	}
	n.Event = last.id
	if hearing[b.st[s].kind] == HearsNot {
		n.decideDeaf(b, s, last)
	} else if !n.decideUnderway(b, s, w, last) {
		n.decideDone(b, s, w, last)
	}
}

// decideDeaf: no news is for it.
func (n *Still) decideDeaf(b *Bench, s int32, last deed) {
	switch b.st[s].kind {
	case Battery:
		n.Reason = Deaf
	case Key:
		n.Reason = Untold
		if last.id != 0 {
			n.Reason = Acted
		}
	case Tray:
		n.Reason, n.Tellers = Empty, b.bringers(s)
		if n.Event = b.LastChange(n.ID, 0); n.Event != 0 && !n.Since.Before(b.event(n.Event).At()) {
			n.Event = 0
		}
		if n.State.On || n.Event != 0 {
			n.Reason = Acted
		}
	default:
		n.decideConductor(b, s, last)
	}
}

// decideUnderway: something of it is on its way, or would be if it were told. It reports whether that is so.
func (n *Still) decideUnderway(b *Bench, s int32, w *witness, last deed) bool {
	kind := b.st[s].kind
	switch {
	case n.State.Transit && !n.State.Queued && !n.State.Armed: // one that lets go may act meanwhile
		n.Reason = Travels
	case n.State.Queued:
		n.Reason = Waits
		n.Step = b.step + 1
		for _, a := range b.cur[min(b.head, len(b.cur)):] {
			if a.site == s {
				n.Step = b.step
			}
		}
	case n.Due > 0 && !(kind == Oneshot && last.id != 0):
		n.Reason = Timed
		n.Event = b.timerCause(s)
		for i := range w.heard {
			if h := &w.heard[i]; kind == Bucket && h.Cause == n.Event && !h.Powered {
				n.Hit = h
				break
			}
		}
	case n.State.Armed && (last.what != Blocked && !(kind == Told && last.what == Lapses) || n.swungSince(last) || w.moved > last.turns):
		n.Reason = Untold
		n.Event = 0
		if i := len(w.swings) - 1; i >= 0 && !(kind == Told && max(w.moved, last.turns) >= w.swings[i].turns) { // else it is in another state since
			n.Took = &w.swings[i]
		}
	default:
		return false
	}
	return true
}

// decideDone: nothing is on its way; the last thing that it did tells, or what became of the news it heard.
func (n *Still) decideDone(b *Bench, s int32, w *witness, last deed) {
	switch {
	case last.what == Lapses:
		n.Reason = Lapsed
		for i := len(w.swings) - 1; i >= 0 && n.Took == nil && b.st[s].kind != Told; i-- {
			if sw := &w.swings[i]; sw.turns <= last.turns && sw.Powered == n.State.On {
				n.Took, n.Earlier = sw, last.turns-sw.turns
			}
		}
	case last.what == Blocked:
		n.Reason = InTheWay
		if n.By = last.by; n.By == 0 {
			n.By = b.inTheWay(s)
		}
	case last.id != 0:
		n.Reason = Acted
	case b.st[s].kind == Chute:
		n.Reason, n.By = b.finds(s)
	case !n.Known:
		n.Reason = Unknown
	case w.moved > 0: // in silence
		n.Reason = Acted
	case w.told == 0:
		n.Reason = Untold
	default:
		n.decideHeard(b, s, w)
	}
}

// decideHeard: it was told, and nothing came of it.
func (n *Still) decideHeard(b *Bench, s int32, w *witness) {
	n.Reason = Agreed
	for i := len(w.heard) - 1; i >= 0; i-- {
		if h := w.heard[i]; h.Found != Agreed && h.Found != Travels { // once it has landed it is told by itself
			n.Hit, n.Reason, n.Event, n.By = &h, h.Found, h.Cause, h.way
			break
		}
	}
	if n.Hit == nil && len(w.heard) > 0 {
		n.Hit = &w.heard[len(w.heard)-1]
	}
	kind := b.st[s].kind
	switch {
	case n.Reason == Empty && kind == Bucket:
		n.Tellers = b.bringers(s)
	case n.Reason != Acted && n.Reason != Timed && n.Reason != Waits:
	case w.found != 0: // a timer was set, and found this when it came due
		n.Reason, n.By = w.found, w.by
	case kind == Delay && Mode(b.st[s].op) == Inertial:
		n.Reason = Swallowed
	default: // what came of it is not recorded
		n.Reason = Unknown
	}
}

func (n *Still) swungSince(d deed) bool {
	return len(n.Swings) > 0 && n.Swings[len(n.Swings)-1].turns > d.turns
}

// dueTick is the tick in which the next timer of the part at s comes due.
func (b *Bench) dueTick(s int32) (int64, bool) {
	best, ok := int64(0), false
	b.timersOf(s, func(tick int64, t *timer) {
		if !ok || tick < best {
			best, ok = tick, true
		}
	})
	return best, ok
}

// timerCause is the event that set the next timer of the part at s.
func (b *Bench) timerCause(s int32) EventID {
	best, cause := int64(-1), EventID(0)
	b.timersOf(s, func(tick int64, t *timer) {
		if best < 0 || tick < best {
			best, cause = tick, t.cause
		}
	})
	return unmarked(cause)
}

// timersOf visits the timers of the part at s, stimuli, void ones and those after which a told kind looks by itself left out.
func (b *Bench) timersOf(s int32, visit func(tick int64, t *timer)) {
	look := func(tick int64, t *timer) {
		if t.site == s && t.what != tStim && t.what != tThen && !b.cancelled(*t) {
			visit(tick, t)
		}
	}
	for i := b.dueHead; i < len(b.due); i++ {
		look(b.tick, &b.due[i])
	}
	for d := int64(0); d < 256; d++ {
		slot := b.slots[(b.tick+d)&255]
		for i := range slot {
			look(b.tick+d, &slot[i])
		}
	}
	for i := range b.later {
		look(b.later[i].tick, &b.later[i].timer)
	}
}
