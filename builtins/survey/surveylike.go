package survey

import (
	"cmp"
	"fmt"
	"reflect"
	"slices"

	"pulsewright/builtins"
	"pulsewright/builtins/hold"
	"pulsewright/builtins/observe"
	"pulsewright/builtins/trial"
	"pulsewright/engine"

	"go.starlark.net/starlark"
)

// What follows in a survey from a run without being run.
//
// Turned alike. Let g be one of the 48 ways to lay a frame on the lattice: 24 rotations, and the mirror image of each. Every rule
// of the medium speaks of neighbours, fronts, backs, offsets of pads and the neighbour order; none but the fall of a token
// from a bucket names a direction of the world. So if the parts of one bench are those of another, each turned by g
// and placed in the same order, if the stimuli are the same, and if g turns the neighbour order of the one into that of the
// other, then whatever one does the other does, turned: their logs are equal, event for event. Hence orientation g
// under order o is the plain orientation under the order that g turns into o. A bucket drops towards -z of the world:
// with buckets that holds for orientations that agree about which way is down, so there are six to be run.
// That the design does build the same bench turned is not taken on trust: it is built in all 48 ways, and all parts, cords, poses
// and what build gives are compared; and all that a case sends is sent in each, under the order turned alike: logs, counters and
// readings must be equal. An orientation that differs is run by itself. So is every one if send or read asks where something lies.
//
// Orders that cannot be told apart. The neighbour order says in which order the neighbours of one cell are taken.
// Directions in which there is no part, no seat of a slug and no far pad lead to nothing that hears, conducts or feeds. So two orders
// that put those directions that do lead somewhere alike, at every cell, give the same log. The cells looked at are all
// cells that matter and all beside them, also after every sending; whatever cell a stimulus forces is one of these, or has no
// neighbours. If one of the functions asks for the order, no order stands for another, and no orientation either.
//
// What cannot be traced is arithmetic with cells that build put into the rig. So some tens of the cases that are not run are
// run all the same, and compared with those that stand for them (surveyguard.go).

func downOf(s trial.Setting) engine.Cell { return s.Frame().Local(engine.NegZ.Cell()) }

// turnedFrom tells where the turn that leads from one orientation to another takes each direction.
func turnedFrom(from, to trial.Setting) (t [6]engine.Dir) {
	for d := engine.PosX; d <= engine.NegZ; d++ {
		in, _ := engine.DirOf(from.Frame().Local(d.Cell()))
		t[d] = to.Frame().Dir(in)
	}
	return t
}

// asTold is no turn.
var asTold = [6]engine.Dir{0, 1, 2, 3, 4, 5}

// layout finds out what has to be run of a machine under a setting.
func (w *Survey) layout(f surveyForm, base trial.Setting) (l surveyLayout, err error) {
	poses := allPoses()
	at := func(i int) trial.Setting {
		s := base
		s.X, s.Y, s.Mirror = poses[i].X, poses[i].Y, poses[i].Mirror
		return s
	}
	var kept []*likeness
	run := func(i int, like *likeness) {
		l = append(l, w.pose(i, like, base.Rules.Order))
		if like == nil {
			like = &likeness{setting: at(i)}
		}
		kept = append(kept, like)
	}
	plain, err := w.plain(f, at(0))
	if err != nil {
		return nil, err
	}
	run(0, plain)
	// Nearly always all follow the plain one.
	follows := make([]bool, len(poses))
	if w.asked&builtins.AskedPlace == 0 {
		asks := make([]builtins.Asked, len(poses))
		err = w.Each("", len(poses), func(r *trial.Runner, i int) error {
			if s := at(i); i > 0 && (!plain.down || downOf(s) == downOf(plain.setting)) {
				if like, err := w.likeness(r, f, s, turnedFrom(plain.setting, s)); err == nil {
					follows[i], asks[i] = like.same(plain), like.asked
				} else if w.Env.Stopped() != nil {
					return err
				}
			}
			return nil
		}, nil)
		if err != nil {
			return nil, err
		}
		for _, a := range asks {
			w.asked |= a
		}
	}
	for i := 1; i < len(poses); i++ {
		if follows[i] {
			l[0].Stands = append(l[0].Stands, i)
			continue
		}
		s, found := at(i), false
		for k := 1; k < len(kept) && w.asked&builtins.AskedPlace == 0 && !found; k++ {
			o := kept[k]
			if o.rig == nil || o.down && downOf(o.setting) != downOf(s) {
				continue
			}
			like, err := w.likeness(w.Runner(0), f, s, turnedFrom(o.setting, s))
			if err != nil {
				break
			}
			if found = like.same(o); found {
				l[k].Stands = append(l[k].Stands, i)
			}
		}
		if found {
			continue
		}
		like, err := w.likeness(w.Runner(0), f, s, asTold)
		if w.Env.Stopped() != nil {
			return nil, err
		}
		if err != nil {
			like = nil
		}
		run(i, like)
	}
	return l, nil
}

