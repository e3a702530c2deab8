package lang_test

import (
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// drawing is one design with its numbers drawn, and the experiment that tries it.
type drawing struct {
	*kindOfDesign
	seed       int
	experiment string
	numbers    []int
}

// call is the statement that has the experiment try it.
func (p *drawing) call() string {
	r := rand.New(rand.NewPCG(uint64(p.seed), 2))
	switch p.experiment {
	case "survey":
		travel := fmt.Sprintf("[%d]", 1+r.IntN(3))
		if strings.Contains(p.script, "travel") || strings.Contains(p.script, "shuttle") || r.IntN(4) == 0 {
			travel = "[1, 2, 3]"
		}
		return fmt.Sprintf("s = check_survey(%s, 20000, 3)", travel)
	case "expand":
		return fmt.Sprintf("check_expand(%d, %d)", []int{64, 64, 32, 90}[r.IntN(4)], 300+r.IntN(200))
	case "recovery":
		return "check_recovery()"
	case "compare":
		if r.IntN(3) == 0 {
			return `check_compare(None)`
		}
		return `check_compare(another())`
	case "sweep":
		return []string{`check_sweep({})`, `check_sweep({"travel": [1, 3], "fall": ["early", "late"]})`,
			`check_sweep({"news": ["fifo", "lifo"], "reads": ["turn", "step"], "order": [shuffled(DIRS), DIRS]})`}[r.IntN(3)]
	}
	panic("no such experiment: " + p.experiment)
}

func (p *drawing) text() string { return p.filled(p.numbers) }

// adversary draws designs and counts.
type adversary struct {
	kit, plain  string
	designs     []*kindOfDesign
	made, wrong map[string]int // claims, by experiment
	kinds, seen map[string]int
}

// kindOfDesign is a design whose numbers are still to be drawn.
type kindOfDesign struct {
	name, script string
	experiments  []string
	honest       bool
	letters      []string
	low, high    []int
}

func newAdversary(t *testing.T) *adversary {
	file := func(name string) string {
		text, err := os.ReadFile(filepath.Join("testdata", "adversary", name))
		if err != nil {
			t.Fatal(err)
		}
		return string(text)
	}
	a := &adversary{kit: file("kit.star"), plain: file("plain.star") + file("survey.star") + file("expand.star") + file("recovery.star") + file("figures.star"), made: map[string]int{}, wrong: map[string]int{}, kinds: map[string]int{}, seen: map[string]int{}}
	var pieces []string
	for _, name := range []string{"honest.txt", "sizes.txt", "survey.txt", "recovery.txt"} {
		pieces = append(pieces, strings.Split(file(name), "\n## ")[1:]...)
	}
	for _, piece := range pieces {
		head, script, _ := strings.Cut(piece, "\n")
		f := strings.Split(head, " | ")
		k := &kindOfDesign{name: f[0], script: script, experiments: strings.Fields(f[1]), honest: f[2] == "honest"}
		for _, n := range strings.Fields(f[3]) {
			var lo, hi int
			letter, span, _ := strings.Cut(n, "=")
			if _, err := fmt.Sscanf(span, "%d..%d", &lo, &hi); err != nil {
				t.Fatalf("%s: %q: %v", k.name, n, err)
			}
			k.letters, k.low, k.high = append(k.letters, letter), append(k.low, lo), append(k.high, hi)
		}
		a.designs = append(a.designs, k)
	}
	return a
}

// filled is the script with numbers in place of letters.
func (k *kindOfDesign) filled(numbers []int) string {
	var pairs []string
	for i, l := range k.letters {
		pairs = append(pairs, "$"+l, strconv.Itoa(numbers[i]))
	}
	return strings.NewReplacer(pairs...).Replace(k.script)
}

// draw draws a design from a seed; all its experiments try it.
func (a *adversary) draw(seed int) (ps []drawing) {
	r := rand.New(rand.NewPCG(uint64(seed), 1))
	k := a.designs[r.IntN(len(a.designs))]
	if only := os.Getenv("PULSEWRIGHT_DESIGN"); only != "" {
		k = a.designs[slices.IndexFunc(a.designs, func(k *kindOfDesign) bool { return k.name == only })]
	}
	var numbers []int
	for i := range k.low {
		numbers = append(numbers, k.low[i]+r.IntN(k.high[i]-k.low[i]+1))
	}
	for _, e := range k.experiments {
		if only := os.Getenv("PULSEWRIGHT_EXPERIMENT"); only != "" && only != e {
			continue
		}
		ps = append(ps, drawing{k, seed, e, numbers})
	}
	return ps
}
