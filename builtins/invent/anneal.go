package invent

import (
	"context"
	"fmt"
	"math/bits"
	"math/rand/v2"
	"slices"

	"pulsewright/engine"
)

// Where a box is too large to go through, it is searched by tries. A try changes one cell after the other by lot and keeps what is no
// worse, at first also what is a little worse. Tries come in generations: every second one of a generation begins with nothing, the others
// grow from the best that earlier generations came to. All lots of a try are drawn from the seed and its number, so that who does
// it, and when, makes no difference.

const (
	generation = 4    // tries that begin alike
	lots       = 2000 // candidates of a try
	warmest    = 160  // how much worse is still kept at first
)

// nearest is what a try came to at best: the machine, and how far it is from doing the task. One that does it is the less, the fewer parts it has.
type nearest struct {
	Machine machine `json:"machine"`
	Energy  int     `json:"energy"`
	Does    bool    `json:"does"`
}

// nearer reports whether one is nearer to doing the task than another, or does it with less.
func (n *nearest) nearer(o *nearest) bool {
	if n.Does != o.Does {
		return n.Does
	}
	return n.Energy < o.Energy
}

// generations does all tries.
func (s *searching) generations(ctx context.Context) error {
	for from := 0; from < s.Tries; from += generation {
		to := min(from+generation, s.Tries)
		best := s.sum.Near
		news := func(found int64) string {
			switch {
			case best != nil && best.Does:
				return fmt.Sprintf("best so far: %d parts", best.Machine.In.parts())
			case found > 0:
				return "found"
			}
			return "none so far"
		}
		err := s.round(ctx, 0, from, to, fmt.Sprintf("search: tries %d to %d of %d", from+1, to, s.Tries), news, func(t []*trying, u int) *outcome {
			i, start := u%len(s.boxes), best
			if u%2 == 0 {
				start = nil
			} else if start != nil {
				i = start.Machine.Box
			}
			if t[i] == nil {
				t[i] = newTrying(s.boxes[i])
			}
			t[i].begin(0, u, i, func() bool { return ctx.Err() != nil })
			t[i].try(rand.New(rand.NewPCG(uint64(s.Seed), uint64(u))), start, s.Most)
			return t[i].end()
		})
		if s.last++; err != nil || s.stopped {
			return err
		}
	}
	return nil
}

func (a arrangement) parts() (n int) {
	for _, v := range a {
		if v > 0 {
			n++
		}
	}
	return n
}

// become puts on the draft what an arrangement has, in the order of the cells; what comes before the first cell that differs stays.
// If something cannot stand there it reports so, and what comes before it stands.
func (t *trying) become(a arrangement) bool {
	same := 0
	for same < len(a) && t.now[same] == a[same] {
		same++
	}
	for c := len(a) - 1; c >= same; c-- {
		if t.now[c] > 0 {
			t.draft.Back()
			t.now[c] = 0
			if t.cells[c] == t.task.out && !t.task.tells {
				t.out = 0
			}
		}
	}
	for c := same; c < len(a); c++ {
		if a[c] == 0 {
			continue
		}
		if !t.stands[c][a[c]-1] {
			return false
		}
		id, err := t.draft.Put(t.cells[c], t.options[a[c]-1])
		if err != nil {
			return false
		}
		t.now[c] = a[c]
		if t.cells[c] == t.task.out && !t.task.tells {
			t.out = id
		}
	}
	return true
}

// try is one try. It ends with nothing on the draft.
func (t *trying) try(r *rand.Rand, start *nearest, most int) {
	is, next := make(arrangement, len(t.cells)), make(arrangement, len(t.cells))
	warm, draws := warmest, t.lottery()
	if start != nil {
		copy(is, start.Machine.In)
		warm /= 4
	}
	known := map[string]bool{} // what was found, and whether it does it however it is laid
	energy := t.weigh(is, known)
	best := nearest{Machine: machine{Box: t.box, In: slices.Clone(is)}, Energy: energy, Does: known[string(is)]}
	for k := 0; k < lots && !t.over; k++ {
		copy(next, is)
		if !t.vary(r, draws, next, most) {
			continue
		}
		t.Run++
		worse := t.weigh(next, known)
		if worse > energy+warm*(lots-k)/lots*bits.LeadingZeros64(r.Uint64())/2 {
			continue
		}
		is, next, energy = next, is, worse
		if now := (nearest{Energy: energy, Does: known[string(is)]}); now.nearer(&best) {
			best.Energy, best.Does = now.Energy, now.Does
			copy(best.Machine.In, is)
		}
		t.over = k&255 == 0 && t.ended()
	}
	t.Near = &best
	t.Found = min(int64(len(t.Front)), 1) // a try finds something or does not
	t.become(make(arrangement, len(t.cells)))
}

// lottery is what a try draws from: which cells lie near another, and which options differ by how they face alone.
type lottery struct {
	near [][]int // by cell; the last of them by where pulses go in
	like [][]uint8
}

