package builtins

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"testing"
	"time"

	"pulsewright/engine"

	"go.starlark.net/starlark"
)

// TestScripts runs short scripts that check themselves with expect_equal.
func TestScripts(t *testing.T) {
	for _, c := range []struct{ name, script string }{
		{"attributes of parts", `
l = link((1, 2), "+y", name="pull")
expect_equal((l.kind, l.name, l.at, l.facing, l.state, l.powered, l.armed), ("link", "pull", (1, 2), "+y", "home", False, False))
expect_equal(lamp((0, 0, 3)).at, (0, 0, 3))
expect_equal(lamp((0, 0, 3 - 5)).name, None)
expect_equal(key((5, 5)).facing, None)
g = gate(op="and")
expect_equal((g.at, g.facing), (None, None))
expect_equal([tray((9, 0), 2, 3).state, bucket((9, 1), "+x", 1).state, meter((9, 2), "+x", level=4).state], [2, 1, 4])
expect_equal([battery((8, 0)).state, wire((8, 1)).state, jack((8, 3)).state, lamp((8, 5)).state], ["on", "live", "dead", "dark"])
expect_equal([shuttle((20, 0), "+x", out=True).state, chute((21, 4), "+x").state, reed((22, 0), "+x", on=True).state], ["out", "idle", "on"])
`},
		{"a part, its name or its cell", `
l = lamp((1, 2), name="quay")
expect_equal(events(l), events("quay"))
expect_equal(state(l).at, state((1, 2)).at)
expect_equal(state([1, 2]).name, "quay")
d = {l: 1}
expect_equal(d[parts()[0]], 1)
expect(l == parts()[0] and l != None)
`},
		{"poses tell nobody", `
battery((0, 0))
l = link((1, 0), "+y")
expect(l.armed)
expect_equal(armed(), [l])
m = link((2, 5), "+y", out=True)
expect(m.armed)
run()
expect_equal(events(), [])
`},
		{"pads and far", `
battery((5, 5))
a = link((0, 0), "+x", pads=[(5, 5), (0, 1, 2)])
expect(a.powered)
b = link((5, 3), "-x", far="+y")
expect(b.powered)
c = link((0, 9), "+x", pads=[])
battery((-1, 9))
expect(not c.powered)
`},
		{"rows", `
w = wire((0, 0), (4, 0), name="quay")
expect_equal(len(w), 5)
expect_equal([p.name for p in w], ["quay.0", "quay.1", "quay.2", "quay.3", "quay.4"])
expect_equal((w.first.at, w.last.at, w[-1].at, w.name), ((0, 0), (4, 0), (4, 0), "quay"))
bend = wire(path=[(0, 2), (0, 5), (3, 5), (3, 3)])
expect_equal(bend.cells, [(0, 2), (0, 3), (0, 4), (0, 5), (1, 5), (2, 5), (3, 5), (3, 4), (3, 3)])
loop = wire(path=[(10, 0), (14, 0), (14, 2), (12, 2), (12, 0), (12, -2)])
expect_equal(len(loop), 5 + 2 + 2 + 1 + 2)
expect_equal(wire((0, 0, 5), (0, 0, 7)).last.at, (0, 0, 7))
r = reed((20, 0), (23, 0), "+y", on=True)
expect_equal([p.state for p in r], ["on"] * 4)
expect_equal(reed((20, 2), "+y").facing, "+y")
expect_equal(reed((20, 3), to=(22, 3), facing="-z").last.facing, "-z")
expect_equal(len(wire((30, 0), (30, 0))), 1)
`},
		{"a row that fails leaves nothing", `
lamp((3, 0))
expect_error(lambda: wire((0, 0), (5, 0), name="a"), "wire: cell (3, 0) already holds a lamp")
expect_equal(len(parts()), 1)
remove((3, 0))
expect_equal(len(wire((0, 0), (5, 0), name="a")), 6)
`},
		{"removing", `
w = wire((0, 0), (3, 0))
l = lamp((0, 1), name="l")
remove(w)
expect_equal(parts(), [l])
remove("l")
expect_equal(parts(), [])
a, b = lamp((0, 0)), lamp((1, 0))
remove([a, (1, 0)])
remove([])
expect_equal(str(a), "a part that is no longer there")
lamp((0, 0), name="l")
`},
		{"cords on the shelf", `
k = key(name="k")
g, h = gate(op="nand"), gate(op="buf")
patch(k, g)
patch(g, h, power=True, news=False)
patch("k", h, power=False)
press("k")
run()
expect_equal((g.state, h.state), ("off", "off"))
expect_equal((unpatch(k, g), unpatch(k, g)), (1, 0))
`},
		{"inverted cords", `
k, g = key(), gate(op="buf")
patch(k, g, invert=True)
expect(g.armed)
nudge(g)
run()
expect_equal(g.state, "on")
press(k)
run()
expect_equal(g.state, "off")
`},
		{"press, release and when", `
k = key((0, 0))
press(k, at=5)
release(k, at=9)
run()
expect_equal([(e.tick, e.what, e.cause) for e in events(k)], [(5, "on", None), (9, "off", None)])
`},
		{"pulses of fire", `
w = wire((0, 0), (3, 0))
p = probe(w.last, name="mast")
for n in [0, 1, 2, 10]:
    fire((0, 0), n)
    run()
    expect_equal(p.width, n)
fire(w[0])
run()
expect_equal(p.width, 1)
fire(w[0], ticks=2)
run()
expect_equal(p.width, (2, 0))
fire(w[0], ticks=2, steps=3)
run()
expect_equal((p.width, p.pulses[-1].ticks, p.pulses[-1].steps), ((2, 3), 2, 3))
expect_equal(p.widths, [0, 1, 2, 10, 1, (2, 0), (2, 3)])
expect_equal(p.name, "mast")
expect_equal(len(p.edges), 14)
expect_equal((p.edges[0].what, p.edges[1].what, p.edges[0].part), ("live", "dead", w.last))
`},
		{"a probe made afterwards, and cleared", `
w = wire((0, 0), (3, 0))
fire((0, 0), 4)
run()
p = probe((2, 0))
expect_equal(p.width, 4)
p.clear()
expect_equal((p.width, p.pulses), (None, []))
fire((0, 0), 7)
tick()
expect_equal(p.widths, [7])
`},
		{"a pulse that lasts", `
k = key((0, 0))
p = probe(k)
press(k)
run()
expect_equal((p.width, p.pulses[0].fall, p.pulses[0].steps), (None, None, None))
expect_equal(p.pulses[0].rise.tick, 1)
expect_equal(str(p), "probe key (0, 0): 1 pulse, the last a pulse from 1.0.0, not over")
`},
		{"a place posed live", `
k = key((0, 0), on=True)
p = probe(k)
release(k)
run()
expect_equal((len(p.edges), p.pulses), (1, []))
press(k)
release(k, at=4)
run()
expect_equal(p.widths, [(2, 0)])
`},
		{"a probe at a bare cell", `
p = probe((7, 7))
fire((7, 7), 3)
run()
expect_equal(p.width, 3)
expect_equal((p.target, p.edges[0].what, p.edges[0].part, p.edges[0].cell), ((7, 7), "forced", None, (7, 7)))
`},
		{"a probe at a seat that is bridged and forced", `
k = key((0, 1))
s = shuttle((0, 0), "+x", slug="bridge")
p = probe((1, 0))
fire((1, 0), 3)
run()
expect_equal((p.width, len(p.pulses)), (3, 1))
`},
		{"a probe at a forced part sees its state, not the force", `
l = link((0, 0), "+x")
p = probe(l)
fire(l, 5)
nudge(l)
run()
expect_equal([e.what for e in p.edges], ["out"])
`},
		{"a meter's pulse", `
t = tray((0, 0), room=9)
b = bucket((0, 0, 1), "+x", tokens=1)
m = meter((1, 0), "+x")
p = probe(m)
nudge(b)
run()
fill(t, 0)
nudge(m)
run()
expect_equal([(e.what, e.level) for e in p.edges], [("level", 1), ("level", 0)])
expect_equal(len(p.pulses), 1)
`},
		{"probes and partial recording", `
w = wire((0, 0), (3, 0))
record("none")
fire((0, 0), 2)
run()
expect_equal(events(), [])
p = probe(w.last)
fire((0, 0), 3)
run()
expect_equal(p.width, 3)
expect_equal(len(events()), 2)
record("all")
fire((0, 0), 4)
run()
expect_equal(p.widths, [3, 4])
expect_equal(len(events(since=2, what="live")), 1 + 4)
`},
		{"filters of events", `
f = frame(name="r1")
w = f.wire((0, 0), (2, 0))
l = f.link((3, 0), "+y", name="pull")
lamp((2, 1), name="l")
t0 = now()
fire((0, 0), 3)
run()
t1 = now()
fire((0, 0), 1)
run()
expect_equal([e.what for e in events("l")], ["lit", "dark", "lit", "dark"])
expect_equal(len(events(kind="lamp")), 4)
expect_equal(len(events(kind=["lamp", "link"])), 4 + 3)
expect_equal(len(events(what=["out", "home"])), 2)
expect_equal(len(events(l, what="lapses")), 1)
expect_equal(len(events(what="live", tick=1)), 3)
expect_equal(len(events(frame=f)), len(events(frame="r1")))
expect_equal([e for e in events() if e.part and e.part.name == "l"], [e for e in events() if e not in events(frame="r1") and e.part])
expect_equal(events(since=t1), events(tick=2))
expect_equal(events(since=2), events(tick=2))
expect_equal(events(until=t1), events(tick=1))
expect_equal(events(until=1), events(tick=1))
expect_equal(events(since=t0), events())
expect_equal(events([l, "l"]), [e for e in events() if e.part in [l, parts("lamp")[0]]])
expect_equal(len(events(w)), 3 * 4 + 4)
e = events(l)[0]
expect_equal((e.at.tick, e.at.step, e.at.turn, e.level), (e.tick, e.step, e.turn, None))
expect_equal(e.cause.cause, events(what="forced")[0])
expect_equal(str(e), "1.1.0 r1.pull out")
expect(e == events(l)[0] and e != events(l)[1])
expect_equal(events()[3].number, 4)
`},
		{"causes end at a stimulus", `
wire((0, 0), (2, 0))
link((3, 0), "+y")
fire((0, 0), 3)
run()
for e in events():
    n = 0
    while e.cause:
        expect(not (e.at < e.cause.at))
        e = e.cause
        n += 1
    expect(e.what in ["forced", "freed"])
`},
		{"instants", `
a = now()
fire((0, 0), 3)
run()
b = now()
expect_equal((b.tick, b.step, b.turn), (1, 3, 0))
expect(a < b and b > a and a <= a and a != b)
expect_equal(str(b), "1.3.0")
expect_equal({b: 1}[now()], 1)
`},
		{"time", `
l = link((1, 0), "+y")
fire((0, 0), 5)
fire((0, 0), 5, at=7)
turn()
expect_equal((str(now()), l.state, quiet()), ("1.0.0", "home", False))
step()
expect_equal((str(now()), l.state), ("1.1.0", "out"))
tick()
expect_equal(str(now()), "1.6.0")
tick()
expect_equal(str(now()), "7.6.0")
expect(quiet())
tick(); step(); turn()
expect_equal(str(now()), "7.6.0")
run(ticks=3)
expect_equal(now().tick, 10)
run()
expect_equal(now().tick, 10)
fire((0, 0), at=12)
run(ticks=1)
expect_equal((now().tick, quiet()), (11, False))
turn(n=100)
expect(quiet())
`},
		{"back in time", `
l = link((1, 0), "+y")
fire((0, 0), 5)
run()
all = events()
back(2)
expect_equal((l.state, len(events())), ("out", len(all) - 2))
run()
expect_equal(events(), all)
back(1000)
expect_equal(events(), [])
`},
		{"a probe when time is turned back", `
w = wire((0, 0))
p = probe(w)
fire(w, 5)
run()
expect_equal(p.width, 5)
back(1)
expect_equal(p.width, None)
run()
expect_equal(p.widths, [5])
back(1)
fire((9, 9), 1)
fire(w, 3, at=2)
run()
expect_equal(p.widths, [5, 3])
back(100)
expect_equal(p.edges, [])
`},
		{"rules", `
r = rules()
expect_equal((r.order, r.news, r.reads, r.travel, r.reach, r.run), ("+x -x +y -y +z -z", "fifo", "turn", 2, 24, 6))
rules(order="+z -z +y -y +x -x", news="lifo")
expect_equal(rules(reads="step", travel=3, reach=5, run=0).order, "+z -z +y -y +x -x")
expect_equal(str(rules()), 'rules(order="+z -z +y -y +x -x", news="lifo", reads="step", travel=3, reach=5, run=0)')
rules(order=["+x", "-x", "+y", "-y", "+z", "-z"])
expect_equal(rules().order, r.order)
battery((0, 0))
w = wire((1, 0), (8, 0))
expect_equal([p.level for p in w], [5, 4, 3, 2, 1, 0, 0, 0])
fresh(reach=7)
expect_equal((rules().reach, rules().news, len(parts())), (7, "fifo", 0))
`},
		{"cost", `
wire((0, 0), (9, 0))
lamp((0, 3, 1))
gate(op="and")
c = cost()
expect_equal((c.parts, c.conductors, c.kinds, c.box, c.size, c.volume), (12, 10, {"wire": 10, "lamp": 1, "gate": 1}, ((0, 0), (9, 3, 1)), (10, 4, 2), 80))
expect_equal((c.news, c.turns, c.peak_news), (0, 0, 0))
fire((0, 0))
run()
d = cost()
expect_equal((d.turns, d.levels), (2, 20))
fire((0, 0), 3)
run()
e = cost(since=d)
expect_equal((e.turns, e.levels, e.news, e.peak_news), (2, 20, 0, 0))
expect_equal(cost().box, c.box)
fresh()
expect_equal((cost().box, cost().size, cost().volume), (None, (0, 0, 0), 0))
`},
		{"peak news since", `
l = link((0, 0), "+y")
m = link((1, 0), "+y")
nudge(l, around=True)
run()
c = cost()
nudge(m)
run()
d = cost(since=c)
expect_equal((d.news, d.peak_news), (1, 1))
record("none")
nudge(m)
run()
expect_equal(cost(since=c).peak_news, None)
`},
		{"state", `
s = shuttle((0, 0), "+x", slug="plug")
st = state((1, 0))
expect_equal((st.kind, st.slug, st.awaits, st.name, st.at), ("cell", "plug", False, None, (1, 0)))
k = key((-1, 0), hold=1)
press(k)
step(2)
expect_equal((state(s).transit, state((2, 0)).awaits, state(s).state), (True, True, "out"))
expect_equal(state(gate(op="nor")).armed, True)
t = tray((9, 9), 3, 5)
expect_equal((state(t).tokens, state(t).state), (3, 3))
`},
		{"expecting errors brings the bench back", `
w = wire((0, 0))
n = [0]
def go():
    lamp((5, 5))
    n[0] = rand(1000)
    fire(w, 3)
    run()
    fresh()
    fail("overboard")
text = expect_error(go, "overboard")
expect_equal((len(parts()), len(events()), now().tick), (1, 0, 0))
expect("overboard" in text)
expect_equal(rand(1000), n[0])
expect_equal(w.state, "dead")
`},
		{"random numbers come from the seed", `
a = [rand(100) for _ in range(5)]
b = shuffle(a)
expect_equal(sorted(a), sorted(b))
expect_equal(shuffle([]), [])
expect_equal([rand(1) for _ in range(3)], [0, 0, 0])
`},
		{"pad", `
expect_equal(pad("ab", 4) + "|", "ab  |")
expect_equal(pad(7, 4) + pad(1.5, 5), "   7  1.5")
expect_equal(pad("ab", 5, "center"), " ab  ")
expect_equal(pad("abc", 2), "abc")
expect_equal(pad("ab", 4, align="right", fill="."), "..ab")
expect_equal(pad(True, 5), "True ")
`},
		{"table", `
t = table([[1, "lit", None], [12, "dark", 3]], head=["berth", "lamp", "steps"])
expect_equal(str(t), "berth  lamp  steps\n-----  ----  -----\n    1  lit\n   12  dark      3")
expect_equal((t.head, len(t), t.rows[1][0], [r[1] for r in t]), (("berth", "lamp", "steps"), 2, 12, ["lit", "dark"]))
u = table([{"n": 1, "w": 2}, {"n": 3, "x": "a\tb"}])
expect_equal(str(u), "n  w  x\n-  -  ---\n1  2  None\n3     a b".replace("None", "").replace("  \n3", "\n3"))
expect_equal(str(table([["a", 1]], align="right", head=["one", "two"])).split("\n")[2], "  a    1")
expect_equal(str(table([["a", 1]], align=["center", "left"], head=["one", "two"])).split("\n")[2], " a   1")
expect_equal(str(table([])), "")
expect_equal(str(table([{"n": 1, "w": 2}], head=["w"])), "w\n-\n2")
`},
		{"modules", `
expect_equal(json.encode({"n": 1}), '{"n":1}')
expect_equal(math.floor(2.5), 2)
expect_equal(struct(a=1).a, 1)
`},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := mustDo(t, c.script)
			if err := s.Bench.Check(); err != nil {
				t.Error(err)
			}
		})
	}
}

