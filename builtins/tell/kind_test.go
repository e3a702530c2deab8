package tell_test

import (
	"os"
	"strings"
	"testing"

	"pulsewright/builtins"
	"pulsewright/builtins/stage"
)

const slider = `
def relay(state, live, told):
    return "out" if live.back or live.sides or live.cords or live.forced else "home"
slider = kind("slider", ["home", "out"], relay)
`

// TestOwnKind: parts of a kind of one's own are placed, looked at, undone and drawn like any others.
func TestOwnKind(t *testing.T) {
	s := stage.MustDo(t, slider+`
k = key((0, 0), name="quay")
s = slider((1, 0), "+x", name="pull")
f = frame(at=(4, 4), x="+y", name="r1")
t = f.put(slider, (0, 0), "+x", state="out")
expect_equal((s.kind, s.state, s.armed, s.facing), ("slider", "home", False, "+x"))
expect_equal((t.at, t.facing, t.state, t.name), ((4, 4), "+y", "out", "r1.slider(0,0)"))
expect_equal((slider.name, slider.letter, slider.states), ("slider", "i", ("home", "out")))
patch(s, lamp((2, 2), name="berth"))
p = probe(s)
press(k)
run()
expect_equal([(str(e.at), e.what) for e in events(s)], [("1.1.0", "out")])
expect_equal([e.what for e in events("berth")], ["lit"])

tick()
release(k)
run()
expect_equal([e.what for e in events(s)], ["out", "home"])
expect_equal(len(p.pulses), 1)
expect_equal(len(parts(state="home")) > 0, True)
again = slider(**dict(state(s).params, at=(9, 9)))
expect_equal((again.state, again.facing), ("home", "+x"))
print(map())
print(why(s))
print(state(s))
`)
	out := s.Printed.String()
	for _, want := range []string{"i slider home, I out", "I▴", "pull went home at 2.1.0", `placing  slider(at=(1, 0), facing="+x", state="home"`} {
		if !strings.Contains(out, want) {
			t.Errorf("no %q in\n%s", want, out)
		}
	}
}

// TestOwnKindIsChosen: events, parts and the log are chosen by the words and the name of a kind; a word that a built-in kind has as well means both.
func TestOwnKindIsChosen(t *testing.T) {
	s := stage.MustDo(t, slider+`
def falls(state, live, told):
    return "on" if live.around else "over"
bell = kind("bell", ["over", "on"], falls, facing=False)
k = key((0, 0), name="quay", hold=1)
s = slider((1, 0), "+x")
b = bell((0, 1))
press(k)
run()
expect_equal([e.what for e in events(what="over")], ["over"])
expect_equal([e.part for e in events(what="on")], [k, b])
expect_equal([e.part for e in events(kind="bell")], [b, b])
expect_equal([e.part for e in events(kind=["bell", "key"], what=["on"])], [k, b])
expect_equal([e.part for e in events(kind=bell)], [b, b])
expect_equal((parts("bell"), parts(bell), parts(["slider", "bell"])), ([b], [b], [s, b]))
expect_equal((parts("bell", state="over"), parts("bell", state="on"), parts(slider, facing="+x")), ([b], [], [s]))
log(kind="bell", what="over")
`)
	shown := 0
	for _, e := range s.Bench.Events(1) {
		if s.Log.Shows(s.Bench, e) {
			shown++
		}
	}
	if shown != 1 {
		t.Errorf("the log shows %d events, want 1", shown)
	}
	for _, c := range []struct{ call, want string }{
		{`events(what="ovr")`, "did you mean over?"},
		{`events(kind="bel")`, "did you mean bell?"},
		{`parts("bell", state="ove")`, "want one of over on"},
		{`parts("bell", ticks=2)`, "a bell has no .ticks"},
	} {
		if msg := s.Do(c.call); !strings.Contains(msg, c.want) {
			t.Errorf("%s\nsays %s\nwant %s", c.call, msg, c.want)
		}
	}
}

