package measure

import (
	"fmt"
	"strings"

	"pulsewright/builtins"
	"pulsewright/builtins/say"
	"pulsewright/builtins/trial"
	"pulsewright/engine"

	"go.starlark.net/starlark"
)

// alone is what one number does on a machine at rest.
type alone struct {
	n       starlark.Value
	latency int64    // ticks after which, and from then on, it reads n
	back    int64    // ticks after which all is quiet
	left    []string // what is changed then
	nothing bool     // it is sent nothing at all
	silent  bool     // nothing tells whether it has been sent: the machine says n before as well as after
	second  bool     // latency is that after another number: as built, the machine says n before it is sent
	anew    bool     // the rig keeps values that change
	trials  int64
}

// alone sends one number to a machine at rest.
func sendAlone(l *trial.Bay, w *trial.Runner, numbers []starlark.Value, i int, size int) (a alone, err error) {
	before := w.Trials
	defer func() { a.trials = w.Trials - before }()
	a.n = numbers[i]
	u, err := startCourse(l, w, size)
	if err != nil {
		return a, err
	}
	a.anew = u.Anew
	rest, turns := u.Bench.Snapshot().Bench(), u.Bench.Turns()
	if err = u.give(a.n); err != nil {
		return a, err
	}
	if a.back, err = u.Rest(); err != nil {
		return a, fmt.Errorf("number %s alone: %w", builtins.Show(a.n), err)
	}
	a.left, a.nothing = changed(rest, u.Bench), u.Bench.Turns() == turns
	said, err := u.Answer(1, a.n, u.again(1))
	if err != nil {
		return a, err
	}
	if !said.Says() {
		return a, fmt.Errorf("%s even on a machine at rest; recovery is for designs that read right there", misread(a.n, said))
	}
	if said.Verdict == trial.Right {
		a.latency, err = latencyOf(l, w, a.n, nil, a.back, size)
		return a, err
	}
	// It reads so from the first. Whether it does anything shows after another number.
	a.silent = true
	for k, m := range numbers {
		if k == i {
			continue
		}
		if u, err = startCourse(l, w, size); err != nil {
			return a, err
		}
		if err = u.give(m); err != nil {
			return a, err
		}
		if _, err = u.Rest(); err != nil {
			return a, u.Env.Stopped() // m alone will say so
		}
		if err = u.give(a.n); err != nil {
			return a, err
		}
		back, err := u.Rest()
		if err != nil {
			return a, u.Env.Stopped()
		}
		if said, err = u.Answer(2, a.n, u.again(2)); err != nil {
			return a, err
		}
		if said.Verdict == trial.Right {
			a.silent, a.second = false, true
			a.latency, err = latencyOf(l, w, a.n, m, back, size)
			return a, err
		}
	}
	return a, nil
}

// misread says in words what came of number n, which was not read.
func misread(n starlark.Value, a trial.Answer) string {
	number := "number " + builtins.Show(n)
	errorOf, inRead := strings.CutPrefix(a.Fault, "read: ")
	switch {
	case inRead:
		return "for " + number + " read ended in an error (" + errorOf + ")"
	case a.Fault != "":
		return number + " is not read (" + a.Fault + ")"
	case a.Got == starlark.None:
		return "for " + number + " nothing is read (read gives None)"
	}
	return number + " is read as " + a.String()
}

// latency goes back from the tick at which all is quiet to the first from which on it reads n, each on a machine of its own:
// reading may leave traces. The machine is at rest after another number, if that is not nil.
func latencyOf(l *trial.Bay, w *trial.Runner, n, after starlark.Value, back int64, size int) (int64, error) {
	for ; back > 1; back-- {
		u, err := startCourse(l, w, size)
		if err != nil {
			return 0, err
		}
		if after != nil {
			if err = u.give(after); err != nil {
				return 0, err
			}
			if _, err = u.Rest(); err != nil {
				return 0, err
			}
		}
		if err = u.give(n); err != nil {
			return 0, err
		}
		if err = u.Ticks(back - 1); err != nil {
			return 0, err
		}
		if _, ok, err := u.Says(n); err != nil || !ok {
			return back, err
		}
	}
	return back, nil
}

// changed names the parts and cells whose state is another on bench b than it was on bench a.
func changed(a, b *engine.Bench) (names []string) {
	one := func(id engine.ID) {
		s, t := a.State(id), b.State(id)
		if s == t {
			return
		}
		kind := b.KindOf(id)
		how := ""
		switch was, is := builtins.Text(builtins.StateValue(kind, s)), builtins.Text(builtins.StateValue(kind, t)); {
		case was != is:
			how = fmt.Sprintf("%s, was %s", is, was)
		case s.Level != t.Level:
			how = fmt.Sprintf("level %d, was %d", t.Level, s.Level)
		case s.Tokens != t.Tokens:
			how = fmt.Sprintf("%s, had %d", say.Count(t.Tokens, "token"), s.Tokens)
		case s.Seated != t.Seated:
			how = fmt.Sprintf("slug %v, was %v", t.Seated, s.Seated)
		case s.Armed != t.Armed:
			how = map[bool]string{true: "armed, was not", false: "no longer armed"}[t.Armed]
		case s.Powered != t.Powered:
			how = map[bool]string{true: "powered, was not", false: "no longer powered"}[t.Powered]
		default:
			how = "not as before"
		}
		names = append(names, b.Label(id)+": "+how)
	}
	for id := range b.Parts() {
		one(id)
	}
	for id := range b.BareCells() {
		one(id)
	}
	if len(names) == 0 && a.Fingerprint() != b.Fingerprint() {
		names = append(names, "something inside a part that its state does not tell, such as whether a oneshot is ready")
	}
	return names
}
