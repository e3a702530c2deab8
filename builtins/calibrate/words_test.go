package calibrate_test

import (
	"strings"
	"testing"

	"pulsewright/builtins"
	"pulsewright/builtins/stage"
)

// small is a calibration that ends soon.
const small = `c = calibrate("mine", order=["+x -x +y -y +z -z", "-y +y -x +x -z +z"], news="fifo", reads="turn", travel=[1, 3], reach=24, run=[5, 6])
mine = world(order="-y +y -x +x -z +z", travel=3, run=5)
`

// TestConversation: answers one by one, taken back, put aside, and given as a list, lead to the same.
func TestConversation(t *testing.T) {
	stage.MustDo(t, small+`
expect_equal((c.found, c.done, c.world, c.worlds, c.bits), (False, False, None, 8, 3.0))
first = c.text
names = [r.name for r in c.rigs]
c.rehearse(mine)
expect(c.text != first, "the next experiment is another")
c.back()
expect_equal((c.text, c.worlds), (first, 8))
c.skip("cannot build", rig=1)
expect(names[0] not in [r.name for r in c.rigs], "it was put aside")
c.unsure()
c.back()
c.back()
expect_equal(c.text, first)
while not c.done:
    c.rehearse(mine)
expect_equal((c.world, c.world.name, c.worlds, c.open, c.alone, c.clash), (mine, "mine", 1, {"travel": ["3 or more"]}, [], None))
again = calibrate("mine", order=["+x -x +y -y +z -z", "-y +y -x +x -z +z"], news="fifo", reads="turn", travel=[1, 3], reach=24, run=[5, 6], saw=c.seen)
expect_equal((again.world, again.done, again.seen), (c.world, True, c.seen))
`)
}

// TestAside: what only rigs put aside would find out is not found, and they are named.
func TestAside(t *testing.T) {
	stage.MustDo(t, `
c = calibrate("h", reach=9, run=5, travel=[1, 2], news="fifo", reads="turn", order="+x -x +y -y +z -z")
while not c.done:
    c.unsure()
expect_equal((c.found, c.world, c.worlds, c.asked), (False, None, 2, 0))
expect(c.text.startswith("not found: 2 worlds are left, and what would tell more of them was put aside: travel by a lamp;"), c.text)
expect("none of the rigs known here" not in c.text, c.text)
expect_error(lambda: c.saw("dark"), "only travel by a lamp would find out more, put aside before")
c.back()
expect_equal((c.done, [r.name for r in c.rigs]), (False, ["travel by a lamp"]))
c.rehearse(world("mine", travel=2, reach=9, run=5))
while not c.done:
    c.skip("too large")
expect_equal((c.found, c.world.travel, c.worlds), (True, 2, 1))
`)
}

// TestSpoken: an answer may be said in few words.
func TestSpoken(t *testing.T) {
	stage.MustDo(t, `
def seen(rig, text, **worlds):
    return calibrate(saw=[(rig, text)], check=False, **worlds).seen[0][1]
expect_equal(seen("order 1 laid +x +y +z", "a out, b home"), "a out, b home")
expect_equal(seen("order 1 laid +x +y +z", "b home a out"), "a out, b home")
expect_equal(seen("order 1 laid +x +y +z", "out home"), "a out, b home")
expect_equal(seen("travel by a lamp", "lit from tick 4"), "lamp dark; lamp lit from tick 4")
expect_equal(seen("travel by a lamp", 4), "lamp dark; lamp lit from tick 4")
expect_equal(seen("travel by a lamp", "dark"), "lamp dark")
expect_equal(seen("travel by a lamp", 9), "lamp dark")
expect_equal(seen("run by a row of 12", 7), "row 7")
late = calibrate(saw=[("travel by a lamp", "lit from tick 12")])
expect_equal((late.found, late.worlds), (False, 0))
expect_equal(seen("reach by a meter, 64 tokens", "meter 12"), "meter 12")
`)
}

// TestTorn: answers that contradict each other are named, with what comes nearest.
func TestTorn(t *testing.T) {
	s := stage.MustDo(t, small+`
c = calibrate(news="fifo", reads="turn", reach=24, run=6, travel=2, saw=[("order 1 laid +x +y +z", "out home"), ("order 2 laid +x +y +z", "out home out"), ("order 1 laid +x +y +z", "home out")])
expect_equal((c.found, c.done, c.world, c.worlds), (False, True, None, 0))
expect_equal([k[0] for k in c.clash], ["order 1 laid +x +y +z"] * 2)
text = c.text
`)
	text := s.Names["text"].String()
	for _, want := range []string{"contradict each other", "These 2 cannot all be true", "answer 1, order 1", "answer 3, order 1", "without answer 1: ", "without answer 3: "} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is not in\n%s", want, text)
		}
	}
}

