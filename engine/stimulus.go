package engine

import (
	"fmt"
	"math/bits"
	"slices"
)

// Target is a part, if ID is set, or else a cell.
type Target struct {
	ID   ID
	Cell Cell
}

// Firing describes a forced pulse: how long (Ticks ticks and Steps steps), whether it
// falls before the first turn of its last step or after the last (Late), and in which
// tick it rises (At; 0 means the next).
type Firing struct {
	Steps, Ticks int
	Late         bool
	At           int64
}

// stimulus is one that has been given and has not ended.
type stimulus struct {
	what   uint8
	site   int32
	steps  int32
	ticks  int32
	late   bool
	around bool
	mark   EventID // what stands for its cause; 0: it is not marked
}

const (
	stimPress uint8 = iota
	stimRelease
	stimFire
	stimNudge
)

// edge is the falling edge of a pulse that has risen.
type edge struct {
	tick int64
	step int32
	late bool
	stim int32
}

// when checks the tick a stimulus is given for.
func (b *Bench) when(at int64) (int64, error) {
	switch {
	case at == 0:
		return b.tick + 1, nil
	case at <= b.tick:
		return 0, fmt.Errorf("tick %d is over: it is tick %d; want a later one", at, b.tick)
	case at > b.tick+MaxTicks:
		return 0, fmt.Errorf("tick %d is too far away; at most %d ticks ahead", at, MaxTicks)
	}
	return at, nil
}

func (b *Bench) give(s stimulus, at int64) error {
	tick, err := b.when(at)
	if err != nil {
		return err
	}
	b.edited()
	b.given = b.Now()
	if b.stimsLive == 0 {
		b.stims = b.stims[:0]
	}
	b.stimsLive++
	s.mark = b.mark
	b.stims = append(b.stims, s)
	b.setTimerAt(timer{site: s.site, arg: uint32(len(b.stims) - 1), what: tStim}, tick)
	return nil
}

// LastGiven returns the instant at which the last stimulus was given: all that it does comes after.
func (b *Bench) LastGiven() Instant { return b.given }

func (b *Bench) keySite(id ID) (int32, error) {
	s, err := b.partSite(id)
	if err != nil {
		return 0, err
	}
	if b.st[s].kind != Key {
		return 0, fmt.Errorf("a %s cannot be pressed; want a key", b.st[s].kind)
	}
	return s, nil
}

// Press presses a key in tick at (0: the next tick).
func (b *Bench) Press(key ID, at int64) error {
	s, err := b.keySite(key)
	if err != nil {
		return err
	}
	return b.give(stimulus{what: stimPress, site: s}, at)
}

// Release lets a key go in tick at (0: the next tick).
func (b *Bench) Release(key ID, at int64) error {
	s, err := b.keySite(key)
	if err != nil {
		return err
	}
	return b.give(stimulus{what: stimRelease, site: s}, at)
}

// Fire forces a cell live for a pulse. The falling edge is a change like the rising one.
func (b *Bench) Fire(t Target, f Firing) error {
	if f.Steps < 0 || f.Steps > MaxTicks || f.Ticks < 0 || f.Ticks > MaxTicks {
		return fmt.Errorf("a pulse of %d ticks and %d steps; want 0 to %d of each", f.Ticks, f.Steps, MaxTicks)
	}
	if _, err := b.when(f.At); err != nil {
		return err
	}
	s, err := b.targetSite(t)
	if err != nil {
		return err
	}
	return b.give(stimulus{what: stimFire, site: s, steps: int32(f.Steps), ticks: int32(f.Ticks), late: f.Late}, f.At)
}

// Nudge lets the part of a cell hear, or with around the parts of its six neighbours.
func (b *Bench) Nudge(t Target, around bool, at int64) error {
	if _, err := b.when(at); err != nil {
		return err
	}
	s, err := b.targetSite(t)
	if err != nil {
		return err
	}
	return b.give(stimulus{what: stimNudge, site: s, around: around}, at)
}

func (b *Bench) targetSite(t Target) (int32, error) {
	if t.ID != 0 {
		return b.partSite(t.ID)
	}
	if !t.Cell.Inside() {
		return 0, errOutside(t.Cell)
	}
	if s, ok := b.index.find(t.Cell, b.cell); ok {
		return s, nil
	}
	b.own()
	return b.siteAt(t.Cell), nil
}

