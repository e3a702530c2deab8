package why_test

import (
	"strings"
	"testing"

	"pulsewright/builtins/stage"
)

// TestFaultsThatHide: on rigs with one fault that cannot be seen in the end, looking into the parts or asking about the moment names it.
func TestFaultsThatHide(t *testing.T) {
	for _, rig := range []struct{ about, script, want string }{
		{"a oneshot of 2 ticks among those of 3", `
for i in range(5):
    oneshot((3 * i, 0), "+x", ticks=2 if i == 3 else 3, name="bell%d" % i)
fire((-1, 0), ticks=9)
run()
print(parts("oneshot", ticks=2))
print(state("bell3"))`, "[oneshot bell3 at (9, 0)]\noneshot bell3 at (9, 0): off\n  placing  oneshot(at=(9, 0), facing=\"+x\", ticks=2, "},
		{"a far pad on the wrong side: the bank moves 2 instead of 3", `
for i in range(3):
    link((i, 0), "+y", far="-z" if i != 1 else "+z", name="E%d" % i)
    wire((i, 0, -2))
key((-1, 0, -2), name="feed")
press("feed")
run()
print([p for p in parts("link") if not p.armed], state("E1").reads[-1].cell, state("E0").reads[-1].cell)
print(state("E1"))`, "[link E1 at (1, 0)] (1, 0, 2) (0, 0, -2)\nlink E1 at (1, 0): home\n"},
		{"went out, and since then armed but untold", `
w = wire((0, 0), name="quay")
link((1, 0), "+y", name="pull")
t = now()
fire(w, ticks=2)
run()
battery((1, -2))
whynot("pull", since=t)`, "link pull went out at 1.1.0 and went home at 3.1.0; since then it is armed but untold: it is home, its power calls for out, since the bench was changed by hand at 3.1.0; and nothing has told it from then on\n"},
		{"a bucket that was told a step before it is fed", `
bucket((0, 0), "+x", tokens=1, name="upper")
tray((1, 0), name="next")
tray((0, 0, -1), name="low")
wire((0, -1), name="line")
wire((0, 2))
link((-1, 0), "+y", name="early")
fire((-2, 0), ticks=4)
fire("line", ticks=3, at=4)
run()
whynot("upper", since=0)
print(state("low").tokens, state("next").tokens)`, "bucket upper did act: it dropped its token at 2.0.0; it was told 5 times after that\n  it was told at 1.1.0 while unfed, and dropped its token for that\n  nothing fed it since the beginning up to 2.0.0\n"},
		{"a bucket that dropped its token, and was told once more while unfed", `
bucket((0, 0), "+x", tokens=1, name="upper")
tray((0, 0, -1), name="low")
key((0, 1), name="feed")
press("feed")
run()
t = now()
release("feed")
run()
fill("low", 0)
nudge("upper")
run()
whynot("upper", since=t)`, "did act: it dropped its token at 3.0.0; it was told once after that\n  it was told at 2.0.0 while unfed, and dropped its token for that\n" +
			"  nothing fed it from 2.0.0 up to 3.0.0: key feed was released at 2.0.0\n  it would be fed by key feed (off) or tray low (0)\n" +
			"  it was told at 4.0.0 while unfed, because bucket upper was nudged at 4.0.0: it held no token\n"},
		{"and why it was unfed when it was told", `
bucket((0, 0), "+x", tokens=1, name="upper")
tray((1, 0), name="next")
tray((0, 0, -1), name="low")
key((0, -1), name="feed")
press("feed")
run()
fill("upper", 1)
fill("next", 0)
t = now()
release("feed")
run()
whynot("upper", since=t)`, "it was told at 2.0.0 while unfed, and dropped its token for that\n  nothing fed it from 2.0.0 up to 3.0.0: key feed was released at 2.0.0\n"},
		{"what was so at a moment that is past", `
w = wire((0, 0), name="quay")
link((1, 0), "+y", name="pull")
fire(w, ticks=2)
run()
whynot("pull", at=(1, 0))
whynot("pull", at=events("pull", what="out")[0])
whynot(events("pull", what="out")[0])
n = whynot("pull", at=2, show=False)
print(n.reason, n.at, n.part, [e.what for e in n.events], n.part.state)`, `as it was after 1.0.0: link pull will act: its act is queued and takes its turn in step 1
as it was after 1.1.0: link pull did act: it went out at 1.1.0
as it was after 1.1.0: link pull did act: it went out at 1.1.0
acted 1.1.0 link pull at (1, 0) ["out"] home
`},
		{"why at a moment, and up to an event", `
w = wire((0, 0), name="quay")
link((1, 0), "+y", name="pull")
fire(w, ticks=2)
run()
why("pull", at=2)
print(why("pull", show=False).event, "|", why("pull", at=events("pull")[1], show=False).event, "|", why("quay", at=events("pull")[0], show=False).event)`, `link pull went out at 1.1.0
  because wire quay was forced live at 1.0.0: the stimulus
3.1.0 pull home | 3.1.0 pull home | 1.0.0 quay live
`},
		{"next asks about the same moment", `
w = wire((0, 0), name="quay")
link((1, 0), "+y", name="pull")
run(ticks=3)
fire(w)
run()
whynot("pull", at=0)`, "next: whynot(\"quay\", at=0)\n"},
	} {
		s := stage.New()
		s.Width = 4000
		if msg := s.Do(rig.script); msg != "" {
			t.Fatalf("%s: %s", rig.about, msg)
		}
		if got := s.Printed.String(); !strings.Contains(got, rig.want) {
			t.Errorf("%s:\ngot  %s\nwant %s", rig.about, got, rig.want)
		}
	}
}

