package engine

import "slices"

// Draft is a bench for drafting: parts are put and taken back, the last one first, and what is tried meanwhile leaves no trace, a hundred
// thousand times a second and more. Taking back is copying back: no edit is undone piece by piece. Once it has been as full as it gets, it
// allocates no more memory.
type Draft struct {
	b      *Bench
	levels []draftLevel
	depth  int
	posed  []state // how it stood before the last run
	ext    []extra
	blank  clock
}

// draftLevel is a draft before a part was put.
type draftLevel struct {
	st                         []state
	site                       []site
	at                         int32 // where the part was put
	id                         ID    // what was there
	extra                      int32
	things, fars, ext, pads, n int
}

// NewDraft returns a draft between two cells, its corners. Nothing can be put outside of them, and no seat or far pad lies more than two cells off.
func NewDraft(r Rules, lo, hi Cell) *Draft {
	d := &Draft{b: New(r)}
	d.blank.init()
	const margin = 2
	for x := lo.X - margin; x <= hi.X+margin; x++ {
		for y := lo.Y - margin; y <= hi.Y+margin; y++ {
			for z := lo.Z - margin; z <= hi.Z+margin; z++ {
				d.b.siteAt(Cell{X: x, Y: y, Z: z})
			}
		}
	}
	return d
}

// Bench is the bench as it is now. It must not be edited but by the draft.
func (d *Draft) Bench() *Bench { return d.b }

// Put places a part, posed so that nothing waits for a timer. On an error the draft is as it was.
func (d *Draft) Put(at Cell, p Part) (ID, error) {
	b := d.b
	s, ok := b.index.find(at, b.cell)
	if !ok {
		return 0, errOutside(at)
	}
	if d.depth == len(d.levels) {
		d.levels = append(d.levels, draftLevel{})
	}
	l := &d.levels[d.depth]
	l.st, l.site = append(l.st[:0], b.st...), append(l.site[:0], b.site...)
	l.at, l.id, l.extra, l.things, l.fars, l.ext, l.pads, l.n = s, b.id[s], b.extOf[s], len(b.things), len(b.fars), len(b.ext), len(b.pads), b.parts
	d.depth++
	id, err := b.Place(at, p)
	if err != nil {
		d.Back()
	}
	return id, err
}

// Back takes back the part that was put last.
func (d *Draft) Back() {
	d.depth--
	b, l := d.b, &d.levels[d.depth]
	copy(b.st, l.st)
	copy(b.site, l.site)
	b.things, b.fars, b.ext, b.pads, b.parts = b.things[:l.things], b.fars[:l.fars], b.ext[:l.ext], b.pads[:l.pads], l.n
	b.id[l.at], b.extOf[l.at] = l.id, l.extra
	b.things[l.id].removed = false
	b.version++
}

// Pose notes how the machine stands, for Again.
func (d *Draft) Pose() {
	d.posed = append(d.posed[:0], d.b.st...)
	d.ext = append(d.ext[:0], d.b.ext...)
}

// Again brings the machine back to how it stood at Pose, at tick 0 and with nothing in the log, whatever was going on.
func (d *Draft) Again() {
	b := d.b
	copy(b.st, d.posed)
	copy(b.ext, d.ext)
	for i := range b.some.each {
		b.slots[i] = b.slots[i][:0]
	}
	b.clock.copy(&d.blank)
	b.drop()
	b.news, b.nhead, b.seeds, b.changed, b.touched = b.news[:0], 0, b.seeds[:0], b.changed[:0], b.touched[:0]
	b.broken, b.endless = nil, nil
	b.counts, b.costs = Counters{}, tickCosts{rows: b.costs.room()}
	b.version++
}

// Run lets time pass until nothing is left to do, and reports whether that came within so many turns and ticks.
func (d *Draft) Run(turns int, ticks int64) (quiet bool) {
	b := d.b
	last := b.tick + ticks
	for ; turns > 0 && b.broken == nil; turns-- {
		if !b.ready(last) {
			return b.Quiet()
		}
		b.runReady()
	}
	return false
}

// Rested reports whether everything stands as it did at Pose.
func (d *Draft) Rested() bool { return slices.Equal(d.b.st, d.posed) }
