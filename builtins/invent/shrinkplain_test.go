package invent

import (
	"testing"

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
