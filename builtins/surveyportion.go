package builtins

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"slices"
	"strings"

	"go.starlark.net/starlark"
)

// A portion is a file of JSON Lines: first the plan of the whole survey, then one line for each unit that is done. It only ever
// grows by whole lines; one that was cut off in the middle is dropped when the portion goes on.

// portionName is the file of a portion, in the working folder.
func (p *surveyPlan) portionName(sh Portion) string {
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

// surveyPortion does one part of a survey, going on where an earlier process stopped.
func (c *Call) surveyPortion(w *surveying, sh Portion) (starlark.Value, error) {
	dir := c.Env.Dir
	if dir == nil {
		return nil, c.Fail("there is no folder to write a portion to here")
	}
	name := w.Plan.portionName(sh)
	var done []surveyResult
	whole := int64(0) // bytes of whole lines
	if data, err := readFile(dir, name); err == nil {
		if data = data[:bytes.LastIndexByte(data, '\n')+1]; len(data) > 0 {
			plan, results, err := readPortion(bytes.NewReader(data))
			if err != nil || plan.Check != w.Plan.Check {
				return nil, c.Fail("%s is there and belongs to another survey; remove it first", show(starlark.String(name)))
			}
			done, whole = results, int64(len(data))
		}
	}
	f, err := dir.OpenFile(name, os.O_RDWR|os.O_CREATE, 0o644)
	if err != nil {
		return nil, c.Fail("%s: %s", show(starlark.String(name)), fileTrouble(err))
	}
	defer f.Close()
	if err = f.Truncate(whole); err == nil {
		_, err = f.Seek(whole, io.SeekStart)
	}
	line := func(v any) error {
		b, err := json.Marshal(v)
		if err == nil {
			_, err = f.Write(append(b, '\n'))
		}
		return err
	}
	if err == nil && whole == 0 {
		err = line(w.Plan)
	}
	if err != nil {
		return nil, c.Fail("%s: %s", show(starlark.String(name)), fileTrouble(err))
	}
	have := map[int]bool{}
	for _, r := range done {
		have[r.Unit] = true
	}
	units := w.units(sh)
	all := len(units)
	units = slices.DeleteFunc(units, func(u int) bool { return have[u] })
	if _, err := w.run(units, func(r surveyResult) error { return line(r) }); err != nil {
		return nil, c.surveyError(err)
	}
	text := fmt.Sprintf("survey of %s, portion %d of %d: %d cases done, %d of them before; they are in %s\ngather all portions: pulsewright gather %s",
		oneLine(w.Plan.Design), sh.Index, sh.Count, all, all-len(units), name, strings.Replace(name, fmt.Sprintf(".%dof", sh.Index), ".*of", 1))
	return &Report{name: "portion", text: text, fields: starlark.StringDict{"path": starlark.String(name), "done": starlark.MakeInt(all), "holds": starlark.None}}, nil
}

func readFile(dir *os.Root, name string) ([]byte, error) {
	f, err := dir.Open(name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return io.ReadAll(f)
}

// readPortion reads what a portion has done so far.
func readPortion(r io.Reader) (*surveyPlan, []surveyResult, error) {
	in := json.NewDecoder(r)
	plan := new(surveyPlan)
	if err := in.Decode(plan); err != nil || plan.Format != "pulsewright survey 1" {
		return nil, nil, fmt.Errorf("this is no portion of a survey")
	}
	var results []surveyResult
	for {
		var s surveyResult
		switch err := in.Decode(&s); {
		case err == io.EOF:
			return plan, results, nil
		case err != nil:
			return nil, nil, fmt.Errorf("it breaks off in the middle: run that portion again to finish it")
		}
		results = append(results, s)
	}
}

// GatherSurvey puts the portions of one survey together: the text is what the survey would have printed in one run, the script its
// smallest counterexample, "" if there is none.
// try, as in Env, runs the script before it is named; nil: it is not tried.
func GatherSurvey(ctx context.Context, paths []string, try func(ctx context.Context, script string) error) (text, script string, err error) {
	var plan *surveyPlan
	var results []surveyResult
	seen := map[int]bool{}
	for _, path := range paths {
		data, err := os.ReadFile(path)
		if err != nil {
			return "", "", fmt.Errorf("%s: %s", path, fileTrouble(err))
		}
		p, rs, err := readPortion(bytes.NewReader(data))
		if err != nil {
			return "", "", fmt.Errorf("%s: %w", path, err)
		}
		if plan == nil {
			plan = p
		} else if p.Check != plan.Check {
			return "", "", fmt.Errorf("%s belongs to another survey than %s", path, paths[0])
		}
		for _, r := range rs {
			if !seen[r.Unit] { // a portion given twice says the same twice
				seen[r.Unit] = true
				results = append(results, r)
			}
		}
	}
	if plan == nil {
		return "", "", fmt.Errorf("no portions given")
	}
	units := (&surveying{Plan: plan}).units(Portion{1, 1})
	missing := 0
	for _, u := range units {
		if !seen[u] {
			missing++
		}
	}
	if missing > 0 {
		return "", "", fmt.Errorf("%d of %d cases are missing: a portion is not there, or not finished", missing, len(units))
	}
	slices.SortFunc(results, func(a, b surveyResult) int { return a.Unit - b.Unit })
	f := plan.finish(results)
	f.prove(func(script string) string { return (&Env{Try: try}).shows(ctx, script) })
	return f.text(), f.script, nil
}