// TestOwnKindCost: what a bench is made of counts them by their names.
func TestOwnKindCost(t *testing.T) {
	stage.MustDo(t, slider+`
slider((0, 0), "+x")
slider((3, 0), "+x", state="out")
wire((5, 5))
c = cost()
expect_equal((c.parts, c.kinds), (3, {"wire": 1, "slider": 2}))
expect("3: 1 wire, 2 slider" in str(c), str(c))
`)
}

// TestOwnKindInTrials: designs made of them are swept and surveyed; two of one kind that differ in nothing else follow by turns.
func TestOwnKindInTrials(t *testing.T) {
	stage.MustDo(t, slider+`
def build(f):
    w = f.wire((0, 0), (2, 0))
    s = f.put(slider, (3, 0), "+x")
    return struct(input=w.first, out=probe(s))
def send(rig, n):
    fire(rig.input, n)
def read(rig):
    return rig.out.width
d = design("slid", build, send, read, [2, 3, 5])
expect_equal(sweep(d).column("right"), [True, True, True])
s = survey(d, travel=[2])
expect((s.holds, s.cases), str(s))
expect_equal(recovery(d).ticks, 1)
`)
}

// TestOwnKindErrors: what is told wrong is said with what is allowed.
func TestOwnKindErrors(t *testing.T) {
	for _, c := range []struct{ call, want string }{
		{`kind("lamp", ["a", "b"], relay)`, `"lamp" is a built-in kind`},
		{`kind("x y", ["a", "b"], relay)`, `want a name of letters, digits and _`},
		{`kind("x", ["a"], relay)`, `got 1, want 2 to 8`},
		{`kind("x", ["a", "a"], relay)`, `"a" is named twice`},
		{`kind("x", ["home", "out"], relay, pads=["bak"])`, `want a list of back front sides far_back far_front; did you mean back?`},
		{`kind("x", ["home", "out"], relay, facing=False, pads=["back"])`, `want a list of around`},
		{`kind("x", ["home", "out"], relay, hears=["far_back"])`, `want a list of back front sides`},
		{`kind("x", ["home", "out"], relay, when="later")`, `want "now", "step" or a number of ticks, at least 1`},
		{`kind("x", ["home", "out"], relay, when={"in": "now"})`, `want one of its states, home out`},
		{`kind("x", ["home", "out"], relay, then={"out": 0})`, `state "out" has 0, want a number of ticks`},
		{`kind("x", ["home", "out"], relay, feeds={"out": "side"})`, `want "around", "front" or ("front", level)`},
		{`kind("x", ["home", "out"], relay, letter="k")`, `one that nothing else on a map has`},
		{`kind("x", ["home", "out"], lambda s, l, t: "open")`, `gives "open", want one of its states, home out, or None`},
		{`kind("x", ["home", "out"], lambda s, l, t: l.front)`, `has no .front`},
		{`kind("x", ["home", "out"], lambda s, l, t: lamp((9, 9)))`, `there is no bench here`},
		{`kind("x", ["a", "b", "c", "d", "e", "f", "g", "h"], relay, pads=["back", "front", "sides", "far_back", "far_front"], relook=True, then={"a": 1})`, `combinations of states, tellers and live cells, want at most 65536`},
		{`kind("x", ["home", "out"], lambda s, l, t: print(s))`, `wants("home", live(back = False, cords = 0, forced = False, sides = 0), "back") fails: print: it must be a pure function`},
		{"seen = []\ndef counts(state, live, told):\n    seen.append(told)\nkind(\"x\", [\"home\", \"out\"], counts)", "cannot append to frozen list"},
		{`slider((5, 5))`, `missing argument facing`},
		{`slider((5, 5), "+x", state="in")`, `want one of home out`},
		{`frame().put(len, (0, 0))`, `want a placing word`},
	} {
		s := stage.New()
		if msg := s.Do(slider); msg != "" {
			t.Fatal(msg)
		}
		was := s.Bench.Fingerprint()
		if msg := s.Do(c.call); !strings.Contains(msg, c.want) || s.Bench.Fingerprint() != was {
			t.Errorf("%s\nsays %s\nwant %s", c.call, msg, c.want)
		}
	}
}

