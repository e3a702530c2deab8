package engine

import "slices"

// Bench is a lattice with parts on it, their state, and its log. Use it from one
// goroutine at a time.
type Bench struct {
	rules  Rules
	topo           // what edits change; shared with snapshots until the next edit
	shared bool    // topo is shared: copy it before an edit
	st     []state // one a site: what runs change
	cordOn []bool  // one a cord: whether its reading is live
	ext    []extra // what only some parts need
	clock          // where in time, and what is due
	slots  [256][]timer
	log            // the events
	mark   EventID // of the stimuli given now; 0: none
	counts Counters
	costs  tickCosts

	past    history
	version uint64

	Aside any // the caller's own; the bench never looks at it, and no snapshot keeps it

	// Scratch, empty between turns.
	news    []told // the news queue; nhead is its first under FIFO
	nhead   int
	seeds   []int32 // conductors whose level may have changed
	changed []int32 // conductors whose level changed, marked
	was     []int32 // one a site: for those, the level before
	touched []int32 // conductors set in one round of settling
	lower   []int32
	raise   []raised
	walked  []int32
	roots   []EventID
	ranks   []int32 // one a site: for those on the shelf, the place among them
	first   []timer
	broken  error        // a turn that could not be finished; only Restore mends it
	endless *EndlessNews // a turn that seems to have no end
	refused bool         // it was to go on all the same
	slow    bool         // no short cuts in delivering
	heard   func(hearer, teller int32, cause EventID)
	levels  func(id ID, level int, cause EventID)
}

// state is what a run changes at a site. A part that hears looks at this and nothing
// else, so four sites share a cache line.
type state struct {
	kind   Kind
	flags  flag
	op     uint8 // gate: Op; delay: Mode; shuttle: Slug, or what its grip carries; told: its state
	slug   cellFlag
	pw     uint16 // live pads and power cords; except for gates, one more while the own cell is forced
	nin    uint16 // gate: inputs; told: what it wanted and who told it; shuttle: its grip; bare cell, jack: whether its slug is loose
	n      int32  // level of a conductor or meter; tokens of a tray; ticks of a key, delay, oneshot, gate, chute, bucket, shuttle; of some gates minus their truth table
	fed    uint16 // feeds that feed this cell, should it conduct (meters apart)
	forced uint16 // stimuli that force this cell
}

type flag uint8

const (
	fOn      flag = 1 << iota // on, out, lit, pressed; bucket: holds a token
	fQueued                   // an act is queued
	fTransit                  // its slug is in transit
	fTimer                    // its one timer is set
	fReady                    // oneshot: may go on; transport, inertial: the input last taken over
	fRec                      // its events are recorded although not all are
	fMark                     // its level changed and it has not told yet
	fPad                      // the cell is live for all who read it
)

type cellFlag uint8

const (
	seatedMask cellFlag = 3      // Slug seated here
	awaited    cellFlag = 1 << 2 // a slug in transit is heading here
	around     cellFlag = 1 << 3 // the cell is an all-round feed
	conductor  cellFlag = 1 << 4 // the cell conducts
)

func (s *state) on() bool     { return s.flags&fOn != 0 }
func (s *state) seated() Slug { return Slug(s.slug & seatedMask) }
func (s *state) live() bool   { return s.pw > 0 }

// conducts reports whether the cell is a conductor now.
func (s *state) conducts() bool { return s.slug&conductor != 0 }

// markConductor notes whether the cell conducts, after its part or the slug in it changed.
func (s *state) markConductor() {
	s.slug &^= conductor
	if sl := s.seated(); sl == Bridge || sl == NoSlug && (conducting[s.kind] || s.slug&toldConducts != 0) {
		s.slug |= conductor
	}
}

// extra is what few parts need: key with hold, inertial delay, tray.
type extra struct {
	reject  int32     // inertial
	pending []pending // inertial: edges to come
	gen     uint32    // key: counts flips; inertial: counts edges; so that void timers are known
	room    int32     // tray
	keep    int32     // tray
	arrived uint32    // tray: tokens that have come
	gone    uint32    // tray: tokens that have left, oldest first
}

// New returns an empty bench at tick 0. It panics if the rules are out of range;
// SetRules says so with an error.
func New(r Rules) *Bench {
	if err := r.check(); err != nil {
		panic("engine: " + err.Error())
	}
	b := &Bench{rules: r}
	b.topo.init()
	b.clock.init()
	b.quicken()
	return b
}

// Rules returns the rules of the bench.
func (b *Bench) Rules() Rules { return b.rules }

// SetRules changes the rules from now on. A new reach settles all levels, silently.
func (b *Bench) SetRules(r Rules) error {
	if err := r.check(); err != nil {
		return err
	}
	b.edited()
	back := b.keepForUndo()
	reach, order := r.Reach != b.rules.Reach, r.Order != b.rules.Order || r.Mixed != b.rules.Mixed || r.Seed != b.rules.Seed
	b.rules = r
	b.quicken()
	if order {
		if b.shared { // of the topology nothing else depends on the order
			b.site = slices.Clone(b.site)
		}
		b.mixOrders()
		for s := range b.site {
			b.site[s].ears = 0
		}
		for s := range b.site {
			b.listenAround(int32(s))
		}
	}
	if reach {
		b.resettle()
	}
	return b.settleEdit(back)
}

// edited is called before every change from outside: Back must not replay across it.
func (b *Bench) edited() {
	b.past.dirty = true
	b.version++
}

// Version counts every turn, every move to another tick and every change from outside, those that
// take others back too: as long as it stays the same, so has the bench.
func (b *Bench) Version() uint64 { return b.version }

// Has reports whether id is a part on the bench.
func (b *Bench) Has(id ID) bool {
	_, err := b.partSite(id)
	return err == nil
}