// TestStandsAlone: without checks, what is believed on one answer's word is said.
func TestStandsAlone(t *testing.T) {
	s := stage.MustDo(t, small+`
c = calibrate(order="+x -x +y -y +z -z", news="fifo", reads="turn", travel=[1, 3], reach=24, run=6, check=False)
c.saw(3 + 1)
expect_equal((c.found, c.done, c.world.travel, len(c.alone)), (True, True, 3, 1))
text = c.text
`)
	if text := s.Names["text"].String(); !strings.Contains(text, "no other bears it out") {
		t.Error(text)
	}
}

// TestWhatStaysOpen: what no permitted rig tells apart is said.
func TestWhatStaysOpen(t *testing.T) {
	stage.MustDo(t, `
c = calibrate(order="+x -x +y -y +z -z", news="fifo", reads="turn", travel=2, reach=24, run=range(1, 33), parts=12, check=False)
w = world(run=30)
while not c.done:
    c.rehearse(w)
expect_equal((c.found, c.open), (True, {"run": ["10 or more"]}))
expect("23 worlds are left" in c.text, c.text)
`)
}

// TestAtLeast: where larger numbers than were given would have shown the same, the world that is found says so.
func TestAtLeast(t *testing.T) {
	stage.MustDo(t, `
def find(hidden, **given):
    c = calibrate(order="+x -x +y -y +z -z", news="fifo", reads="turn", check=False, **given)
    while not c.done:
        c.rehearse(hidden)
    expect(c.found, c.text)
    return c
for reach in [64, 65, 1000]:
    c = find(world(reach=reach), travel=2, run=6)
    expect_equal((c.open, c.world.note), ({"reach": ["64 or more"]}, "found by 1 experiment; reach is 64 or more"))
    expect("64 or more" in c.text and "goes for larger numbers, too" in c.text, c.text)
for n in [63, 1]:
    c = find(world(reach=n), travel=2, run=6)
    expect_equal((c.open, c.world.reach, c.world.note), ({}, n, "found by 1 experiment"))
expect_equal(find(world(travel=9), reach=24, run=6).open, {"travel": ["8 or more"]})
expect_equal(find(world(travel=7), reach=24, run=6).open, {})
expect_equal(find(world(run=22), travel=2, reach=24).open, {"run": ["22 or more"]})
expect_equal(find(world(run=21), travel=2, reach=24).open, {})
expect_equal(find(world(run=6), travel=2, reach=24, run=[5, 6]).open, {"run": ["6 or more"]})
known = find(world(), travel=2, reach=24, run=6)
expect_equal((known.open, known.asked, known.world.note), ({}, 0, "found by 0 experiments"))
`)
}

// TestForDesigns: only what changes what a design does is asked, and what stays open does not change it.
func TestForDesigns(t *testing.T) {
	s := stage.New()
	stage.MustSession(t, s, `
def build(f):
    line = f.wire((0, 0), (9, 0))
    return struct(input=line.first, out=probe(line.last))
def send(rig, n):
    fire(rig.input, n)
def read(rig):
    return rig.out.width
line = design("line", build, send, read, range(1, 9))
for reach in [3, 9, 10, 40]:
    c = calibrate(reach=range(1, 65), run=[5, 6], for_designs=[line], check=False)
    hidden = world(order="-z -y +x +y +z -x", news="lifo", reach=reach)
    while not c.done:
        expect_equal([r.about for r in c.rigs if r.about != "reach"], [])
        c.rehearse(hidden)
    expect((reach in [c.world.reach]) or len(c.open["reach"]) > 1)
    expect_equal(((c.world.reach >= 10), len(c.open["order"]), len(c.open["news"])), (reach >= 10, 720, 2))
    expect("That does not matter: in 60 worlds drawn from these it did the same, with" in c.text, c.text)
few = calibrate(order=["+x -x +y -y +z -z", "-x +x +y -y +z -z"], travel=[1, 2], reach=20, run=6, for_designs=[line])
expect_equal((few.done, few.asked, few.worlds), (True, 0, 16))
expect(few.text.startswith("nothing needs to be asked for line: 16 worlds are possible, and open is\n  order: "), few.text)
expect("That does not matter: it does the same in each of these worlds" in few.text, few.text)
one = calibrate(order="+x -x +y -y +z -z", news="fifo", reads="turn", travel=2, run=6, reach=range(1, 400), for_designs=[line], saw=[("reach by a row of 23", "23")], check=False)
expect(one.done and "in 60 worlds drawn from these it did the same, with the numbers that were tried, and in " in one.text, one.text)
expect(", one for each value of reach that is open" in one.text, one.text)
expect("found" not in few.text and "found" not in few.world.note, few.text)
expect_error(lambda: few.saw("out"), "nothing more needs to be asked for line")
def sulks(rig, n):
    fail("no")
`)
	if err := stage.Session(t, s, `calibrate(for_designs=[design("sulky", build, sulks, read, [1])])`); err == nil || !strings.Contains(builtins.Message(err), "no") {
		t.Errorf("a design that cannot be tried: %v", err)
	}
}

