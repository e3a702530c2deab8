package kinds

import (
	"fmt"
	"slices"
)

// Spec is a kind of part that is none of the built-in ones: a small machine of a few states, written out as a table, so that
// nothing but a look into the table is done while it runs. It never changes once made, and any number of benches may use it.
type Spec struct {
	SpecDef
	table   []uint8 // the state wanted, for each combination
	told    [tellers]int
	stride  [dims]int
	none    [MaxStates][tellers]uint8 // the state wanted while nothing is live
	any     [MaxStates][tellers]uint8 // and while anything is, if it does not matter what; else mixed
	truth   int32                     // of one that acts as a link does, minus its truth table as tabulate notes it; else 0
	digest  uint64
	Aside   any  // the maker's own; the engine never looks at it
	conduct bool // in some state
	around  bool // feeds all round in some state
	front   bool // feeds its front in some state
	lazy    bool // Lazy
	mute    bool // Mute
}

const mixed = 0xff // any: it does matter what is live

// Dim is a dimension of a table.
type Dim int

// The dimensions, the last one running fastest.
const (
	InState Dim = iota
	InTold
	InBack
	InFront
	InFarBack
	InFarFront
	InSides
	InAround
	InCords
	InForced
	dims
)

// NewSpec makes a kind: wants is asked once for each combination, and answers with the number of the state it would have, or -1 for as it is.
func NewSpec(d SpecDef, wants func(Look) (int, error)) (*Spec, error) {
	if err := d.check(); err != nil {
		return nil, err
	}
	s := &Spec{SpecDef: d, conduct: d.conducts()}
	sizes, stride := d.sizes(), 1
	for k := dims - 1; k >= 0; k-- {
		s.stride[k] = stride
		stride *= sizes[k]
	}
	for i, t := range d.Tellers() {
		s.told[t] = i
	}
	for _, f := range d.Feeds {
		s.around = s.around || f.What == FeedsAround
		s.front = s.front || f.What == FeedsFront
	}
	s.table = make([]uint8, stride)
	ts := d.Tellers()
	for i := range s.table {
		at := func(k Dim) int { return i / s.stride[k] % sizes[k] }
		l := Look{State: at(InState), Told: ts[at(InTold)], Back: at(InBack) > 0, Front: at(InFront) > 0, FarBack: at(InFarBack) > 0, FarFront: at(InFarFront) > 0,
			Sides: at(InSides), Around: at(InAround), Cords: at(InCords), Forced: at(InForced) > 0}
		w, err := wants(l)
		if err != nil {
			return nil, err
		}
		if w < 0 {
			w = l.State
		}
		if w >= len(d.States) {
			return nil, fmt.Errorf("there is no state %d", w)
		}
		s.table[i] = uint8(w)
	}
	s.sum()
	return s, nil
}

// sum notes what need not be looked up, and a digest.
func (s *Spec) sum() {
	each := s.stride[InTold]
	h := Digest(len(s.States)).Add(uint64(s.Pads), uint64(s.Hears), Bit(s.Once), uint64(s.Tells), Bit(s.Relook), Bit(s.Faces))
	for st := range s.States {
		h = h.Add(uint64(s.When[st]), uint64(s.Then[st]), uint64(s.Feeds[st].What), uint64(s.Feeds[st].Level), Bit(s.Conducts[st]), Bit(s.Says[st] == ""), Bit(s.Active[st]))
		for _, t := range s.Tellers() {
			row := s.table[st*s.stride[InState]+s.told[t]*each:][:each]
			any := row[len(row)-1]
			for _, w := range row[1:] {
				if w != any {
					any = mixed
				}
			}
			s.none[st][t], s.any[st][t] = row[0], any
			for _, w := range row {
				h = h.Add(uint64(w))
			}
		}
	}
	s.digest = uint64(h)
	s.lazy = !slices.ContainsFunc(s.When, func(when int) bool { return when != NextStep })
	s.mute = s.Tells == TellsAround && !s.Relook && !s.conduct && !s.around && !s.front && !slices.Contains(s.Says, "") &&
		!slices.ContainsFunc(s.Then, func(ticks int) bool { return ticks > 0 })
	s.truth = s.plain()
}

