package trial_test

import (
	"context"
	"strings"
	"testing"
	"time"

	"pulsewright/builtins"
	"pulsewright/builtins/stage"
)

// nested are functions that have themselves called by a word, from inside a trial or on a bench of their own, without end.
var nested = map[string]string{
	"sweep":                 "def g(n): return sweep(lambda a: g(a + 1), [n])",
	"sweep, by name":        "def g(n): return sweep(lambda a: g(a + 1), {'a': [n]})",
	"sweep, until":          "def g(n): return sweep(lambda a: a, [n], until=lambda row: g(n + 1))",
	"sweep of a design":     "def g(n): return sweep(nest(g, n))",
	"sweep, by way of send": "def g(n): return sweep(design('d', build, lambda rig, k: g(n + 1), lambda rig: 1, [2]))",
	"sweep, by way of read": "def g(n): return sweep(design('d', build, send, lambda rig: g(n + 1), [2]))",
	"beside":                "def g(n): return beside((0, 0), lambda f: g(n + 1))",
	"frame.beside":          "def g(n): return frame((0, 0)).beside((0, 0), lambda f: g(n + 1))",
	"sweep and beside":      "def g(n): return beside((0, 0), lambda f: sweep(lambda a: g(n + 1), [1]))",
	"survey":                "def g(n): return survey(nest(g, n))",
	"recovery":              "def g(n): return recovery(nest(g, n))",
	"compare":               "def g(n): return compare([nest(g, n)])",
	"datasheet":             "def g(n): return datasheet(nest(g, n))",
	"expandable":            "def g(n): return expandable(nest(g, n))",
	"expandable, of slices": "def g(n): return expandable(design('d', build, send, read, [2], slice=lambda f: g(n + 1), pitch=(1, 0)))",
	"harden":                "def g(n): return harden(nest(g, n))",
	"shrink":                "def g(n): return shrink(nest(g, n))",
	"spare":                 "def g(n): return spare(nest(g, n))",
	"calibrate":             "def g(n): return calibrate(parts=4, for_designs=[nest(g, n)])",
	"search":                "def g(n): return search(task((0, 0), (5, 0), [2]), ((1, 0), (4, 0)), ['link'], fixed=lambda f: g(n + 1))",
	"differ":                "def g(n): return differ(lambda: g(n + 1), lambda: g(n + 1))",
	"differ, of designs":    "def g(n): return differ(nest(g, n), nest(g, n), n=2)",
}

// own are words that take functions and call them where they stand: there the limit on calls counts.
var own = map[string]bool{"design": true, "task": true, "expect_error": true, "kind": true}

const nest = `
def build(f):
    return struct(into=f.wire((0, 0)))
def send(rig, n): fire(rig.into, n)
def read(rig): return 2
def nest(g, n):
    def build(f, size=1):
        g(n + 1)
        return struct(into=f.wire((0, 0)))
    return design("d", build, send, read, [2], pitch=(1, 0))
`

// TestNested: however words that take functions lie in one another, there is an end to it, and one plain error.
func TestNested(t *testing.T) {
	for _, e := range builtins.Entries() {
		for _, p := range e.Params {
			if (strings.Contains(p.Type, "function") || strings.Contains(p.Type, "design")) && nested[e.Name] == "" && !own[e.Name] {
				t.Errorf("%s takes %s, and is not tried", e.Name, p.Type)
			}
		}
	}
	for name, script := range nested {
		for _, top := range []string{"g(0)", "within(17)"} {
			if name == "calibrate" && top == "g(0)" {
				continue // twenty calibrations take a while
			}
			s := stage.New()
			ctx, cancel := context.WithTimeout(context.Background(), 5*time.Second)
			s.Ctx = ctx
			stage.MustSession(t, s, nest+script+"\ndef within(k): return sweep(lambda a: within(a - 1) if a else g(0), [k])\n")
			err := stage.Session(t, s, top)
			const want = ": experiments lie more than 20 deep in one another, want at most 20"
			if err == nil || !strings.HasSuffix(err.Error(), want) || strings.Count(err.Error(), ": ") > 1 {
				t.Errorf("%s, %s: %v", name, top, err)
			}
			cancel()
		}
	}
}

// TestNestedUsual: what a script may well do lies less deep: a survey of a machine whose parts stand beside one another, in a sweep.
func TestNestedUsual(t *testing.T) {
	s := stage.New()
	stage.MustSession(t, s, `
def berth(f):
    f.wire((0, 0), (1, 0))
    return f.ports(input=(0, 0), output=f.part((1, 0)))
def row(inner):
    def build(f):
        first = berth(f)
        inner(f.beside(first.output, inner, "input"))
        return f.ports(input=(0, 0), output=first.output)
    return build
def send(rig, n): fire(rig.input, n)
def built(f):
    ports = row(row(row(berth)))(f)
    return struct(input=ports.input, out=probe(ports.output))
quay = design("quay", built, send, lambda rig: rig.out.width, [2, 3])
expect(survey(quay, runs=60).holds)
t = sweep(lambda n: len(sweep(quay, [n])), range(4))
expect_equal(t.column("result"), [1, 1, 1, 1])
def stairs(n): return sweep(lambda k: stairs(k - 1) if k else 0, [n])
stairs(19)
`)
}
