package survey

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"pulsewright/builtins"
	"pulsewright/builtins/say"
	"pulsewright/builtins/trial"
	"pulsewright/engine"

	"go.starlark.net/starlark"
)

// A case of a survey is one machine under one setting, in one orientation, under one neighbour order. It is sent several
// numbers one after another, each after rest: a machine is used again and again. Every number is sent; some are sent twice in a
// row, all if they are few; and the first comes again at the end.

// mostTwice is how many numbers a case sends twice in a row.
const mostTwice = 8

// sendings are what a case of so many numbers sends: the number of each, counted from 0.
func sendings(numbers int) (seq []int) {
	few := min(numbers, mostTwice)
	twice := map[int]bool{}
	for i := range few {
		twice[i*(numbers-1)/max(few-1, 1)] = true
	}
	for n := range numbers {
		if seq = append(seq, n); twice[n] {
			seq = append(seq, n)
		}
	}
	return append(seq, 0)
}

// The ways a case can end before its last sending reads right.
const (
	wrongly    = "wrong"   // another number is read
	unmoved    = "unmoved" // the number is read, but so it was before it was sent, and nothing that read looks at is new
	failing    = "error"   // send or read ends in an error
	stopped    = "stopped" // it was not quiet within the limits
	unbuilt    = "unbuilt" // build ends in an error
	asHitherto = ""        // it does not: the case holds
)

// errorIn stands between the function and its error.
const errorIn = " ends in an error: "

// outcome is how a case ended.
type outcome struct {
	kind   string
	at     int    // the sending at which it ended so, from 0; -1: it holds
	got    string // what was read, or what happened, in words
	runs   int    // sendings made
	unsure int    // sendings of which no reading could tell whether they arrived
}

// limits are those of one sending: past them it is stopped.
type limits struct {
	Ticks int64 `json:"ticks"`
	Turns int64 `json:"turns"`
}

// usualLimits are those of a survey. Ticks in which nothing happens cost nothing; turns do.
var usualLimits = limits{Ticks: engine.DefaultTicks, Turns: 200_000}

// comparedTurns is how many turns of a sending are compared where it does not come to rest: what goes on without end soon does the same again.
const comparedTurns = 10_000

// settle lets time pass until all is quiet, and says in words what was too much, "" if nothing was.
func settle(t *trial.Rigged, l limits) (tooMuch string, err error) {
	b := t.Bench
	from, turns := b.Now().Tick, b.Turns()
	for slice := int64(1024); ; {
		spent := b.Turns()
		left := l.Ticks - (b.Now().Tick - from)
		err := b.Run(t.Env.Context(), engine.Budget{Turns: max(l.Turns-(spent-turns), 1), Ticks: min(slice, left), Brief: true})
		var restless *engine.Restless
		var away *engine.Runaway
		switch {
		case err == nil || t.Env.Stopped() != nil:
			return "", err
		case errors.As(err, &away):
			return fmt.Sprintf("not quiet after %s: tick %d was not over", say.Count(int(l.Turns), "turn"), b.Now().Tick-from), nil
		case !errors.As(err, &restless):
			return say.Clean(builtins.Message(err)), nil
		case b.Turns()-turns >= l.Turns:
			return fmt.Sprintf("not quiet after %s, %s", say.Count(int(b.Now().Tick-from), "tick"), say.Count(int(l.Turns), "turn")), nil
		case slice >= left:
			return "not quiet after " + say.Count(int(l.Ticks), "tick"), nil
		case b.Turns() == spent: // what is next lies further off
			slice *= 4
		}
	}
}

// passes sends n and lets time pass until all is quiet. kind says what went wrong, how in words; err means that the functions cannot
// be used at all.
func passes(t *trial.Rigged, n starlark.Value, l limits) (kind, how string, err error) {
	err = t.Give(n)
	if err == nil {
		if how, err = settle(t, l); how != "" {
			return stopped, how, nil
		}
		return "", "", err
	}
	var away *engine.Runaway
	var restless *engine.Restless
	switch {
	case t.Env.Stopped() != nil || trial.BeyondTrial(err):
		return "", "", err
	case errors.As(err, &away) || errors.As(err, &restless):
		return stopped, "not quiet within the limits of run, in send", nil
	}
	return failing, "send" + errorIn + say.Clean(builtins.Message(err)), nil
}

// errUnsure is that of a case in which what a sending is owed cannot be told at a glance.
var errUnsure = errors.New("it cannot be told without going back")

// sequence is course, which is run once more if at first nothing was kept to go back to and that turns out to be needed.
func (w *Survey) sequence(t *trial.Rigged, seq []int, all bool) (outcome, error) {
	o, err := w.course(t, seq, all)
	if err == errUnsure {
		o, err = w.course(t, seq, all)
	}
	return o, err
}