func (b *boxed) lottery() *lottery {
	l := &lottery{}
	for _, at := range append(slices.Clip(b.cells), b.into) {
		var near []int
		for c, other := range b.cells {
			if n := apartOf(at, other); n > 0 && n <= 2 {
				near = append(near, c)
			}
		}
		l.near = append(l.near, near)
	}
	for o, p := range b.options {
		if o > 0 {
			q := b.options[o-1]
			if q.Facing = p.Facing; samePart(p, q) {
				l.like[len(l.like)-1] = append(l.like[len(l.like)-1], uint8(o))
				continue
			}
		}
		l.like = append(l.like, []uint8{uint8(o)})
	}
	return l
}

// cell draws a cell: three times of four one near to what is there, or to where pulses go in.
func (l *lottery) cell(r *rand.Rand, a arrangement) int {
	if r.IntN(4) > 0 {
		from := r.IntN(a.parts() + 1)
		at := len(a)
		for c, v := range a {
			if v > 0 {
				if from == 0 {
					at = c
					break
				}
				from--
			}
		}
		if near := l.near[at]; len(near) > 0 {
			return near[r.IntN(len(near))]
		}
	}
	return r.IntN(len(a))
}

// vary changes an arrangement by lot: something is put into a cell, taken out of it, or moved to another.
func (t *trying) vary(r *rand.Rand, l *lottery, a arrangement, most int) bool {
	if n := a.parts(); r.IntN(3) == 0 && n > 0 {
		c := r.IntN(len(a))
		for a[c] == 0 {
			c = r.IntN(len(a))
		}
		v := a[c]
		if a[c] = 0; r.IntN(2) == 0 {
			a[l.cell(r, a)] = v
		}
		return true
	}
	c := l.cell(r, a)
	if a[c] == 0 && a.parts() >= most {
		return false
	}
	like := l.like[r.IntN(len(l.like))]
	o := t.same[c][like[r.IntN(len(like))]] + 1
	if a[c] == o {
		return false
	}
	a[c] = o
	return true
}

// Weights of what is wrong with an arrangement.
const (
	perPart   = 4
	unstable  = 4000 // it cannot stand
	oneWay    = 60   // it does it, but not however it is laid
	perFault  = 120  // of each number
	mostFault = 12   // of a number that does not come to an end
)

// weigh says how far an arrangement is from doing the task, and takes it down if it does it.
func (t *trying) weigh(a arrangement, known map[string]bool) int {
	energy := perPart * a.parts()
	if !t.become(a) {
		return energy + unstable
	}
	t.draft.Pose()
	faults := 0
	for k := range t.numbers {
		faults += t.faults(k)
	}
	if t.task.tells {
		for i, x := range t.acts {
			if slices.Contains(t.acts[:i], x) {
				faults += mostFault / 2
			}
		}
	}
	if faults > 0 {
		return energy + perFault*faults/len(t.numbers) + 1
	}
	does, was := known[string(a)]
	if !was {
		if does = t.does() == doesIt; does {
			t.takes()
		}
		known[string(a)] = does
	}
	if !does {
		energy += oneWay
	}
	return energy
}

// faults says how far what comes of a number is from what is wanted: 0 if it is that.
func (t *trying) faults(k int) (n int) {
	defer t.draft.Again()
	if !t.fire(k, 0) || t.settles(1, soonTurns) != doesIt {
		return mostFault
	}
	if !t.draft.Rested() {
		n = 4
	}
	s := t.watch()
	if t.task.tells {
		t.acts[k] = s.acts
		return n
	}
	if t.out == 0 {
		return n + 8 + t.away()
	}
	width := s.to.Step - s.from.Step
	switch w := t.wants[k]; {
	case w < 0:
		return n + min(2*s.edges, 8)
	case s.edges == 0:
		return n + 7 + t.away()
	case s.edges == 1:
		return n + 6
	case s.edges > 2:
		return n + 5
	case s.first == t.inverted, s.from.Tick != 1, s.to.Tick != 1:
		return n + 4
	default:
		n += min(max(w-width, width-w), 3)
	}
	if t.later >= 0 && s.from.Step != t.later {
		n += min(max(t.later-s.from.Step, s.from.Step-t.later), 2)
	}
	return n
}

// away is how far from where it should come out the nearest thing that happened is, in cells.
func (t *trying) away() int {
	b, least := t.draft.Bench(), apartOf(t.into, t.task.out)
	for id := 1; id <= b.EventCount(); id++ {
		if at, ok := b.CellOf(b.Event(engine.EventID(id)).ID); ok {
			least = min(least, apartOf(at, t.task.out))
		}
	}
	return least
}

// apartOf is how many cells lie from one to another, along the axes.
func apartOf(a, b engine.Cell) int {
	d := a.Sub(b)
	return int(max(d.X, -d.X) + max(d.Y, -d.Y) + max(d.Z, -d.Z))
}