// TestMomentsRefused: what lies ahead, what was not there yet, and what does not go together is refused.
func TestMomentsRefused(t *testing.T) {
	const rig = `
log(False)
w = wire((0, 0), name="quay")
l = link((1, 0), "+y", name="pull")
fire(w, 3)
run()
run(ticks=4)
late = lamp((5, 5), name="late")
nudge(late)
run()
`
	for script, want := range map[string]string{
		`whynot(l, at=50)`:                       "whynot: for parameter at: got 50, want a moment that has been: it is 6.0.0 now",
		`why(l, at=(6, 1))`:                      "why: for parameter at: got (6, 1), want a moment that has been: it is 6.0.0 now",
		`whynot(l, at="now")`:                    `whynot: for parameter at: got "now", want an instant such as now(), an event, a pair (tick, step) or a tick`,
		`why(l, at=(1, -2))`:                     "why: for parameter at: got (1, -2), want an instant such as now(), an event, a pair (tick, step) or a tick",
		`whynot(l, at=1, since=2)`:               "whynot: for parameter since: got 2, want an instant not after at, which is 1.4.0",
		`whynot(late, at=1)`:                     "whynot: for parameter at: lamp late at (5, 5) was placed later than 1.4.0",
		`whynot(events(l)[0], at=1)`:             "whynot: an event has a moment of its own; leave at out, or give a part",
		`why(events(l)[0], at=1)`:                "why: an event has a moment of its own; leave at out, or give a part",
		`why(l, at=0)`:                           "why: link pull at (1, 0) had not changed by then; its last change came at 1.4.0",
		`why(late, at=1)`:                        "why: lamp late at (5, 5) had not changed by then; its last change came at 6.0.0",
		"e = events(l)[0]\nremove(l)\nwhynot(e)": "whynot: for parameter target: got an event of pull, want a part that is there, or an event of one",
		"e = events(l)[0]\nback(20)\nwhynot(e)":  "whynot: for parameter target: that event is no longer in the log: it was taken back",
	} {
		s := stage.New()
		if msg := s.Do(rig + script); msg != want {
			t.Errorf("%s:\ngot  %s\nwant %s", script, msg, want)
		}
	}
	s := stage.New()
	s.Bench.KeepHistory(false)
	if msg := s.Do(rig + "whynot(l, at=1)"); msg != "whynot: for parameter at: no history is kept here, so only now can be looked at" {
		t.Error(msg)
	}
}
