package engine

import (
	"context"
	"math"
)

// That a part was told is no event, and what it read in between is not kept. Both can be
// found all the same: from a snapshot of the history a copy of the bench runs the past once
// more, and a witness looks on. The bench itself is not touched.

// Hearing is one piece of news that reached a part.
type Hearing struct {
	At      Instant
	By      ID      // the part or cell whose change it was; 0: a cord, a nudge or the part itself told
	Cause   EventID // the event that told
	Found   Reason  // what the part found; Acted if this set it off
	Powered bool    // what it read
	Tokens  int     // of a bucket or meter: how many it held or showed
	way     ID      // what was in its way
}

// Way is the part or cell that was in the way of what was told; 0: none was.
func (h *Hearing) Way() ID { return h.way }

// Swing is a change of what a part's power calls for.
type Swing struct {
	At      Instant
	Powered bool    // from now on
	By      EventID // the event that did it; 0 if it was done by hand: placing, posing, removing
	Pad     ID      // the pad that changed; 0 if it is not known
	turns   int64
}

// deed is an event of the part itself.
type deed struct {
	id    EventID
	what  What
	by    ID // blocked: what is in the way
	turns int64
}

// witness looks on while the past runs again, and takes down what concerns one part.
type witness struct {
	id     ID
	since  Instant
	told   int
	heard  []Hearing // the last of them
	swings []Swing
	deeds  []deed
	found  Reason // what a timer found that came due in vain; 0: none did
	by     ID     // and what was in its way
	ran    bool   // turns have run since
	moved  int64  // of a told kind: after which turn it last changed its state, also in silence; 0: it did not
	late   bool   // the part was placed later than since

	c       *Bench
	site    int32 // -1 while the part is not there
	began   int   // events before this turn
	powered bool
	pw      uint16
	timer   bool
	is      uint8 // of a told kind: its state
	pads    []pad
	fresh   bool // no turn seen yet
}

// pad is a place a part reads, as a witness watches it.
type pad struct {
	site int32
	d    Dir   // direction of a neighbour; 6: farther away
	cord int32 // or -1
	live bool
}

// Limits of what a witness keeps.
const (
	mostHeard = 1000
	mostPads  = 64
)

// testify runs the past since an instant again. It returns nil if the history does not reach back so far.
func (b *Bench) testify(ctx context.Context, id ID, since Instant) (*witness, error) {
	if !since.Before(b.at) { // no turn has run since
		return &witness{id: id}, nil
	}
	marks := b.past.marks
	i := len(marks) - 1
	for i >= 0 && since.Before(marks[i].clock.at) {
		i--
	}
	if i < 0 {
		return nil, nil
	}
	w := &witness{id: id, since: since, site: -1, fresh: true}
	var c *Bench
	for first := i; i < len(marks); i++ {
		if c == nil || marks[i].edited {
			if c != nil && marks[i].log.n < c.n {
				w.forgetCauses() // the log was emptied
			}
			c = &Bench{}
			c.restore(marks[i].Snapshot)
			c.heard = w.hears
			c.quicken()
			w.meet(c)
			w.late = w.late || i == first && w.site < 0
		}
		end := b.turns
		if i+1 < len(marks) {
			end = marks[i+1].clock.turns
		}
		for n := 0; c.turns < end && c.broken == nil && c.ready(math.MaxInt64); n++ {
			if n%between == 0 && ctx.Err() != nil {
				return nil, &Stopped{b.Now(), ctx.Err()}
			}
			w.began = c.n
			c.runReady()
			w.turned()
		}
	}
	if b.n < c.n {
		w.forgetCauses()
	}
	if s := b.things[id].site; w.site == s && w.powered != b.calls(s) { // edited after the last turn
		w.swings = append(w.swings, Swing{At: b.Now(), Powered: !w.powered, turns: b.turns + 1})
	}
	w.ran = true
	return w, nil
}

func (w *witness) forgetCauses() {
	for i := range w.heard {
		w.heard[i].Cause = 0
	}
	for i := range w.swings {
		w.swings[i].By = 0
	}
	w.deeds = nil
}

