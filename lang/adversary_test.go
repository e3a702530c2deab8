package lang_test

import (
	"bytes"
	"fmt"
	"os"
	"slices"
	"sort"
	"strconv"
	"strings"
	"testing"

	"pulsewright/lang"
)

// TestAdversary draws designs with one fault planted, and honest ones, has every experiment try them, and holds what it claims
// against plain runs of the same design. The designs and the plain runs are scripts (testdata/adversary). PULSEWRIGHT_DESIGNS says
// how many are drawn, PULSEWRIGHT_SEED the seed of the first.
func TestAdversary(t *testing.T) {
	number := func(name string, otherwise int) int {
		if n, err := strconv.Atoi(os.Getenv(name)); err == nil {
			return n
		}
		return otherwise
	}
	a := newAdversary(t)
	first := number("PULSEWRIGHT_SEED", 1)
	for seed := first; seed < first+number("PULSEWRIGHT_DESIGNS", 8); seed++ {
		for _, p := range a.draw(seed) {
			a.try(t, p)
		}
	}
	a.report(t)
}

// outcome is what one drawing came to.
type outcome struct {
	claims []claim
	seen   string // what was found, of honest designs
	err    error
	calls  string // what was run behind the design
}

type claim struct {
	kind string
	ok   bool
	what string
}

// run has the experiment try the design, in a session of its own.
func (a *adversary) run(t *testing.T, p *drawing) (o outcome) {
	var out bytes.Buffer
	s, err := lang.New(lang.Config{Out: &out, Err: &out, Dir: t.TempDir(), Seed: int64(p.seed), Workers: 1})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	chunks := 0
	exec := func(text string) bool {
		chunks++
		o.calls += text + "\n"
		o.err = s.Exec(t.Context(), fmt.Sprintf("chunk %d", chunks), text)
		return o.err == nil
	}
	if !exec(a.kit + p.text() + "\n" + a.plain) {
		return o
	}
	o.calls = ""
	if !exec(p.call()) && p.experiment == "recovery" && strings.Contains(o.err.Error(), "rest") {
		exec("check_refused()")
	}
	if o.err == nil && p.experiment == "survey" && exec(`print("SCRIPT[" + s.script + "]SCRIPT")`) {
		o.err = a.counterexample(t, &out, exec, &o)
	}
	for line := range strings.Lines(out.String()) {
		if seen, ok := strings.CutPrefix(line, "SEEN "); ok {
			o.seen = strings.TrimSpace(seen)
		}
		if said := strings.SplitN(strings.TrimSpace(line), "|", 4); said[0] == "CLAIM" {
			o.claims = append(o.claims, claim{said[1], said[2] == "true", said[3]})
		}
	}
	return o
}

// counterexample runs the script that a survey wrote alone, and holds the case it is about against plain runs.
func (a *adversary) counterexample(t *testing.T, out *bytes.Buffer, exec func(string) bool, o *outcome) error {
	_, script, _ := strings.Cut(out.String(), "SCRIPT[")
	script, _, _ = strings.Cut(script, "]SCRIPT")
	if script == "" {
		return nil
	}
	var said bytes.Buffer
	s, err := lang.New(lang.Config{Out: &said, Err: &said, Dir: t.TempDir()})
	if err != nil {
		return err
	}
	defer s.Close()
	err = s.Exec(t.Context(), "counterexample", "log(False)\n"+script)
	var read string
	for line := range strings.Lines(said.String()) {
		if rest, ok := strings.CutPrefix(line, "sent "); ok {
			read = strings.TrimSpace(rest)
		}
	}
	n, got, _ := strings.Cut(read, ", read ")
	stale := strings.Contains(script, "does not arrive")
	o.claims = append(o.claims, claim{"survey script runs alone", err == nil && read != "" && (n != got || stale), fmt.Sprint(err, " ", said.String())})
	line := func(begins string) string {
		_, rest, _ := strings.Cut(script, "\n"+begins)
		rest, _, _ = strings.Cut(rest, "\n")
		return rest
	}
	rules, fall := strings.TrimSuffix(line("fresh("), ")"), strings.TrimSuffix(line("falls("), ")")
	_, lie, _ := strings.Cut(line("rig = "), "frame(")
	lie, _, _ = strings.Cut(lie, ")")
	chain := 0
	if _, n, ok := strings.Cut(line("rig = "), " in range("); ok {
		n, _, _ = strings.Cut(n, ")")
		chain, _ = strconv.Atoi(n)
	}
	exec(fmt.Sprintf("check_counterexample(s, dict(%s), %s, dict(%s), %d)", rules, fall, lie, chain))
	return o.err
}

// try runs one drawing and counts what it came to. A false claim is made smaller.
func (a *adversary) try(t *testing.T, p drawing) {
	o := a.run(t, &p)
	if o.err != nil {
		t.Errorf("seed %d, %s of %q %v: %v", p.seed, p.experiment, p.name, p.numbers, o.err)
		return
	}
	if p.honest {
		a.seen[p.experiment+": "+o.seen+", "+p.name]++
	}
	told := map[string]bool{}
	for _, c := range o.claims {
		a.made[p.experiment]++
		a.kinds[c.kind]++
		if c.ok {
			continue
		}
		a.wrong[p.experiment]++
		if !told[c.kind] {
			told[c.kind] = true
			small, what, calls := a.smaller(t, p, c)
			t.Errorf("seed %d: false: %s, of %q %v: %s\n%s%s%s", p.seed, c.kind, p.name, small.numbers, what, a.kit, small.text(), comment(calls))
		}
	}
}

func comment(calls string) string {
	return "\n# " + strings.ReplaceAll(strings.TrimSpace(calls), "\n", "\n# ")
}

// smaller looks for smaller numbers with which the same kind of claim is false.
func (a *adversary) smaller(t *testing.T, p drawing, c claim) (drawing, string, string) {
	what, calls := c.what, p.call()
	for i := range p.numbers {
		for p.numbers[i] > p.low[i] {
			q := p
			q.numbers = slices.Clone(p.numbers)
			q.numbers[i] = (p.numbers[i] + p.low[i]) / 2
			k := -1
			if o := a.run(t, &q); o.err == nil {
				k = slices.IndexFunc(o.claims, func(d claim) bool { return d.kind == c.kind && !d.ok })
				if k >= 0 {
					what, calls = o.claims[k].what, o.calls
				}
			}
			if k < 0 {
				break
			}
			p = q
		}
	}
	return p, what, calls
}

func (a *adversary) report(t *testing.T) {
	sorted := func(m map[string]int) (names []string) {
		for n := range m {
			names = append(names, n)
		}
		sort.Strings(names)
		return names
	}
	all, wrong := 0, 0
	for _, e := range sorted(a.made) {
		t.Logf("%s: %d claims made, %d false", e, a.made[e], a.wrong[e])
		all, wrong = all+a.made[e], wrong+a.wrong[e]
	}
	t.Logf("all: %d claims made, %d false", all, wrong)
	for _, k := range sorted(a.kinds) {
		t.Logf("    %s: %d", k, a.kinds[k])
	}
	for _, k := range sorted(a.seen) {
		t.Logf("honest: %s: %d", k, a.seen[k])
	}
	if all == 0 {
		t.Error("no claim was made")
	}
}
