package invent

import (
	"testing"

	"pulsewright/builtins/stage"
	"pulsewright/engine"
)

// waiting is a fixed part that does something in front of a wire into which is fired.
func waiting(parts ...piece) []piece {
	return append([]piece{{Part: wire, cell: at(0, 0)}}, parts...)
}

// TestSearchWaits: what takes long is found as what does not: held against plain enumeration with limits of its own.
func TestSearchWaits(t *testing.T) {
	back := engine.NegX
	swings := engine.Part{Kind: engine.Gate, Op: engine.Nand, On: true, Facing: back, Pads: []engine.Cell{{X: 1}, {X: -1}}}
	slow := plug
	slow.Facing, slow.Slug, slow.Pads = back, engine.Bridge, []engine.Cell{{X: 1}}
	slower := slow
	slower.Travel = 70
	delay := func(ticks int, facing engine.Dir) engine.Part {
		return engine.Part{Kind: engine.Delay, Ticks: ticks, Facing: facing}
	}
	for _, c := range []struct {
		name   string
		fixed  []piece
		n      int
		travel int
		parts  int
	}{
		{"a delay of 20 ticks", waiting(piece{Part: delay(20, back), cell: at(-1, 0)}), 3, 2, 1},
		{"three of 90", waiting(piece{Part: delay(90, back), cell: at(-1, 0)}, piece{Part: delay(90, back), cell: at(-2, 0)}, piece{Part: delay(90, back), cell: at(-3, 0)}), 3, 2, 1},
		{"a slug that is 40 ticks in transit", waiting(piece{Part: slow, cell: at(-1, 0)}), 3, 40, 1},
		{"one of 70 ticks of its own", waiting(piece{Part: slower, cell: at(-1, 0)}), 3, 2, 1},
		{"a gate that swings as long as the pulse lasts", waiting(piece{Part: swings, cell: at(-1, 0)}, piece{Part: wire, cell: at(-2, 0)}), 500, 2, 1},
		{"one that swings ever after", waiting(piece{Part: engine.Part{Kind: engine.Gate, Op: engine.Latch, Facing: back, Pads: []engine.Cell{{X: 1}, {Y: 9}}}, cell: at(-1, 0)},
			piece{Part: engine.Part{Kind: engine.Gate, Op: engine.Nand, On: true, Facing: back, Pads: []engine.Cell{{X: 1}, {X: -1}}}, cell: at(-2, 0)}, piece{Part: wire, cell: at(-3, 0)}), 3, 2, -1},
	} {
		do := wants(2, c.n)
		do.out = at(1, 0)
		b := &boxed{task: do, rules: engine.DefaultRules(), lo: at(1, 0), hi: at(1, 0), fixed: c.fixed, options: []engine.Part{wire, lamp, buf}}
		b.rules.Travel = c.travel
		b.prepare(nil)
		if got, _ := against(t, c.name, b, 1, true); got != c.parts {
			t.Errorf("%s: the least have %d parts, want %d", c.name, got, c.parts)
		}
	}
}

// TestSearchGivesUp: what may yet come to rest when its time is over is counted, whatever else is found, and nothing is said of it.
func TestSearchGivesUp(t *testing.T) {
	s, _ := cutScene(t)
	stage.MustSession(t, s, `
# A oneshot keeps a gate swinging, once a tick; then all is as it was.
def busy(ticks):
    def fixed(f):
        f.wire((0, 0))
        f.oneshot((-1, 0), "-x", ticks=ticks)
        f.gate((-2, 0), "-x", "nand", on=True, ticks=1, pads=[(1, 0), (-1, 0)])
        f.wire((-3, 0))
    return fixed

t = task((0, 0), (1, 0), [2, 3])
r = search(t, ((1, 0), (1, 0)), ["wire", "lamp"], fixed=busy(60001))
expect_equal((r.found, r.given_up, r.whole), (0, 2, False))
expect("nothing found among the arrangements of up to 1 part beside" in str(r) and "none" not in str(r), str(r))
expect("2 arrangements of 1 part and more given up after 20000 turns, so that it is open whether they do it" in " ".join(str(r).split()), str(r))
print(r)
r = search(t, ((1, 0), (1, 0)), ["wire", "lamp"], fixed=busy(501))
expect_equal((r.found, r.given_up, r.whole), (2, 0, True))

# By hand it does it.
fresh()
busy(60001)(frame())
wire((1, 0))
p = probe((1, 0))
was = [q.state for q in parts()]
fire((0, 0), 3)
run()
expect_equal((p.width, [q.state for q in parts()]), (3, was))

# Of 0 parts one is open: it is not said that none of fewer does it.
fresh()
def out(f):
    busy(60001)(f)
    f.lamp((1, 0))
r = search(t, ((0, 1), (0, 1)), [dict(kind="gate", op="buf", facing="+y")], fixed=out, front=True)
expect_equal((r.found, r.given_up, "none of fewer" in str(r)), (0, 2, False))
`)
	t.Log(s.Printed.String())
}
