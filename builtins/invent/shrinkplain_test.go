package invent

import (
	"context"
	"strings"
	"testing"

	"pulsewright/builtins"
	"pulsewright/builtins/stage"
)

// TestShrinkPlainly: by each of the seven measures, of what shrink gives no single change is better, by a plain search over all of them, and nothing that it was to keep
// has become more.
func TestShrinkPlainly(t *testing.T) {
	s := stage.New()
	s.Workers = 2
	stage.MustSession(t, s, stage.Read(t, "testdata/single.star")+`
def bent(f):
    f.wire((0, 0), name="in")
    f.wire(path=[(1, 0), (2, 0), (2, 1)])
    f.lamp((0, 1), name="pilot")
    f.gate((3, 1), "+x", "buf", name="out")

def slow(f):
    f.wire((0, 0), name="in")
    f.gate((1, 0), "+x", "buf", pads=[(-1, 0, 0)])
    f.wire((2, 0))
    f.shuttle((2, 1), "+y", slug="feed")
    f.gate((3, 0), "+x", "buf", pads=[(-1, 0, 0)], name="out")

def slice(f):
    f.wire((0, 0), name="in")
    f.gate((1, 0), "+x", "buf", pads=[(-1, 0, 0)])
    f.wire((2, 0))
    f.wire((3, 0), name="out")

def station(f):
    f.wire((0, 0), name="in")
    f.wire(path=[(0, 1), (0, 4), (2, 4)])
    f.jack((2, 0))
    f.shuttle((1, 0), "+x", slug="plug")
    f.shuttle((2, 3), "-y", slug="feed", out=True)
    f.shuttle((3, 4), "-y", slug="feed")
    f.wire((2, -1), (3, -1))
    f.wire((4, -1), name="out")

for by in MEASURES[:-1]:
    print("bent", by, least("bent", bent, [2, 5], by))
for keep in ["latency", "news"]:
    print("bent", "conductors", [keep], least("bent", bent, [2, 5], "conductors", keep=[keep]))
for by in ["news", "latency", "recovery"]:
    print("slow", by, least("slow", slow, [2, 5], by, keep=["parts", "volume", "conductors"]))
for keep in [[], ["news", "parts", "recovery"]]:
    print("slice", keep, least("slice", slice, [2, 5], "pitch", keep=keep, pitch=(4, 0, 0)))
for by, keep in [("parts", []), ("volume", ["recovery", "news"])]:
    print("station", by, keep, least("station", station, [2, 4], by, keep=keep))
`)
	t.Log(s.Printed.String())
}

// TestShrinkStopped: what a machine has come to when shrinking is stopped is kept, and can be gone on with, to what it would have come to.
func TestShrinkStopped(t *testing.T) {
	s := stage.New()
	s.Workers = 2
	stage.MustSession(t, s, `
def bent(f):
    f.wire(path=[(0, 0), (3, 0), (3, 2)])
    f.lamp((0, 1), name="pilot")
    return struct(input=f.part((0, 0)), out=probe(f.part((3, 2))))

d = design("bent", bent, lambda rig, n: fire(rig.input, n), lambda rig: rig.out.width, [2, 5])
whole = shrink(d)
expect_equal(kept(), whole)
`)
	ctx, cancel := context.WithCancel(context.Background())
	s.Ctx = ctx
	s.Progress = func(what string, done, of int64) {
		if strings.Contains(what, "shrink by parts: 4 so far") {
			cancel()
		}
	}
	s.Printed.Reset()
	err := stage.Session(t, s, "shrink(d)")
	if err == nil || !strings.Contains(builtins.Message(err), "shrink: stopped") {
		t.Fatalf("it was not stopped: %v", err)
	}
	t.Log(s.Printed.String())
	if !strings.Contains(s.Printed.String(), "bent, shrunk by parts, stopped: 3 steps, ") || !strings.Contains(s.Printed.String(), "shrink(kept().design) goes on") {
		t.Errorf("it says\n%s", s.Printed.String())
	}
	s.Ctx, s.Progress = nil, nil
	stage.MustSession(t, s, `
expect_equal((len(kept().steps), len(kept().design.over)), (3, 2))
expect_equal(sketch(kept().sketch).parts[0].kind, "wire")
expect_equal(len(parts()), 4)
expect_equal(survey(kept().design, runs=100).n, None)
before = kept().steps
more = shrink(kept().design)
expect_equal(len(before + more.steps), len(whole.steps))
expect_equal((more.now, more.sketch), (whole.now, whole.sketch))
`)
}
