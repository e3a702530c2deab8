package survey

import (
	"pulsewright/builtins"
	"pulsewright/builtins/trial"

	"math/rand/v2"
	"slices"
)

// guards is how many of the cases that are not run, since others stand for them, are run all the same.
const guards = 32

// guard runs some cases that follow from others, drawn from the seed, and compares: they must do the same, event for event, as the
// cases that stand for them. It says what is wrong if they do not, "" if all is well, and notes in the plan how many it ran: none,
// where every case stands for itself alone.
func (w *Survey) guard() (why string, err error) {
	p := w.Plan
	p.Checked = 0
	if p.Apart != "" || p.plainRows() == 0 {
		return "", nil
	}
	type pick struct{ row, orientation, order, unit int }
	var picks []pick
	rng := rand.New(rand.NewPCG(uint64(p.Seed), 0x6775617264))
	for range 4 * guards {
		c := pick{row: rng.IntN(p.plainRows()), orientation: rng.IntN(48), order: rng.IntN(len(p.orders()))}
		c.unit = p.find(c.row, c.orientation, p.orders()[c.order])
		_, pose, _ := p.where(c.unit)
		s, o := p.setting(c.unit), allPoses()[c.orientation]
		itself := s.X == o.X && s.Y == o.Y && s.Mirror == o.Mirror && s.Rules.Order == p.orders()[c.order]
		if len(picks) < guards && !itself && pose.Told != nil && !slices.Contains(picks, c) {
			picks = append(picks, c)
		}
	}
	p.Checked = len(picks)
	differ, asks := make([]bool, len(picks)), make([]builtins.Asked, len(picks))
	err = w.Each("", len(picks), func(r *trial.Runner, i int) error {
		c := picks[i]
		form, pose := w.form(p.Rows[c.row].Slices), allPoses()[c.orientation]
		s := p.Rows[c.row].Setting
		s.X, s.Y, s.Mirror, s.Rules.Order = pose.X, pose.Y, pose.Mirror, p.orders()[c.order]
		var ran [2]string
		for k, s := range []trial.Setting{p.setting(c.unit), s} {
			t, err := r.Rigged(form.m, s, form.size)
			if err != nil {
				if w.Env.Stopped() != nil {
					return err
				}
				ran[k] = "it cannot be built"
				continue
			}
			t.Told = 0
			if ran[k], _, err = w.ran(t); err != nil {
				return err
			}
			asks[i] |= t.Asked | t.Told
		}
		differ[i] = ran[0] != ran[1]
		return nil
	}, nil)
	for i := range picks {
		w.asked |= asks[i]
		if differ[i] {
			why = "a case that was run to check did not do what it should do if it followed from another"
		}
	}
	return why, err
}