// pose is an orientation that is run; without a likeness it cannot be built.
func (w *Survey) pose(i int, like *likeness, usual [6]engine.Dir) surveyPose {
	pose := allPoses()[i]
	pose.Stands = []int{i}
	switch {
	case like == nil: // a case of its own, which will fail
		pose.Orders = []surveyOrder{{usual, len(allOrders())}}
	case w.Plan.Compared > 0 && i > 0: // cells may come to matter after what was compared
		pose.Told = []int{63}
	default:
		pose.Orders, pose.Told = like.orders(usual), like.masks
	}
	w.Plan.Down = w.Plan.Down || like != nil && like.down
	return pose
}

// plain is the likeness that the others are held against. Where it runs away, only the beginning of that is compared from now on.
func (w *Survey) plain(f surveyForm, s trial.Setting) (*likeness, error) {
	l, err := w.likeness(w.Runner(0), f, s, asTold)
	if err != nil || w.Plan.Compared > 0 || !l.stopped || l.turns <= comparedTurns {
		return l, err
	}
	w.Plan.Compared = comparedTurns
	masks := l.masks
	if l, err = w.likeness(w.Runner(0), f, s, asTold); err == nil {
		l.masks = masks
	}
	return l, err
}

// likeness is what is compared of a design in two orientations.
type likeness struct {
	setting trial.Setting
	rig     starlark.Value
	parts   []partSeen
	others  string // cords and rules
	ran     string
	stopped bool  // the case did not come to rest
	turns   int64 // it took
	asked   builtins.Asked
	down    bool
	masks   []int // directions that lead somewhere, of every cell that matters
}

// partSeen is a part as seen in the frame of its machine.
type partSeen struct {
	cell   engine.Cell
	facing engine.Dir
	pads   []engine.Cell
	name   string
	thing  engine.Thing // and what else is known of it
	state  engine.State
}

// likeness builds a machine in an orientation, under the order turned alike, and sends all that a case sends.
func (w *Survey) likeness(r *trial.Runner, form surveyForm, s trial.Setting, turned [6]engine.Dir) (*likeness, error) {
	for i, d := range s.Rules.Order {
		s.Rules.Order[i] = turned[d]
	}
	t, err := r.Rigged(form.m, s, form.size)
	if err != nil {
		return nil, fmt.Errorf("build: %w", err)
	}
	l := &likeness{setting: s}
	l.describe(t.Bench, s.Frame())
	if turned == asTold {
		l.look(t.Bench)
	}
	t.Told = 0
	var o outcome
	if l.ran, o, err = w.ran(t); err != nil {
		return nil, err
	}
	l.stopped, l.turns = o.kind == stopped, t.Bench.Turns()
	if turned == asTold {
		l.look(t.Bench)
		w.asked |= t.Asked | t.Told
		if w.word == "" {
			w.word = t.Word
		}
	}
	l.rig, l.asked = t.Rig, t.Asked|t.Told
	return l, nil
}

// ran is what a whole case does, in so few words that two that are equal are the same, event for event.
func (w *Survey) ran(t *trial.Rigged) (ran string, o outcome, err error) {
	if o, err = w.sequence(t, w.Plan.Sendings, true); err != nil {
		return "", o, err
	}
	got := o.got
	if o.kind != wrongly && o.kind != unmoved {
		got = "" // errors speak of cells
	}
	b := t.Bench
	h := uint64(14695981039346656037)
	mix := func(x uint64) { h = (h ^ x) * 1099511628211; h ^= h >> 29 }
	for _, e := range b.Events(1) {
		mix(uint64(e.Tick))
		mix(uint64(e.Step)<<32 | uint64(uint32(e.Turn)))
		mix(uint64(e.ID)<<32 | uint64(e.Cause))
		mix(uint64(uint32(e.Arg))<<8 | uint64(e.What))
	}
	return fmt.Sprint(o.kind, o.at, o.unsure, got, b.EventCount(), h, b.Counters(), b.Now()), o, nil
}

// describe writes down all that build placed, as seen in the frame.
func (l *likeness) describe(b *engine.Bench, f *builtins.Frame) {
	for id := range b.Parts() {
		th := b.Thing(id)
		st := b.State(id)
		l.down = l.down || th.Kind.Trait().Down
		pads := b.PadCells(id)
		for i, c := range pads {
			pads[i] = f.Local(c)
		}
		if th.Pads == nil {
			slices.SortFunc(pads, func(a, b engine.Cell) int {
				return cmp.Or(cmp.Compare(a.X, b.X), cmp.Compare(a.Y, b.Y), cmp.Compare(a.Z, b.Z))
			})
		}
		cell := f.Local(th.Cell)
		if th.Shelf {
			cell = engine.Cell{}
		}
		facing, _ := engine.DirOf(f.Local(f.At.Add(th.Facing.Cell())))
		name := th.Name
		th.Pads, th.Facing, th.Far, th.Cell, th.Name = nil, 0, 0, engine.Cell{}, ""
		if !th.Kind.Trait().Faces || th.Shelf {
			facing = 0
		}
		l.parts = append(l.parts, partSeen{cell, facing, pads, name, th, st})
	}
	l.others = fmt.Sprint(b.Cords(), b.Rules().Reach, b.Rules().Run, b.Recording())
}

