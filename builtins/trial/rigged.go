package trial

import (
	"errors"
	"fmt"

	"pulsewright/builtins"
	"pulsewright/builtins/hold"
	"pulsewright/builtins/observe"
	"pulsewright/builtins/say"
	"pulsewright/engine"

	"go.starlark.net/starlark"
)

// Rigged is a design built on a bench of its own under a setting, ready to be tried again and again.
type Rigged struct {
	*Runner
	Recipe
	Bench  *engine.Bench
	Rig    starlark.Value
	posed  *engine.Snapshot
	Probes []observe.ProbeMark // of the rig
	Anew   bool                // the rig keeps values that change: only building it again brings it back
	sets   bool                // building it set rules, or how pulses fall
	Asked  builtins.Asked      // what of the rules building it wanted to know
	Told   builtins.Asked      // what send and read wanted to know, since somebody cleared it
	Word   string              // the first word that looks at all there is, of those that building it, send and read used
	Dirty  bool
	Sent   int              // sendings since it was built; the mark of the last
	Course []starlark.Value // those that sendAndRead made
	logged int              // events in the log when it was built
	stood  Stand            // the last that was kept
}

// Recipe is what is built: the same recipe gives the same rig.
type Recipe struct {
	Design  *Design
	Setting Setting
	Size    int
}

// place is the recipe without what a build that does not ask for it cannot depend on, as placing tells nobody: the rules by
// which news spread and slugs travel, and how pulses fall.
func (r Recipe) place() Recipe {
	usual := engine.DefaultRules()
	r.Setting.Late = false
	r.Setting.Rules.Mixed, r.Setting.Rules.Seed = false, 0
	r.Setting.Rules.Order, r.Setting.Rules.News, r.Setting.Rules.Reads, r.Setting.Rules.Travel = usual.Order, usual.News, usual.Reads, usual.Travel
	return r
}

// Rigged builds a design, or brings the last one back if it is the same or differs in rules that building did not ask for, or copies what another
// of the crew has built.
func (r *Runner) Rigged(d *Design, s Setting, size int) (*Rigged, error) {
	p := Recipe{d, s, size}
	if t := r.built; t != nil && t.Recipe == p {
		return t, t.Reset()
	} else if t != nil && t.free() && t.place() == p.place() && t.Reset() == nil && t.Bench.SetRules(s.Rules) == nil {
		t.Recipe, t.Env.Late = p, s.Late
		return t, t.keep(t.Rig)
	}
	t := &Rigged{Runner: r, Recipe: p}
	last := r.built
	r.built = nil
	if err := r.Crew.build(t); err != nil {
		return nil, err
	}
	if r.built = t; last != nil {
		t.Bench.Inherit(last.Bench)
	}
	return t, nil
}

// free reports whether what was built would be the same under other rules, and nothing has run in it yet.
func (t *Rigged) free() bool { return !t.Anew && !t.sets && t.Asked == 0 && t.posed.Unrun() }

func (t *Rigged) build() error {
	e := t.Env
	e.Bench, e.Late = engine.New(t.Setting.Rules), t.Setting.Late
	e.Random = builtins.NewRandom(e.Seed, 0)
	t.Bench = e.Bench
	t.Bench.Aside = &e.Inquiry
	e.Inquiry.Open()
	rig, err := t.lay()
	if err != nil {
		return err
	}
	if t.Asked = e.Inquiry.Close(); t.Asked&builtins.Fired != 0 {
		t.Asked |= builtins.AskedFall // what was built has begun to run
	}
	if t.Word == "" {
		t.Word = e.Inquiry.Word
	}
	t.Asked &= builtins.AskedRules // where things lie is compared
	if e.Bench != t.Bench {
		return errors.New("it takes a fresh bench; it must place its parts on the one it finds")
	}
	return t.keep(rig)
}

// keep takes down how rig and bench are now, for reset.
func (t *Rigged) keep(rig starlark.Value) error {
	t.Rig, t.Probes, t.Anew, t.Dirty = rig, nil, false, false
	t.sets = t.Bench.Rules() != t.Setting.Rules || t.Env.Late != t.Setting.Late
	t.Sent, t.Course, t.logged, t.stood = 0, nil, t.Bench.EventCount(), Stand{}
	if err := hold.Until(t.Env.Stopped).Walk(rig, t.find); err != nil {
		return err
	}
	if !t.Anew {
		if err := hold.Until(t.Env.Stopped).Freeze(rig); err != nil {
			return fmt.Errorf("the rig cannot be frozen: %w", err)
		}
		for i := range t.Probes {
			t.Probes[i].Probe.Thaw() // reset puts probes back, too
		}
		t.posed = t.Bench.Snapshot()
	}
	return nil
}

// lay places the parts and gives the rig.
func (t *Rigged) lay() (starlark.Value, error) {
	if t.Design.Chained {
		return t.chain()
	}
	f := t.Setting.Frame()
	f.By = &t.Env.Inquiry
	args := []starlark.Value{f}
	if t.Design.Sized {
		args = append(args, starlark.MakeInt(t.Size))
	}
	return t.Call(t.Design.Build, args...)
}

