package builtins_test

import (
	"pulsewright/builtins"
	"pulsewright/builtins/stage"

	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"go.starlark.net/starlark"
)

// chaosValues are arguments of every sort, right and wrong.
const chaosValues = `
f = frame(at=(3, 3), x="+y", name="r1")
l = lamp((0, 0), name="l")
k = key((1, 0))
row = wire((0, 5), (3, 5))
values = [None, True, False, 0, 1, 2, 3, -1, 1 << 40, 1 << 80, 1.5, "", "+x", "-z", "up", "l", "r1.l", "nobody", "\x1b[2J", "lamp", "lit", "all", "and", "plug", "inertial", "late", "time",
    (0, 0), (1, 0), (2, 0), (0, 1), (3, 3, 1), (0, 0, 0, 0), (1.5, 2), (1 << 40, 0), [4, 4], [], [(0, 1)], [(0, 0), (0, 4)], ["+x"], [[1, 2], [3]], {"a": 1}, [{"a": 1}], [l, k],
    l, k, row, f, now(), cost(), probe(k), lambda: 1, lambda: lamp((0, 0)), lamp, len, json, rules(), struct(a=1)]
`

// TestChaos calls every word with arguments of every sort. Nothing may panic, every error begins with the word, a failed word
// leaves the bench as it was, and the bench always holds together.
func TestChaos(t *testing.T) {
	seed := uint64(time.Now().UnixNano())
	if given, err := strconv.ParseUint(os.Getenv("PULSEWRIGHT_SEED"), 10, 64); err == nil {
		seed = given
	}
	t.Logf("PULSEWRIGHT_SEED=%d", seed) // shown if it fails, also by a panic
	r := rand.New(rand.NewPCG(seed, 0))
	rounds := 60
	if testing.Short() {
		rounds = 10
	}
	all := builtins.Entries()
	searches := 0
	for range rounds {
		s := stage.New()
		if msg := s.Do(chaosValues); msg != "" {
			t.Fatal(msg)
		}
		var values []starlark.Value
		for v := range starlark.Elements(s.Names["values"].(*starlark.List)) {
			values = append(values, v)
		}
		ctx, cancel := context.WithTimeout(context.Background(), 10*time.Second)
		s.Ctx = ctx
		for range 300 {
			e := all[r.IntN(len(all))]
			if e.Name == "calibrate" { // searches for the better part of a second, whatever it is asked
				if searches++; searches > 8 {
					continue
				}
			}
			fn := s.Names[e.Name]
			if bound, _ := s.Names["f"].(*builtins.Frame).Attr(strings.TrimPrefix(e.Name, "frame.")); bound != nil && (fn == nil || r.IntN(3) == 0) {
				fn = bound
			}
			var args starlark.Tuple
			for range r.IntN(4) {
				args = append(args, values[r.IntN(len(values))])
			}
			var kwargs []starlark.Tuple
			for range r.IntN(3) {
				name := "nothing"
				if len(e.Params) > 0 && r.IntN(20) > 0 {
					name = e.Params[r.IntN(len(e.Params))].Name
				}
				kwargs = append(kwargs, starlark.Tuple{starlark.String(name), values[r.IntN(len(values))]})
			}
			// Half of the calls get what the first parameters ask for, so that they come further.
			for i := range args {
				if i < len(e.Params) && len(e.Params[i].Allowed) > 0 && r.IntN(2) == 0 {
					args[i] = starlark.String(e.Params[i].Allowed[r.IntN(len(e.Params[i].Allowed))])
				}
			}
			bench, was := s.Bench, s.Bench.Fingerprint()
			v, err := starlark.Call(s.Thread, fn, args, kwargs)
			call := fmt.Sprintf("%s%v %v", e.Name, args, kwargs)
			switch {
			case err != nil && !strings.HasPrefix(builtins.Message(err), e.Name+":"):
				t.Errorf("%s\nan error without the word: %s", call, builtins.Message(err))
			case err == nil && v == nil:
				t.Errorf("%s\ngives nothing", call)
			case err != nil && (s.Bench != bench || bench.Fingerprint() != was) && e.Topic != "time":
				t.Errorf("%s\nfailed and left something behind: %s", call, builtins.Message(err))
			}
			if v != nil {
				_ = v.String()
				if a, ok := v.(starlark.HasAttrs); ok {
					for _, name := range a.AttrNames() {
						if x, err := a.Attr(name); (err != nil || x == nil) && ctx.Err() == nil { // one that takes long may be stopped
							t.Errorf("%s: attribute %s of what it gave: %v, %v", call, name, x, err)
						}
					}
				}
			}
			if err := s.Bench.Check(); err != nil {
				t.Fatalf("%s\n%v", call, err)
			}
			if s.Bench.Now().Tick > 1<<40 {
				break
			}
		}
		cancel()
	}
}

// TestParallel: many worlds use the same words at once, and a frozen frame and probe of one of them.
func TestParallel(t *testing.T) {
	shared := stage.New()
	if msg := shared.Do("f = frame(at=(5, 5), name=\"r1\")\nw = wire((0, 0))\np = probe(w)\nfire(w, 4)\nrun()\ndef build():\n    return f.link((0, 0), \"+x\", name=\"l\")"); msg != "" {
		t.Fatal(msg)
	}
	var group sync.WaitGroup
	for range 8 {
		group.Go(func() {
			s := stage.New()
			for _, name := range []string{"f", "p", "build"} {
				s.Names[name] = shared.Names[name]
			}
			if msg := s.Do("for _ in range(20):\n    fresh()\n    l = build()\n    nudge(l)\n    run()\n    expect_equal((l.name, p.width), (\"r1.l\", 4))"); msg != "" {
				t.Error(msg)
			}
		})
	}
	group.Wait()
}
