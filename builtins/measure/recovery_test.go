package measure

import (
	"pulsewright/builtins"
	"pulsewright/builtins/stage"
	"pulsewright/builtins/trial"

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

// TestRecoverySays: what a design that does not read right at rest is told, and what one number alone is.
func TestRecoverySays(t *testing.T) {
	s := stage.New()
	stage.MustSession(t, s, trial.PlainFunctions+`
def told(read, over=[2, 5]):
    return recovery(design("line", build, send, read, over))
expect_error(lambda: told(lambda rig: [0, 1, 2][rig.out.width]), "for number 5 read ended in an error (list index 5 out of range [-3:2]) even on a machine at rest")
expect_error(lambda: told(lambda rig: None), "for number 2 nothing is read (read gives None) even on a machine at rest")
expect_error(lambda: told(lambda rig: 7), "number 2 is read as 7 even on a machine at rest")
expect("start to the next or more, for 2, again and again\n" in str(told(read, [2])))
expect("for 2 numbers in any order" in str(told(read)))
text = datasheet(design("silent", build, lambda rig, n: None, lambda rig: 2, [2]), runs=1).text
expect("## Edge by edge" in text and text.count("\nnothing happens\n") == 2, text)
`)
}

// TestRecoveryUpTo: where not all states were tried, the headline says up to how many numbers in a row all were answered, and that is so.
func TestRecoveryUpTo(t *testing.T) {
	s := stage.New()
	stage.MustSession(t, s, `
def build(f):
    into = f.wire((0, 0))
    left = f.tray((5, 0), tokens=70, room=100)
    out = gate(op="and")
    patch(into, out)
    patch(left, out)
    return struct(into=into, out=probe(out), left=left)

def send(rig, n):
    if rig.left.tokens > 0:
        fill(rig.left, rig.left.tokens - 1)
    fire(rig.into, n)

def read(rig):
    return rig.out.pulses[-1].width if rig.out.pulses else None

r = recovery(design("runs out", build, send, read, [2, 3]))
expect_equal(r.states, None)
expect("for 2 numbers in any order, up to 65 in a row\nsustained  not shown for more than 65 in a row:" in str(r), str(r))
expect("assumed    send and read look at no clock and do not count" in str(r), str(r))
`)
}
