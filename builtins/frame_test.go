package builtins_test

import (
	"pulsewright/builtins/stage"
	"testing"
)

// TestFrameTurns builds one rig in all 24 rotations and their mirror images, with the neighbour order turned alike. Every event
// must be the same, seen from the frame: the medium has no preferred direction but its neighbour order (and the way
// tokens drop, so there is no bucket here).
func TestFrameTurns(t *testing.T) {
	stage.MustDo(t, `
dirs = ["+x", "-x", "+y", "-y", "+z", "-z"]

def build(f):
    f.wire((0, 0), (0, 4))
    f.wire(path=[(1, 4), (2, 4)])
    f.shuttle((1, 0), "+x", "plug")
    f.jack((2, 0))
    f.shuttle((2, 3), "-y", "feed", out=True)
    f.shuttle((3, 4), "-y", "feed")
    f.wire((2, -1), (7, -1))
    f.reed((8, -1), (8, 4), "+z", far="-x")
    f.link((9, 4), "+y", pads=[(-1, 0, 0), (0, 0, 1), (2, -1, 3)])
    f.wire((9, 4, 1))
    f.battery((11, 3, 3))
    f.delay((8, -2), "-y", 3)
    f.gate((8, -3), "+z", "not", on=True)
    f.lamp((8, -3, 1))
    f.key((0, 5), name="k")
    return f.ports(key=(0, 5), start=(0, 0))

def transmit(f):
    p = build(f)
    press(f.part("k"))
    fire(p.start, 6, at=3)
    release(p.key, at=9)
    fire(p.start, 10, at=20)
    run()
    return [(e.at, f.local(e.cell), e.what, e.part and e.part.kind, e.cause and e.cause.number) for e in events()]

want = transmit(frame())
expect(len(want) > 100, "%d events only" % len(want))
count = 0
for x in dirs:
    for y in dirs:
        if x[1] == y[1]:
            continue
        for mirror in [False, True]:
            f = frame(at=(7, -3, 11), x=x, y=y, mirror=mirror)
            fresh(order=[f.dir(d) for d in dirs])
            count += 1
            expect_equal(transmit(f), want, str(f))
expect_equal(count, 48)
`)
}

func TestFrames(t *testing.T) {
	stage.MustDo(t, `
# Where things go.
f = frame(at=(10, 4), x="+y")
expect_equal((f.x, f.y, f.z, f.at, f.mirror, f.name), ("+y", "-x", "+z", (10, 4), False, ""))
expect_equal((f.cell((2, 0)), f.cell((0, 3)), f.cell((1, 1, 5))), ((10, 6), (7, 4), (9, 5, 5)))
m = frame(mirror=True)
expect_equal((m.x, m.y, m.z), ("+x", "-y", "+z"))
expect_equal((frame(mirror=True, y="+y").z, frame(x="+z").y, frame(x="+z").z, frame(y="+z").z), ("-z", "+y", "-x", "-y"))
expect_equal(str(frame(at=(1, 2), x="-x", name="r1", mirror=True)), "frame r1 at (1, 2), x to -x, y to +y, mirrored")

# Nested frames are turns of turns, and two mirrors are none.
g = f.frame(at=(2, 1), x="-x", mirror=True)
expect_equal((g.at, g.x, g.y, g.z, g.mirror), (f.cell((2, 1)), "-y", "-x", "+z", True))
expect_equal(g.frame(mirror=True).mirror, False)
for c in [(0, 0), (1, 2), (-3, 4, 5)]:
    expect_equal(g.local(g.cell(c)), c)

# Names.
quay = frame(at=(50, 0), name="quay")
r = quay.frame(at=(3, 0), name="r1")
l = r.link((0, 0), "+x", name="pull")
expect_equal(l.name, "quay.r1.pull")
expect_equal((r.part("pull"), r.part((0, 0)), r.part("quay.r1.pull")), (l, l, l))
expect_equal(r.lamp((1, 0)).name, "quay.r1.lamp(1,0)")
expect_equal(r.lamp((1, 0, 2)).name, "quay.r1.lamp(1,0,2)")
expect_equal(r.wire((4, 0), (6, 0), name="out").name, "quay.r1.out")
expect_equal(r.wire((4, 1), (6, 1))[2].name, "quay.r1.wire(6,1)")
expect_equal(r.gate(op="and", name="g").name, "quay.r1.g")
expect_equal(r.gate(op="and").name, None)
expect_equal(parts(frame=r), [p for p in parts() if p.name and p.name.startswith("quay.r1.")])
expect_equal(frame(at=(0, 20)).lamp((0, 0)).name, None)
twin = frame(at=(0, 30), name="quay").frame(name="r1")
expect_equal(twin.lamp((1, 0)).name, None)  # that name is taken, and nobody asked for it

# Cords and removal by names and cells of the frame.
a = r.key((0, 5), name="a")
b = r.lamp((3, 5), name="b")
r.patch("a", (3, 5))
press(a)
run()
expect_equal(b.state, "lit")
expect_equal(r.unpatch("a", "b"), 1)
r.remove("b")
expect_equal(r.cell((3, 5)), (56, 5))
expect_equal(state((56, 5)).kind, "cell")

# Ports.
p = r.ports(key=(0, 5), free=(9, 9), row=[1, 2, 3, 4], same=a)
expect_equal((p.key, p.free, p.row, p.same), (a, (62, 9), [1, 2, 3, 4], a))
expect("wire" in dir(r) and "cell" in dir(r) and "press" not in dir(r))
`)
}
