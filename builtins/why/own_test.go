package why_test

import (
	"testing"

	"pulsewright/builtins/stage"
)

// TestOwnKinds: of a kind of a script's own it matters who tells: armed and whynot name those who would set a part off, and no other.
func TestOwnKinds(t *testing.T) {
	stage.MustDo(t, `
def flat(n):
    return " ".join(n.text.split())
def keeps(state, live, told):
    return ("set" if live.back else "clear") if told == "side" else None
keeper = kind("keeper", ["clear", "set"], keeps)
def counts(state, live, told):
    return "one" if live.back else "none"
counter = kind("counter", ["none", "one"], counts, pads=["back"], says={"none": None, "one": None})
battery((0, 0))
s = keeper((1, 0), "+x", name="mole")
lone = keeper((5, 0), "+x", name="lone")
side, front = key((1, 1), hold=1), key((2, 0), hold=1)
expect_equal([(r.part, r.state, r.wants, r.tellers) for r in armed().rows], [(s, "clear", "set", [side])])
expect_equal(armed().text, "keeper mole is clear, wants set; told by a change of key (1, 1)")

press(front)
run()
n = whynot(s, show=False)
expect_equal((n.reason, n.told, n.armed), ("untold", 2, True))
expect("would be set" in flat(n) and "key (1, 1), off" in flat(n) and "key (2, 0)" not in flat(n), flat(n))

press(side)
run()
n = whynot(s, show=False)
expect_equal((n.reason, s.state), ("acted", "set"))
expect("but wanted nothing new" in flat(n), flat(n))
expect_equal(whynot(lone, show=False).reason, "untold")

start = now()
press(front)
run()
n = whynot(s, since=start, show=False)
expect_equal((n.reason, n.told), ("agreed", 2))
expect("was told twice since" in flat(n) and "each time wanted nothing new: it is set" in flat(n), flat(n))

k, c = key((9, 0)), counter((10, 0), "+x")
press(k)
run()
n = whynot(c, show=False)
expect_equal((n.reason, c.state, len(n.events)), ("acted", "one", 0))
expect("changed in silence" in flat(n) and "is one" in flat(n), flat(n))

w = wire((20, 0))
relay = kind("relay", ["home", "out"], lambda state, live, told: "out" if live.back else "home")
r = relay((20, 1), "+y")
fire(w, 1)
run()
n = whynot(r, show=False)
expect_equal(n.reason, "lapsed")
expect("it wanted nothing new any more" in flat(n), flat(n))
`)
}