// TestOwnKindOfOneLetter: two kinds of one letter are not placed on one bench, where maps and sketches could not tell them apart, by whatever word; what
// is refused leaves nothing behind. Once the parts of the other are gone the letter is free.
func TestOwnKindOfOneLetter(t *testing.T) {
	const bells = `
def rings(state, live, told):
    return "on" if live.around else "off"
bell = kind("bell", ["off", "on"], rings, facing=False, letter="z")
buzz = kind("buzz", ["off", "on"], rings, facing=False, letter="z")
def chime(f):
    """A buzz beside a wire."""
    f.put(buzz, (3, 0))
    return struct(start=f.wire((0, 0)))
quay = wire((0, 4))
`
	const north, has = `bell((0, 0), name="north")`, "the kind buzz (told at test.star:5:12) has the letter z, and so has bell (told at test.star:4:12), "
	for _, c := range []struct{ before, script, want string }{
		{north, `buzz((2, 0))`, "buzz: " + has + "the kind of north here; want another letter for one of them: letter= takes a f h i p y q here"},
		{north, `buzz()`, has + "the kind of north here"},
		{north, `frame(at=(9, 9)).put(buzz, (0, 0))`, has + "the kind of north here"},
		{north, `sketch("l  z", at=(9, 9), kinds=[buzz])`, "sketch: line 1, column 4: " + has + "the kind of north here"},
		{north, `chime(beside(quay, chime, "start", way="+x"))`, has + "the kind of north here"},
		{"", `sketch("z  z\nlegend\n(0, 0): kind=\"bell\"\n(1, 0): kind=\"buzz\"", kinds=[bell, buzz])`, "sketch: line 1, column 4: " + has + "the kind of bell (0, 0) here"},
		{"fresh(world(kinds=[bell]))", `buzz((0, 0))`, has + "a kind of the world of this bench; want another letter for one of them: letter= takes a f h i p y q here"},
		{"", `world(kinds=[bell, buzz])`, "world: for parameter kinds: " + has + "before it; want another letter for one of them: letter= takes a f h i p y q here"},
		{`for i in range(8): kind("k%d" % i, ["a", "b"], lambda state, live, told: None, facing=False, letter="afhipyzq"[i])((i, 5))`, `buzz((9, 9))`, "want at most 8 kinds, one for each letter"},
	} {
		s := stage.New()
		if msg := s.Do(bells + c.before); msg != "" {
			t.Fatal(msg)
		}
		was := s.Bench.Fingerprint()
		if msg := s.Do(c.script); !strings.Contains(msg, c.want) {
			t.Errorf("%s\nsays %s\nwant %s", c.script, msg, c.want)
		}
		if s.Bench.Fingerprint() != was {
			t.Errorf("%s leaves something behind", c.script)
		}
	}
	stage.MustDo(t, bells+`
remove(bell((0, 0)))
buzz((0, 0))
buzz((0, 1))
fresh()
bell((0, 0))
`)
}

