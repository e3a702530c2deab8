package builtins_test

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"pulsewright/builtins"
	"pulsewright/builtins/stage"
	"pulsewright/engine"
)

// partAtRandom is a part of a kind with parameters by lot, as it may be placed.
func partAtRandom(dice *rand.Rand, k engine.Kind) engine.Part {
	t := k.Trait()
	p := engine.Part{Kind: k, On: dice.IntN(2) == 0, Out: dice.IntN(2) == 0, Tokens: dice.IntN(2), Level: dice.IntN(5),
		Slug: engine.Slug(dice.IntN(4)), Op: engine.Op(dice.IntN(len(engine.Ops()))), Ticks: dice.IntN(9), Hold: dice.IntN(5), Drop: dice.IntN(5),
		Room: 1 + dice.IntN(4), Keep: dice.IntN(4)}
	if t.Faces {
		p.Facing = engine.Dir(dice.IntN(6))
	}
	if k == engine.Delay {
		if p.Mode = engine.Mode(dice.IntN(3)); p.Mode == engine.Inertial {
			p.Reject = dice.IntN(max(p.Ticks, 1) + 1)
		}
	}
	if t.Given && dice.IntN(3) == 0 {
		p.Pads = []engine.Cell{}
		for _, c := range []engine.Cell{{X: 1}, {Y: -3}, {Z: 2}, {X: -1, Y: 1}} {
			if dice.IntN(2) == 0 {
				p.Pads = append(p.Pads, c)
			}
		}
	} else if t.Far != engine.NoFar && dice.IntN(2) == 0 {
		p.Far, p.FarSet = engine.Dir(dice.IntN(6)), true
	}
	return p
}

// TestPlacedAgain places parts of all kinds, with parameters by lot, a second time by what the first says of itself: by its attributes, by
// what state() has, and by the call that is shown.
func TestPlacedAgain(t *testing.T) {
	dice := rand.New(rand.NewPCG(12, 1))
	for _, k := range engine.Kinds() {
		entry, _ := builtins.Lookup(k.String())
		var attrs []string
		for _, p := range entry.Params {
			if !slices.Contains([]string{"at", "to", "path", "name"}, p.Name) {
				attrs = append(attrs, fmt.Sprintf("%s=p.%s", p.Name, p.Name))
			}
		}
		for range 30 {
			s := stage.New()
			id, err := s.Bench.Place(engine.Cell{X: 100}, partAtRandom(dice, k))
			if err != nil {
				t.Fatal(err)
			}
			s.Names["p"] = builtins.Part{Bench: s.Bench, ID: id}
			script := fmt.Sprintf("%v(at=(200, 0), %s)\n%v(at=(300, 0), **state(p).params)\nprint([l for l in state(p).text.split(\"\\n\") if \"placing\" in l][0])", k, strings.Join(attrs, ", "), k)
			s.Width = 10000
			if msg := s.Do(script); msg != "" {
				t.Fatalf("%s\n%+v", msg, s.Bench.Thing(id))
			}
			_, call, _ := strings.Cut(s.Printed.String(), "placing  ")
			if msg := s.Do(strings.Replace(call, "at=(100, 0)", "at=(400, 0)", 1)); msg != "" {
				t.Fatalf("%s: %s", call, msg)
			}
			want, state := s.Bench.Thing(id), s.Bench.State(id)
			for _, x := range []int32{200, 300, 400} {
				again, _ := s.Bench.PartAt(engine.Cell{X: x})
				if got := s.Bench.Thing(again); fmt.Sprintf("%+v", got.Part) != fmt.Sprintf("%+v", want.Part) || s.Bench.State(again) != state {
					t.Errorf("at %d:\ngot  %+v %+v\nwant %+v %+v\n%s", x, got, s.Bench.State(again), want, state, script)
				}
			}
		}
	}
}

// TestAttributesOfAPart: a part has the attributes of its kind and no others, and says so.
func TestAttributesOfAPart(t *testing.T) {
	stage.MustDo(t, `
o = oneshot((0, 0), "+x", ticks=2)
expect_equal(dir(o), ["armed", "at", "facing", "kind", "name", "on", "pads", "port", "powered", "state", "ticks", "way"])
expect_equal([hasattr(o, a) for a in ["ticks", "far", "tokens"]], [True, False, False])
expect_error(lambda: o.far, "a oneshot has no .far; it has .armed .at .facing .kind .name .on .pads .port .powered .state .ticks .way")
expect_error(lambda: o.tick, "a oneshot has no .tick; it has .armed .at .facing .kind .name .on .pads .port .powered .state .ticks .way (did you mean .ticks?)")
expect_equal(dir(wire((5, 5))), ["armed", "at", "facing", "kind", "level", "name", "port", "powered", "state", "way"])
l = link((9, 0), "+y", far="+x")
expect_equal((l.far, l.pads, l.out), ("+x", None, False))
expect_equal((link((11, 0), "+y").far, link((13, 0), "+y", pads=[(0, 3)]).far), ("-y", None))
expect_equal(key((15, 0)).hold, None)
expect_equal((delay((17, 0), "+x", ticks=4).reject, delay((19, 0), "+x", ticks=4, mode="inertial").reject), (None, 4))
`)
}

