package calibrate_test

import (
	"strings"
	"testing"

	"pulsewright/builtins"
	"pulsewright/builtins/stage"
)

const ownKinds = `
def watcher(n):
    def watches(state, live, told):
        if state == "still":
            return "saw"
        return "still" if told == "due" else None
    return kind("watcher", ["still", "saw"], watches, hears=["front"], when="now", then={"saw": n}, feeds={"saw": "around"}, letter="y")
def sensor(n):
    return kind("sensor", ["low", "high up"], lambda state, live, told: "high up" if live.sides >= n else "low", when=2, letter="q")
def quiet(t):
    return kind("quiet", ["off", "on"], lambda state, live, told: "on" if live.back else "off", when="now", tells=t, feeds={"on": "around"})
watchers = [watcher(n) for n in range(1, 9)]
sensors = {"%d sides" % n: sensor(n) for n in range(1, 5)}
quiets = {t: quiet(t) for t in ["around", "front", "none"]}
known = dict(order="+z -y +x -x -z +y", news="fifo", reads="turn", travel=1, reach=12, run=6)
`

// TestKinds: how a kind of the user's own is told is found out with the rules; the world that is found has it.
func TestKinds(t *testing.T) {
	stage.MustDo(t, ownKinds+`
def find(c, hidden):
    while not c.done:
        c.rehearse(hidden)
    expect_equal((c.found, c.world, c.worlds, c.open, c.alone), (True, hidden, 1, {}, []))
    return c
for i in [0, 2, 7]:
    find(calibrate(kinds={"watcher": watchers}, **known), world(kinds=[watchers[i]], **known))
for k in sensors.values():
    find(calibrate(kinds={"sensor": sensors}, **known), world(kinds=[k], **known))
for k in quiets.values():
    find(calibrate(kinds={"quiet": quiets}, **known), world(kinds=[k], **known))
both = {"watcher": watchers[:3], "sensor": sensors}
start = calibrate(kinds=both, **known)
expect_equal((start.worlds, start.open), (12, {"watcher": ["1", "2", "3"], "sensor": ["1 sides", "2 sides", "3 sides", "4 sides"]}))
c = find(calibrate(kinds=both, news="fifo", reads="turn", travel=1, reach=[12, 13], run=6), world(kinds=[watchers[2], sensors["3 sides"]], **known))
again = calibrate(kinds=both, news="fifo", reads="turn", travel=1, reach=[12, 13], run=6, saw=c.seen)
expect_equal((again.world, again.done), (c.world, True))
fresh(c.world)
k = key((1, 0))
s = c.world.watcher((0, 0), "+x")
press(k)
run()
expect_equal([(e.tick, e.what) for e in events(s)], [(1, "saw"), (4, "still")])
one = calibrate(kinds={"watcher": watchers[4]}, **known)
expect_equal((one.done, one.world.kinds), (True, (watchers[4],)))
`)
}

// TestKindsBuilt: what a rig for a kind is said to show, its parts show on the bench, tick by tick.
func TestKindsBuilt(t *testing.T) {
	stage.MustDo(t, ownKinds+`
c = calibrate(kinds={"watcher": watchers[2:3] + watchers[:2]}, **known)
possible = c.rigs[0].possible
fresh(world(**known))
c.build()
w = parts("watcher")[0]
seen = []
for t in range(1, 6):
    run(ticks=1)
    seen.append(w.state)
expect_equal(seen, ["saw", "saw", "saw", "still", "still"])
for text in ["watcher saw; watcher still from tick 4", "saw; still from tick 4", "saw still 4", "saw from tick 1, still from tick 4"]:
    c.saw(text)
    expect_equal((c.seen[0][1], c.worlds), ("watcher saw; watcher still from tick 4", 1))
    expect(c.seen[0][1] in possible, str(possible))
    c.back()
c = calibrate(kinds={"sensor": sensors}, **known)
c.saw(*["low high up 3" for r in c.rigs])
expect_equal(c.seen[0][1], "sensor low; sensor high up from tick 3")
`)
}

// TestKindsFirst: what the error about several ways and the guide say goes: first the kind, then what changes what a design does. At once or a step
// later stays open where it leaves nothing else behind.
func TestKindsFirst(t *testing.T) {
	stage.MustDo(t, ownKinds+`
def build(f):
    return struct(input=f.put(watchers[2], (0, 0), "+x"), seen=probe(f.lamp((0, 1))))
d = design("watch", build, lambda rig, n: nudge((1, 0), around=True), lambda rig: len(rig.seen.pulses), [1, 2])
c = calibrate(kinds={"watcher": watchers}, **known)
while not c.done:
    c.rehearse(world(kinds=[watchers[2]], **known))
then = calibrate(kinds={"watcher": c.world.watcher}, for_designs=[d])
expect(then.done, then.text)
expect_equal(then.world.kinds, (watchers[2],))
horns = {w: kind("horn", ["still", "saw"], lambda state, live, told: "saw" if live.back else "still", pads=["back"], when=w, letter="p") for w in ["now", "step"]}
c = calibrate(kinds={"horn": horns}, **known)
expect_equal((c.done, c.open), (True, {"horn": ["now", "step"]}))
`)
}