// TestOwnKindOfOneName: two kinds of one name are not placed on one bench, where nothing could tell them apart; one that is told once more in the same
// way is the same kind, and so is one whose last part was taken away.
func TestOwnKindOfOneName(t *testing.T) {
	const bells = `
def rings(state, live, told):
    return "on" if live.around else "off"
def silent(state, live, told):
    return "off" if live.around else "on"
one = kind("bell", ["off", "on"], rings, facing=False, letter="z")
other = kind("bell", ["off", "on"], silent, facing=False, letter="z")
again = kind("bell", ["off", "on"], lambda state, live, told: "off" if live.around == 0 else "on", facing=False, letter="z")
`
	for _, c := range []struct{ script, want string }{
		{"one((0, 0))\nother((2, 0))", "bell: the kind bell (told at test.star:7:13) is not that of bell (0, 0) here (told at test.star:6:11), want one kind of each name on a bench: name one of them otherwise, or take away what stands here of the other"},
		{"one()\nother()", "is not that of bell #1 here (told at"},
		{"one((0, 0))\nframe(at=(9, 9)).put(other, (0, 0))", "is not that of bell (0, 0) here (told at"},
		{"one((0, 0))\nsketch(\"z\", at=(9, 9), kinds=[other])", "sketch: line 1, column 1: the kind bell (told at"},
		{"fresh(world(kinds=[one]))\nother((0, 0))", "is not that of the world of this bench (told at"},
	} {
		if msg := stage.New().Do(bells + c.script); !strings.Contains(msg, c.want) {
			t.Errorf("%s\nsays %s\nwant %s", c.script, msg, c.want)
		}
	}
	stage.MustDo(t, bells+`
one((0, 0))
again((2, 0))
again()
frame(at=(4, 0)).put(one, (0, 0))
expect_equal(len(parts(one)), 4)
expect_equal(len(world(kinds=[one, again]).kinds), 1)
sketch(map(), at=(10, 10), kinds=[again])
expect_equal(len(parts("bell")), 8)
for p in parts("bell"):
    remove(p)
other((0, 0))
`)
}

// TestOwnKindImpure: what a wants is asked with is all that it can use; it changes nothing of the session, writes nothing and is told so.
func TestOwnKindImpure(t *testing.T) {
	const pure = "wants must be a pure function of state, live and told"
	s := stage.New()
	stage.MustSession(t, s, `
c = calibrate(order="+x -x +y -y +z -z", news="fifo", reads="turn", reach=5, run=5, travel=[1, 2])
other = calibrate(order="+x -x +y -y +z -z", news="fifo", reads="turn", reach=5, run=5, travel=[1, 2])
w = world("quay")
build = c.build
def told(f, **how):
    return kind("told", ["a", "b"], f, **how)
`)
	dir := stage.InFolder(t, s)
	for _, c := range []struct{ wants, want string }{
		{"lambda s, l, t: c.build()", "c cannot be used in a trial: it changes as it is used"},
		{"lambda s, l, t: c.unsure()", pure},
		{"lambda s, l, t: \"b\" if c.rigs else \"a\"", pure},
		{"lambda s, l, t: build()", pure},
		{"lambda s, l, t, go=other.build: go()", "the calibration is frozen; a function of a trial cannot change it; " + pure},
		{"lambda s, l, t: w.save(\"quay.star\")", "world.save: there is no folder to write to here; " + pure},
		{"lambda s, l, t: save(\"quay.star\")", "save: there is no bench here; " + pure},
		{"lambda s, l, t: export(\"quay.csv\")", "export: there is no bench here; " + pure},
		{"lambda s, l, t: help(\"wire\")", "help: there is no bench here; " + pure},
		{"lambda s, l, t: now()", "now: there is no bench here; " + pure},
	} {
		err := stage.Session(t, s, "told("+c.wants+")")
		if err == nil {
			t.Errorf("%s is taken", c.wants)
			continue
		}
		msg := builtins.Message(err)
		if !strings.Contains(msg, "wants(\"a\", live(") || !strings.Contains(msg, c.want) || strings.Contains(msg, "internal error") {
			t.Errorf("%s\nsays %s\nwant %s", c.wants, msg, c.want)
		}
	}
	if s.Bench.Len() != 0 {
		t.Errorf("the bench holds %d parts", s.Bench.Len())
	}
	if files, _ := os.ReadDir(dir); len(files) > 0 {
		t.Errorf("%v was written", files[0])
	}
	stage.MustSession(t, s, "expect_equal((c.asked, c.seen, len(parts())), (0, [], 0))\nc.build()")
}

