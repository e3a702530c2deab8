package scripts_test

import (
	"bytes"
	"fmt"
	"strings"
	"testing"

	"pulsewright/builtins"
	"pulsewright/engine"
	"pulsewright/lang"
	"pulsewright/scripts"

	"go.starlark.net/starlark"
	"go.starlark.net/syntax"
)

// harbour runs scripts/harbour.star and returns what it says.
func harbour(t testing.TB, args ...string) (out string, err error) {
	t.Helper()
	var b bytes.Buffer
	s, err := lang.New(lang.Config{Out: &b, Err: &b, Seed: 1, Dir: t.TempDir()})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	err = s.ExecEmbedded(t.Context(), "harbour.star", args)
	return b.String(), err
}

// Every berth's number goes across twice: the same width at the panel and behind every station, and its lamp lights.
func TestHarbour(t *testing.T) {
	out, err := harbour(t)
	if err != nil {
		t.Fatal(err)
	}
	var rows [][]string
	for line := range strings.Lines(out) {
		if f := strings.Fields(line); len(f) == 9 && strings.Trim(f[0], "0123456789") == "" {
			rows = append(rows, f)
		}
	}
	if len(rows) != 2*53 {
		t.Fatalf("%d rows, want %d\n%s", len(rows), 2*53, out)
	}
	for i, row := range rows {
		berth := fmt.Sprint(i/2 + 1)
		if row[0] != berth || row[8] != berth {
			t.Errorf("row %d: %q, want berth and lamp %s", i, row, berth)
		}
		for _, width := range row[1:8] {
			if width != fmt.Sprint(i/2+2) {
				t.Errorf("berth %s: widths %q, want %d everywhere", berth, row[1:8], i/2+2)
			}
		}
	}
	if !strings.Contains(out, "invented") {
		t.Error("it does not say that the data is invented")
	}
	if !strings.Contains(out, "106 of 106") {
		t.Errorf("no verdict in\n%s", out)
	}
}

// One transmission as a step log: short enough to read, with key, stations, token and lamp.
func TestHarbourBerth(t *testing.T) {
	out, err := harbour(t, "berth=35")
	if err != nil {
		t.Fatal(err)
	}
	for _, who := range []string{"panel.key35", "panel.pull", "line.s1.out", "line.s6.out", "board.home", "board.lamp35"} {
		if !strings.Contains(out, who) {
			t.Errorf("%s is not in the log", who)
		}
	}
	if n := strings.Count(out, "\n"); n > 90 {
		t.Errorf("the log has %d lines\n%s", n, out)
	}
	for _, berth := range []string{"54", "-1"} {
		if _, err := harbour(t, "berth="+berth); err == nil || !strings.Contains(err.Error(), "there are 1 to 53") {
			t.Errorf("berth=%s: %v", berth, err)
		}
	}
}

// loader loads library files for a bare thread, which has no session.
func loader(thread *starlark.Thread, name string) (starlark.StringDict, error) {
	text, err := scripts.FS.ReadFile(name)
	if err != nil {
		return nil, err
	}
	t := &starlark.Thread{Load: loader}
	builtins.Of(thread).Attach(t)
	return starlark.ExecFileOptions(&syntax.FileOptions{}, t, name, text, builtins.Predeclared())
}

// lay builds a rig from a script and returns its bench, with nothing recorded.
func lay(b *testing.B, script string) *engine.Bench {
	b.Helper()
	env := &builtins.Env{Bench: engine.New(engine.DefaultRules()), Ctx: b.Context(), Seed: 1}
	thread := &starlark.Thread{Load: loader}
	env.Attach(thread)
	if _, err := starlark.ExecFileOptions(&syntax.FileOptions{}, thread, "rig.star", script, builtins.Predeclared()); err != nil {
		b.Fatal(err)
	}
	env.Bench.Record(engine.RecordNone)
	return env.Bench
}

// BenchmarkTransmission sends numbers over whole systems, from the press to rest. Under the usual rules the 53-berth
// system must stay under 1 ms a number.
func BenchmarkTransmission(b *testing.B) {
	for _, berths := range []int{53, 500} {
		for _, board := range []string{"split_receiver", "block_receiver", "endless_receiver", "echo_receiver"} {
			b.Run(fmt.Sprintf("berths=%d/%s", berths, board), func(b *testing.B) {
				bench := lay(b, fmt.Sprintf(`
load("lib/panels.star", "reed_panel")
load("lib/receivers.star", "%[2]s")
load("lib/systems.star", "system")
system(frame(), %[1]d, reed_panel, %[2]s)`, berths, board))
				var keys []engine.ID
				for j := range berths {
					key, ok := bench.Lookup(fmt.Sprintf("panel.key%d", j+1))
					if !ok {
						b.Fatalf("there is no key %d", j+1)
					}
					keys = append(keys, key)
				}
				was := bench.Counters()
				b.ReportAllocs()
				i := 0
				for b.Loop() {
					key := keys[i*7%berths] // all numbers in turn
					i++
					if err := bench.Press(key, 0); err != nil {
						b.Fatal(err)
					}
					if err := bench.Release(key, bench.Now().Tick+2); err != nil {
						b.Fatal(err)
					}
					if err := bench.Run(b.Context(), engine.Budget{}); err != nil {
						b.Fatal(err)
					}
				}
				b.ReportMetric(float64(bench.Counters().News-was.News)/float64(i), "news/op")
			})
		}
	}
}
