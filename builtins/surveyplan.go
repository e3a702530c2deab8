package builtins

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"math/rand/v2"
	"slices"
	"sync"

	"pulsewright/engine"
)

// What a survey runs, and what follows from it without being run.
//
// Turned alike. Let g be one of the 48 ways to lay a frame on the lattice: 24 turns, and the mirror image of each. Every rule
// of the medium speaks of neighbours, fronts, backs, offsets of pads and the neighbour order; none but the fall of a token
// from a bucket names a direction of the world. So if the parts of one bench are those of another, each turned by g
// and placed in the same order, if the stimuli are the same, and if g turns the neighbour order of the one into that of the
// other, then whatever one does the other does, turned: their logs are equal, event for event. Hence orientation g
// under order o is the plain orientation under the order that g turns into o. A bucket drops towards -z of the world:
// with buckets that holds for orientations that agree about which way is down, so there are six to be run.
// That the design does build the same bench turned is not taken on trust: it is built in all 48 ways, all parts,
// cords and poses are compared, and up to 32 numbers are sent in each, under the order turned alike, whose logs and
// counters must be equal. An orientation that differs is run by itself.
//
// Orders that cannot be told apart. The neighbour order says in which order the neighbours of one cell are taken.
// Directions in which there is no part, no seat of a slug and no far pad lead to nothing that hears, conducts or feeds. So two orders
// that put those directions that do lead somewhere alike, at every cell, give the same log. The cells looked at are all
// cells that matter and all beside them, also after every number has been sent; whatever cell a stimulus forces is one of these, or has no neighbours.

// surveyPlan is what is to be run; it is the same in every process that makes it from the same design.
type surveyPlan struct {
	Format   string       `json:"format"`
	Design   string       `json:"design"`
	Version  string       `json:"version,omitempty"`
	Author   string       `json:"author,omitempty"`
	Numbers  []string     `json:"numbers"`
	Base     Setting      `json:"base"`
	Settings []Setting    `json:"settings"`
	Poses    []surveyPose `json:"poses"`            // those that are run
	Sample   int          `json:"sample,omitempty"` // cases drawn by lot for each setting; 0: all are run
	Drawn    [][]int      `json:"drawn,omitempty"`  // for each setting: the unit of each case drawn
	Seed     int64        `json:"seed"`
	Down     bool         `json:"down"`           // the design has buckets
	Preamble string       `json:"preamble"`       // a script that defines build, send and read; "" if there is none
	Why      string       `json:"why"`            // why there is none
	Size     int          `json:"size"`           // of a design that comes in sizes
	Code     string       `json:"code,omitempty"` // a sum of the text of all that the design reaches; of portions only
	Check    string       `json:"check"`          // of all of this
}

// surveyPose is one orientation and the orders that are run in it.
type surveyPose struct {
	X, Y   engine.Dir
	Mirror bool
	Like   int           // orientations for which it stands, itself too
	Orders []surveyOrder // none stands for another
	Told   []int         // sets of directions, as bits, that lead somewhere at one cell: only orders within these matter
}

type surveyOrder struct {
	Order [6]engine.Dir
	Like  int // orders for which it stands
}

// allPoses are the 48 orientations, the plain one first.
var allPoses = sync.OnceValue(func() (ps []surveyPose) {
	for _, mirror := range []bool{false, true} {
		for x := engine.PosX; x <= engine.NegZ; x++ {
			for y := engine.PosX; y <= engine.NegZ; y++ {
				if x/2 != y/2 {
					ps = append(ps, surveyPose{X: x, Y: y, Mirror: mirror, Like: 1})
				}
			}
		}
	}
	plain := slices.IndexFunc(ps, func(p surveyPose) bool { return p.X == engine.PosX && p.Y == engine.PosY && !p.Mirror })
	ps[0], ps[plain] = ps[plain], ps[0]
	return ps
})

// allOrders are the 720 neighbour orders, the usual one first, then by how they differ from it.
var allOrders = sync.OnceValue(func() (orders [][6]engine.Dir) {
	var grow func(o []engine.Dir)
	grow = func(o []engine.Dir) {
		if len(o) == 6 {
			orders = append(orders, [6]engine.Dir(o))
			return
		}
		for d := engine.PosX; d <= engine.NegZ; d++ {
			if !slices.Contains(o, d) {
				grow(append(slices.Clone(o), d))
			}
		}
	}
	grow(nil)
	usual := orders[0]
	slices.SortStableFunc(orders, func(a, b [6]engine.Dir) int { return swaps(a, usual) - swaps(b, usual) })
	return orders
})

// swaps is how many pairs two orders put differently.
func swaps(a, b [6]engine.Dir) int { return len(swapped(a, b)) }

// swapped are the pairs that a puts as they are written and b the other way.
func swapped(a, b [6]engine.Dir) (pairs [][2]engine.Dir) {
	for i := range a {
		for j := i + 1; j < len(a); j++ {
			if slices.Index(b[:], a[i]) > slices.Index(b[:], a[j]) {
				pairs = append(pairs, [2]engine.Dir{a[i], a[j]})
			}
		}
	}
	return pairs
}