// TestForDesignsPlace: under mixed orders a design is tried where the user builds, and that is said.
func TestForDesignsPlace(t *testing.T) {
	stage.MustDo(t, `
def build(f):
    k = f.key((0, 0))
    return struct(k=k, quay=f.shuttle((1, 0), "+x", slug="plug"), mole=f.shuttle((0, 0, 1), "+z", slug="plug"))
def send(rig, n):
    press(rig.k)
def read(rig):
    return [e for e in events() if e.what == "out"][0].part == rig.quay
race = design("race", build, send, read, [1])
def acts(seed, at):
    fresh(order="mixed %d" % seed)
    rig = build(frame(at=at))
    send(rig, 1)
    log(False)
    run()
    return read(rig)
alike, differ = [], []
for x in range(12):
    (alike if acts(3, (x, 0, 1)) == acts(9, (x, 0, 1)) else differ).append((x, 0, 1))
for at in alike[:2] + differ[:2]:
    c = calibrate(order=["mixed 3", "mixed 9"], at=at, for_designs=[race], news="fifo", reads="turn", travel=2, reach=24, run=6)
    expect_equal(c.done, at in alike, str(at))
    if c.done:
        expect(c.text.startswith("nothing needs to be asked for race at " + str(at) + ": "), c.text)
        expect("with it built at " + str(at) + ", as at= says, the +x and +y of its frame along +x and +y" in c.text and "not matter there: " in c.text and "which was not tried" in c.text, c.text)
    else:
        c.rehearse(world(order="mixed 9"))
        while not c.done:
            c.rehearse(world(order="mixed 9"))
        expect_equal(c.world, world(order="mixed 9"))
expect(alike and differ)
`)
}

// TestMixed: which of some mixed orders it is, is found as well.
func TestMixed(t *testing.T) {
	stage.MustDo(t, `
orders = ["+x -x +y -y +z -z"] + ["mixed %d" % n for n in range(12)]
def find(n):
    w = world(order=orders[n], travel=1)
    c = calibrate(order=orders, news="fifo", reads="turn", travel=[1, 2], reach=24, run=6)
    expect("the very cells" in c.text, c.text)
    while not c.done:
        expect_equal(len(c.rigs), 1)
        c.rehearse(w)
    expect_equal((c.world, c.alone), (w, []))
find(0)
find(7)
find(12)
c = calibrate(order=orders, news="fifo", reads="turn", travel=2, reach=24, run=6, at=(40, -3, 9))
fresh(order="mixed 4")
c.build()
seen = [p for p in parts() if p.kind in ("shuttle", "link", "lamp")]
expect_equal([p.at for p in parts("key")], [(40, -3, 9)])
run()
saw = [p.state for p in seen]
c.rehearse(world(order="mixed 4"))
expect_equal(c.seen[0][1].replace(",", "").split(" ")[1::2], saw)
`)
}

// TestBuild places what the text shows.
func TestBuild(t *testing.T) {
	stage.MustDo(t, small+`
n = 0
for r in c.rigs:
    n += r.parts
fresh(mine)
c.build()
expect_equal(len(parts()), n)
run()
expect_error(lambda: c.build(), "take an empty one with fresh()")
`)
}

// TestFrozen: what a script has finished with does not change.
func TestFrozen(t *testing.T) {
	s := stage.MustDo(t, small)
	if msg := s.Do("c.rehearse(mine)"); !strings.Contains(msg, "frozen") {
		t.Error(msg)
	}
}

