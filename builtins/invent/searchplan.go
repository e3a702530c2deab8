package invent

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"os"
	"slices"
	"strings"

	"pulsewright/builtins"
	"pulsewright/builtins/say"
	"pulsewright/builtins/survey"
	"pulsewright/engine"
)

// searchFormat is how the file of a search begins; it is another one when what stands in it changes.
const searchFormat = "pulsewright search 3"

// searchPlan is all that a search is: data alone, so that others can do a part of it, or go on with it.
type searchPlan struct {
	Format    string        `json:"format"`
	Check     string        `json:"check"`
	Task      planTask      `json:"task"`
	Rules     engine.Rules  `json:"rules"`
	Lo        engine.Cell   `json:"lo"`
	Hi        engine.Cell   `json:"hi"`
	Own       []planKind    `json:"own"`
	Options   []planPart    `json:"options"`
	Fixed     []planPiece   `json:"fixed"`
	Forbidden []engine.Cell `json:"forbidden"`
	Most      int           `json:"most"`  // parts
	All       bool          `json:"all"`   // it goes on to that many, whatever is found
	Tries     int           `json:"tries"` // 0: everything is gone through
	Seed      int64         `json:"seed"`

	specs []*engine.Spec // the kinds of Own
}

type planTask struct {
	Into     []engine.Cell `json:"into"` // one of these
	Out      []engine.Cell `json:"out"`  // none: nothing comes out
	Numbers  []int         `json:"numbers"`
	Wants    []int         `json:"wants"`
	Later    int           `json:"later"`
	Inverted bool          `json:"inverted"`
	Late     bool          `json:"late"`
}

type planPiece struct {
	Cell engine.Cell `json:"cell"`
	Part planPart    `json:"part"`
}

// sum is a sum of all of a plan.
func (p *searchPlan) sum() string {
	q := *p
	q.Check = ""
	sum := sha256.New()
	json.NewEncoder(sum).Encode(&q)
	return hex.EncodeToString(sum.Sum(nil))[:16]
}

// boxes are what is gone through: a box for each choice of ports.
func (p *searchPlan) boxes() (all []*boxed) {
	outs := p.Task.Out
	if len(outs) == 0 {
		outs = make([]engine.Cell, 1)
	}
	var options []engine.Part
	for _, q := range p.Options {
		options = append(options, p.give(q))
	}
	for _, into := range p.Task.Into {
		for _, out := range outs {
			if len(p.Task.Out) > 0 && into == out && len(p.Task.Into)*len(outs) > 1 {
				continue
			}
			t := &task{into: into, out: out, tells: len(p.Task.Out) == 0, numbers: p.Task.Numbers, wants: p.Task.Wants, later: p.Task.Later, inverted: p.Task.Inverted, late: p.Task.Late}
			b := &boxed{task: t, rules: p.Rules, lo: p.Lo, hi: p.Hi, options: options}
			for _, f := range p.Fixed {
				b.fixed = append(b.fixed, piece{Part: p.give(f.Part), cell: f.Cell})
			}
			b.prepare(p.Forbidden)
			all = append(all, b)
		}
	}
	return all
}

// can reports whether a search can have a plan that was read, and makes its kinds.
func (p *searchPlan) can() bool {
	_, _, cells := p.span()
	return cells <= mostSpan && len(p.Options) <= mostOptions && p.Most <= mostTried && len(p.Task.Into) > 0 && p.tell()
}

// searchFile is the file of a search, or of a portion of one: first the plan of the whole and which portion this is, then a line for each unit.
type searchFile struct {
	plan    *searchPlan
	portion builtins.Portion
	came    map[[2]int]outcome
	lines   map[[2]int]int
	survey.Lines
}

type searchHead struct {
	Portion builtins.Portion `json:"portion"`
	Plan    *searchPlan      `json:"plan"`
}

// read reads what has been done. Errors tell the file and the line.
func (f *searchFile) read(name string, data []byte) error {
	f.came, f.lines = map[[2]int]outcome{}, map[[2]int]int{}
	return f.Read(name, "search", data, func(payload []byte) string {
		var head searchHead
		switch {
		case !survey.Exactly(payload, &head) || head.Plan == nil || head.Plan.Format != searchFormat || head.Plan.Check != head.Plan.sum():
			return "this is no plan of a search that this version can read"
		case !head.Plan.can():
			return "no search has such a plan"
		case head.Portion.Index < 1 || head.Portion.Index > head.Portion.Count:
			return fmt.Sprintf("there is no portion %d of %d", head.Portion.Index, head.Portion.Count)
		}
		f.plan, f.portion = head.Plan, head.Portion
		return ""
	}, func(line int, payload []byte) string {
		var o outcome
		if !survey.Exactly(payload, &o) || o.Parts < 0 || o.Parts > f.plan.Most || o.Unit < 0 {
			return "this is no unit of a search that this version can read"
		}
		at := [2]int{o.Parts, o.Unit}
		if first, twice := f.lines[at]; twice {
			return fmt.Sprintf("that unit was in line %d already", first)
		}
		if o.Unit%f.portion.Count != f.portion.Index-1 {
			return fmt.Sprintf("unit %d is none of portion %d of %d", o.Unit, f.portion.Index, f.portion.Count)
		}
		f.came[at], f.lines[at] = o, line
		return ""
	})
}