// plan finds out what has to be run.
func (w *surveying) plan(settings []Setting, most int64, preamble script) error {
	base := w.base
	p := &surveyPlan{Format: surveyFormat, Design: w.m.name, Version: w.m.version, Author: w.m.author, Base: base,
		Settings: settings, Seed: w.env.Seed, Preamble: preamble.text, Why: preamble.why}
	if w.m.sized {
		p.Size = w.size
	}
	for _, n := range w.numbers {
		text, err := literal(n)
		if err != nil {
			text = n.String()
		}
		p.Numbers = append(p.Numbers, text)
	}
	w.Plan = p
	r := w.runner(0)
	var plain []*likeness
	for _, pose := range allPoses() {
		s := base
		s.X, s.Y, s.Mirror = pose.X, pose.Y, pose.Mirror
		var like *likeness
		found := false
		for k, o := range plain {
			if !found && w.alike(o.setting, s, p.Down) {
				if like == nil || like.turned != turnedFrom(o.setting, s) {
					var err error
					if like, err = w.likeness(r, s, turnedFrom(o.setting, s)); err != nil {
						like = nil
						break
					}
				}
				if like.same(o) {
					p.Poses[k].Like++
					found = true
				}
			}
		}
		if found {
			continue
		}
		like, err := w.likeness(r, s, [6]engine.Dir{0, 1, 2, 3, 4, 5})
		if err != nil {
			if w.env.stopped() != nil || len(plain) == 0 {
				return err
			}
			// It cannot be built this way: a case of its own, which will fail.
			p.Poses = append(p.Poses, pose)
			p.Poses[len(p.Poses)-1].Orders = []surveyOrder{{base.Rules.Order, len(allOrders())}}
			plain = append(plain, &likeness{setting: s})
			continue
		}
		p.Down = p.Down || like.down
		pose.Orders = like.orders(base.Rules.Order)
		for _, m := range like.masks {
			pose.Told = append(pose.Told, int(m))
		}
		p.Poses = append(p.Poses, pose)
		plain = append(plain, like)
	}
	perSetting := 0
	for _, pose := range p.Poses {
		perSetting += len(pose.Orders)
	}
	runs := int64(perSetting) * int64(len(settings)) * int64(len(w.numbers))
	if runs > most {
		p.Sample = max(int(most/int64(len(settings)*len(w.numbers))), 1)
		p.draw()
	}
	p.Check = p.check()
	return nil
}

// alike reports whether two orientations could be alike: with buckets they must agree about which way is down.
func (w *surveying) alike(a, b Setting, down bool) bool {
	return !down || downOf(a) == downOf(b)
}

func downOf(s Setting) engine.Cell { return s.frame().local(engine.NegZ.Cell()) }

// turnedFrom tells where the turn that leads from one orientation to another takes each direction.
func turnedFrom(from, to Setting) (t [6]engine.Dir) {
	for d := engine.PosX; d <= engine.NegZ; d++ {
		in, _ := engine.DirOf(from.frame().local(d.Cell()))
		t[d] = to.frame().Dir(in)
	}
	return t
}

// perPose is how many orders are run in the poses before pose k of a setting, and in all for k = len(p.Poses).
func (p *surveyPlan) before(k int) int {
	n := 0
	for _, pose := range p.Poses[:k] {
		n += len(pose.Orders)
	}
	return n
}

// all is how many units there are: one for every setting, orientation that is run, and order that is run in it.
func (p *surveyPlan) all() int { return len(p.Settings) * p.before(len(p.Poses)) }

// where takes a unit apart.
func (p *surveyPlan) where(u int) (setting, pose, order int) {
	per := p.before(len(p.Poses))
	setting, u = u/per, u%per
	for u >= len(p.Poses[pose].Orders) {
		u -= len(p.Poses[pose].Orders)
		pose++
	}
	return setting, pose, u
}

func (p *surveyPlan) setting(u int) Setting {
	k, i, o := p.where(u)
	s, pose := p.Settings[k], p.Poses[i]
	s.X, s.Y, s.Mirror, s.Rules.Order = pose.X, pose.Y, pose.Mirror, pose.Orders[o].Order
	return s
}

// like is for how many orientations and orders a unit stands.
func (p *surveyPlan) like(u int) int {
	_, i, o := p.where(u)
	return p.Poses[i].Like * p.Poses[i].Orders[o].Like
}

// tells reports whether there is a cell in that orientation at which it matters which of two directions comes first.
func (p *surveyPose) tells(a, b engine.Dir) bool {
	return slices.ContainsFunc(p.Told, func(m int) bool { return m>>a&m>>b&1 != 0 })
}

// draw chooses cases by lot: orientation and order, each of the 34560 as likely as the others, with replacement.
func (p *surveyPlan) draw() {
	per := p.before(len(p.Poses))
	rng := rand.New(rand.NewPCG(uint64(p.Seed), 0x5375727665790a))
	for k := range p.Settings {
		var drawn []int
		for range p.Sample {
			x := rng.IntN(48 * 720)
			for u := k * per; ; u++ {
				if x -= p.like(u); x < 0 {
					drawn = append(drawn, u)
					break
				}
			}
		}
		p.Drawn = append(p.Drawn, drawn)
	}
}