// course sends numbers one after another to the machine as built, up to the first sending that does not read right. all: with
// everything in the log.
//
// The machine is at rest when it is read and when the next number is sent; so if it then reads otherwise, that is the sending's doing.
// Where it reads as before it must be found out whether it would have without the sending.
func (w *Survey) course(t *trial.Rigged, seq []int, all bool) (o outcome, err error) {
	if err = t.Reset(); err != nil {
		return o, err
	}
	chain, _ := t.Rig.(*trial.Chained)
	switch {
	case all:
		t.Bench.Record(engine.RecordAll)
	case chain != nil:
		t.Bench.Record(engine.RecordSome) // its probe sees what it needs
	}
	t.Begin(0)
	limits := w.limits
	if all && w.Plan.Compared > 0 {
		limits.Turns = w.Plan.Compared
	}
	o.at = -1
	var said starlark.Value
	for i, k := range seq {
		n := w.numbers[k]
		o.runs++
		var before trial.Stand
		seen := engine.EventID(t.Bench.EventCount())
		asks := chain == nil && (said == nil || trial.IsNumber(said, n))
		careful := t.Anew || t.Careful()
		if asks && careful && !t.Anew {
			before = t.Stand()
		}
		from := t.Bench.Now().Tick
		kind, how, err := passes(t, n, limits)
		if err != nil {
			return o, err
		}
		if kind != "" {
			o.kind, o.at, o.got = kind, i, how
			return o, nil
		}
		t.Course = append(t.Course, n)
		a, err := answered(t, n, asks, careful, before, t.Bench.Now().Tick-from)
		if chain != nil && a.Verdict == trial.Right {
			if es := chain.Out.Edges(); len(es) < 2 || es[len(es)-2].From <= seen {
				a.Verdict = trial.Stale // the last pulse rose before it was sent
			}
		}
		if err != nil {
			return o, err
		}
		switch {
		case a.Fault != "":
			o.kind, o.at, o.got = failing, i, strings.Replace(a.Fault, "read: ", "read"+errorIn, 1)
			return o, nil
		case a.Verdict == trial.Wrong:
			o.kind, o.at, o.got = wrongly, i, builtins.Show(a.Got)
			return o, nil
		case a.Verdict == trial.Stale:
			o.kind, o.at, o.got = unmoved, i, builtins.Show(a.Got)
			return o, nil
		case a.Verdict == trial.Unsure:
			o.unsure++
		}
		said = a.Got
	}
	return o, nil
}

// answered reads what the machine says to n, which has just been sent. asks: it may have read so before. careful: before is how it stood then, if
// that can be kept; else the answer must be told at a glance.
func answered(t *trial.Rigged, n starlark.Value, asks, careful bool, before trial.Stand, took int64) (a trial.Answer, err error) {
	switch {
	case !asks:
		if a.Got, a.Fault, err = t.ReadOnce(); err == nil && a.Fault == "" && trial.IsNumber(a.Got, n) {
			a.Verdict = trial.Right
		}
		return a, err
	case !careful:
		a, sure, err := t.Glance(t.Sent, n)
		if err == nil && !sure {
			err = errUnsure
		}
		return a, err
	}
	return t.Answer(t.Sent, n, func(without bool) error {
		if !t.Anew {
			t.To(before) // only without is asked for
			return t.Ticks(took)
		}
		course := t.Course
		defer func() { t.Course = course }()
		return t.Follow(course, without, took)
	})
}

// shorten finds a short sequence of sendings that goes wrong, out of one that does at sending at: the last alone on a fresh
// machine, then after the one before, and so on; then leaves out what can be left out.
func (w *Survey) shorten(t *trial.Rigged, seq []int, at int) (short []int, o outcome, err error) {
	try := func(part []int) (bool, error) {
		p, err := w.sequence(t, part, false)
		if err != nil || p.at < 0 {
			return false, err
		}
		short, o = slices.Clone(part[:p.at+1]), p
		return true, nil
	}
	for long := 1; ; long += max(1, long/4) {
		long = min(long, at+1)
		found, err := try(seq[at+1-long : at+1])
		if err != nil {
			return nil, o, err
		}
		if found {
			break
		}
		if long == at+1 {
			return nil, o, fmt.Errorf("it does not do the same twice: sent the same numbers again, it reads otherwise")
		}
	}
	for i := 0; len(short) <= 12 && i < len(short)-1; {
		if found, err := try(slices.Delete(slices.Clone(short), i, i+1)); err != nil {
			return nil, o, err
		} else if !found {
			i++
		}
	}
	return short, o, nil
}
