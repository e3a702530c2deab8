package differ

import (
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"pulsewright/builtins/stage"
	"pulsewright/engine"
)

// TestSavedLogs: what export wrote of a random bench is the same as the bench, event for event; one line changed, and differ names its event.
func TestSavedLogs(t *testing.T) {
	for seed := range uint64(60) {
		r := rand.New(rand.NewPCG(seed, 15))
		s := stage.New()
		s.Bench = played(stage.RandomPlan(r).Calm())
		dir := stage.InFolder(t, s)
		if msg := s.Do("export(\"x.json\")\nd = differ(\"x.json\")\nexpect(d.same, str(d))\nexpect_equal(d.compared, len(events()))"); msg != "" {
			t.Fatalf("seed %d: %s", seed, msg)
		}
		lines := strings.SplitAfter(stage.Read(t, dir, "x.json"), "\n")
		n := 1 + r.IntN(len(lines)-2)
		e := s.Bench.Event(engine.EventID(n))
		was := fmt.Sprintf(`"tick":%d,"step":%d,`, e.Tick, e.Step)
		if !strings.Contains(lines[n], was) {
			t.Fatalf("seed %d: line %s has no %s", seed, lines[n], was)
		}
		lines[n] = strings.Replace(lines[n], was, fmt.Sprintf(`"step":%d, "tick":%d,`, e.Step+1, e.Tick), 1) // also not as export writes it
		if err := os.WriteFile(filepath.Join(dir, "y.json"), []byte(strings.Join(lines, "")), 0o644); err != nil {
			t.Fatal(err)
		}
		if msg := s.Do(fmt.Sprintf("d = differ(\"y.json\", show=False)\nexpect_equal((d.same, d.compared, d.b.event.number), (False, %d, %d))\nexpect_equal(d.a.event.step, d.b.event.step + 1)", n-1, n)); msg != "" {
			t.Fatalf("seed %d: %s", seed, msg)
		}
	}
}

// TestSavedLogErrors: what is no whole log is refused, and the error says where and what.
func TestSavedLogErrors(t *testing.T) {
	const head = `{"format":"pulsewright-events","version":1,"seed":0}` + "\n"
	const one = `{"bench":1,"event":1,"cause":0,"tick":1,"step":0,"turn":0,"part":1,"kind":"wire","name":"","cell":[0,0,0],"what":"forced","level":0}` + "\n"
	for _, c := range [][2]string{
		{"", "its first line does not name the format pulsewright-events"},
		{"hello\n", "its first line does not name the format"},
		{strings.Replace(head, `"version":1`, `"version":2`, 1), "it is a log of version 2, want version 1"},
		{head + one[:40], "line 2: it is no event: it is cut off, or no JSON"},
		{head + one + strings.Replace(one, `"event":1`, `"event":7`, 1), "line 3: event 7 comes after event 1: the log holds a selection"},
		{head + strings.Replace(one, `"cause":0`, `"cause":1`, 1), "line 2: event 1 has event 1 as its cause"},
		{head + strings.Replace(one, `forced`, `glows`, 1), `line 2: "glows" is no word of the log`},
		{head + strings.Replace(one, `"wire"`, `"wyre"`, 1), `line 2: "wyre" is no kind of part`},
		{head + strings.Replace(one, `[0,0,0]`, `[0,0]`, 1), "line 2: its cell is none"},
		{head + strings.Replace(one, `"part":1`, `"part":-1`, 1), "line 2: it is no event: one of its numbers cannot be"},
		{head + strings.Replace(one, `"part":1`, `"part":99999999999`, 1), "line 2: it is of part 99999999999, and numbers up to 16777216 can be read"},
	} {
		s := stage.New()
		if err := os.WriteFile(filepath.Join(stage.InFolder(t, s), "x.json"), []byte(c[0]), 0o644); err != nil {
			t.Fatal(err)
		}
		if msg := s.Do(`differ("x.json")`); !strings.HasPrefix(msg, `differ: for parameter a: "x.json": `) || !strings.Contains(msg, c[1]) {
			t.Errorf("%s\n%s\nwant %s", c[0], msg, c[1])
		}
	}
	// Time that was turned back, and a second bench: what stood before is no part of the log.
	s := stage.New()
	two := strings.NewReplacer(`"event":1`, `"event":2`, `"cause":0`, `"cause":1`, "forced", "live").Replace(one)
	other := strings.Replace(two, `"part":1,"kind":"wire","name":""`, `"part":2,"kind":"lamp","name":"berth"`, 1)
	if err := os.WriteFile(filepath.Join(stage.InFolder(t, s), "x.json"), []byte(head+strings.Replace(one+two, `"bench":1`, `"bench":2`, -1)+one+other+two), 0o644); err != nil {
		t.Fatal(err)
	}
	if msg := s.Do("wire((0, 0))\nfire((0, 0), 9)\nstep()\nd = differ(\"x.json\")\nexpect(d.same, str(d))\nexpect_equal(d.compared, 2)"); msg != "" {
		t.Error(msg)
	}
}

// BenchmarkDiffer compares two logs of a million events that are the same but for the last; and a saved log of as many with the bench. The
// aim is less than a second.
func BenchmarkDiffer(b *testing.B) {
	const n = 1_000_000
	s := stage.LongRun(b, n)
	dir := stage.InFolder(b, s)
	if msg := s.Do(`export("x.json")`); msg != "" {
		b.Fatal(msg)
	}
	other := stage.LongRun(b, n)
	other.Bench.Nudge(engine.Target{Cell: engine.Cell{X: 7}}, false, 0)
	other.Bench.Turn()
	info, _ := os.Stat(filepath.Join(dir, "x.json"))
	b.Logf("%d events, %d bytes", s.Bench.EventCount(), info.Size())
	b.Run("benches", func(b *testing.B) {
		for b.Loop() {
			d, err := compare(s.Env, world("a", s.Bench), world("b", other.Bench), true, false)
			if err != nil || !d.parted || d.alike < n {
				b.Fatal(err, d)
			}
		}
	})
	b.Run("saved", func(b *testing.B) {
		for b.Loop() {
			if msg := s.Do("d = differ(\"x.json\", show=False)\nexpect(d.same)"); msg != "" {
				b.Fatal(msg)
			}
		}
	})
}