// fits reports whether what came of a unit is of machines that the plan has.
func (s *searching) fits(o *outcome) bool {
	all := slices.Concat(o.Machines, o.Front)
	if o.Near != nil {
		all = append(all, o.Near.Machine)
	}
	for i, m := range all {
		if m.Box < 0 || m.Box >= len(s.boxes) || len(m.In) != len(s.boxes[m.Box].cells) || i >= len(o.Machines) && i < len(o.Machines)+len(o.Front) && m.Is == nil {
			return false
		}
		if slices.ContainsFunc(m.In, func(v uint8) bool { return int(v) > len(s.Options) }) {
			return false
		}
	}
	return len(o.Machines) <= mostMachines && o.Found >= 0
}

// inFile has a search write down what it does, and go on from what is there.
func (s *searching) inFile(dir *os.Root, name string, portion builtins.Portion) (f *os.File, err error) {
	var file searchFile
	f, fresh, err := survey.Resume(dir, name, func(data []byte) error {
		if err := file.read(name, data); err != nil {
			return fmt.Errorf("%w; remove it, and all of it is done anew", err)
		}
		if file.plan.Check != s.Check || file.portion != portion {
			return fmt.Errorf("%q is there and belongs to another search; remove it, or name another file", name)
		}
		for at, o := range file.came {
			if !s.fits(&o) {
				return fmt.Errorf("%s:%d: no unit ends so: it is not within what was planned", name, file.lines[at])
			}
		}
		s.have = file.came
		return nil
	})
	if err != nil {
		return nil, err
	}
	if fresh {
		if err := file.Write(f, searchHead{portion, s.searchPlan}); err != nil {
			f.Close()
			return nil, fmt.Errorf("%q: %s", name, builtins.FileTrouble(err))
		}
	}
	s.record = func(o *outcome) error { return file.Write(f, o) }
	return f, nil
}

// portionName is the file of a portion, in the working folder.
func (p *searchPlan) portionName(sh builtins.Portion) string {
	return fmt.Sprintf("search-%s.%dof%d.jsonl", p.Check[:6], sh.Index, sh.Count)
}

// IsSearch reports whether a file is a portion of a search, as far as its first line tells.
func IsSearch(data []byte) bool {
	first, _, _ := bytes.Cut(data, []byte("\n"))
	return bytes.Contains(first, []byte(`"format":"pulsewright search `))
}

// GatherSearch puts the portions of one search together: the text is what the search would have printed in one run.
func GatherSearch(paths []string) (text string, err error) {
	defer func() { // a plan can be forged, sums and all
		if r := recover(); r != nil {
			text, err = "", fmt.Errorf("%s:1: the plan is none that a search makes (%v)", paths[0], r)
		}
	}()
	var first *searchFile
	came, from := map[[2]int]outcome{}, map[[2]int]string{}
	there := map[int]bool{} // portions
	for _, path := range paths {
		data, err := os.ReadFile(path)
		if err != nil {
			return "", fmt.Errorf("%s: %s", path, builtins.FileTrouble(err))
		}
		f := new(searchFile)
		if err := f.read(path, data); err != nil {
			return "", err
		}
		if first == nil {
			first = f
		}
		switch {
		case f.plan.Check != first.plan.Check:
			return "", fmt.Errorf("%s:1: it belongs to another search than %s", path, paths[0])
		case f.portion.Count != first.portion.Count:
			return "", fmt.Errorf("%s:1: this is one portion of %d, %s one of %d", path, f.portion.Count, paths[0], first.portion.Count)
		}
		there[f.portion.Index] = true
		for at, o := range f.came {
			if have, ok := came[at]; ok && fmt.Sprint(have.tally, have.Found, have.Machines) != fmt.Sprint(o.tally, o.Found, o.Machines) {
				return "", fmt.Errorf("%s:%d: that unit ended otherwise in %s", path, f.lines[at], from[at])
			}
			came[at], from[at] = o, path
		}
	}
	s := &searching{searchPlan: first.plan, boxes: first.plan.boxes(), have: came}
	for at, o := range came {
		if !s.fits(&o) {
			return "", fmt.Errorf("%s: unit %d of %d parts has machines that are none of the plan", from[at], at[1], at[0])
		}
	}
	var missing []string
	for i := 1; i <= first.portion.Count && len(missing) < 10; i++ {
		if !there[i] {
			missing = append(missing, fmt.Sprint(i))
		}
	}
	if lost := s.gathered(); lost > 0 {
		text := fmt.Sprintf("missing: %d of %s of %s", lost, say.Count(s.of, "unit"), say.Count(s.last, "part"))
		if s.last < s.Most {
			text += ", and all that may come after them"
		}
		if len(missing) > 0 {
			return "", fmt.Errorf("%s; portions that are not there: %s of %d", text, strings.Join(missing, ", "), first.portion.Count)
		}
		return "", fmt.Errorf("%s; a portion is not finished", text)
	}
	r, err := s.report(&builtins.Env{Bench: engine.New(first.plan.Rules)}, nil)
	if err != nil {
		return "", err
	}
	return r.Text, nil
}

// gathered merges what was done, as one run would have, and counts what is missing of the first round of which anything is.
func (s *searching) gathered() (missing int) {
	for k := 0; k <= s.Most; k++ {
		n := 0
		for _, b := range s.boxes {
			n += b.share(k)
		}
		s.last, s.of, s.done = k, n, n
		for u := range n {
			o, ok := s.have[[2]int{k, u}]
			if !ok {
				missing++
			}
			s.sum.merge(&o)
		}
		if missing > 0 || s.sum.Found > 0 && !s.All {
			return missing
		}
	}
	return missing
}
