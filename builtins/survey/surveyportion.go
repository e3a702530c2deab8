package survey

import (
	"pulsewright/builtins"
	"pulsewright/builtins/say"
	"pulsewright/builtins/trial"

	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"go.starlark.net/starlark"
)

// A portion is one part of a survey that many processes make. Each writes a file of its own (portionfile.go), and GatherSurvey puts
// them together. All of them plan the whole survey, and the plans must be the same: so the check of a plan covers the text of the
// design's functions and all that they reach.

// portionName is the file of a portion, in the working folder.
func (p *surveyPlan) portionName(sh builtins.Portion) string {
	slug := strings.Map(func(r rune) rune {
		switch {
		case r >= 'a' && r <= 'z' || r >= '0' && r <= '9':
			return r
		case r >= 'A' && r <= 'Z':
			return r + 'a' - 'A'
		}
		return '-'
	}, p.Design)
	return fmt.Sprintf("survey-%s-%s.%dof%d.jsonl", strings.Trim(slug[:min(len(slug), 40)], "-"), p.Check[:6], sh.Index, sh.Count)
}

// pin makes the check of a plan cover the code: the text of everything the functions reach, in whatever file it stands, and the numbers.
// It gives why that cannot be done, "" if it could.
func (w *Survey) pin(code trial.Script) string {
	if code.Why != "" {
		return code.Why
	}
	for _, n := range w.numbers {
		if _, err := trial.Literal(n); err != nil {
			return fmt.Sprintf("the number %s: %v", builtins.Show(n), err)
		}
	}
	p := w.Plan
	for _, s := range []*string{&p.Design, &p.Version, &p.Author, &p.Preamble, &p.Slice} {
		*s = strings.ToValidUTF8(*s, "?") // as it comes out of a file again
	}
	sum := sha256.Sum256([]byte(code.Text))
	p.Code = hex.EncodeToString(sum[:8])
	p.Check = p.Sum()
	return ""
}

// Sum is a sum of all of a plan.
func (p *surveyPlan) Sum() string {
	q := *p
	q.Check = ""
	sum := sha256.New()
	json.NewEncoder(sum).Encode(&q)
	return hex.EncodeToString(sum.Sum(nil))[:16]
}

// surveyPortion does one part of a survey, going on where an earlier process stopped.
func surveyPortion(c *builtins.Call, w *Survey, sh builtins.Portion, code trial.Script) (starlark.Value, error) {
	if why := w.pin(code); why != "" {
		return nil, c.Fail("the survey of %s cannot be cut into portions, since nobody could tell whether all of them try the same: %s", say.OneLine(w.Plan.Design), why)
	}
	dir := c.Env.Dir
	if dir == nil {
		return nil, c.Fail("there is no folder to write a portion to here")
	}
	name := w.Plan.portionName(sh)
	quoted := builtins.Show(starlark.String(name))
	have := map[int]bool{}
	var file portionFile
	f, fresh, err := Resume(dir, name, func(data []byte) error {
		if err := file.read(name, data); err != nil {
			return fmt.Errorf("%w; remove it, and all of it is done anew", err)
		}
		if file.plan.Check != w.Plan.Check || file.portion != sh {
			return fmt.Errorf("%s is there and belongs to another survey; remove it first", quoted)
		}
		for _, r := range file.results {
			have[r.Unit] = true
		}
		return nil
	})
	if err != nil {
		return nil, c.Fail("%w", err)
	}
	defer f.Close()
	if fresh {
		if err := file.begin(f, w.Plan, sh); err != nil {
			return nil, c.Fail("%s: %s", quoted, builtins.FileTrouble(err))
		}
	}
	units := w.units(sh)
	all := len(units)
	units = slices.DeleteFunc(units, func(u int) bool { return have[u] })
	if _, err := w.run(units, func(r *surveyResult) error { return file.add(f, *r) }); err != nil {
		return nil, surveyError(c, err)
	}
	text := fmt.Sprintf("survey of %s, portion %d of %d: %d cases done, %d of them before; they are in %s\ngather all portions: pulsewright gather %s",
		say.OneLine(w.Plan.Design), sh.Index, sh.Count, all, all-len(units), name, strings.Replace(name, fmt.Sprintf(".%dof", sh.Index), ".*of", 1))
	return &builtins.Report{Name: "portion", Text: text, Fields: starlark.StringDict{"path": starlark.String(name), "done": starlark.MakeInt(all), "holds": starlark.None}}, nil
}
