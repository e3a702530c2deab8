package engine

// The order rule stands in doc.go; this file and timer.go are all that decides whose turn it is.

// act is an act that waits for its turn.
type act struct {
	site  int32
	cause EventID
}

type phase uint8

const (
	early phase = iota // edges before the first turn of the step
	main               // timers in step 0, acts in later steps
	late               // edges after the last turn of the step
)

// clock is where in time the bench is, and everything that is due.
type clock struct {
	at    Instant // of the last turn
	turns int64   // since tick 0

	tick    int64
	step    int
	turn    int   // number of the next turn of this step
	open    bool  // the tick is running
	phase   phase // within the step
	inTick  int64 // turns of this tick so far
	cur     []act // acts of this step, from head on
	head    int
	next    []act   // acts of the next step
	due     []timer // timers of this tick, from dueHead on
	dueHead int
	fall    int32  // stimulus that falls in the next turn, or -1
	looks   []bool // reads="step": what the acts of this step saw

	wheel
	edges     []edge // falling edges to come, in the order given
	stims     []stimulus
	stimsLive int
	given     Instant // when the last stimulus was given: what comes after it may be its doing
}

func (c *clock) init() {
	c.fall = -1
}

// ready moves on to the next turn without running it. It returns false if there is none
// in or before tick last.
func (b *Bench) ready(last int64) bool {
	for {
		if !b.open {
			t, ok := b.nextTick()
			if !ok || t > last {
				return false
			}
			b.openTick(t)
		}
		if b.fall >= 0 {
			return true
		}
		switch b.phase {
		case early:
			if len(b.edges) > 0 && b.edgeDue(false) >= 0 {
				return true
			}
			b.phase = main
			fallthrough
		case main:
			if b.step == 0 {
				if b.skipCancelled() {
					return true
				}
			} else if b.head < len(b.cur) {
				return true
			} else if len(b.news) > 0 {
				b.deliver() // reads="step", and the last act of the step was taken away
			}
			b.phase = late
			fallthrough
		case late:
			if len(b.edges) > 0 && b.edgeDue(true) >= 0 {
				return true
			}
		}
		if !b.nextStep() {
			b.closeTick()
		}
	}
}

// nextStep moves to the next step of this tick that has anything to do.
func (b *Bench) nextStep() bool {
	if len(b.next) > 0 {
		b.step++
	} else if s := b.nextEdgeStep(); s >= 0 {
		b.step = s
	} else {
		return false
	}
	b.cur, b.next = b.next, b.cur[:0]
	b.head, b.turn, b.phase = 0, 0, early
	b.looks = b.looks[:0]
	return true
}

func (b *Bench) openTick(t int64) {
	b.tick, b.step, b.turn, b.phase, b.open = t, 0, 0, early, true
	b.inTick = 0
	b.version++
	b.takeDue(t)
	b.costs.begin(t, b.counts)
}

func (b *Bench) closeTick() {
	b.open = false
	b.cur, b.head = b.cur[:0], 0
	b.costs.end(b)
}

// begin starts the next turn.
func (b *Bench) begin() {
	b.at = Instant{b.tick, b.step, b.turn}
	b.turn++
	b.turns++
	b.inTick++
	b.counts.Turns++
	b.version++
}

// runReady runs the turn that ready found.
func (b *Bench) runReady() {
	if b.fall < 0 && b.phase == main && b.step > 0 && !b.slow {
		b.runActs(1, false)
		return
	}
	b.begin()
	switch {
	case b.fall >= 0:
		s := b.fall
		b.fall = -1
		b.forceEnds(s)
	case b.phase == main && b.step == 0:
		t := b.due[b.dueHead]
		b.dueHead++
		b.runTimer(t)
	case b.phase == main && b.rules.Reads == ByStep:
		b.actByStep()
		return
	case b.phase == main:
		a := b.cur[b.head]
		b.head++
		st := &b.st[a.site]
		st.flags &^= fQueued
		b.act(a, b.differs(a.site))
	default:
		b.runEdge(b.phase == late)
	}
	b.deliver()
}

func (b *Bench) lapse(s int32, w What, cause EventID) {
	b.counts.Lapses++
	b.record(s, w, 0, cause)
}

// actByStep runs one act of a step whose acts have all looked before the first of them
// changes anything. Their news is delivered after the last.
func (b *Bench) actByStep() {
	if len(b.looks) != len(b.cur) {
		b.looks = b.looks[:0]
		for _, a := range b.cur {
			b.looks = append(b.looks, b.differs(a.site))
		}
	}
	a, differs := b.cur[b.head], b.looks[b.head]
	b.head++
	b.st[a.site].flags &^= fQueued
	b.act(a, differs)
	if b.head == len(b.cur) {
		b.deliver()
	}
}
