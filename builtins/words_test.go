package builtins_test

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"pulsewright/builtins"
	"pulsewright/builtins/stage"
	"pulsewright/engine"

	"go.starlark.net/starlark"
)

// TestScripts runs the scripts in testdata: each file is cut at lines of three dashes, and each piece, on an empty bench,
// checks itself with expect_equal. Its first line says what it is about.
func TestScripts(t *testing.T) {
	files, err := filepath.Glob("testdata/*.star")
	if err != nil || len(files) == 0 {
		t.Fatal("no scripts", err)
	}
	for _, file := range files {
		data, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		for piece := range strings.SplitSeq(string(data), "\n---\n") {
			about, _, _ := strings.Cut(strings.TrimPrefix(piece, "# "), "\n")
			t.Run(about, func(t *testing.T) {
				s := stage.MustDo(t, piece)
				if err := s.Bench.Check(); err != nil {
					t.Error(err)
				}
			})
		}
	}
}

// TestStopped: a context that ends stops every word that works long, and the error says so.
func TestStopped(t *testing.T) {
	const ring = "g = gate(op=\"not\", name=\"ring\")\npatch(g, g)\nnudge(g)"
	for _, last := range []string{"run(budget=1 << 50)", "run(ticks=1, budget=1 << 50)", "step(1 << 50)", "turn(1 << 50)", "tick(1 << 50, budget=1 << 50)", "wire((0, 0), (1 << 28, 0))",
		"expect_error(lambda: run(budget=1 << 50))"} {
		t.Run(last, func(t *testing.T) {
			s := stage.New()
			if msg := s.Do(ring); msg != "" {
				t.Fatal(msg)
			}
			ctx, cancel := context.WithTimeout(context.Background(), 30*time.Millisecond)
			defer cancel()
			s.Ctx = ctx
			_, err := starlark.ExecFileOptions(stage.Options, s.Thread, "test.star", last, s.Names)
			var stopped *engine.Stopped
			if !errors.As(err, &stopped) || !errors.Is(err, context.DeadlineExceeded) {
				t.Fatalf("got %v, want the run stopped", err)
			}
			s.Ctx = nil
			if msg := s.Do("expect_equal(len(parts()), 1)"); msg != "" {
				t.Error(msg)
			}
			if err := s.Bench.Check(); err != nil {
				t.Error(err)
			}
		})
	}
}

// TestRunErrors: what scripts get as text, programs get as values.
func TestRunErrors(t *testing.T) {
	s := stage.New()
	_, err := starlark.ExecFileOptions(stage.Options, s.Thread, "test.star", "g = gate(op=\"not\", name=\"ring\")\npatch(g, g)\nnudge(g)\nrun(budget=100)", s.Names)
	var away *engine.Runaway
	if !errors.As(err, &away) || len(away.Parts) != 1 || away.Period != 2 {
		t.Fatalf("got %v, want a runaway of one part and 2 steps", err)
	}
	if !strings.Contains(err.Error(), "ring") {
		t.Errorf("the message does not name the part: %v", err)
	}
}

// TestMoved: the step log is told of long runs while they last.
func TestMoved(t *testing.T) {
	s := stage.New()
	calls, last := 0, int64(0)
	s.Moved = func() {
		calls++
		if s.Bench.Turns() < last {
			t.Error("time went back")
		}
		last = s.Bench.Turns()
	}
	msg := s.Do("g = gate(op=\"not\")\npatch(g, g)\nnudge(g)\nrun(budget=100000)")
	if !strings.HasPrefix(msg, "run: tick 1 does not end: 100000 turns") {
		t.Fatal(msg)
	}
	if calls < 10 {
		t.Errorf("told %d times in 100000 turns", calls)
	}
	calls, last = 0, 0
	if msg := s.Do("fresh()\nfire((0, 0))\nrun()\nturn()"); msg != "" {
		t.Fatal(msg)
	}
	if calls < 1 {
		t.Error("not told of a short run")
	}
	if !strings.Contains(s.Printed.String(), "quiet at 1.1.0: nothing to do") {
		t.Errorf("a turn without anything to do says nothing: %q", s.Printed)
	}
}

// TestHost: what only a session can do is asked of it, and what it did is printed.
func TestHost(t *testing.T) {
	s := stage.New()
	h := &stage.Host{}
	s.Host = h
	if msg := s.Do("undo()\nredo()\nsave(\"quay.star\")"); msg != "" {
		t.Fatal(msg)
	}
	if got := fmt.Sprint(h.Asked); got != "[undo redo save quay.star]" {
		t.Error(got)
	}
	if got := s.Printed.String(); got != "undone: it\ndone again: it\nsaved\n" {
		t.Errorf("%q", got)
	}
}

// TestSeeds: the same seed gives the same numbers, another others, a copy goes on as the original.
func TestSeeds(t *testing.T) {
	draw := func(seed int64) string {
		s := stage.New()
		s.Seed = seed
		if msg := s.Do("print([rand(1000) for _ in range(4)], shuffle(range(9)))"); msg != "" {
			t.Fatal(msg)
		}
		return s.Printed.String()
	}
	if one := draw(1); one != draw(1) || one == draw(2) {
		t.Error("random numbers do not come from the seed alone")
	}
	s := stage.New()
	s.Do("rand(5)")
	keep := s.Random
	s.Do("print(rand(1000))")
	s.Random = keep
	s.Do("print(rand(1000))")
	if a, b, _ := strings.Cut(strings.TrimSpace(s.Printed.String()), "\n"); a != b {
		t.Errorf("a generator that was put back gives %s, then %s", a, b)
	}
}

// TestTwoWorlds: words act on the world of their thread, and parts do not cross.
func TestTwoWorlds(t *testing.T) {
	a, b := stage.New(), stage.New()
	if msg := a.Do("l = lamp((0, 0))"); msg != "" {
		t.Fatal(msg)
	}
	if b.Bench.Len() != 0 {
		t.Fatal("a part on the wrong bench")
	}
	b.Names["l"] = a.Names["l"]
	if msg := b.Do("nudge(l)"); !strings.Contains(msg, "nudge: for parameter target: that part lies on another bench") {
		t.Error(msg)
	}
	bare := &starlark.Thread{}
	if _, err := starlark.Call(bare, builtins.Predeclared()["now"], nil, nil); err == nil || err.Error() != "now: there is no bench here" {
		t.Error(err)
	}
}

// TestFrozen: what a loaded file holds cannot be changed through a probe, and frozen values can be read.
func TestFrozen(t *testing.T) {
	s := stage.New() // ExecFile freezes the globals when it ends
	if msg := s.Do("p = probe((0, 0))\nt = table([[[1]]])"); msg != "" {
		t.Fatal(msg)
	}
	if msg := s.Do("p.clear()"); !strings.HasPrefix(msg, "probe.clear: the probe cell (0, 0) is frozen") {
		t.Error(msg)
	}
	if msg := s.Do("t.rows[0][0].append(2)"); !strings.Contains(msg, "frozen") {
		t.Error(msg)
	}
	if msg := s.Do("fire((0, 0), 2)\nrun()\nexpect_equal(p.width, 2)"); msg != "" {
		t.Error(msg)
	}
}