// TestStopped: a context that ends stops every word that works long, and the error says so.
func TestStopped(t *testing.T) {
	const ring = "g = gate(op=\"not\", name=\"ring\")\npatch(g, g)\nnudge(g)"
	for _, last := range []string{"run(budget=1 << 50)", "run(ticks=1, budget=1 << 50)", "step(1 << 50)", "turn(1 << 50)", "tick(1 << 50, budget=1 << 50)", "wire((0, 0), (1 << 28, 0))",
		"expect_error(lambda: run(budget=1 << 50))"} {
		t.Run(last, func(t *testing.T) {
			s := newScene()
			if msg := s.do(ring); msg != "" {
				t.Fatal(msg)
			}
			ctx, cancel := context.WithTimeout(context.Background(), 30*time.Millisecond)
			defer cancel()
			s.Ctx = ctx
			_, err := starlark.ExecFileOptions(options, s.thread, "test.star", last, s.names)
			var stopped *engine.Stopped
			if !errors.As(err, &stopped) || !errors.Is(err, context.DeadlineExceeded) {
				t.Fatalf("got %v, want the run stopped", err)
			}
			s.Ctx = nil
			if msg := s.do("expect_equal(len(parts()), 1)"); msg != "" {
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
	s := newScene()
	_, err := starlark.ExecFileOptions(options, s.thread, "test.star", "g = gate(op=\"not\", name=\"ring\")\npatch(g, g)\nnudge(g)\nrun(budget=100)", s.names)
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
	s := newScene()
	calls, last := 0, int64(0)
	s.Moved = func() {
		calls++
		if s.Bench.Turns() < last {
			t.Error("time went back")
		}
		last = s.Bench.Turns()
	}
	msg := s.do("g = gate(op=\"not\")\npatch(g, g)\nnudge(g)\nrun(budget=100000)")
	if !strings.HasPrefix(msg, "run: tick 1 does not end: 100000 turns") {
		t.Fatal(msg)
	}
	if calls < 10 {
		t.Errorf("told %d times in 100000 turns", calls)
	}
	calls, last = 0, 0
	if msg := s.do("fresh()\nfire((0, 0))\nrun()\nturn()"); msg != "" {
		t.Fatal(msg)
	}
	if calls < 1 {
		t.Error("not told of a short run")
	}
	if !strings.Contains(s.out.String(), "quiet at 1.1.0: nothing to do") {
		t.Errorf("a turn without anything to do says nothing: %q", s.out)
	}
}

// TestHost: what only a session can do is asked of it, and what it did is printed.
func TestHost(t *testing.T) {
	s := newScene()
	h := &host{}
	s.Host = h
	if msg := s.do("undo()\nredo()\nsave(\"quay.star\")"); msg != "" {
		t.Fatal(msg)
	}
	if got := fmt.Sprint(h.asked); got != "[undo redo save quay.star]" {
		t.Error(got)
	}
	if got := s.out.String(); got != "undone: it\ndone again: it\nsaved\n" {
		t.Errorf("%q", got)
	}
}

// TestSeeds: the same seed gives the same numbers, another others, a copy goes on as the original.
func TestSeeds(t *testing.T) {
	draw := func(seed int64) string {
		s := newScene()
		s.Seed = seed
		if msg := s.do("print([rand(1000) for _ in range(4)], shuffle(range(9)))"); msg != "" {
			t.Fatal(msg)
		}
		return s.out.String()
	}
	if draw(1) != draw(1) || draw(1) == draw(2) {
		t.Error("random numbers do not come from the seed alone")
	}
	s := newScene()
	s.do("rand(5)")
	keep := s.Random
	s.do("print(rand(1000))")
	s.Random = keep
	s.do("print(rand(1000))")
	if a, b, _ := strings.Cut(strings.TrimSpace(s.out.String()), "\n"); a != b {
		t.Errorf("a generator that was put back gives %s, then %s", a, b)
	}
}

// TestTwoWorlds: words act on the world of their thread, and parts do not cross.
func TestTwoWorlds(t *testing.T) {
	a, b := newScene(), newScene()
	if msg := a.do("l = lamp((0, 0))"); msg != "" {
		t.Fatal(msg)
	}
	if b.Bench.Len() != 0 {
		t.Fatal("a part on the wrong bench")
	}
	b.names["l"] = a.names["l"]
	if msg := b.do("nudge(l)"); !strings.Contains(msg, "nudge: for parameter target: that part lies on another bench") {
		t.Error(msg)
	}
	bare := &starlark.Thread{}
	if _, err := starlark.Call(bare, Predeclared()["now"], nil, nil); err == nil || err.Error() != "now: there is no bench here" {
		t.Error(err)
	}
}

// TestFrozen: what a loaded file holds cannot be changed through a probe, and frozen values can be read.
func TestFrozen(t *testing.T) {
	s := newScene() // ExecFile freezes the globals when it ends
	if msg := s.do("p = probe((0, 0))\nt = table([[[1]]])"); msg != "" {
		t.Fatal(msg)
	}
	if msg := s.do("p.clear()"); !strings.HasPrefix(msg, "probe.clear: the probe cell (0, 0) is frozen") {
		t.Error(msg)
	}
	if msg := s.do("t.rows[0][0].append(2)"); !strings.Contains(msg, "frozen") {
		t.Error(msg)
	}
	if msg := s.do("fire((0, 0), 2)\nrun()\nexpect_equal(p.width, 2)"); msg != "" {
		t.Error(msg)
	}
}

// TestLogShows: each filter of the step log.
func TestLogShows(t *testing.T) {
	const rig = "f = frame(name=\"r1\")\nk = key((0, 0), name=\"k\")\nl = f.link((1, 0), \"+y\", name=\"l\")\npress(k)\nfire((9, 9), 3)\nrelease(k, at=2)\nrun()\n"
	for _, c := range []struct{ log, want string }{
		{"log()", "1.0.0 k on, 1.0.1 cell (9, 9) forced, 1.1.0 r1.l out, 1.3.0 cell (9, 9) freed, 2.0.0 k off, 2.1.0 r1.l home"},
		{"log(False)", ""},
		{"log(False)\nlog(True, words=\"out\")", "1.1.0 r1.l out"},
		{"log(parts=k)", "1.0.0 k on, 2.0.0 k off"},
		{"log(parts=[\"k\", (9, 9)])", "1.0.0 k on, 1.0.1 cell (9, 9) forced, 1.3.0 cell (9, 9) freed, 2.0.0 k off"},
		{"log(kinds=\"link\")", "1.1.0 r1.l out, 2.1.0 r1.l home"},
		{"log(kinds=[\"link\", \"key\"], words=[\"off\", \"home\"])", "2.0.0 k off, 2.1.0 r1.l home"},
		{"log(frames=f)", "1.1.0 r1.l out, 2.1.0 r1.l home"},
		{"log(frames=[\"r1\", \"r\"], steps=(0, 1))", "1.1.0 r1.l out, 2.1.0 r1.l home"},
		{"log(steps=(2, 9))", "1.3.0 cell (9, 9) freed"},
	} {
		s := mustDo(t, rig+c.log)
		var shown []string
		for id, e := range s.Bench.Events(1) {
			if s.Log.Shows(s.Bench, e) {
				shown = append(shown, NewEvent(s.Bench, id).String())
			}
		}
		if got := strings.Join(shown, ", "); got != c.want {
			t.Errorf("%s\ngot  %s\nwant %s", c.log, got, c.want)
		}
	}
	if s := mustDo(t, "log(story=True)"); !s.Log.Story {
		t.Error("story is not remembered")
	}
	if !(*LogOptions)(nil).Shows(engine.New(engine.DefaultRules()), engine.Event{}) {
		t.Error("without options nothing is shown")
	}
}

// TestPaint: colours dress text and change nothing else.
func TestPaint(t *testing.T) {
	var p Paint
	p[Word] = "\x1b[1m"
	if got := p.Apply(Word, "a") + p.Apply(Dim, "b") + p.Apply(Word, ""); got != "\x1b[1ma\x1b[0mb" {
		t.Errorf("%q", got)
	}
	plain, dressed := &Env{}, &Env{}
	for s := range dressed.Paint {
		dressed.Paint[s] = "\x1b[35m"
	}
	strip := strings.NewReplacer("\x1b[35m", "", "\x1b[0m", "")
	for _, e := range Entries() {
		a, _ := plain.Help(starlark.String(e.Name))
		b, _ := dressed.Help(starlark.String(e.Name))
		if a == b || a != strip.Replace(b) {
			t.Errorf("help of %s differs in more than colour", e.Name)
		}
	}
}

func TestNearest(t *testing.T) {
	among := []string{"delay", "lamp", "link", "wire", "reed", "expect_equal"}
	for word, want := range map[string]string{"dealy": "delay", "lmap": "lamp", "wires": "wire", "xyz": "", "": "", "li": "", "expectequal": "expect_equal", "delay": "", "read": "reed", "z": ""} {
		if got := Nearest(word, among); got != want {
			t.Errorf("Nearest(%q) = %q, want %q", word, got, want)
		}
	}
}

// TestHelp holds help's text for one word of each sort.
func TestHelp(t *testing.T) {
	s := newScene()
	s.Width = 72
	msg := s.do(`
def mast(f, n=3, *rest, step, **more):
    """Builds a mast.

    It is n cells high.
    """
    return n
def bare():
    pass
for x in [None, "frame.cell", delay, wire, "time", mast, bare, json, len, frame().lamp, 3]:
    help(x)
    print("=" * 72)
lamp((0, 0), name="l")
help(now())
`)
	if msg != "" {
		t.Fatal(msg)
	}
	golden(t, "testdata/help.txt", s.out.Bytes())
	for i, line := range strings.Split(s.out.String(), "\n") {
		if Columns(line) > 72 {
			t.Errorf("line %d is %d columns wide: %s", i+1, Columns(line), line)
		}
	}
}

func BenchmarkPlace(b *testing.B) {
	for _, c := range []struct{ name, call string }{
		{"wire", "wire((x, y))"}, {"link", "link((x, y), \"+z\")"}, {"delay", "delay((x, y), \"+z\", ticks=3)"}, {"frame", "f.link((x, y), \"+z\")"}, {"row", "row(y)"}, {"none", "none((x, y))"},
	} {
		b.Run(c.name, func(b *testing.B) {
			b.ReportAllocs()
			s := newScene()
			s.names["none"] = starlark.NewBuiltin("none", func(*starlark.Thread, *starlark.Builtin, starlark.Tuple, []starlark.Tuple) (starlark.Value, error) {
				return starlark.None, nil
			})
			inner := "for x in range(100):\n            " + c.call
			if c.name == "row" {
				inner = "wire((0, y), (99, y))"
			}
			if msg := s.do("f = frame(at=(5, 5), x=\"+y\")\ndef place(n):\n    fresh()\n    for y in range(n):\n        " + inner); msg != "" {
				b.Fatal(msg)
			}
			const rows = 100
			for b.Loop() {
				if _, err := starlark.Call(s.thread, s.names["place"], starlark.Tuple{starlark.MakeInt(rows)}, nil); err != nil {
					b.Fatal(err)
				}
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/(rows*100), "ns/part")
		})
	}
}

