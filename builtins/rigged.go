package builtins

import (
	"errors"
	"strings"

	"pulsewright/engine"

	"go.starlark.net/starlark"
	"go.starlark.net/starlarkstruct"
)

// rigged is a design built on a bench of its own under a setting, ready to be tried again and again.
type rigged struct {
	*runner
	recipe
	bench  *engine.Bench
	rig    starlark.Value
	posed  *engine.Snapshot
	probes []ProbeMark // of the rig
	anew   bool        // the rig keeps values that change: only building it again brings it back
	asked  asked       // what of the rules building it wanted to know
	told   asked       // what send and read wanted to know, since somebody cleared it
	dirty  bool
	sent   int              // sendings since it was built; the mark of the last
	course []starlark.Value // those that sendAndRead made
	logged int              // events in the log when it was built
	stood  stand            // the last that was kept
}

// recipe is what is built: the same recipe gives the same rig.
type recipe struct {
	m       *machine
	setting Setting
	size    int
}

// place is the recipe without what a build that does not ask for it cannot depend on, as placing tells nobody: the rules by
// which news spread and slugs travel, and how pulses fall.
func (r recipe) place() recipe {
	usual := engine.DefaultRules()
	r.setting.Late = false
	r.setting.Rules.Order, r.setting.Rules.News, r.setting.Rules.Reads, r.setting.Rules.Travel = usual.Order, usual.News, usual.Reads, usual.Travel
	return r
}

// rigged builds a design, or brings the last one back if it is the same, or copies what another of the crew has built.
func (r *runner) rigged(m *machine, s Setting, size int) (*rigged, error) {
	p := recipe{m, s, size}
	if t := r.built; t != nil && t.recipe == p {
		return t, t.reset()
	}
	t := &rigged{runner: r, recipe: p}
	r.built = nil
	if err := r.crew.build(t); err != nil {
		return nil, err
	}
	r.built = t
	return t, nil
}

func (t *rigged) build() error {
	e := t.env
	e.Bench, e.Late = engine.New(t.setting.Rules), t.setting.Late
	e.Random = NewRandom(e.Seed, 0)
	t.bench = e.Bench
	t.bench.Aside = &e.inquiry
	e.inquiry.open()
	rig, err := t.lay()
	if err != nil {
		return err
	}
	if t.asked = e.inquiry.close(); t.asked&fired != 0 {
		t.asked |= askedFall // what was built has begun to run
	}
	t.asked &= askedRules // where things lie is compared
	if e.Bench != t.bench {
		return errors.New("it takes a fresh bench; it must place its parts on the one it finds")
	}
	t.keep(rig)
	return nil
}

// keep takes down how rig and bench are now, for reset.
func (t *rigged) keep(rig starlark.Value) {
	t.rig, t.probes, t.anew, t.dirty = rig, nil, false, false
	t.sent, t.course, t.logged, t.stood = 0, nil, t.bench.EventCount(), stand{}
	t.walk(rig, 0)
	if !t.anew {
		rig.Freeze()
		for i := range t.probes {
			t.probes[i].Probe.Thaw() // reset puts probes back, too
		}
		t.posed = t.bench.Snapshot()
	}
}

// lay places the parts and gives the rig.
func (t *rigged) lay() (starlark.Value, error) {
	if t.m.chained {
		return t.chain()
	}
	f := t.setting.frame()
	f.by = &t.env.inquiry
	args := []starlark.Value{f}
	if t.m.sized {
		args = append(args, starlark.MakeInt(t.size))
	}
	return t.call(t.m.build, args...)
}

