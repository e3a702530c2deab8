package invent

import (
	"slices"
	"strings"

	"pulsewright/builtins"
	"pulsewright/builtins/survey"
	"pulsewright/engine"
)

// The faults, as the report heads them.
var faultNames = []string{"removed", "stuck", "turned", "slower"}

// fault is one way to break one part.
type fault struct {
	piece int
	kind  string // one of faultNames
	way   string // more of it: which way it faces
	edit
	how   survey.Ending
	shows int // the number of the symptom, from 1; 0: it is borne
}

func (f *fault) name(x *inventing) string {
	return strings.TrimSpace(x.label(f.piece) + " " + f.kind + " " + f.way)
}

// faults lists all ways to break the machine, unless the context ends meanwhile.
func (x *inventing) faults() (all []fault) {
	for i := range x.layout.pieces {
		if x.Env.Stopped() != nil {
			return all
		}
		p := &x.layout.pieces[i]
		at := p.spot()
		add := func(kind, way string, e func(l *layout, p *piece)) {
			all = append(all, fault{piece: i, kind: kind, way: way, edit: func(l *layout) {
				if k := l.find(at); k >= 0 {
					e(l, &l.pieces[k])
				}
			}})
		}
		add("removed", "", func(_ *layout, p *piece) { p.gone = true })
		if body := stuckBody(p.Part, builtins.Text(builtins.StateValue(p.Kind, x.bench.State(p.was)))); body != nil {
			add("stuck", "", func(l *layout, p *piece) { l.stick(p, body) })
		} else if p.Kind == engine.Key {
			add("stuck", "", func(l *layout, p *piece) { l.stickKey(p) })
		}
		if p.shelf == 0 && faces(p.Part) {
			for d := engine.PosX; d <= engine.NegZ; d++ {
				if d != p.Facing {
					add("turned", "to "+d.String(), func(_ *layout, p *piece) { p.Facing = d })
				}
			}
		}
		if slow := slower(p.Part, x.Rules.Travel); slow != nil {
			add("slower", "", func(_ *layout, p *piece) { p.Part = *slow })
		}
	}
	return all
}

func faces(p engine.Part) bool {
	if p.Spec != nil {
		return p.Spec.Faces
	}
	return p.Kind.Trait().Faces
}

// slower is a part that takes a tick more for what it does; nil: what it does takes no ticks.
func slower(p engine.Part, travel int) *engine.Part {
	switch p.Kind {
	case engine.Delay, engine.Oneshot, engine.Gate, engine.Chute:
		p.Ticks++
	case engine.Bucket:
		p.Drop++
	case engine.Key:
		if p.Hold == 0 {
			return nil
		}
		p.Hold++
	case engine.Tray:
		if p.Keep == 0 {
			return nil
		}
		p.Keep++
	case engine.Shuttle:
		if p.Slug == engine.NoSlug && p.Grip == engine.NoGrip {
			return nil
		}
		if p.Travel == 0 {
			p.Travel = travel
		}
		p.Travel++
	case engine.Echo:
		if p.Pads != nil {
			return nil
		}
		p = engine.Part{Kind: engine.Told, Spec: slowEcho(), Facing: p.Facing, Name: p.Name, State: builtins.BoolInt(p.On)}
	case engine.Told:
		if p.Spec = slowKind(p.Spec); p.Spec == nil {
			return nil
		}
	default:
		return nil
	}
	return &p
}

// slowKind is a kind of one's own in which all that takes ticks takes one more; nil: nothing does.
func slowKind(s *engine.Spec) *engine.Spec {
	d, takes := s.SpecDef, false
	d.Name, d.When, d.Then = "slow "+d.Name, slices.Clone(d.When), slices.Clone(d.Then)
	for i := range d.States {
		for _, ticks := range []*int{&d.When[i], &d.Then[i]} {
			if *ticks > 0 {
				*ticks++
				takes = true
			}
		}
	}
	if !takes {
		return nil
	}
	return madeUp(d, func(l engine.Look) int { return s.Wants(l) })
}