// look notes which directions lead somewhere, at every cell that matters and all beside them.
func (l *likeness) look(b *engine.Bench) {
	matters := map[engine.Cell]bool{}
	for id := range b.Parts() {
		if c, on := b.CellOf(id); on {
			matters[c] = true
		}
	}
	for id := range b.BareCells() {
		if c, on := b.CellOf(id); on {
			matters[c] = true
		}
	}
	look := func(c engine.Cell) {
		mask := 0
		for d := engine.PosX; d <= engine.NegZ; d++ {
			if matters[c.Add(d.Cell())] {
				mask |= 1 << d
			}
		}
		if !slices.Contains(l.masks, mask) {
			l.masks = append(l.masks, mask)
		}
	}
	for c := range matters {
		look(c)
		for d := engine.PosX; d <= engine.NegZ; d++ {
			look(c.Add(d.Cell()))
		}
	}
	slices.Sort(l.masks)
}

func (l *likeness) same(o *likeness) bool {
	return l.ran == o.ran && l.others == o.others && reflect.DeepEqual(l.parts, o.parts) && sameRig(l.rig, o.rig, l.setting.Frame(), o.setting.Frame(), 0)
}

// orders are the neighbour orders to be run in this orientation: those that some cell can tell apart.
func (l *likeness) orders(usual [6]engine.Dir) (os []surveyOrder) {
	at := map[string]int{}
	all := slices.Clone(allOrders())
	slices.SortStableFunc(all, func(a, b [6]engine.Dir) int { return swaps(a, usual) - swaps(b, usual) })
	for _, o := range all {
		key := orderKey(o, l.masks)
		if i, ok := at[key]; ok {
			os[i].Like++
			continue
		}
		at[key] = len(os)
		os = append(os, surveyOrder{o, 1})
	}
	return os
}

// sameRig reports whether two rigs are the same but for how their frames lie: cells may be turned.
func sameRig(a, b starlark.Value, f, g *builtins.Frame, depth int) bool {
	if depth > 20 || a == nil || b == nil || a.Type() != b.Type() {
		return false
	}
	same := func(x, y starlark.Value) bool { return sameRig(x, y, f, g, depth+1) }
	switch x := a.(type) {
	case builtins.Part:
		return x.ID == b.(builtins.Part).ID
	case *builtins.Row:
		return x.Same(b.(*builtins.Row))
	case *observe.Probe:
		y := b.(*observe.Probe)
		return x.GivenName() == y.GivenName() && x.Target().ID == y.Target().ID && (x.Target().ID != 0 || f.Local(x.Target().Cell) == g.Local(y.Target().Cell))
	case *trial.Chained:
		y := b.(*trial.Chained)
		return same(x.Out, y.Out) && x.Input.ID == y.Input.ID && (x.Input.ID != 0 || f.Local(x.Input.Cell) == g.Local(y.Input.Cell))
	case *builtins.Frame:
		y := b.(*builtins.Frame)
		return f.Local(x.At) == g.Local(y.At) && x.Name == y.Name
	case builtins.Rules, builtins.Instant, *trial.Design:
		return true // rules are traced; the rest is the same anywhere
	case starlark.Tuple:
		y := b.(starlark.Tuple)
		if p, ok := builtins.AsCell(x); ok {
			if q, both := builtins.AsCell(y); both && f.Local(p) == g.Local(q) {
				return true
			}
		}
	case *starlark.Function:
		if x.Position() != b.(*starlark.Function).Position() {
			return false
		}
	case *starlark.Builtin:
		if x.Name() != b.(*starlark.Builtin).Name() {
			return false
		}
	}
	if hold.Holding(a) {
		held := func(of starlark.Value) []hold.Held {
			return slices.DeleteFunc(slices.Collect(hold.Holds(of)), func(h hold.Held) bool { return h.Way == hold.Usual || hold.Same(h.Value, of) })
		}
		return slices.EqualFunc(held(a), held(b), func(p, q hold.Held) bool { return p.Way == q.Way && p.Name == q.Name && same(p.Value, q.Value) })
	}
	if x, ok := a.(starlark.Iterable); ok {
		return slices.EqualFunc(slices.Collect(starlark.Elements(x)), slices.Collect(starlark.Elements(b.(starlark.Iterable))), same)
	}
	equal, err := starlark.Equal(a, b)
	return err == nil && equal
}
