package expand

import (
	"fmt"
	"testing"

	"pulsewright/builtins/stage"
)

// keyPanel is a panel with a key for each berth, whose press runs back to the office in as many steps as its berth's number; every so
// many slices a gate of another kind stands. More is placed for one that is not alike at all sizes.
const keyPanel = `
def panel(every, rate=1, more=lambda f, size: None):
    def build(f, size):
        n = (size + rate - 1) // rate
        keys = []
        for k in range(n):
            f.gate((2 * k, 0), "-x", "or" if k % every == every - 1 else "buf", pads=[(1, 0, 0)])
            f.wire((2 * k + 1, 0))
            keys.append(f.key((2 * k + 1, 1), hold=1))
        f.wire((-1, 0))
        more(f, size)
        return struct(keys=keys[:1], out=probe(f.part((-1, 0))))
    def send(rig, n):
        press(rig.keys[0])
    def read(rig):
        return rig.out.pulses[0].rise.step
    return design("panel", build, send, read, [1], pitch=(2, 0, 0))
`

// TestExpandableLongPeriods: panels that repeat every 17, 20 or 32 slices are shown to go on without end, and the report says how they
// repeat; all sizes that it says were built or run were.
func TestExpandableLongPeriods(t *testing.T) {
	for _, c := range []struct{ panel, sizes, slices, says string }{
		{"panel(17)", "17", "17", "every 17 slices"},
		{"panel(20)", "20", "20", "every 20 slices"},
		{"panel(32)", "32", "32", "every 32 slices"},
		{"panel(13, rate=2)", "26", "13", "every 13 slices, with 26 sizes more"},
	} {
		s := stage.New()
		stage.MustSession(t, s, keyPanel+fmt.Sprintf(`
r = expandable(%s)
expect_equal((r.verdict, r.period, r.period_slices), ("any size", %s, %s), str(r))
expect("repeats    %s" in str(r), str(r))
expect(r.shown_from + 3 * r.period - 1 <= r.tested, str(r))
`, c.panel, c.sizes, c.slices, c.says))
	}
}

// TestExpandableLongPeriodsHeld: that the slices of one large machine repeat is not enough. Where other sizes do not go on so, or where it
// would take too many of them to see it, nothing is claimed; and a size that is too long by itself can be asked for.
func TestExpandableLongPeriodsHeld(t *testing.T) {
	s := stage.New()
	stage.MustSession(t, s, keyPanel+`
def lone(at):
    return lambda f, size: f.battery((0, 5)) if size == at else None
for more in [lone(90), lambda f, size: f.battery((0, 5)) if size % 5 == 0 else None, lambda f, size: f.battery((0, 5)) if size < 100 else None]:
    r = expandable(panel(24, more=more))
    expect_equal((r.verdict, r.fails, r.tested), ("tested", None, 64), str(r))
    expect(r.period == None and r.why != None, str(r))

r = expandable(panel(70), upto=30)
expect_equal((r.verdict, r.tested), ("tested", 30))
expect("built at size 512, most of its slices come again 70 sizes on; whether it is so at every size shows with all sizes up to 28" in r.why, r.why)

# A slice that is not as those before it is still tried where it stands, though nothing is shown.
r = expandable(panel(140), upto=20)
expect("most of its slices come again 140 sizes on" in r.why and "and 141 to 143, 512" in str(r), str(r))
`)
}