// plain gives the truth table of a kind that acts as a link does: two states, an act in the next step, looking again; that something is live is all
// it looks at. Such parts take the engine's shortest way. 0: it is not so.
func (s *Spec) plain() int32 {
	if len(s.States) != 2 || s.Once || s.Relook || s.conduct || s.around || s.front || s.Tells != TellsAround || s.Active[0] || !s.Active[1] {
		return 0
	}
	ts := s.Tellers()
	zero, one := s.none[0][ts[0]], s.any[0][ts[0]]
	for st := range s.States {
		if s.When[st] != NextStep || s.Then[st] != 0 || s.Says[st] == "" {
			return 0
		}
		for _, t := range ts {
			if s.none[st][t] != zero || s.any[st][t] != one {
				return 0
			}
		}
	}
	if one == mixed {
		return 0
	}
	table := int32(0)
	for i := range int32(8) {
		if w := one; i&1 == 0 && w == 1 || i&1 != 0 && zero == 1 {
			table |= 1 << i
		}
	}
	return -table
}

// Index is the place in the table of a state and a teller while nothing is live; Stride leads on from there.
func (s *Spec) Index(state uint8, t Teller) int {
	return int(state)*s.stride[InState] + s.told[t]*s.stride[InTold]
}

// Wants is the state that a part of the kind would have.
func (s *Spec) Wants(l Look) int {
	i := s.Index(uint8(l.State), l.Told)
	for _, v := range []struct {
		dim Dim
		on  bool
	}{{InBack, l.Back}, {InFront, l.Front}, {InFarBack, l.FarBack}, {InFarFront, l.FarFront}, {InForced, l.Forced}} {
		if v.on {
			i += s.stride[v.dim]
		}
	}
	return int(s.table[i+l.Sides*s.stride[InSides]+l.Around*s.stride[InAround]+l.Cords*s.stride[InCords]])
}

// Digest is the same for kinds that behave alike, whatever their names.
func (s *Spec) Digest() uint64 { return s.digest }

// Same reports whether two kinds are told alike, in all that can be seen of them too.
func (s *Spec) Same(o *Spec) bool {
	return s.digest == o.digest && s.Name == o.Name && s.Letter == o.Letter && slices.Equal(s.States, o.States) && slices.Equal(s.Says, o.Says) && slices.Equal(s.table, o.table)
}

// Stride is how much farther on in the table the entry for one more live cell is.
func (s *Spec) Stride(in Dim) int { return s.stride[in] }

// Entry is a place in the table: the state wanted.
func (s *Spec) Entry(i int) uint8 { return s.table[i] }

// Idle is the state wanted while nothing is live.
func (s *Spec) Idle(state uint8, t Teller) uint8 { return s.none[state][t] }

// Fed is the state wanted while anything is live; ok is false if it matters what.
func (s *Spec) Fed(state uint8, t Teller) (want uint8, ok bool) {
	want = s.any[state][t]
	return want, want != mixed
}

// Truth is not 0 for a kind that acts as a link does: minus its truth table, as the engine keeps those of gates.
func (s *Spec) Truth() int32 { return s.truth }

// Lazy reports whether all that it does when it is told is to queue an act.
func (s *Spec) Lazy() bool { return s.lazy }

// Mute reports whether it has no power to give in any state, sets no timer by itself, and each of its changes is an event that is told all round.
func (s *Spec) Mute() bool { return s.mute }

// EverConducts reports whether a part of the kind conducts in some state.
func (s *Spec) EverConducts() bool { return s.conduct }

// EverAround reports whether it feeds all round in some state.
func (s *Spec) EverAround() bool { return s.around }

// EverFront reports whether it feeds its front in some state.
func (s *Spec) EverFront() bool { return s.front }

// Arg is the argument of the event that a part enters a state.
func (k *Spec) Arg(state uint8) int32 {
	if k.Active[state] {
		return int32(state) | ActiveState
	}
	return int32(state)
}

// HeardBy lists who may tell a part of the kind that stands there: cells; cords and a nudge if no cell may.
func (k *Spec) HeardBy() []Teller {
	var ts []Teller
	for _, by := range k.Tellers() {
		switch by {
		case ByItself, ByDue:
		case ByNudge, ByCord:
			if k.Hears == 0 {
				ts = append(ts, by)
			}
		default:
			ts = append(ts, by)
		}
	}
	return ts
}
