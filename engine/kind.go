package engine

import "pulsewright/engine/kinds"

// What each kind does, in one place: the rest is in the file of its name.

// traits has a row for each kind.
var traits = kinds.Traits()

// The columns that are read while a bench runs; of 256, so that no index is checked.
var (
	hearing    = column(func(t *Trait) Hears { return t.Hears })
	feeding    = column(func(t *Trait) Feeding { return t.Feeds })
	conducting = column(func(t *Trait) bool { return t.Conducts })
)

func column[T any](of func(*Trait) T) (c [256]T) {
	for k := range traits {
		c[k] = of(&traits[k])
	}
	return c
}

// hear lets the part at s look; from is who tells it.
func (b *Bench) hear(s, from int32, cause EventID) {
	switch b.st[s].kind {
	case Link, Shuttle, Gate:
		b.hearLazy(s, cause)
	case Lamp:
		b.lampLooks(s, cause)
	case Reed:
		b.reedLooks(s, cause)
	case Delay:
		b.delayHears(s, cause)
	case Oneshot:
		b.oneshotHears(s, cause)
	case Echo:
		b.echoHears(s, cause)
	case Bucket:
		b.bucketHears(s, cause)
	case Chute:
		b.chuteLooks(s, cause)
	case Meter:
		b.meterLooks(s, cause)
	case Told:
		b.toldHears(s, from, cause)
	}
}

// timerDue is what the part at s does when its one timer comes due.
func (b *Bench) timerDue(s int32, cause EventID) {
	switch b.st[s].kind {
	case Delay:
		b.delayDue(s, cause)
	case Oneshot:
		b.oneshotDue(s, cause)
	case Echo:
		b.echoDue(s, cause)
	case Gate:
		b.gateDue(s, cause)
	case Bucket:
		b.bucketDue(s, cause)
	case Chute:
		b.chuteDue(s, cause)
	case Told:
		b.toldDue(s, cause)
	}
}

// act is what an act does once the part has looked: lapse, or change.
func (b *Bench) act(a act, differs bool) {
	b.counts.Acts++
	switch {
	case !differs:
		if b.st[a.site].kind == Told {
			b.st[a.site].nin = 0
		}
		b.lapse(a.site, Lapses, a.cause)
	case b.st[a.site].kind == Link:
		b.linkMoves(a.site, a.cause)
	case b.st[a.site].kind == Gate:
		b.flipSettled(a.site, a.cause)
	case b.st[a.site].kind == Told:
		b.toldActs(a.site, a.cause)
	default:
		b.shuttleMoves(a.site, a.cause)
	}
}

// differs lets a part whose turn it is look: does it want another state than it has?
func (b *Bench) differs(s int32) bool {
	st := &b.st[s]
	switch st.kind {
	case Gate:
		return b.gateWants(s) != st.on()
	case Told:
		return b.toldDiffers(s)
	}
	return st.live() != st.on()
}

// calls reports whether the power of the part at s calls for on; of a jack, whether it conducts.
func (b *Bench) calls(s int32) bool {
	st := &b.st[s]
	switch st.kind {
	case Gate:
		return b.gateWants(s)
	case Reed:
		return st.live() || b.reedHeld(s)
	case Wire, Jack:
		return st.conducts()
	case Told:
		return b.toldArmed(s)
	}
	return st.live()
}

// finds is what the part at s would find if it looked now, and what is in its way: for those who explain, nothing else goes by it.
func (b *Bench) finds(s int32) (Reason, ID) {
	st := &b.st[s]
	switch {
	case st.kind == Delay && Mode(st.op) != Stretch:
		return b.edgeFinds(s), 0
	case st.flags&fTransit != 0:
		return Travels, 0
	case st.flags&fQueued != 0:
		return Waits, 0
	case st.flags&fTimer != 0 && st.kind != Bucket:
		return Timed, 0
	}
	switch st.kind {
	case Oneshot:
		return b.oneshotFinds(s), 0
	case Echo:
		return Acted, 0
	case Bucket:
		return b.bucketFinds(s)
	case Chute:
		return b.chuteFinds(s)
	case Meter:
		return b.meterFinds(s), 0
	}
	if st.kind == Told && !b.toldArmed(s) || st.kind != Told && b.calls(s) == st.on() {
		return Agreed, 0
	}
	return Acted, 0
}

// posed sets what a part that was posed on goes by from then on, as if it had come on by itself.
func (b *Bench) posed(s int32) {
	switch b.st[s].kind {
	case Key:
		b.keyPosed(s)
	case Delay:
		b.delayPosed(s)
	case Oneshot:
		b.oneshotPosed(s)
	case Echo:
		b.echoPosed(s)
	}
}
