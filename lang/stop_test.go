package lang

import (
	"bytes"
	"context"
	"errors"
	"math"
	"runtime/debug"
	"strings"
	"testing"
	"time"

	"go.starlark.net/starlark"
)

// What never ends is ended by the context, in the language and inside a builtin; the session lives on.
func TestInterrupt(t *testing.T) {
	ring := "k = key((9, 0)); g = gate((0, 2), '+x', 'not', ticks=1); wire(path=[(1, 2), (1, 3), (0, 3)]); nudge(g); press(k)"
	for name, src := range map[string]string{
		"a loop":     "n = 0\nwhile True:\n    n += 1\n",
		"a function": "def f():\n    while True: pass\nf()\n",
		"a long run": "def f():\n    while True:\n        fire((9, 9)); run()\nf()\n",
		"a ring":     "run(ticks=1 << 30)",
	} {
		t.Run(name, func(t *testing.T) {
			s := newSession(t, Config{})
			if err := s.Command(context.Background(), ring); err != nil {
				t.Fatal(err)
			}
			ctx, cancel := context.WithTimeout(context.Background(), 50*time.Millisecond)
			defer cancel()
			began := time.Now()
			err := s.Command(ctx, src)
			if err == nil || !Interrupted(err) || !strings.Contains(err.Error(), "out of time at") {
				t.Fatalf("error: %v", err)
			}
			if took := time.Since(began); took > 2*time.Second {
				t.Errorf("took %v to stop", took)
			}
			if err := s.Command(context.Background(), "undo()"); err != nil {
				t.Error(err)
			}
			if err := s.Command(context.Background(), "expect_equal(now().tick, 0); expect_equal(k.state, 'off')"); err != nil {
				t.Error(err)
			}
		})
	}
}

func TestInterruptSaysWhen(t *testing.T) {
	var out bytes.Buffer
	s := newSession(t, Config{Out: &out, Err: &out})
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	err := s.Command(ctx, "x = 1")
	if !Interrupted(err) || !strings.Contains(err.Error(), "interrupted at 0.0.0") {
		t.Errorf("error: %v", err)
	}
	s.Report(err)
	if !strings.Contains(out.String(), "undo() takes it back") {
		t.Errorf("report: %q", out.String())
	}
}

// A panic in a builtin is a message; names and bench are as before.
func TestPanic(t *testing.T) {
	var out bytes.Buffer
	s := newSession(t, Config{Out: &out, Err: &out})
	boom := starlark.NewBuiltin("boom", func(*starlark.Thread, *starlark.Builtin, starlark.Tuple, []starlark.Tuple) (starlark.Value, error) {
		func(none map[string]int) { none["x"] = 1 }(nil)
		return nil, nil
	})
	vast := starlark.NewBuiltin("vast", func(*starlark.Thread, *starlark.Builtin, starlark.Tuple, []starlark.Tuple) (starlark.Value, error) {
		n := math.MaxInt
		return starlark.Bytes(make([]byte, n)), nil
	})
	s.names.base["boom"], s.names.live["boom"] = boom, boom
	s.names.base["vast"], s.names.live["vast"] = vast, vast
	if err := s.Command(context.Background(), "n = 1"); err != nil {
		t.Fatal(err)
	}
	for src, want := range map[string]string{
		"n = 2; wire((0, 0)); boom()": "<shell>:2:22: internal error: assignment to entry in nil map",
		"n = 3\nvast()":               "internal error: a value too large to hold was asked for",
		"n = 4\ndef t(x):\n    return boom()\nsweep(t, [1, 2])": "internal error: assignment to entry in nil map",
	} {
		out.Reset()
		err := s.Command(context.Background(), src)
		s.Report(err)
		if err == nil || !strings.Contains(out.String(), strings.TrimPrefix(want, "<shell>:2:22: ")) {
			t.Errorf("%s: %q, want %q in it", src, out.String(), want)
		}
		for _, bad := range []string{"goroutine", "starlark.", ".go:", "runtime error"} {
			if strings.Contains(out.String(), bad) {
				t.Errorf("%s: %q is in the report: %s", src, bad, out.String())
			}
		}
	}
	if err := s.Command(context.Background(), "expect_equal(n, 1); expect_equal(len(parts()), 0)"); err != nil {
		t.Error(err)
	}
}

// Functions that call one another too deep are stopped in a trial as outside of one.
func TestDeepCallsInTrials(t *testing.T) {
	s := newSession(t, Config{})
	err := s.Command(context.Background(), "def f(n):\n    return f(n + 1)\nsweep(f, [1, 2])\n")
	if err == nil || !strings.Contains(err.Error(), "functions call one another more than 20000 deep") {
		t.Errorf("error: %v", err)
	}
}

func TestMemoryLimit(t *testing.T) {
	s := newSession(t, Config{Memory: 64 << 20})
	err := s.Command(context.Background(), "xs = []\nwhile True:\n    xs.append([0] * 100)\n")
	if !errors.Is(err, errMemory) || !strings.Contains(err.Error(), "stopped at 0.0.0: too much memory in use") {
		t.Fatalf("error: %v", err)
	}
	if Interrupted(err) {
		t.Error("it counts as interrupted")
	}
	for _, src := range []string{ // few steps, much memory; trials
		"x = \"ab\"\nfor i in range(60): x = x + x\n",
		"def t(n):\n    xs = []\n    for i in range(10000000):\n        xs.append([0] * 100)\nsweep(t, [1, 2])\n",
	} {
		if err := s.Command(context.Background(), src); !errors.Is(err, errMemory) {
			t.Errorf("%s: %v", src, err)
		}
	}
	if err := s.Command(context.Background(), "expect(True)"); err != nil {
		t.Error(err)
	}
}

// What a command left behind is not held against the next one.
func TestMemoryLeftBehind(t *testing.T) {
	defer debug.SetMemoryLimit(debug.SetMemoryLimit(128 << 20))
	s := newSession(t, Config{Memory: 64 << 20})
	s.Command(context.Background(), "def f():\n    x = [0] * (1 << 23)\nf()\n")
	if err := s.Command(context.Background(), "n = 0\nfor i in range(500000): n += 1\n"); err != nil {
		t.Error(err)
	}
}

// A fit of a thousand timings by all counts is long work, and is stopped while it goes on.
func TestInterruptFit(t *testing.T) {
	s := newSession(t, Config{})
	rows := `seeds = [(i * 7919 + 13) % 1009 for i in range(1000)]
rows = [dict(news=n * 131 % 997, levels=n * n % 991, acts=n * 17 % 983, lapses=n * 29 % 977, reeds=n * n * n % 971, timers=n * 43 % 967, turns=n * 61 % 953, ms=(n * 0.37 - (n * n * 5 % 631) * 1.13 + 900)) for n in seeds]`
	if err := s.Command(context.Background(), rows); err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	time.AfterFunc(50*time.Millisecond, cancel)
	err := s.Command(ctx, "lag_fit(rows)")
	if err == nil || !Interrupted(err) {
		t.Fatalf("error: %v", err)
	}
}
