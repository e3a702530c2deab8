package engine

import (
	"fmt"
	"slices"
)

func inRange(what string, v, least, most int) error {
	if v < least || v > most {
		return fmt.Errorf("%s is %d, want %d to %d", what, v, least, most)
	}
	return nil
}

// prepare checks what Place and Shelve are given and fills in the defaults.
func (p *Part) prepare() error {
	if p.Kind == Bare || int(p.Kind) >= KindCount {
		return fmt.Errorf("unknown kind of part %d", p.Kind)
	}
	if p.Facing > NegZ || p.Far > NegZ {
		return fmt.Errorf("unknown direction; want one of +x -x +y -y +z -z")
	}
	if p.Kind == Told && p.Spec == nil || p.Kind != Told && p.Spec != nil {
		return fmt.Errorf("a kind of one's own comes with what it is, others do not")
	}
	if err := p.preparePads(); err != nil {
		return err
	}
	return p.prepareNumbers()
}

// preparePads checks the pads and the far pad, if any are given.
func (p *Part) preparePads() error {
	t := &traits[p.Kind]
	if (p.Pads != nil || p.FarSet) && !t.Given {
		return fmt.Errorf("a %v reads no pads", p.Kind)
	}
	if p.FarSet {
		if t.Far == NoFar {
			return fmt.Errorf("a %v has no far pad; its own pads can be given", p.Kind)
		}
		if p.Pads != nil {
			return fmt.Errorf("pads and a far pad exclude each other")
		}
	}
	for i, c := range p.Pads {
		if c == (Cell{}) {
			return fmt.Errorf("a part cannot be its own pad")
		}
		if !c.Inside() {
			return errOutside(c)
		}
		if slices.Contains(p.Pads[:i], c) {
			return fmt.Errorf("pad %v is given twice", c)
		}
	}
	return nil
}

// prepareNumbers checks ticks, tokens and all else that is peculiar to the kind.
func (p *Part) prepareNumbers() error {
	def := func(v *int, d int) {
		if *v == 0 {
			*v = d
		}
	}
	if t := &traits[p.Kind]; t.Timed {
		def(&p.Ticks, t.Usual)
		if err := inRange("ticks", p.Ticks, min(t.Usual, 1), MaxTicks); err != nil {
			return err
		}
	}
	switch p.Kind {
	case Key:
		return inRange("hold", p.Hold, 0, MaxTicks)
	case Delay:
		if p.Mode > Inertial {
			return fmt.Errorf("unknown mode of a delay")
		}
		if p.Reject != 0 && p.Mode != Inertial {
			return fmt.Errorf("reject belongs to an inertial delay; this one is %v", p.Mode)
		}
		if p.Mode == Inertial {
			def(&p.Reject, p.Ticks)
			return inRange("reject", p.Reject, 1, p.Ticks)
		}
	case Gate:
		if p.Op > Latch {
			return fmt.Errorf("unknown op of a gate")
		}
	case Bucket:
		def(&p.Drop, 1)
		if err := inRange("drop", p.Drop, 1, MaxTicks); err != nil {
			return err
		}
		return inRange("tokens", p.Tokens, 0, 1)
	case Tray:
		def(&p.Room, 1)
		if err := inRange("room", p.Room, 1, MaxTicks); err != nil {
			return err
		}
		if err := inRange("keep", p.Keep, 0, MaxTicks); err != nil {
			return err
		}
		return inRange("tokens", p.Tokens, 0, p.Room)
	case Told:
		if !p.Spec.Faces && p.Facing != PosX {
			return fmt.Errorf("a %s has no facing", p.Spec.Name)
		}
		return inRange("state", p.State, 0, len(p.Spec.States)-1)
	case Meter:
		return inRange("level", p.Level, 0, MaxReach)
	case Shuttle:
		if p.Slug > Bridge {
			return fmt.Errorf("unknown slug")
		}
		if p.Grip > PushBack {
			return fmt.Errorf("unknown grip")
		}
		if p.Grip != NoGrip && p.Slug != NoSlug {
			return fmt.Errorf("a shuttle with a grip moves loose slugs and has none of its own; leave its %v out, or its grip", p.Slug)
		}
		if p.LetGo && p.Grip == NoGrip {
			return fmt.Errorf("only a shuttle with a grip can let go of its slug")
		}
		return inRange("travel", p.Travel, 0, MaxTravel)
	}
	return nil
}
