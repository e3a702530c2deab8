package survey

import (
	"pulsewright/builtins"

	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"io"
	"slices"
)

// surveyFormat is how a portion begins; it is another one when what stands in it changes.
const surveyFormat = "pulsewright survey 2"

// portionFile is the file of a portion: JSON Lines, first the plan of the whole survey and which portion this is, then a
// line for each unit that is done. It only ever grows by whole lines; one that was cut off in the middle is dropped
// when the portion goes on. Every line begins with a sum of what follows in it and of the line before, so that
// no line can be changed, lost, repeated or moved unseen.
type portionFile struct {
	plan    *surveyPlan
	portion builtins.Portion
	results []surveyResult
	lines   []int // of each result
	sum     string
}

// sumLength is how many hexadecimal digits a sum has.
const sumLength = 16

type portionHead struct {
	Portion builtins.Portion `json:"portion"`
	Plan    *surveyPlan      `json:"plan"`
}

// begin writes the first line.
func (f *portionFile) begin(w io.Writer, p *surveyPlan, sh builtins.Portion) error {
	f.plan, f.portion = p, sh
	return f.line(w, portionHead{sh, p})
}

// add writes the line of a unit.
func (f *portionFile) add(w io.Writer, r surveyResult) error {
	return f.line(w, r)
}

func (f *portionFile) line(w io.Writer, v any) error {
	b, err := json.Marshal(v)
	if err != nil {
		return err
	}
	f.sum = sumOf(f.sum, b)
	_, err = fmt.Fprintf(w, `{"sum":"%s",%s`+"\n", f.sum, b[1:])
	return err
}

// sumOf is the sum of a line, after that of the line before.
func sumOf(before string, payload []byte) string {
	sum := sha256.Sum256(slices.Concat([]byte(before), payload))
	return hex.EncodeToString(sum[:])[:sumLength]
}

// payload checks a line's sum and gives what it says.
func (f *portionFile) payload(line []byte) ([]byte, bool) {
	rest, ok := bytes.CutPrefix(line, []byte(`{"sum":"`))
	if !ok || len(rest) < sumLength+2 || string(rest[sumLength:sumLength+2]) != `",` {
		return nil, false
	}
	sum, payload := string(rest[:sumLength]), append([]byte("{"), rest[sumLength+2:]...)
	if sumOf(f.sum, payload) != sum {
		return nil, false
	}
	f.sum = sum
	return payload, true
}

// exactly reads a value that is written just as it would be written now.
func exactly(payload []byte, v any) bool {
	in := json.NewDecoder(bytes.NewReader(payload))
	in.DisallowUnknownFields()
	if in.Decode(v) != nil {
		return false
	}
	again, err := json.Marshal(v)
	return err == nil && bytes.Equal(again, payload)
}

// read reads what has been done of a portion. Errors tell the file and the line.
func (f *portionFile) read(name string, data []byte) error {
	lines := bytes.Split(data, []byte("\n"))
	if last := len(lines) - 1; len(lines[last]) > 0 {
		if bytes.HasPrefix(lines[0], []byte(`{"sum":"`)) {
			return fmt.Errorf("%s:%d: it breaks off in the middle of a line: run that portion again to finish it", name, last+1)
		}
	} else {
		lines = lines[:last]
	}
	at := map[int]int{} // the line of each unit
	for i, line := range lines {
		wrong := func(format string, args ...any) error {
			return fmt.Errorf("%s:%d: "+format, slices.Concat([]any{name, i + 1}, args)...)
		}
		payload, ok := f.payload(line)
		if i == 0 {
			var head portionHead
			switch {
			case !ok && !bytes.HasPrefix(line, []byte(`{"sum":"`)):
				return wrong("this is no portion of a survey, as run --portion of this version writes it")
			case !ok:
				return wrong("the plan was changed after it was written: run the portion again")
			case !exactly(payload, &head) || head.Plan == nil || head.Plan.Format != surveyFormat || head.Plan.Check != head.Plan.Sum():
				return wrong("this is no plan of a survey that this version can read")
			case head.Portion.Index < 1 || head.Portion.Index > head.Portion.Count:
				return wrong("there is no portion %d of %d", head.Portion.Index, head.Portion.Count)
			}
			f.plan, f.portion = head.Plan, head.Portion
			continue
		}
		if !ok {
			if bytes.Contains(line, []byte(`,"portion":`)) {
				return wrong("another plan begins here: each portion has a file of its own")
			}
			return wrong("it was not written after the line before: something was changed, lost, moved or put in; run the portion again")
		}
		var r surveyResult
		if !exactly(payload, &r) {
			return wrong("this is no case of a survey that this version can read")
		}
		if first, twice := at[r.Unit]; twice {
			return wrong("case %d was in line %d already", r.Unit, first)
		}
		at[r.Unit] = i + 1
		f.results, f.lines = append(f.results, r), append(f.lines, i+1)
	}
	if f.plan == nil {
		return fmt.Errorf("%s:1: this is no portion of a survey: the file is empty", name)
	}
	return nil
}

// planned checks that a file has only what its portion was to do, and what a case can have.
func (f *portionFile) planned(name string) error {
	mine := map[int]bool{}
	for _, u := range (&Survey{Plan: f.plan}).units(f.portion) {
		mine[u] = true
	}
	for i, r := range f.results {
		switch {
		case !mine[r.Unit]:
			return fmt.Errorf("%s:%d: case %d is none of portion %d of %d", name, f.lines[i], r.Unit, f.portion.Index, f.portion.Count)
		case f.plan.odd(r):
			return fmt.Errorf("%s:%d: no case ends so: it is not within what was planned", name, f.lines[i])
		}
	}
	return nil
}

// odd reports whether a result is none that a unit of the plan can have.
func (p *surveyPlan) odd(r surveyResult) bool {
	if r.Fail < -1 || r.Fail >= len(p.Sendings) || r.Runs < 0 || r.Unsure < 0 || r.Unsure > len(p.Sendings) ||
		slices.ContainsFunc(r.Short, func(n int) bool { return n < 0 || n >= len(p.Numbers) }) {
		return true
	}
	if r.Fail < 0 {
		return r.Kind != "" || r.Got != "" || len(r.Short) > 0 || r.Runs != len(p.Sendings)
	}
	if r.Kind == unbuilt {
		return r.Runs != 0 || r.Fail != 0
	}
	return r.Runs != r.Fail+1 || !slices.Contains([]string{wrongly, unmoved, failing, stopped}, r.Kind) || (len(r.Short) == 0) != (r.Kind == stopped)
}