// TestStateTellsTies: state() says what a part reads and whether that is live, who tells it, what it feeds, its cords.
func TestStateTellsTies(t *testing.T) {
	stage.MustDo(t, `
b = battery((0, 0), name="mains")
l = link((1, 0), "+y", name="pull")
w = wire((2, 0))
d = delay((3, 0), "+y", name="astray")
g = gate(op="and", name="both")
patch(l, g, news=False)
patch(b, g, invert=True)
s = state(l)
expect_equal([(r.cell, r.part, r.live, r.far) for r in s.reads if r.part],
    [((2, 0), w, False, False), ((0, 0), b, True, False), ((1, -2), (1, -2), False, True)])
expect_equal((s.tellers, [(f.part, f.live) for f in s.feeds]), ([w], [(g, False)]))
expect_equal([(c.a, c.b, c.power, c.news, c.invert, c.live) for c in state(g).cords],
    [(l, g, True, False, False, False), (b, g, True, True, True, False)])
expect_equal([f.part for f in state(b).feeds], [l, g])
expect(state(l) == state((1, 0)) and state(l) != state(w))
old = state(l)
nudge(l)
run()
expect(old != state(l) and state(l).feeds[0].live)
# a fault that hides: the delay stands beside the wire, but faces another way
expect("delay astray at (3, 0): does not feed this way" in state(w).text)
expect_equal(state((50, 50)).feeds, [])
fire((1, 1), ticks=3)
run(ticks=1)
expect_equal([f.part for f in state((1, 1)).feeds], [])
lamp((1, 2), name="board")
expect_equal([(f.part.name, f.live) for f in state((1, 1)).feeds], [("board", True)])
`)
}

// TestPartsByParameter: a part that differs from its like in one parameter is found by it.
func TestPartsByParameter(t *testing.T) {
	stage.MustDo(t, `
# twelve berths, of which one has a bell that is too short, and one a link that reads the wrong way
for i in range(12):
    f = frame(at=(4 * i, 0), name="b%d" % i)
    f.oneshot((0, 0), "+x", ticks=2 if i == 7 else 3, name="bell")
    f.link((2, 0), "+y", far="+z" if i != 4 else "-z", name="pull")
    f.gate((2, 3), "+x", op="or" if i % 2 else "xor")
wire((0, 9), (3, 9))
expect_equal([p.name for p in parts(ticks=2)], ["b7.bell"])
expect_equal([p.name for p in parts("link", far="-z")], ["b4.pull"])
expect_equal([p.name for p in parts("link") if p not in parts(far="+z")], ["b4.pull"])
expect_equal(len(parts(op="xor")), 6)
expect_equal(len(parts(op=["xor", "or"], frame="b3")), 1)
expect_equal((len(parts(ticks=0)), len(parts(ticks=[0, 2, 3])), len(parts("oneshot", ticks=0))), (12, 24, 0))
expect_equal([p.at for p in parts(at=(4, 0, 0))], [(4, 0)])
expect_equal(len(parts(armed=True)), 0)
expect_equal(len(parts("wire", level=0)), 4)
k = key((0, 20), hold=3)
j = key((2, 20))
l = link((4, 20), "+y", pads=[(1, 0), (0, 3)])
expect_equal((parts(hold=3), parts(hold=None), parts(pads=[(1, 0, 0), (0, 3)]), len(parts("link", pads=None))), ([k], [j], [l], 12))
for call, msg in [
    (lambda: parts(tick=2), 'parts: no parameter "tick", want one of kind frame armed at drop facing far grip hold keep letgo level mode name on op out pads port powered reject room slug state ticks tokens travel way; did you mean ticks?'),
    (lambda: parts("lamp", ticks=2), "parts: a lamp has no .ticks; it has .armed .at .facing .kind .name .on .pads .port .powered .state .way"),
    (lambda: parts(ticks="2"), 'parts: for parameter ticks: got "2", want a number of ticks'),
    (lambda: parts(op="nor not"), 'parts: for parameter op: got "nor not", want one of buf not and or nand nor xor xnor maj hold latch'),
    (lambda: parts(ticks=None), "parts: for parameter ticks: got None, want a number of ticks"),
    (lambda: parts(far=["+z", "z"]), 'parts: for parameter far: got "z", want one of +x -x +y -y +z -z'),
    (lambda: parts(armed=1), "parts: for parameter armed: got 1, want True or False"),
    (lambda: parts(pads=3), "parts: for parameter pads: got 3, want a list of offsets"),
    (lambda: parts(at="quay"), "parts: for parameter at: got string, want a cell (x, y) or (x, y, z)"),
]:
    expect_error(call, msg)
`)
}

// TestLookAtAnotherBench: a part is looked into on its own bench, whatever stands on the one that came after.
func TestLookAtAnotherBench(t *testing.T) {
	s := stage.MustDo(t, `
wire((0, 0), (3, 0))
l = link((1, 1), "+y", name="pull")
fresh()
help(l)
`)
	if got := s.Printed.String(); !strings.Contains(got, `name="pull"`) {
		t.Error(got)
	}
}
