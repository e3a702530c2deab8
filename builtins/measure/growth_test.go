package measure

import (
	"pulsewright/builtins"
	"pulsewright/builtins/stage"

	"fmt"
	"strings"
	"testing"
)

// rowOf is a design whose slice k is a gate and a wire, and whatever more places.
const rowOf = `
def row(more):
    def build(f, size):
        for k in range(size):
            f.gate((2 * k, 0), "+x", "buf", pads=[(-1, 0, 0)])
            f.wire((2 * k + 1, 0))
        for k in range(more(size)):
            f.battery((k, 5))
        return struct(into=f.cell((-1, 0)), out=probe(f.part((2 * size - 1, 0))))
    return build

def send(rig, n):
    fire(rig.into, n)

def read(rig):
    return rig.out.width

def measured(more, over=[2, 5]):
    return compare([design("row", row(more), send, read, over, pitch=(2, 0, 0))], runs=1)
`

// TestGrowthOfDesigns: a law is given only if it holds at every size that was built, odd ones and far ones too; so are parts a
// slice. What comes with every second, tenth or thirtieth slice, only up to some size, from some size on, or faster and faster.
func TestGrowthOfDesigns(t *testing.T) {
	s := stage.New()
	stage.MustSession(t, s, rowOf)
	for _, c := range []struct{ more, parts, growth, note string }{
		{"0", "2", "linear: 2 N", ""},
		{"size", "3", "linear: 3 N", ""},
		{"7", "2", "linear: 2 N + 7", ""},
		{"size * (size - 1) // 2", "3 to 25", "quadratic: 1/2 N^2 + 3/2 N", ""},
		{"size // 2", "2 to 3", "no single law; period 2", "5/2 N - 1/2 where N is odd, 5/2 N where N is even; exact at sizes N = 1 to 24, 37, 48, 61"},
		{"size % 3", "0 to 3", "no single law; period 3", "2 N where N = 0 modulo 3"},
		{"size // 10", "2 to 3", "no law found", "2 N + 1 is right from size 10 to 19; at size 9 it says 19, measured 18; at size 20 it says 41, measured 42"},
		{"size // 30", "2, not at all sizes", "no law found", "2 N is right from size 1 to 24; at size 37 it says 74, measured 75"},
		{"min(size, 20)", "2 to 3", "no law found", "3 N is right from size 1 to 20; at size 21 it says 63, measured 62"},
		{"max(size, 3)", "2 to 3", "linear: 3 N from size 3 on", ""},
		{"max(0, size - 12) * max(0, size - 12)", "2 to 25", "no law found", "2 N is right from size 1 to 12; at size 13 it says 26, measured 27"},
		{"max(0, size - 30) * max(0, size - 30)", "2, not at all sizes", "no law found", "at size 37 it says 74, measured 123"},
	} {
		stage.MustSession(t, s, "r = measured(lambda size: "+c.more+")")
		r := s.Names["r"].(*builtins.Report)
		for _, want := range []string{"\nparts a slice            " + c.parts + "\n", "\ngrowth of parts          " + c.growth + "\n", c.note} {
			if !strings.Contains(r.String(), want) {
				t.Errorf("%s: %q is not in\n%v", c.more, want, r)
			}
		}
	}
}

// TestGrowthWhereItReadsWrong: news of transmissions that read wrong are no part of a law, and its value says how far it was seen.
func TestGrowthWhereItReadsWrong(t *testing.T) {
	s := stage.New()
	stage.MustSession(t, s, rowOf+`
def bare(f, size):
    if size > 48:
        fail("no more than 48")
    w = f.wire((0, 0), (2 * size, 0))
    return struct(into=w.first, out=probe(w.last))

r = compare([design("bare", bare, send, read, [2, 5], pitch=(2, 0, 0))], size=3, runs=1)
d = {f: r.rows[0][f] for f in r.rows[0]}
expect_equal(d["growth of parts"], "linear: 2 N + 1, to size 48")
expect_equal(d["growth of level changes"], "linear: 4 N + 2, to size 12")
expect_equal(d["parts a slice"], 2)
`)
}

// TestFiguresHoldElsewhere: what a comparison says of growth is true of machines built by hand.
func TestFiguresHoldElsewhere(t *testing.T) {
	s := stage.New()
	stage.MustSession(t, s, rowOf)
	for _, size := range []int{1, 7, 24, 48, 61} {
		stage.MustSession(t, s, fmt.Sprintf("fresh()\nrow(lambda size: size // 2)(frame(), %d)\nparts_of = cost().parts", size))
		if got, want := s.Names["parts_of"].String(), fmt.Sprint(5*size/2); got != want {
			t.Errorf("size %d has %s parts, the law says %s", size, got, want)
		}
	}
}
