package engine

import "pulsewright/engine/kinds"

// A part of a told kind. It keeps its state in op, or, if its kind acts as a link does, in whether it is on; in nin, while an act or a timer is on
// its way, what it wanted when told and who told it. What it feeds and whether it conducts stands in cell flags, so that power needs no table.

const (
	toldAround   cellFlag = 1 << 5 // feeds all round in this state
	toldFront    cellFlag = 1 << 6 // feeds its front
	toldConducts cellFlag = 1 << 7
	toldFlags             = toldAround | toldFront | toldConducts
)

// By whom a part is told, if not by a cell.
const (
	fromCord  int32 = -1
	fromNudge int32 = -2
)

func (b *Bench) spec(s int32) *Spec { return b.specs[b.site[s].spec] }

// toldState is the state that a part of a told kind is in.
func (st *state) toldState() uint8 {
	if st.n < 0 {
		return uint8(st.flags & fOn)
	}
	return st.op
}

// level at which a front feed feeds, if not as any feed does.
func (b *Bench) meters(s int32) bool {
	switch st := &b.st[s]; st.kind {
	case Meter:
		return true
	case Told:
		return b.spec(s).Feeds[st.op].Level > 0
	}
	return false
}

// frontLevel is the level that s gives the conductor in front of it, apart from what plain feeds give.
func (b *Bench) frontLevel(s int32) int32 {
	st := &b.st[s]
	if st.kind == Meter {
		return st.n
	}
	if st.slug&toldFront == 0 {
		return 0
	}
	return int32(b.spec(s).Feeds[st.op].Level)
}

// teller says who told the part at s.
func (b *Bench) teller(s, from int32) Teller {
	switch {
	case from == s:
		return ByItself
	case from == fromNudge:
		return ByNudge
	case from < 0:
		return ByCord
	case !b.spec(s).Faces:
		return ByAround
	}
	me := &b.site[s]
	switch from {
	case me.nbr[me.facing]:
		return ByFront
	case me.nbr[me.facing^1]:
		return ByBack
	}
	return BySide
}

// toldWants looks the state up that the part at s would have.
func (b *Bench) toldWants(s int32, by Teller) uint8 {
	st, k := &b.st[s], b.spec(s)
	is := st.toldState()
	if st.pw == 0 {
		return k.Idle(is, by)
	}
	if w, ok := k.Fed(is, by); ok {
		return w
	}
	me := &b.site[s]
	i := k.Index(is, by)
	for d, n := range me.nbr {
		if n < 0 || me.pads>>d&1 == 0 || !b.padLive(s, n, Dir(d)) {
			continue
		}
		switch {
		case !k.Faces:
			i += k.Stride(kinds.InAround)
		case Dir(d) == me.facing:
			i += k.Stride(kinds.InFront)
		case Dir(d) == me.facing^1:
			i += k.Stride(kinds.InBack)
		default:
			i += k.Stride(kinds.InSides)
		}
	}
	if k.Pads&(FarBackCell|FarFrontCell) != 0 && !me.shelf {
		f := b.things[b.id[s]].pads - 1
		offs, n := k.Pads.Far(me.facing)
		for j, off := range offs[:n] {
			if int(f) == len(b.fars) || b.fars[f].reader != s || b.cell[b.fars[f].cell] != b.cell[s].Add(off) {
				continue // beyond the edge of the world
			}
			if b.st[b.fars[f].cell].flags&fPad != 0 && j == 0 && k.Pads&FarBackCell != 0 {
				i += k.Stride(kinds.InFarBack)
			} else if b.st[b.fars[f].cell].flags&fPad != 0 {
				i += k.Stride(kinds.InFarFront)
			}
			f++
		}
	}
	for c := b.in[s]; c >= 0; c = b.ends[c].nextIn {
		if b.cordOn[c] {
			i += k.Stride(kinds.InCords)
		}
	}
	if st.forced > 0 {
		i += k.Stride(kinds.InForced)
	}
	return k.Entry(i)
}

