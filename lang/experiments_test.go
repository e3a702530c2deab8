package lang

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"path/filepath"
	"testing"
)

// harbourDesign is the harbour's system of 53 berths as a design.
const harbourDesign = `
load("lib/panels.star", "reed_panel", "tap")
load("lib/receivers.star", "block_receiver")
load("lib/systems.star", "system")

def build(f):
    record("some")
    h = system(f, 53, reed_panel, block_receiver, stations = 6)
    return struct(panel = h.panel, lamps = [probe(l) for l in h.board.lamps])

def send(rig, n):
    tap(rig.panel, n)

def read(rig):
    lit = [i + 1 for i in range(53) if rig.lamps[i].pulses]
    return lit[0] if len(lit) == 1 else lit

harbour = design("harbour", build, send, read, range(1, 54))
twice = [n for n in range(1, 54) for _ in range(2)]
`

// TestSweepHarbour: every berth's number, twice, each on a bench of its own, lights its lamp and no other.
func TestSweepHarbour(t *testing.T) {
	var out bytes.Buffer
	s, err := New(Config{Out: &out, Dir: t.TempDir(), Workers: 2})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	if err := s.Exec(context.Background(), "harbour", harbourDesign+"print(len(sweep(harbour, twice).where(right = True)))"); err != nil {
		t.Fatal(err)
	}
	if out.String() != "106\n" {
		t.Errorf("%s of 106 right", out.String())
	}
}

// BenchmarkSweepHarbour is the full sweep of the 53-berth system, 106 transmissions, with one worker and with two. Run it on a quiet machine.
func BenchmarkSweepHarbour(b *testing.B) {
	TuneCollector() // as the command does
	for _, workers := range []int{1, 2} {
		b.Run(fmt.Sprintf("workers=%d", workers), func(b *testing.B) {
			benchmark(b, workers, harbourDesign, "sweep(harbour, twice)")
		})
	}
}

// BenchmarkSweepHarbourOne is what the sweep costs before the second transmission: building above all.
func BenchmarkSweepHarbourOne(b *testing.B) {
	TuneCollector()
	benchmark(b, 1, harbourDesign, "sweep(harbour, [1])")
}

// benchmark repeats a script in a session that knows a design.
func benchmark(b *testing.B, workers int, design, script string) {
	s, err := New(Config{Dir: b.TempDir(), Workers: workers})
	if err != nil {
		b.Fatal(err)
	}
	defer s.Close()
	if err := s.Exec(context.Background(), "design", design); err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if err := s.Exec(context.Background(), "experiment", script); err != nil {
			b.Fatal(err)
		}
	}
}

// repeaterDesign is one station of the library; its smallest width is 2 steps for a pulse that falls early.
const repeaterDesign = `
load("lib/repeaters.star", station = "pull_repeater")
def build(f):
    record("some")
    s = station(f)
    return struct(input = s.input, out = probe(s.output))
d = design("station", build, lambda rig, n: fire(rig.input, n), lambda rig: rig.out.width, range(1, 21))
`

// TestSurveyScript: in a session, too, the script of a counterexample is written to the working folder and reproduces it: with what the design loads.
func TestSurveyScript(t *testing.T) {
	dir := t.TempDir()
	s, err := New(Config{Dir: dir, Workers: 2})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	if err := s.Command(context.Background(), "this is no script"); err == nil {
		t.Fatal("it is one")
	}
	for _, chunk := range []string{repeaterDesign, "s = survey(d, travel = [2], path = \"why.star\")", "expect_equal((s.n, s.got, s.sent, s.flip), (\"1\", \"None\", [\"1\"], \"it is right if the pulse falls late, not early\"))"} {
		if err := s.Command(context.Background(), chunk); err != nil {
			t.Fatal(err)
		}
	}
	reproduces(t, dir, "sent 1, read None")
}

// TestSurveyScriptOfTheLibrary: so is that of a design whose functions no script can load, such as those of the library.
func TestSurveyScriptOfTheLibrary(t *testing.T) {
	dir := t.TempDir()
	s, err := New(Config{Dir: dir})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	const script = `load("lib/designs.star", "receivers")
s = survey(receivers()[1], size = 2, travel = [2], runs = 500, path = "why.star")
expect_equal((s.holds, s.n, s.got), (False, "1", "None"))`
	if err := s.Exec(context.Background(), "test.star", script); err != nil {
		t.Fatal(err)
	}
	reproduces(t, dir, "sent 1, read None")
}

// TestSurveyOfAChain: the two-reed station holds alone; four of them fail under reads="step". The script builds the four.
func TestSurveyOfAChain(t *testing.T) {
	dir := t.TempDir()
	s, err := New(Config{Dir: dir})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	const script = `load("lib/designs.star", "repeaters")
d = [d for d in repeaters() if d.name == "two-reed station"][0]
s = survey(d, [0, 1], travel = [2], runs = 1000, path = "why.star")
expect_equal((s.holds, s.n, s.sent), (False, "0", ["0"]))
t = s.table
for machine, reads, holds, cases in zip(t.column("machine"), t.column("reads"), t.column("holds"), t.column("cases")):
    expect_equal((machine, reads, holds == cases), (machine, reads, machine == "as built" or reads == "turn"))
expect("0 is sent to a chain of 4 slices and None is read" in str(s), str(s))`
	if err := s.Exec(context.Background(), "test.star", script); err != nil {
		t.Fatal(err)
	}
	reproduces(t, dir, "sent 0, read None")
}

// reproduces runs the script of a counterexample, why.star in a folder.
func reproduces(t *testing.T, dir, want string) {
	t.Helper()
	var out bytes.Buffer
	again, err := New(Config{Out: &out, Dir: dir})
	if err != nil {
		t.Fatal(err)
	}
	defer again.Close()
	path := filepath.Join(dir, "why.star")
	if err := again.ExecFile(context.Background(), path, nil); err != nil || !bytes.Contains(out.Bytes(), []byte(want)) {
		text, _ := os.ReadFile(path)
		t.Errorf("%s\n%v\n%s", text, err, out.Bytes())
	}
	if text, err := os.ReadFile(path); err != nil || bytes.Contains(text, []byte("None = None")) {
		t.Errorf("the script defines what the language has: %s, %v", text, err)
	}
}

// BenchmarkSurveyRows is the survey of a repeater of the library, all rows: alone and as a chain of four, 28 sendings of 19 widths, 24
// settings of the rules.
func BenchmarkSurveyRows(b *testing.B) {
	TuneCollector()
	benchmark(b, 2, "load(\"lib/designs.star\", \"repeaters\")\nd = repeaters()[0]\n", "x = survey(d)\nexpect(x.everywhere)")
}

// BenchmarkSurvey is the survey of a repeater: 29 sendings of 20 widths, 48 orientations, 720 orders, 8 settings of the rules.
func BenchmarkSurvey(b *testing.B) {
	benchmark(b, 2, repeaterDesign, "x = survey(d, range(2, 22), travel = [2])\nexpect(x.holds and x.cases == 29 * 48 * 720 * 8)")
}