// meet begins on a bench on which something may have been edited.
func (w *witness) meet(c *Bench) {
	w.c = c
	w.site = -1
	if int(w.id) >= len(c.things) || c.things[w.id].removed {
		return
	}
	s := c.things[w.id].site
	w.site = s
	w.pads = w.pads[:0]
	c.eachPad(s, func(p int32, d Dir) {
		if p >= 0 {
			w.pads = append(w.pads, pad{site: p, d: d, cord: -1})
		}
	})
	if c.padsGiven(w.id) == nil {
		for f := range c.fars {
			if c.fars[f].reader == s {
				w.pads = append(w.pads, pad{site: c.fars[f].cell, d: 6, cord: -1})
			}
		}
	}
	for k := c.in[s]; k >= 0 && len(w.pads) < mostPads; k = c.ends[k].nextIn {
		if c.cords[k].power {
			w.pads = append(w.pads, pad{site: c.ends[k].from, d: 6, cord: k})
		}
	}
	for i := range w.pads {
		w.pads[i].live = c.readsPad(s, &w.pads[i])
	}
	st := &c.st[s]
	if st.kind == Told {
		w.is = st.toldState()
	}
	w.pw, w.timer = st.pw, st.flags&fTimer != 0
	if now := c.calls(s); now != w.powered {
		if !w.fresh && w.since.Before(c.at) {
			w.swings = append(w.swings, Swing{At: c.at, Powered: now, turns: c.turns})
		}
		w.powered = now
	}
	w.fresh = false
}

func (b *Bench) readsPad(s int32, p *pad) bool {
	if p.cord >= 0 {
		return b.cordOn[p.cord]
	}
	return b.padLive(s, p.site, p.d)
}

// hears is the hook: news reaches some part, which has not looked yet.
func (w *witness) hears(hearer, teller int32, cause EventID) {
	c := w.c
	if hearer != w.site || !w.since.Before(c.at) {
		return
	}
	w.told++
	h := Hearing{At: c.at, Cause: unmarked(cause), Powered: c.callsTo(hearer, teller)}
	if teller >= 0 {
		h.By = c.id[teller]
	}
	h.Found, h.way = c.findsTold(hearer, teller)
	switch st := &c.st[hearer]; st.kind {
	case Told:
		if h.Found == Acted && c.spec(hearer).When[c.toldWants(hearer, c.teller(hearer, teller))] == Now {
			w.moved = c.turns
		}
	case Bucket:
		h.Tokens = int(c.tokens(hearer))
	case Meter:
		h.Tokens = int(st.n)
	}
	if len(w.heard) == 2*mostHeard {
		w.heard = append(w.heard[:0], w.heard[mostHeard:]...)
	}
	w.heard = append(w.heard, h)
}

// turned looks at what the turn has done.
func (w *witness) turned() {
	c, s := w.c, w.site
	if s < 0 {
		return
	}
	counts := w.since.Before(c.at)
	own := false
	for id := EventID(w.began + 1); int(id) <= c.n; id++ {
		if e := c.event(id); e.ID == w.id {
			own = true
			if counts {
				d := deed{id: id, what: e.What, turns: c.turns}
				if e.What == Blocked {
					d.by = c.inTheWay(s)
				}
				w.deeds = append(w.deeds, d)
			}
		}
	}
	st := &c.st[s]
	if timer := st.flags&fTimer != 0; timer != w.timer {
		if w.timer = timer; !timer && !own && counts {
			if w.found, w.by = c.finds(s); st.kind == Bucket && st.live() {
				w.found, w.by = Fed, 0
			}
		}
	}
	if st.kind == Told && w.is != st.toldState() {
		if w.is = st.toldState(); counts {
			w.moved = c.turns
		}
	}
	if st.pw == w.pw && !own && st.kind != Reed && st.kind != Jack && st.kind != Told {
		return
	}
	now := c.calls(s)
	pad := ID(0)
	for i := range w.pads {
		p := &w.pads[i]
		if live := c.readsPad(s, p); live != p.live {
			if p.live = live; live == now || pad == 0 {
				pad = c.id[p.site]
			}
		}
	}
	w.pw = st.pw
	if now == w.powered {
		return
	}
	w.powered = now
	if counts {
		w.swings = append(w.swings, Swing{At: c.at, Powered: now, By: w.doer(pad), Pad: pad, turns: c.turns})
	}
}

// doer finds the event of this turn that changed a pad; the first of the turn if none says so.
func (w *witness) doer(pad ID) EventID {
	c := w.c
	if w.began == c.n {
		return 0
	}
	touch := []touch{{w.id, 1<<Forced | 1<<Freed}}
	if c.st[w.site].kind == Jack {
		pad = w.id // its slug comes and goes
	}
	if pad != 0 {
		touch = append(touch, c.touching(pad)...)
	}
	for id := EventID(c.n); int(id) > w.began; id-- {
		e := c.event(id)
		for _, t := range touch {
			if e.ID == t.id && t.words>>e.What&1 != 0 {
				return id
			}
		}
	}
	return EventID(w.began + 1)
}