// stimulate is the turn in which a stimulus takes effect.
func (b *Bench) stimulate(i int32) {
	m := b.stims[i]
	if b.site[m.site].shelf && b.st[m.site].kind == Bare {
		b.stimsLive-- // the part was taken away meanwhile
		return
	}
	switch m.what {
	case stimPress:
		b.stimsLive--
		if !b.st[m.site].on() && b.st[m.site].kind == Key {
			b.keyFlips(m.site, true, m.mark)
		}
	case stimRelease:
		b.stimsLive--
		if b.st[m.site].on() && b.st[m.site].kind == Key {
			b.keyFlips(m.site, false, m.mark)
		}
	case stimNudge:
		b.stimsLive--
		ev := b.record(m.site, Nudged, 0, m.mark)
		start := len(b.news)
		if m.around {
			me, order := &b.site[m.site], b.order(m.site)
			for m := me.ears; m != 0; m &= m - 1 {
				b.news = append(b.news, told{me.nbr[order[bits.TrailingZeros8(m)]], fromNudge, ev})
			}
		} else if hearing[b.st[m.site].kind] != HearsNot {
			b.news = append(b.news, told{m.site, fromNudge, ev})
		}
		b.batch(start)
	case stimFire:
		b.force(m.site, 1, Forced, m.mark)
		if m.steps == 0 && m.ticks == 0 {
			b.fall = i
			return
		}
		b.edges = append(b.edges, edge{b.tick + int64(m.ticks), m.steps, m.late, i})
	}
}

// force forces a cell once more, or once less.
func (b *Bench) force(s int32, d int, w What, mark EventID) {
	st := &b.st[s]
	before := st.forced
	st.forced += uint16(d)
	st.tabulate()
	if before > 0 && st.forced > 0 {
		return
	}
	if st.kind != Gate {
		st.pw += uint16(d) // its own reading
	}
	if b.site[s].shelf && st.kind == Bare {
		b.refresh(s)
		return // the part was taken away meanwhile
	}
	ev := b.record(s, w, 0, mark)
	b.refresh(s)
	if st.conducts() {
		b.seeds = append(b.seeds, s)
	}
	b.refreshCords(s)
	b.inputsMoved(s)
	b.change(s, ev)
}

// forceEnds is the falling edge of a pulse.
func (b *Bench) forceEnds(stim int32) {
	b.stimsLive--
	b.force(b.stims[stim].site, -1, Freed, b.stims[stim].mark)
}

// edgeDue finds the edge due now whose stimulus was given first; -1 if there is none.
func (b *Bench) edgeDue(late bool) int {
	first := -1
	for i, e := range b.edges {
		if e.tick == b.tick && int(e.step) == b.step && e.late == late && (first < 0 || e.stim < b.edges[first].stim) {
			first = i
		}
	}
	return first
}

// nextEdgeStep is the next step of this tick with an edge; -1 if there is none.
func (b *Bench) nextEdgeStep() int {
	best := -1
	for _, e := range b.edges {
		if e.tick == b.tick && int(e.step) > b.step && (best < 0 || int(e.step) < best) {
			best = int(e.step)
		}
	}
	return best
}

// runEdge is the turn of the edge that edgeDue found.
func (b *Bench) runEdge(late bool) {
	i := b.edgeDue(late)
	e := b.edges[i]
	b.edges = slices.Delete(b.edges, i, i+1)
	b.forceEnds(e.stim)
}

// keyFlips presses a key or lets it go.
func (b *Bench) keyFlips(s int32, on bool, cause EventID) {
	st := &b.st[s]
	st.flags ^= fOn
	w := Off
	if on {
		w = On
	}
	ev := b.record(s, w, 0, cause)
	if st.n > 0 { // hold
		x := &b.ext[b.extOf[s]]
		x.gen++
		if on {
			b.setTimer(timer{site: s, cause: ev, arg: x.gen, what: tHold}, int64(st.n))
		}
	}
	b.refresh(s)
	b.refreshCords(s)
	b.change(s, ev)
}

// keyPosed: a key with hold comes up like one that was pressed.
func (b *Bench) keyPosed(s int32) {
	st := &b.st[s]
	if st.n == 0 {
		return
	}
	x := &b.ext[b.extOf[s]]
	x.gen++
	b.setTimer(timer{site: s, arg: x.gen, what: tHold}, int64(st.n))
}