// TestKindsByHand: what small arrangements at random do not show, rigs made by hand do.
func TestKindsByHand(t *testing.T) {
	stage.MustDo(t, ownKinds+`
def find(ways, **rules):
    given = dict(known, **rules)
    for k in ways:
        c = calibrate(kinds={"horn": ways}, **given)
        while not c.done:
            parts = 0
            for r in c.rigs:
                parts += r.parts
            expect(parts <= 24)
            c.rehearse(world(kinds=[k], **given))
        expect_equal((c.found, c.world.kinds, c.worlds, c.alone), (True, (k,), 1, []), c.text)
def behind(state, live, told):
    return "saw" if live.back else "still"
def horn(**how):
    return kind("horn", ["still", "saw"], behind, letter="p", **how)
find([horn(feeds={"saw": ("front", n)}) for n in [1, 2, 3]])
find([horn(feeds={"saw": ("front", n)}) for n in [20, 21, 9]], reach=24)
for how in [dict(feeds={"saw": "front"}), dict(feeds={"saw": "around"}), dict(feeds={"still": "front"}), dict(conducts=["saw"])]:
    for news, order in [("fifo", "+x -x +y -y +z -z"), ("lifo", "+z -y +y -x -z +x")]:
        find([horn(when=w, **how) for w in ["now", "step"]], reads="step", news=news, order=order)
find([horn(when=n) for n in [20, 21]])
find([horn(when=n) for n in [100, 101]])
c = calibrate(kinds={"horn": [horn(when=w, feeds={"saw": "front"}) for w in ["now", "step"]]}, **dict(known, reads="step"))
expect("the shuttle: home or out after tick 1, the one of the press?" in c.text, c.text)
expect_error(lambda: c.saw(*["oot" for r in c.rigs]), "how the shuttle stands after tick 1: home or out; did you mean out?")
one = calibrate(kinds={"horn": [horn(when=w) for w in ["now", "step"]]}, **known)
expect("it may as well be one other" in one.text, one.text)
`)
}

// TestKindsTorn: what no way to tell the kind shows is a contradiction; what cannot be told apart stays open.
func TestKindsTorn(t *testing.T) {
	stage.MustDo(t, ownKinds+`
twins = [watcher(3), watcher(3)]
slow = [watcher(n) for n in [3, 300, 400]]
c = calibrate(kinds={"watcher": watchers}, **known)
c.saw("saw; still from tick 11")
expect_equal((c.found, c.worlds, len(c.clash)), (False, 0, 1))
same = calibrate(kinds={"watcher": twins}, **known)
expect_equal((same.done, same.found, same.open), (True, True, {"watcher": ["1", "2"]}))
long = calibrate(kinds={"watcher": slow}, **known)
w = world(kinds=slow[2:], **known)
while not long.done:
    long.rehearse(w)
expect_equal((long.found, long.open), (True, {"watcher": ["2", "3"]}))
expect("none of the rigs known here" in long.text, long.text)
`)
}

// TestKindsErrors: what was wrong is said, with what is allowed.
func TestKindsErrors(t *testing.T) {
	for _, k := range [][2]string{
		{`calibrate(kinds=watchers)`, "want a dict from the name of each kind to a list of kinds"},
		{`calibrate(kinds={"watcher": []})`, "watcher has 0 ways, want 1 to 64"},
		{`calibrate(kinds={"watcher": [3]})`, "want a dict from the name"},
		{`calibrate(kinds={"watch": watchers})`, `a kind watcher stands under the name "watch"`},
		{`calibrate(kinds={"sensor": [sensor(1), kind("sensor", ["a", "b"], lambda s, l, t: None)]})`, "one kind sensor has other states than the other"},
		{`calibrate(kinds={"run": [kind("run", ["a", "b"], lambda s, l, t: None)]})`, "would be taken for the rule"},
		{`calibrate(kinds={"save": [kind("save", ["a", "b"], lambda s, l, t: None)]})`, "a world has a .save of its own, want another name for the kind save"},
		{`calibrate(kinds={"watcher": watchers * 5, "sensor": [sensor(2)] * 40})`, "more than 1024 ways"},
		{`calibrate(kinds={"watcher": watchers}, for_designs=[1])`, `goes by the rules alone, as a design holds the kinds it is made of, and watcher is told in 8 ways; want one way of each kind: find it out first, c = calibrate(kinds=...) without for_designs, and give what was found, kinds={"watcher": c.world.watcher}`},
		{`calibrate(kinds={"watcher": watchers, "horn": [kind("horn", ["a", "b"], lambda s, l, t: None, letter="y")]})`, "has the letter y, and so has watcher"},
		{`c.rehearse(world(**known))`, "it has no kind watcher"},
		{`c.saw("saw; stil from tick 3")`, "want how the watcher stands after tick 1"},
		{`c.saw("saw; still from tick 30")`, "up to 11"},
		{`c.saw("saw; still")`, "want how the watcher stands"},
	} {
		s := stage.New()
		stage.MustSession(t, s, ownKinds+"c = calibrate(kinds={\"watcher\": watchers}, **known)\nbefore = c.text")
		if err := stage.Session(t, s, k[0]); err == nil || !strings.Contains(builtins.Message(err), k[1]) {
			t.Errorf("%s: %v, want %q", k[0], err, k[1])
		}
		stage.MustSession(t, s, "expect_equal(c.text, before)")
	}
}
