package lang

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"pulsewright/builtins"
	"pulsewright/builtins/survey"
)

// TestPortionsOfModules: what the design has from modules belongs to a survey, too; what a run is asked for does not let it be cut up.
func TestPortionsOfModules(t *testing.T) {
	const main = `load("./gates.star", "op", "cells")
def build(f):
    f.wire((0, 0)); f.gate(cells[0], "+x", op(), pads=[(-1, 0, 0)]); f.wire((2, 0))
    return struct(into=f.part((0, 0)), out=probe(f.part((2, 0))))
def send(rig, n): fire(rig.into, n)
def read(rig): return rig.out.width
survey(design("line", build, send, read, [2, 3]), travel=[2])
`
	const gates = `K = "buf"
def op(): return K
cells = [(1, 0)]
`
	portion := func(i int, main, gates string) (string, error) {
		dir := t.TempDir()
		os.WriteFile(filepath.Join(dir, "main.star"), []byte(main), 0o644)
		os.WriteFile(filepath.Join(dir, "gates.star"), []byte(gates), 0o644)
		s, err := New(Config{Dir: dir, Seed: 1, Workers: 1, Portion: builtins.Portion{Index: i, Count: 2}})
		if err != nil {
			t.Fatal(err)
		}
		defer s.Close()
		err = s.ExecFile(t.Context(), filepath.Join(dir, "main.star"), nil)
		files, _ := filepath.Glob(filepath.Join(dir, "*.jsonl"))
		return strings.Join(files, " "), err
	}
	first, err := portion(1, main, gates)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		gates string
		same  bool
	}{
		{gates, true},
		{"# the gates\n" + gates + "def unused(): return 1\n", true},
		{strings.Replace(gates, `"buf"`, `"or"`, 1), false},
		{strings.Replace(gates, "return K", "return str(K)", 1), false},
		{strings.Replace(gates, "[(1, 0)]", "[(1, 0, 0)]", 1), false},
	} {
		second, err := portion(2, main, c.gates)
		if err != nil {
			t.Fatal(err)
		}
		_, _, err = survey.GatherSurvey(t.Context(), []string{first, second}, Try)
		if c.same != (err == nil) || err != nil && !strings.Contains(err.Error(), "the code of the design, or of something it uses, is another") {
			t.Errorf("gathered with portions of\n%s%v", c.gates, err)
		}
	}
	_, err = portion(1, strings.Replace(main, "def send(rig, n): fire(rig.into, n)", "def send(rig, n): fire(rig.into, n + arg(\"more\", 0))", 1), gates)
	if err == nil || !strings.Contains(err.Error(), "cannot be cut into portions, since nobody could tell whether all of them try the same: arg() is asked") {
		t.Errorf("with arg(): %v", err)
	}
}