// TestOwnKindGroups: a group that cannot be read is said as what holds of the kind.
func TestOwnKindGroups(t *testing.T) {
	s := stage.New()
	for _, c := range []struct{ call, want string }{
		{`kind("told", ["a", "b"], lambda s, l, t: "b" if l.back else "a", facing=False)`, "a kind with facing=False has no back, it reads around alone"},
		{`kind("told", ["a", "b"], lambda s, l, t: "b" if l.around else "a")`, "around is for a kind with facing=False, want one of back front sides far_back far_front"},
		{`kind("told", ["a", "b"], lambda s, l, t: "b" if l.front else "a")`, `want "front" in pads if it is to read that`},
		{`kind("told", ["a", "b"], lambda s, l, t: "a", pads=["back", "back"])`, `for parameter pads: "back" is named twice, want each group once`},
		{`kind("told", ["a", "b"], lambda s, l, t: "a", hears=["back", "sides", "back"])`, `for parameter hears: "back" is named twice, want each group once`},
	} {
		if msg := s.Do(c.call); !strings.Contains(msg, c.want) {
			t.Errorf("%s\nsays %s\nwant %s", c.call, msg, c.want)
		}
	}
}

// TestOwnKindEquals: a kind that is told again in the same way is equal, as the bench takes both for one; it has no order.
func TestOwnKindEquals(t *testing.T) {
	stage.MustDo(t, `
def follows(s, l, t):
    return "out" if l.back else "home"
a, b = kind("slider", ["home", "out"], follows), kind("slider", ["home", "out"], lambda s, l, t: "out" if l.back else "home")
others = [kind("slider", ["home", "out"], follows, letter="a"), kind("slide", ["home", "out"], follows), kind("slider", ["home", "away"], lambda s, l, t: None), kind("slider", ["home", "out"], follows, when=2)]
expect(a == b and not a != b and a in [b] and {a: 1}[b] == 1)
expect(not [o for o in others if o == a])
a((0, 0), "+x")
b((2, 0), "+x")
expect_error(lambda: a < b, "kinds are equal or not; they have no order")
`)
}

// TestOwnKindInTheWay: what cannot be placed because of such a part names its kind.
func TestOwnKindInTheWay(t *testing.T) {
	stage.MustDo(t, slider+`
slider((1, 0), "+x", name="pull")
expect_error(lambda: lamp((1, 0)), "cell (1, 0) already holds a slider; remove it first")
expect_error(lambda: lamp((2, 0), name="pull"), "the name \"pull\" is taken by the slider at (1, 0)")
expect_error(lambda: slug((1, 0), "feed"), "cell (1, 0) is taken by a slider; a loose slug goes into an empty cell or a jack")
expect_error(lambda: shuttle((0, 0), "+x", slug="feed"), "the slug's seat (1, 0) is taken by a slider")
echo((5, 0), "+x")
expect_error(lambda: lamp((5, 0)), "already holds an echo")
`)
}

// TestOwnKindNames: a kind has no name of the language: what is written out calls it so.
func TestOwnKindNames(t *testing.T) {
	s := stage.New()
	for _, name := range []string{"def", "for", "class", "None", "True"} {
		if msg := s.Do(`kind("` + name + `", ["a", "b"], lambda s, l, t: None)`); !strings.Contains(msg, `for parameter name: "`+name+`" is a word of the language, and no script could call the kind so, want another name`) {
			t.Errorf("%s: %q", name, msg)
		}
	}
	if msg := s.Do(`kind("deff", ["a", "b"], lambda s, l, t: None); kind("_", ["a", "b"], lambda s, l, t: None); kind("3way", ["a", "b"], lambda s, l, t: None)`); msg != "" {
		t.Error(msg)
	}
}