// walk finds what of a rig changes with time: probes, which reset knows, and others, for which the rig is built anew.
func (t *rigged) walk(v starlark.Value, depth int) {
	if depth > 20 {
		t.anew = true
		return
	}
	switch v := v.(type) {
	case *Probe:
		if v.Bench() == t.bench {
			t.probes = append(t.probes, v.Mark())
		}
		if v.Bench() != t.bench || v.used() {
			t.anew = true
		}
	case *chained:
		t.walk(v.out, depth+1)
	case *starlarkstruct.Struct:
		for _, a := range v.AttrNames() {
			if x, err := v.Attr(a); err == nil {
				t.walk(x, depth+1)
			}
		}
	case *starlark.Dict:
		for k, x := range v.Entries() {
			t.walk(k, depth+1)
			t.walk(x, depth+1)
		}
	case starlark.Iterable:
		if _, ok := v.(*Row); ok {
			return
		}
		for x := range starlark.Elements(v) {
			t.walk(x, depth+1)
		}
	case *starlark.Function:
		for i := range v.NumFreeVars() {
			switch _, x := v.FreeVar(i); x := x.(type) {
			case *starlark.List, *starlark.Dict, *starlark.Set:
				t.anew = true
				t.walk(x, depth+1)
			case nil:
			default:
				t.walk(x, depth+1)
			}
		}
	case *starlark.Builtin:
		switch x := v.Receiver().(type) {
		case nil, *Frame:
		default:
			t.anew = true
			t.walk(x, depth+1)
		}
	}
}

// reset brings bench and rig back to what they were when built.
func (t *rigged) reset() error {
	e := t.env
	e.Bench, e.Late = t.bench, t.setting.Late
	switch {
	case !t.dirty:
	case t.anew:
		return t.build()
	default:
		t.bench.Restore(t.posed)
		for _, p := range t.probes {
			p.Reset()
		}
		t.dirty, t.sent, t.course = false, 0, nil
	}
	return nil
}

// give sends n; time may pass meanwhile. All that comes of it is marked with how many sendings there were.
func (t *rigged) give(n starlark.Value) error {
	t.dirty = true
	t.sent++
	t.bench.Mark(t.sent)
	t.env.inquiry.open()
	defer func() { t.told |= t.env.inquiry.close() &^ fired }()
	if rig, ok := t.rig.(*chained); ok {
		return t.fireAt(rig, n)
	}
	_, err := t.call(t.m.send, t.rig, n)
	if err == nil && t.env.Bench != t.bench {
		err = errors.New("send takes a fresh bench")
	}
	return err
}

// reads reads the rig.
func (t *rigged) reads() (starlark.Value, error) {
	t.env.inquiry.open()
	defer func() { t.told |= t.env.inquiry.close() &^ fired }()
	if rig, ok := t.rig.(*chained); ok {
		return rig.width(), nil
	}
	return t.call(t.m.read, t.rig)
}

// quiet lets time pass until nothing is left to do.
func (t *rigged) quiet() error { return t.bench.Run(t.env.ctx(), t.budget) }

// once is one trial: as built, n sent, all quiet, read. What went wrong in running or reading is a result, told in
// words as fault; err means that the design's functions cannot be used.
func (t *rigged) once(i int, n starlark.Value) (got starlark.Value, fault string, err error) {
	if err := t.reset(); err != nil {
		return nil, "", err
	}
	t.begin(i)
	if fault, err = t.sendToQuiet(n); err != nil || fault != "" {
		return starlark.None, fault, err
	}
	return t.readOnce()
}

// sendToQuiet sends n and lets time pass until nothing is left to do.
func (t *rigged) sendToQuiet(n starlark.Value) (fault string, err error) {
	if err = t.give(n); err == nil {
		if err = t.quiet(); err == nil || t.env.stopped() != nil {
			return "", err
		}
		return clean(message(err)), nil
	}
	if isOutcome(err) {
		return clean(message(err)), nil
	}
	return "", err
}

// readOnce reads. What goes wrong in it is a fault; err means that read cannot be used, or that all was stopped.
func (t *rigged) readOnce() (got starlark.Value, fault string, err error) {
	got, err = t.reads()
	switch {
	case err == nil:
		return got, "", nil
	case t.env.stopped() == nil && !strings.Contains(message(err), "frozen") && !strings.Contains(message(err), "cannot be used in a trial"):
		return starlark.None, "read: " + clean(message(err)), nil
	case isOutcome(err):
		return starlark.None, clean(message(err)), nil
	}
	return nil, "", err
}

// isOutcome reports whether an error is something that the bench did, rather than a mistake of the script.
func isOutcome(err error) bool {
	var away *engine.Runaway
	var restless *engine.Restless
	var failure *Failure
	return errors.As(err, &away) || errors.As(err, &restless) || errors.As(err, &failure)
}
