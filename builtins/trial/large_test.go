package trial_test

import (
	"context"
	"slices"
	"testing"

	"pulsewright/builtins/stage"
	"pulsewright/builtins/trial"

	"go.starlark.net/starlark"
)

// asked is a context that counts how often somebody asks whether to stop.
type asked struct {
	context.Context
	n int
}

func (a *asked) Err() error { a.n++; return nil }

// TestLargeValues: who goes through what a script holds asks every few thousand values whether to stop, whatever holds them and wherever they come from.
func TestLargeValues(t *testing.T) {
	const many = 5 * 4096
	const make = `
def nested(n): return [[i] for i in range(n)]
def build(f, held): return struct(into=f.wire((0, 0)), held=held)
def tried(held): return sweep(design("d", lambda f: build(f, held()), lambda rig, n: None, lambda rig: 1, [1]))
def wrong(over): return design("c", lambda f: struct(a=1), lambda rig, n: None, lambda rig: 1, over)
def holding(held): return lambda n: len(held)
`
	for _, script := range []string{
		"big = list(range(n))\nsweep(lambda n: len(big), [1])",
		"big = nested(n)\nsweep(lambda n: len(big), [1])",
		"big = {i: i for i in range(n)}\nsweep(lambda n: len(big), [1])",
		"big = set(range(n))\nsweep(lambda n: len(big), [1])",
		"big = tuple(nested(n))\nsweep(lambda n: len(big), [1])",
		"big = [(len, i) for i in range(n)]\nsweep(lambda n: len(big), [1])",
		"big = [struct(i=i) for i in range(n)]\nsweep(lambda n: len(big), [1])",
		"sweep(holding(nested(n)), [1])",
		"sweep(lambda n, held=nested(n): 1, [1])",
		"sweep(lambda k: nested(k), [n])",
		"sweep(lambda k: list(range(k)), [n])",
		"tried(lambda: nested(n))",
		"tried(lambda: tuple(range(n)))",
		"frozen(nested(n))",
		"expect(nested(n))",
		"json.encode(nested(n))",
		"expect_error(lambda: recovery(wrong(range(2, n + 2))))",
		"expect_error(lambda: spare(wrong(range(2, n + 2))))",
		"scope(wire((0, 0), (n, 0)))",
	} {
		count := func(n string) int {
			s := stage.New()
			s.Workers = 1
			ctx := &asked{Context: context.Background()}
			s.Ctx = ctx
			stage.MustSession(t, s, make+"n = "+n+"\n"+script+"\n")
			return ctx.n
		}
		if of := count("20480") - count("1"); of < many/4096 {
			t.Errorf("%s\nasked %d times more of %d values than of one, want at least %d", script, of, many, many/4096)
		}
	}
}

// TestOnce: each value stays once, where it came first, in short lists and in long ones; what cannot be a key stays as often as it is there.
func TestOnce(t *testing.T) {
	s := stage.New()
	list := starlark.NewList(nil)
	for _, n := range []int{1, 5, 4095, 4096, 30000} {
		var vs, want []starlark.Value
		for i := range n {
			vs = append(vs, starlark.MakeInt(i), list)
			want = append(want, starlark.MakeInt(i), list)
			if i > 0 {
				vs = append(vs, starlark.MakeInt(i/2), starlark.Float(i))
			}
		}
		before := slices.Clone(vs)
		if got := trial.Once(s.Env, vs); !slices.Equal(got, want) || !slices.Equal(vs, before) {
			t.Errorf("%d numbers: %d values of %d, want %d", n, len(got), len(vs), len(want))
		}
	}
}