// TestCalibrationInTrials: trials, which run at once, cannot use a calibration of the session, by name, by its methods or in a function; one that
// their functions hold is frozen.
func TestCalibrationInTrials(t *testing.T) {
	const head = `
c = calibrate(order="+x -x +y -y +z -z", news="fifo", reads="turn", reach=5, run=5, travel=[1, 2])
build, box = c.build, [c]
def held():
    return c.asked
def line(send):
    def made(f):
        w = f.wire((0, 0), (2, 0))
        return struct(input=w.first, out=probe(w.last))
    return design("line", made, send, lambda rig: rig.out.width, range(1, 8))
def holds(send):
    own = calibrate(order="+x -x +y -y +z -z", news="fifo", reads="turn", reach=5, run=5, travel=[1, 2])
    return sweep(line(lambda rig, n: send(own, rig, n)))
`
	s := stage.New()
	stage.MustSession(t, s, head+`
expect_equal(len(holds(lambda own, rig, n: fire(rig.input, n + own.asked + len(own.seen))).rows), 7)
`)
	const out = "c cannot be used in a trial: it changes as it is used"
	for _, k := range [][2]string{
		{`sweep(line(lambda rig, n: c.saw("lit from tick 3")))`, out},
		{`sweep(line(lambda rig, n: fire(rig.input, n + len(c.rigs))))`, out},
		{`sweep(line(lambda rig, n: build()))`, "cannot be used in a trial"},
		{`sweep(line(lambda rig, n: fire(rig.input, n + held())))`, out},
		{`sweep(line(lambda rig, n: box[0].back()))`, "box cannot be used in a trial: it changes as it is used"},
		{`holds(lambda own, rig, n: own.unsure())`, "the calibration is frozen; a function of a trial cannot change it"},
		{`holds(lambda own, rig, n: own.build())`, "the calibration is frozen"},
	} {
		if err := stage.Session(t, s, k[0]); err == nil || !strings.Contains(builtins.Message(err), k[1]) {
			t.Errorf("%s\nsays %v\nwant %s", k[0], err, k[1])
		}
	}
	stage.MustSession(t, s, "expect_equal((c.seen, len(parts())), ([], 0))\nc.unsure()")
}

// TestErrors: what was wrong is said, with what is allowed, and nothing changes.
func TestErrors(t *testing.T) {
	for _, k := range [][2]string{
		{`calibrate(travel=[])`, "an empty list, want at least one number"},
		{`calibrate(travel=0)`, "want numbers from 1 to"},
		{`calibrate(order="+x +x")`, "all six directions"},
		{`calibrate(order="mixed x")`, "such as \"mixed 7\""},
		{`calibrate(for_designs=[])`, "want at least one design"},
		{`calibrate(size=3)`, "it goes with for_designs"},
		{`calibrate(for_designs=["line"])`, "want a design"},
		{`calibrate(news="lilo")`, "did you mean lifo"},
		{`calibrate(travel=range(1, 2000), run=range(0, 300), reach=range(1, 300))`, "want at most 500000"},
		{`calibrate(parts=33)`, "got 33, want 4 to 32"},
		{`calibrate(parts=3)`, "want"},
		{`calibrate(at=(0, 1 << 30))`, "want coordinates from -"},
		{`calibrate(saw=[("order 1 laid +x +y +x", "out home")])`, "did you mean order 1 laid +x +y +z"},
		{`calibrate(saw=["up"])`, "want a pair"},
		{`c.saw()`, "got 0 answers, want one for each of the"},
		{`c.saw(*["up" for r in c.rigs])`, "travel by a lamp: got \"up\", want the tick"},
		{`calibrate(saw=[("order 1 laid +x +y +z", "up out")])`, "want how each part stands: a home or out, b home or out"},
		{`c.rehearse(3)`, "want a world"},
		{`c.skip("")`, "want a reason"},
		{`c.skip("no room", rig=9)`, "got 9, want 1 to"},
		{`c.back()`, "nothing has been said yet"},
		{`{c: 1}`, "cannot be a key"},
	} {
		s := stage.New()
		stage.MustSession(t, s, small+"before = c.text")
		if err := stage.Session(t, s, k[0]); err == nil || !strings.Contains(builtins.Message(err), k[1]) {
			t.Errorf("%s: %v, want %q", k[0], err, k[1])
		}
		stage.MustSession(t, s, "expect_equal(c.text, before)")
	}
}