// toldHears: told, and nothing on its way, it reacts if it wants another state.
func (b *Bench) toldHears(s, from int32, cause EventID) {
	st := &b.st[s]
	if st.flags&(fQueued|fTimer) != 0 {
		return
	}
	by := b.teller(s, from)
	want := b.toldWants(s, by)
	if st.n < 0 && want != st.toldState() { // as a link
		st.flags |= fQueued
		b.next = append(b.next, act{s, cause})
		return
	}
	if want == st.toldState() {
		return
	}
	switch when := b.spec(s).When[want]; when {
	case Now:
		b.enters(s, want, cause, false)
		return
	case NextStep:
		st.flags |= fQueued
		b.next = append(b.next, act{s, cause})
	default:
		st.flags |= fTimer
		b.setTimer(timer{site: s, cause: cause, what: tPart}, int64(when))
	}
	st.nin = uint16(want) | uint16(by)<<4
}

// toldDiffers looks again, for an act or a timer, and notes what the part wants now.
func (b *Bench) toldDiffers(s int32) bool {
	st := &b.st[s]
	if st.n < 0 {
		return st.truth() != st.on()
	}
	if !b.spec(s).Once {
		st.nin = st.nin&^15 | uint16(b.toldWants(s, Teller(st.nin>>4)))
	}
	return uint8(st.nin&15) != st.toldState()
}

// toldActs: its act, once it has looked.
func (b *Bench) toldActs(s int32, cause EventID) {
	st := &b.st[s]
	if st.n < 0 {
		b.enters(s, 1-st.toldState(), cause, true)
		return
	}
	want := uint8(st.nin & 15)
	st.nin = 0
	b.enters(s, want, cause, true)
}

// toldMutely is the act of a part whose kind is mute, as far as it touches no other part: it looks, and if it wants another state takes it.
func (b *Bench) toldMutely(s int32) bool {
	k := b.spec(s)
	if !k.Mute() || !b.toldDiffers(s) {
		return false
	}
	st := &b.st[s]
	st.op = uint8(st.nin & 15)
	st.nin, st.flags = 0, st.flags&^(fQueued|fOn)
	if k.Active[st.op] {
		st.flags |= fOn
	}
	return true
}

// toldQueues is what a part whose kind is lazy does when it is told: it reports whether it queues an act.
func (b *Bench) toldQueues(s, from int32) bool {
	st := &b.st[s]
	if st.flags&(fQueued|fTimer) != 0 {
		return false
	}
	by := b.teller(s, from)
	want := b.toldWants(s, by)
	if want == st.op {
		return false
	}
	st.flags |= fQueued
	st.nin = uint16(want) | uint16(by)<<4
	return true
}

// toldDue: the timer of its reaction.
func (b *Bench) toldDue(s int32, cause EventID) {
	b.st[s].flags &^= fTimer
	if !b.toldDiffers(s) {
		b.st[s].nin = 0
		b.lapse(s, Lapses, cause)
		return
	}
	b.toldActs(s, cause)
}

// toldThen: it has been in its state for so long that it looks by itself.
func (b *Bench) toldThen(s int32, cause EventID) {
	if want := b.toldWants(s, ByDue); want != b.st[s].toldState() {
		b.enters(s, want, cause, true)
	}
}

// enters a state: the event, what it feeds and conducts, the timer of the state, and the news. again: it may be told by itself.
func (b *Bench) enters(s int32, to uint8, cause EventID, again bool) {
	k := b.spec(s)
	ev, tells := cause, TellsNone
	if k.Says[to] != "" {
		ev, tells = b.record(s, Enters, k.Arg(to), cause), k.Tells
	}
	b.toldTakes(s, to)
	b.setThen(s, to, ev)
	b.refreshCords(s)
	start := len(b.news)
	switch me := &b.site[s]; tells {
	case TellsAround:
		b.tellFrom(s, ev)
	case TellsFront:
		if f := me.nbr[me.facing]; f >= 0 && me.ears>>b.rank(s, me.facing)&1 != 0 {
			b.news = append(b.news, told{f, s, ev})
		}
		b.tellCords(s, ev)
	}
	if len(b.seeds) > 0 {
		b.settle()
		b.walk(s, ev)
	}
	if again && k.Relook {
		b.news = append(b.news, told{s, s, ev})
	}
	b.batch(start)
}

