package invent

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"pulsewright/builtins"
	"pulsewright/builtins/observe"
	"pulsewright/builtins/say"
	"pulsewright/builtins/survey"
	"pulsewright/builtins/trial"
	"pulsewright/engine"

	"go.starlark.net/starlark"
)

// inventing is a design that is tried with one thing or another changed.
type inventing struct {
	*trial.Bay
	size    int
	numbers []starlark.Value // in their order
	layout  *layout
	bench   *engine.Bench       // the machine as it is built
	whole   survey.Ending       // how that came through
	turns   int64               // that a sending may take
	fence   func()              // taken away in the end
	probes  []observe.ProbeMark // of the rig
	asked   builtins.Asked      // what of the rules build wants to know
}

// mostTurns is how many turns a sending to a changed machine may take, as a multiple of what the machine itself takes for all.
const mostTurns = 10

// begin takes the design of a call apart and sees that it works. Close it in the end.
func begin(c *builtins.Call) *inventing {
	d := trial.DesignArg(c, "design")
	if c.Err != nil {
		return nil
	}
	x := &inventing{size: trial.SizeOf(c, d, "size", 0)}
	if c.Err != nil {
		return nil
	}
	numbers := d.Values(c, "over", x.size)
	if c.Err != nil {
		return nil
	}
	x.numbers = slices.Clone(numbers)
	var err error
	if x.numbers, err = builtins.SortStable(c.Env, x.numbers, builtins.CompareValues); c.Wrap(err) != nil {
		return nil
	}
	x.fence = trial.FenceIn(c.Env, d.Functions()...)
	x.Bay = trial.NewBay(c, d)
	if err := x.look(); err != nil {
		x.Close()
		c.Wrap(err)
		return nil
	}
	return x
}

// Close ends it.
func (x *inventing) Close() {
	x.Bay.Close()
	x.fence()
}

// look reads the layout and tries the machine as it is.
func (x *inventing) look() error {
	t, err := x.Pose(x.One(), x.size)
	if err != nil {
		return err
	}
	if x.layout, err = takeApart(t.Bench, x.Frame(), 0); err != nil {
		return err
	}
	x.layout.loose = looseCells(t.Bench, x.Frame())
	x.bench, x.asked, x.probes = t.Bench.Snapshot().Bench(), t.Asked, t.Probes
	built := t.Bench.Fingerprint()
	whole, err := survey.Once(t, x.numbers, survey.UsualTurns())
	if err != nil {
		return err
	}
	if !whole.Holds {
		return fmt.Errorf("the design %s does not do what it is for as it is: %s: %s; give the numbers that it reads right with over=", x.Name, whole.Sent, whole.Says)
	}
	x.whole, x.turns = whole, max(mostTurns*whole.Turns, 1000)
	again, err := x.One().Rigged(editedDesign(x.Design, func(*layout) {}), x.Setting, x.size)
	if err != nil {
		return err
	}
	if again.Bench.Fingerprint() != built {
		return errors.New("the machine, taken apart and placed again, does not stand as it did: what build leaves waiting, or fires, cannot be placed; want a build that only places")
	}
	return nil
}

// try tries the machine edited.
func (x *inventing) try(r *trial.Runner, e edit) (survey.Ending, error) {
	return x.tryAs(r, editedDesign(x.Design, e), false)
}

// tryAs tries a design, or a chain of its slices. That it cannot be built is how it ends, too.
func (x *inventing) tryAs(r *trial.Runner, d *trial.Design, chain bool) (survey.Ending, error) {
	size := x.size
	if chain {
		slices := *d
		slices.Chained = true
		d, size = &slices, chainOf
	}
	t, err := r.Rigged(d, x.Setting, size)
	if err != nil {
		if r.Env.Stopped() != nil {
			return survey.Ending{}, err
		}
		return survey.Ending{Says: "it cannot be built: " + say.Clean(builtins.Message(err))}, nil
	}
	how, err := survey.Once(t, x.numbers, x.turns)
	if who, _, ends := strings.Cut(how.Says, " ends in an error: "); ends && strings.Contains(how.Says, "that part is no longer there") {
		how.Says = "nothing: " + who + " asks for a part that is gone"
	}
	if err == nil && how.Holds && !chain && how.Unsure > x.whole.Unsure {
		how.Holds, how.Says = false, "nothing tells any more whether a number arrives"
	}
	return how, err
}

// label names a part of the machine.
func (x *inventing) label(i int) string { return say.OneLine(x.bench.Label(x.layout.pieces[i].was)) }

// left says what of a machine nothing is done to; "" if there is no such thing.
func (x *inventing) left() string {
	switch n := len(x.layout.loose); n {
	case 0:
		return ""
	case 1:
		return "1 loose slug is left as it is"
	default:
		return fmt.Sprintf("%d loose slugs are left as they are", n)
	}
}

// sent says what was sent and under which rules, for a report.
func (x *inventing) sent() string {
	return fmt.Sprintf("%s, under the rules in force; one machine is sent %s, each at rest", say.CountValues(trial.Nouns(x.numbers)), survey.Sends(x.numbers))
}
