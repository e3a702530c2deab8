package calibrate

import (
	"fmt"

	"pulsewright/builtins"
	"pulsewright/builtins/picture"
	"pulsewright/engine"
)

// apart is how many empty cells lie between two rigs: no part of one hears or reads what the other holds.
const apart = 3

// box is all cells in which anything of the rig may be or be read: parts, seats, and the cells two away from each.
func (r *Rig) box() (lo, hi engine.Cell) {
	lo, hi = r.parts[0].at, r.parts[0].at
	take := func(c engine.Cell) {
		lo = engine.Cell{X: min(lo.X, c.X), Y: min(lo.Y, c.Y), Z: min(lo.Z, c.Z)}
		hi = engine.Cell{X: max(hi.X, c.X), Y: max(hi.Y, c.Y), Z: max(hi.Z, c.Z)}
	}
	for _, p := range r.parts {
		take(p.at)
		if p.Kind == engine.Shuttle {
			d := p.Facing.Cell()
			take(p.at.Add(d).Add(d))
		}
		if p.Kind.Trait().Far == engine.FarBack {
			d := p.Facing.Opposite().Cell()
			take(p.at.Add(d).Add(d))
		}
	}
	return lo, hi
}

// places are where each rig of an experiment has its (0, 0, 0): side by side along +x.
func (x *experiment) places() (all []engine.Cell) {
	at := int32(0)
	for _, r := range x.rigs {
		lo, hi := r.box()
		if len(x.rigs) == 1 { // under mixed orders it must stand where its table has it
			at = lo.X
		}
		all = append(all, x.at.Add(engine.Cell{X: at - lo.X}))
		at += hi.X - lo.X + 1 + apart
	}
	return all
}

// lay places the rigs of an experiment on a bench, r1, r2 and so on, and gives the parts of each.
func (x *experiment) lay(b *engine.Bench) ([][]engine.ID, error) {
	var all [][]engine.ID
	for i, at := range x.places() {
		ids, err := x.rigs[i].place(b, at, fmt.Sprintf("r%d", i+1))
		if err != nil {
			return nil, err
		}
		all = append(all, ids)
	}
	return all, nil
}

// drawing is the map of an experiment.
func (x *experiment) drawing(e *builtins.Env) string {
	b := engine.New(engine.DefaultRules())
	if _, err := x.lay(b); err != nil {
		return err.Error()
	}
	env := *e
	env.Bench = b
	text, err := picture.MapText(&env)
	if err != nil {
		return err.Error()
	}
	return text
}

// shows runs the whole experiment in a world and gives what each rig shows at its place: under mixed orders another one may show something else.
func (x *experiment) shows(rules engine.Rules, own map[*family]*engine.Spec) (shown []string, err error) {
	for i, at := range x.places() {
		o, err := x.rigs[i].told(own[x.rigs[i].kin]).outcome(rules, at)
		if err != nil {
			return nil, err
		}
		shown = append(shown, o)
	}
	return shown, nil
}