// slowEcho is an echo that goes on two ticks after it hears.
func slowEcho() *engine.Spec {
	d := engine.SpecDef{Name: "slow echo", Letter: '?', Faces: true, States: []string{"off", "on"}, Says: []string{"off", "on"}, Hears: engine.BackCell, When: []int{1, 2}, Then: []int{0, 1},
		Feeds: []engine.Feeds{{}, {What: engine.FeedsFront}}, Conducts: make([]bool, 2), Active: []bool{false, true}}
	return madeUp(d, func(l engine.Look) int {
		switch {
		case l.State == 0:
			return 1
		case l.Told == engine.ByDue:
			return 0
		}
		return -1
	})
}

// madeUp is a kind that stands for a broken part.
func madeUp(d engine.SpecDef, wants func(engine.Look) int) *engine.Spec {
	s, err := engine.NewSpec(d, func(l engine.Look) (int, error) { return wants(l), nil })
	if err != nil {
		panic("invent: a broken part: " + err.Error())
	}
	builtins.NewOwnKind(s, nil, nil, "") // so that scripts can look at it
	return s
}

// stuckBody is what stands for a part that stays as it was posed for ever: it feeds what that fed, and neither hears nor tells. nil: the kind does
// nothing of itself, or it holds tokens. stands is what its state is called.
func stuckBody(p engine.Part, stands string) *engine.Spec {
	d := engine.SpecDef{Name: "stuck " + p.Kind.String(), Letter: '?', Faces: true, States: []string{stands, "never " + stands}, When: []int{engine.NextStep, engine.NextStep}, Then: make([]int, 2),
		Feeds: make([]engine.Feeds, 2), Conducts: make([]bool, 2), Tells: engine.TellsNone, Says: make([]string, 2), Active: make([]bool, 2)}
	feeds := func(on bool, f engine.Feeds) {
		d.Feeds[1] = f // a gate counts as an input what can feed it, whether it does or not
		if d.Active[0] = on; on {
			d.Feeds[0] = f
		}
	}
	switch p.Kind {
	case engine.Link, engine.Shuttle:
		d.Active[0] = p.Out
	case engine.Reed, engine.Lamp:
		d.Active[0] = p.On
	case engine.Delay, engine.Oneshot, engine.Echo, engine.Gate:
		feeds(p.On, engine.Feeds{What: engine.FeedsFront})
	case engine.Chute:
	case engine.Bucket, engine.Tray:
		if p.Tokens > 0 {
			return nil
		}
	case engine.Meter:
		feeds(p.Level > 0, engine.Feeds{What: engine.FeedsFront, Level: p.Level})
	case engine.Told:
		k := p.Spec
		d.Name, d.Faces = "stuck "+k.Name, k.Faces
		d.Conducts[0] = k.Conducts[p.State]
		for _, f := range k.Feeds {
			if f.What != engine.FeedsNothing {
				d.Feeds[1] = f
			}
		}
		d.Feeds[0], d.Active[0] = k.Feeds[p.State], k.Active[p.State]
	default:
		return nil
	}
	return madeUp(d, func(engine.Look) int { return -1 })
}

// stick puts a body into the place of a part, with the slug that it held.
func (l *layout) stick(p *piece, body *engine.Spec) {
	if p.Slug != engine.NoSlug && p.shelf == 0 {
		seat := p.cell.Add(p.Facing.Cell())
		if p.Out {
			seat = seat.Add(p.Facing.Cell())
		}
		l.slugs = append(l.slugs, looseSlug{seat, p.Slug})
	}
	for k := range l.cords { // what it hears and reads is all the same to it
		if &l.pieces[l.cords[k].to] == p {
			l.cords[k].gone = true
		}
	}
	p.Part = engine.Part{Kind: engine.Told, Spec: body, Facing: p.Facing, Name: p.Name}
}

// stickKey has a key do nothing, whatever presses it: it goes to the shelf, and where it stood a battery feeds if it was posed on.
func (l *layout) stickKey(p *piece) {
	key, behind, on := 0, 0, p.On
	for i := range l.pieces {
		if q := &l.pieces[i]; q == p {
			key = i
		} else {
			behind = max(behind, q.shelf)
		}
	}
	stands := piece{Part: engine.Part{Kind: engine.Battery}, cell: p.cell, shelf: p.shelf, gone: !on}
	p.shelf, p.On = behind+1, false
	l.pieces = append(l.pieces, stands)
	for k := range l.cords {
		if l.cords[k].from == key {
			l.cords[k].from = len(l.pieces) - 1
		}
	}
}
