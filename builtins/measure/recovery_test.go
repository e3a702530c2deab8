package measure

import (
	"pulsewright/builtins"
	"pulsewright/builtins/stage"

	"os"
	"strconv"
	"testing"

	"go.starlark.net/starlark"
)

// TestRecoveryBrute: recovery against a plain search on random machines. PULSEWRIGHT_BENCHES says how many, PULSEWRIGHT_SEED the
// first seed.
func TestRecoveryBrute(t *testing.T) {
	number := func(name string, otherwise int) int {
		if n, err := strconv.Atoi(os.Getenv(name)); err == nil {
			return n
		}
		return otherwise
	}
	script, err := os.ReadFile("testdata/recovery_brute.star")
	if err != nil {
		t.Fatal(err)
	}
	first, checked, kinds := number("PULSEWRIGHT_SEED", 1), 0, map[string]int{}
	for seed := first; seed < first+number("PULSEWRIGHT_BENCHES", 40); seed++ {
		s := stage.New()
		s.Seed, s.Workers = int64(seed), 1
		if err := stage.Session(t, s, string(script)); err != nil {
			t.Errorf("seed %d: %s\nplan %v", seed, builtins.Message(err), s.Names["PLAN"])
			continue
		}
		n, _ := starlark.AsInt32(s.Names["checked"])
		checked += n
		kinds[string(s.Names["found"].(starlark.String))]++
	}
	t.Logf("%d courses compared; %v", checked, kinds)
	if checked == 0 {
		t.Error("nothing was compared")
	}
}