// toldTakes puts a state into place, and pushes what that means for power.
func (b *Bench) toldTakes(s int32, to uint8) {
	st, k := &b.st[s], b.spec(s)
	if st.n < 0 { // as a link
		st.flags ^= fOn
		return
	}
	shelf := b.site[s].shelf
	if st.slug&toldFront != 0 && k.Feeds[to] != k.Feeds[st.op] {
		st.slug &^= toldFront
		if !shelf {
			b.feedFront(s, false)
		}
	}
	st.op = to
	st.flags &^= fOn
	if k.Active[to] {
		st.flags |= fOn
	}
	if k.Feeds[to].What == FeedsFront && st.slug&toldFront == 0 {
		st.slug |= toldFront
		if !shelf {
			b.feedFront(s, true)
		}
	}
	st.slug &^= toldAround
	if k.Feeds[to].What == FeedsAround {
		st.slug |= toldAround
	}
	if k.Conducts[to] != (st.slug&toldConducts != 0) {
		st.slug ^= toldConducts
		st.markConductor()
		b.seedAround(s)
	}
	b.refresh(s)
}

// setThen sets the timer of a state.
func (b *Bench) setThen(s int32, in uint8, cause EventID) {
	i := b.extOf[s]
	if i < 0 {
		return
	}
	x := &b.ext[i]
	x.gen++ // the timer of the state before is void
	if ticks := b.spec(s).Then[in]; ticks > 0 {
		b.setTimer(timer{site: s, cause: cause, arg: x.gen, what: tThen}, int64(ticks))
	}
}

// toldPosed gives a new part of a told kind its state.
func (b *Bench) toldPosed(s int32, p *Part) {
	st, k := &b.st[s], p.Spec
	if k.Active[p.State] {
		st.flags |= fOn
	}
	if k.Truth() != 0 {
		st.n = k.Truth()
		return
	}
	st.op = uint8(p.State)
	if k.Conducts[p.State] {
		st.slug |= toldConducts
		st.markConductor()
	}
	switch k.Feeds[p.State].What {
	case FeedsAround:
		st.slug |= toldAround
	case FeedsFront:
		st.slug |= toldFront
	}
	b.setThen(s, st.op, 0)
}

// useSpec gives the number of a kind on this bench.
func (b *Bench) useSpec(k *Spec) uint16 {
	for i, have := range b.specs {
		if have == k {
			return uint16(i)
		}
	}
	b.specs = append(b.specs[:len(b.specs):len(b.specs)], k)
	return uint16(len(b.specs) - 1)
}

// Specs are the told kinds that parts of this bench were ever of, in the order in which they were placed first.
func (b *Bench) Specs() []*Spec { return b.specs }

// Spec is the kind of a part if it is a told one, nil if it is not; also of a part that was taken away.
func (b *Bench) Spec(id ID) *Spec {
	if int(id) >= len(b.things) || b.things[id].kind != Told {
		return nil
	}
	return b.specs[b.things[id].spec]
}

// PlacedIn is the number of the state that a part of a told kind was placed in; ok is false where the log may lack what it did since then.
func (b *Bench) PlacedIn(id ID) (state int, ok bool) {
	if b.Spec(id) == nil || b.holes {
		return 0, false
	}
	return int(b.things[id].posed), true
}

// KindName is the name of the kind of a part, as scripts write it; also of a part that was taken away.
func (b *Bench) KindName(id ID) string {
	if k := b.Spec(id); k != nil {
		return k.Name
	}
	return b.KindOf(id).String()
}

// Word is the word of an event: what a told kind says, else the word of the log.
func (b *Bench) Word(e Event) string {
	if e.What == Enters {
		if k := b.Spec(e.ID); k != nil {
			return k.Says[e.Arg&^ActiveState]
		}
	}
	return e.What.String()
}

// TraitOf is what parts of the kind of a part have in common; of a told kind, what it may do in some state.
func (b *Bench) TraitOf(id ID) Trait {
	t := b.KindOf(id).Trait()
	k := b.Spec(id)
	if k == nil {
		return t
	}
	t.Name, t.Faces, t.Conducts = k.Name, k.Faces, k.EverConducts()
	switch {
	case k.EverAround():
		t.Feeds = FeedsAround
	case k.EverFront():
		t.Feeds = FeedsFront
	}
	return t
}