// find finds what of a rig changes with time: probes, which reset knows, and others, for which the rig is built anew.
func (t *Rigged) find(h hold.Held) (into bool) {
	switch v := h.Value.(type) {
	case *observe.Probe:
		if v.Bench() == t.Bench {
			t.Probes = append(t.Probes, v.Mark())
		}
		if v.Bench() != t.Bench || v.Used() {
			t.Anew = true
		}
	case *builtins.Frame:
		return false
	case *starlark.List, *starlark.Dict, *starlark.Set:
		if h.Way == hold.Captured {
			t.Anew = true
		}
	}
	if h.Way == hold.Receiver {
		t.Anew = true
	}
	return h.Way != hold.Usual
}

// Reset brings bench and rig back to what they were when built.
func (t *Rigged) Reset() error {
	e := t.Env
	e.Bench, e.Late = t.Bench, t.Setting.Late
	switch {
	case !t.Dirty:
	case t.Anew:
		return t.build()
	default:
		t.Bench.Restore(t.posed)
		for _, p := range t.Probes {
			p.Reset()
		}
		t.Dirty, t.Sent, t.Course = false, 0, nil
	}
	return nil
}

// Give sends n; time may pass meanwhile. All that comes of it is marked with how many sendings there were.
func (t *Rigged) Give(n starlark.Value) error {
	t.Dirty = true
	t.Sent++
	t.Bench.Mark(t.Sent)
	t.Env.Inquiry.Open()
	defer t.closed()
	if rig, ok := t.Rig.(*Chained); ok {
		return t.fireAt(rig, n)
	}
	_, err := t.Call(t.Design.Send, t.Rig, n)
	if err == nil && t.Env.Bench != t.Bench {
		err = errors.New("send takes a fresh bench")
	}
	return err
}

// closed takes down what send or read wanted to know.
func (t *Rigged) closed() {
	t.Told |= t.Env.Inquiry.Close() &^ builtins.Fired
	if t.Word == "" {
		t.Word = t.Env.Inquiry.Word
	}
}

// Reads reads the rig.
func (t *Rigged) Reads() (starlark.Value, error) {
	t.Env.Inquiry.Open()
	defer t.closed()
	if rig, ok := t.Rig.(*Chained); ok {
		return rig.width(), nil
	}
	return t.Call(t.Design.Read, t.Rig)
}

// Quiet lets time pass until nothing is left to do.
func (t *Rigged) Quiet() error { return t.Bench.Run(t.Env.Context(), t.Budget) }

// Start sends a number. It takes effect from the next tick on.
func (t *Rigged) Start(n starlark.Value) error {
	turns, tick := t.Bench.Turns(), t.Bench.Now().Tick
	if err := t.Give(n); err != nil {
		return fmt.Errorf("send: %w", err)
	}
	if t.Bench.Turns() != turns || t.Bench.Now().Tick != tick {
		return fmt.Errorf("send lets time pass; it must only say what is to happen (press, release, fire, nudge), and take it from there")
	}
	return nil
}

// Rest runs to quiet and tells how many ticks passed.
func (t *Rigged) Rest() (int64, error) {
	from := t.Bench.Now().Tick
	err := t.Quiet()
	return t.Bench.Now().Tick - from, err
}

func (t *Rigged) Ticks(n int64) error { return t.Bench.RunTicks(t.Env.Context(), n, t.Budget) }

// ErrorIs begins what Says gives where read ends in an error.
const ErrorIs = "an error: "

// Says reads the machine. ok: it says n. got is what it says, or what went wrong. err: the experiment was stopped.
func (t *Rigged) Says(n starlark.Value) (got string, ok bool, err error) {
	v, err := t.Reads()
	if stopped := t.Env.Stopped(); stopped != nil {
		return "", false, stopped
	}
	if err != nil {
		return ErrorIs + builtins.Message(err), false, nil
	}
	same, err := starlark.Equal(v, n)
	return builtins.Show(v), err == nil && same, nil
}

// Once is one trial: as built, n sent, all quiet, read. What went wrong in running or reading is a result, told in
// words as fault; err means that the design's functions cannot be used.
func (t *Rigged) Once(i int, n starlark.Value) (got starlark.Value, fault string, err error) {
	if err := t.Reset(); err != nil {
		return nil, "", err
	}
	t.Begin(i)
	if fault, err = t.sendToQuiet(n); err != nil || fault != "" {
		return starlark.None, fault, err
	}
	return t.ReadOnce()
}

// sendToQuiet sends n and lets time pass until nothing is left to do.
func (t *Rigged) sendToQuiet(n starlark.Value) (fault string, err error) {
	if err = t.Give(n); err == nil {
		if err = t.Quiet(); err == nil || t.Env.Stopped() != nil {
			return "", err
		}
		return say.Clean(builtins.Message(err)), nil
	}
	if isOutcome(err) {
		return say.Clean(builtins.Message(err)), nil
	}
	return "", err
}

// ReadOnce reads. What goes wrong in it is a fault; err means that read cannot be used, or that all was stopped.
func (t *Rigged) ReadOnce() (got starlark.Value, fault string, err error) {
	got, err = t.Reads()
	switch {
	case err == nil:
		return got, "", nil
	case t.Env.Stopped() == nil && !BeyondTrial(err):
		return starlark.None, "read: " + say.Clean(builtins.Message(err)), nil
	case isOutcome(err):
		return starlark.None, say.Clean(builtins.Message(err)), nil
	}
	return nil, "", err
}

// isOutcome reports whether an error is something that the bench did, rather than a mistake of the script.
func isOutcome(err error) bool {
	var away *engine.Runaway
	var restless *engine.Restless
	var failure *builtins.Failure
	return errors.As(err, &away) || errors.As(err, &restless) || errors.As(err, &failure)
}
