package survey

import (
	"pulsewright/builtins/trial"

	"go.starlark.net/starlark"
)

// Ending is how one machine came through the sendings of a case.
type Ending struct {
	Holds  bool
	Sent   string // the sending at which it ended, as "2nd: 3 after 3"; "" if it holds
	Says   string // what was read then, or what happened, in words
	Turns  int64  // that the case took
	Unsure int    // sendings of which no reading could tell whether they arrived
}

// Once sends one machine what a case of a survey sends, each number once all is quiet: every one, some twice in a row, the first again at the end.
// The numbers are in their order. A sending that takes more than so many turns is stopped.
func Once(t *trial.Rigged, numbers []starlark.Value, turns int64) (Ending, error) {
	w := &Survey{numbers: numbers, limits: limits{Ticks: usualLimits.Ticks, Turns: turns}}
	seq := sendings(len(numbers))
	o, err := w.sequence(t, seq, false)
	e := Ending{Holds: o.at < 0, Turns: t.Bench.Turns(), Unsure: o.unsure}
	if o.at >= 0 {
		p := surveyPlan{Numbers: trial.Nouns(numbers)}
		e.Sent, e.Says = p.sending(seq, o.at), says(o.kind, o.got)
	}
	return e, err
}

// UsualTurns is how many turns a sending of a survey may take unless told otherwise.
func UsualTurns() int64 { return usualLimits.Turns }

// Sends says what a case sends, in words.
func Sends(numbers []starlark.Value) string {
	p := surveyPlan{Numbers: trial.Nouns(numbers), Sendings: sendings(len(numbers))}
	return p.sends()
}

// Misses says under which rules another machine misses numbers where this one reads all it is sent, and which; "" if it does nowhere. Where this one
// does not hold in all cases of a row, the other must hold in as many.
func (f *Finding) Misses(other *Finding) string {
	if other.doubt != "" {
		return other.doubt
	}
	for i := range min(len(f.Rows), len(other.Rows)) {
		a, b := &f.Rows[i], &other.Rows[i]
		short := b.Hold < b.Cases
		if a.Hold < a.Cases {
			short = b.Hold*a.Cases < a.Hold*b.Cases
		}
		if !short {
			continue
		}
		what := "not quiet within the limits"
		if b.least != nil {
			what = other.Plan.sending(other.Plan.Sendings, b.least.Fail) + " reads " + says(b.least.Kind, b.least.Got)
		}
		machine := ""
		if b.Slices > 0 {
			machine = "as a chain of " + b.machine() + ", "
		}
		return machine + b.Setting.String() + ": " + what
	}
	return ""
}

// Exhaustive reports whether all cases of a survey were run or follow from others, none drawn by lot.
func (f *Finding) Exhaustive() bool { return f.Plan.Sample == 0 }