// units are those a portion has to do, ascending.
func (w *surveying) units(sh Portion) (units []int) {
	var all []int
	if w.Plan.Sample == 0 {
		for u := range w.Plan.all() {
			all = append(all, u)
		}
	} else {
		all = w.Plan.needed()
	}
	for i, u := range all {
		if i%sh.Count == sh.Index-1 {
			units = append(units, u)
		}
	}
	return units
}

// needed are the units a drawn survey runs: one drawn twice is run once.
func (p *surveyPlan) needed() []int {
	all := slices.Concat(p.Drawn...)
	slices.Sort(all)
	return slices.Compact(all)
}

// likeness is what is compared of a design in two orientations.
type likeness struct {
	setting Setting
	turned  [6]engine.Dir // how this orientation comes about from the other
	parts   []string
	runs    []string
	down    bool
	masks   []uint8 // directions that lead somewhere, of every cell that matters
}

// likeness builds the design in an orientation, under the order turned alike, and sends up to 32 numbers.
func (w *surveying) likeness(r *runner, s Setting, turned [6]engine.Dir) (*likeness, error) {
	for i, d := range w.Plan.Base.Rules.Order {
		s.Rules.Order[i] = turned[d]
	}
	t, err := r.rigged(w.m, s, w.size)
	if err != nil {
		return nil, fmt.Errorf("build: %w", err)
	}
	l := &likeness{setting: s, turned: turned}
	f := s.frame()
	b := t.bench
	for id := range b.Parts() {
		th := b.Thing(id)
		st := b.State(id)
		l.down = l.down || th.Kind == engine.Bucket
		pads := b.PadCells(id)
		for i, c := range pads {
			pads[i] = f.local(c)
		}
		if th.Pads == nil {
			slices.SortFunc(pads, func(a, b engine.Cell) int { return slices.Compare([]int32{a.X, a.Y, a.Z}, []int32{b.X, b.Y, b.Z}) })
		}
		cell := f.local(th.Cell)
		if th.Shelf {
			cell = engine.Cell{}
		}
		facing, _ := engine.DirOf(f.local(f.at.Add(th.Facing.Cell())))
		th.Pads, th.Facing, th.Far, th.Cell, th.Name = nil, 0, 0, engine.Cell{}, ""
		if th.Kind == engine.Wire || th.Kind == engine.Battery || th.Kind == engine.Jack || th.Kind == engine.Lamp || th.Kind == engine.Key || th.Kind == engine.Tray {
			facing = 0
		}
		l.parts = append(l.parts, fmt.Sprint(cell, facing, pads, th, st))
	}
	l.parts = append(l.parts, fmt.Sprint(b.Cords(), b.Rules().Reach, b.Rules().Run, b.Recording()))
	for k := range min(len(w.numbers), 32) {
		n := w.numbers[k*len(w.numbers)/min(len(w.numbers), 32)]
		got, fault, err := t.once(0, n)
		if err != nil {
			return nil, err
		}
		events := make([]engine.Event, 0, b.EventCount())
		for _, e := range b.Events(1) {
			events = append(events, e)
		}
		word := fault
		if fault == "" {
			word = show(got)
		}
		h := sha256.Sum256(fmt.Append(nil, events))
		l.runs = append(l.runs, fmt.Sprint(word, b.Counters(), b.Now(), hex.EncodeToString(h[:8])))
		l.look(b)
	}
	return l, nil
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
	seen := map[uint8]bool{}
	for _, m := range l.masks {
		seen[m] = true
	}
	look := func(c engine.Cell) {
		mask := uint8(0)
		for d := engine.PosX; d <= engine.NegZ; d++ {
			if matters[c.Add(d.Cell())] {
				mask |= 1 << d
			}
		}
		seen[mask] = true
	}
	for c := range matters {
		look(c)
		for d := engine.PosX; d <= engine.NegZ; d++ {
			look(c.Add(d.Cell()))
		}
	}
	l.masks = l.masks[:0]
	for m := range seen {
		l.masks = append(l.masks, m)
	}
	slices.Sort(l.masks)
}

func (l *likeness) same(o *likeness) bool {
	return slices.Equal(l.parts, o.parts) && slices.Equal(l.runs, o.runs)
}

// orders are the neighbour orders to be run in this orientation: those that some cell can tell apart.
func (l *likeness) orders(usual [6]engine.Dir) (os []surveyOrder) {
	at := map[string]int{}
	all := slices.Clone(allOrders())
	slices.SortStableFunc(all, func(a, b [6]engine.Dir) int { return swaps(a, usual) - swaps(b, usual) })
	for _, o := range all {
		var key []byte
		for _, m := range l.masks {
			for _, d := range o {
				if m>>d&1 != 0 {
					key = append(key, byte(d))
				}
			}
			key = append(key, 9)
		}
		if i, ok := at[string(key)]; ok {
			os[i].Like++
			continue
		}
		at[string(key)] = len(os)
		os = append(os, surveyOrder{o, 1})
	}
	return os
}
