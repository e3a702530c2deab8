package measure

import (
	"pulsewright/builtins"
	"pulsewright/builtins/stage"
	"pulsewright/builtins/trial"
	"pulsewright/engine"

	"strings"
	"testing"
)

// TestDelays holds the delays from edge to edge to what is known: a repeater that pulls a plug at the rise and a feed at the fall
// hands on a step later, a chain of k gates k steps later, a delay of d ticks d ticks later; one that stretches lets a short pulse
// fall by a timer that the rise set.
func TestDelays(t *testing.T) {
	const designs = `
def of(name, place, send, read, over):
    return design(name, place, send, read, over)

def fire_steps(rig, n):
    fire(rig.input, n)

def fire_ticks(rig, n):
    fire(rig.input, steps=0, ticks=n)

def width(rig):
    return rig.out.width

def sent_width(rig):
    return 2 if rig.out.pulses else None

def chain(k):
    def build(f):
        for i in range(k):
            f.gate((2 * i, 0), "+x", "buf", pads=[(-1, 0, 0)])
            f.wire((2 * i + 1, 0))
        return struct(input=f.cell((-1, 0)), out=probe(f.part((2 * k - 1, 0))))
    return build

def slow(mode, d):
    return lambda f: struct(input=f.cell((0, 0)), out=probe(f.delay((1, 0), "+x", ticks=d, mode=mode)))

def lengthened(d):
    return lambda rig: rig.out.width[0] if rig.out.width else None

def first(d):
    return [compare([d], runs=1).rows[0][f] for f in ["delay of the rise", "delay of the fall"]]

for k in [1, 2, 7, 30]:
    steps = "%d step%s" % (k, "" if k == 1 else "s")
    expect_equal(first(of("chain", chain(k), fire_steps, width, [2, 5, 9])), [steps, steps])
for d in [1, 3, 10]:
    ticks = "%d tick%s" % (d, "" if d == 1 else "s")
    expect_equal(first(of("transport", slow("transport", d), fire_ticks, lengthened(d), [1, 2, 3, 20])), [ticks, ticks])
    expect_equal(first(of("long enough", slow("stretch", d), fire_ticks, lengthened(d), [d + 5, 20])), [ticks, ticks])

# A pulse of 2 ticks through a delay of 5 that stretches: up after 5, down after 10, both by the rise.
expect_equal(first(of("stretched", slow("stretch", 5), fire_ticks, sent_width, [2])), ["5 ticks", "10 ticks, from the rise"])

# A key that starts a pulse: both its edges are the rise's doing.
def started(f):
    k = f.key((0, 0), hold=3)
    for i in [1, 2, 3]:
        f.gate((i, 0), "+x", "buf", pads=[(-1, 0, 0)])
    x = f.gate((5, 5), "+x", "and", name="x")
    patch(f.part((1, 0)), x)
    patch(f.part((3, 0)), x, invert=True)
    return struct(key=k, out=probe(x))
expect_equal(first(of("key", started, lambda rig, n: press(rig.key), lambda rig: rig.out.width, [2])), ["2 steps", "4 steps, from the rise"])

# Nothing that read looks at moves, or it looks at no probe at all.
r = compare([of("blind", chain(1), fire_steps, lambda rig: 2, [2])], runs=1)
expect_equal(r.rows[0]["delay of the rise"], None)
expect("delay of the rise; delay of the fall, of blind: read looks at no probe of the rig" in str(r), str(r))
def two(f):
    w = f.wire((0, 0))
    l = f.wire((5, 0))
    return struct(input=w, out=probe(w), other=probe(l))
r = compare([of("itself", two, fire_steps, lambda rig: 2 if not rig.other.pulses else None, [2])], runs=1)
expect("delay of the rise, of itself: nothing that read looks at rises" in str(r), str(r))
r = compare([of("own", two, fire_steps, lambda rig: 2 if rig.out.pulses else None, [2])], runs=1)
expect("delay of the rise; delay of the fall, of own: read looks only at what send itself moves" in str(r), str(r))
r = compare([of("both", two, fire_steps, lambda rig: 2 if rig.out.pulses and not rig.other.pulses else None, [2])], runs=1)
expect("delay of the rise, of both: nothing that read looks at rises, but for what send itself moves" in str(r), str(r))

# From step 3 of one tick to step 0 of another there are ticks, and no steps less than none.
def begins_late(rig, n):
    fire(rig.input, 3, ticks=n)
expect_equal(first(of("late", slow("transport", 2), begins_late, lambda rig: rig.out.width[0] if rig.out.width else None, [3, 4])), ["2 ticks", "2 ticks"])

# Of several ports the first that rises and the last that falls count, and they are named.
def fan(f):
    f.gate((0, 0), "+x", "buf", pads=[(-1, 0, 0)])
    f.gate((1, 0), "+x", "buf", pads=[(-1, 0, 0)])
    return struct(input=f.cell((-1, 0)), outs=[probe(f.part((0, 0)), name="near"), probe(f.part((1, 0)), name="far")])
fanned = of("fan", fan, fire_steps, lambda rig: rig.outs[1].width if rig.outs[0].pulses else None, [2, 3])
expect_equal(first(fanned), ["1 step", "2 steps"])
how = datasheet(fanned, "fan.json", runs=1).text
expect("at 2 ports, from near to far, which read looks at" in how, how)
`
	s := stage.New()
	stage.InFolder(t, s)
	stage.MustSession(t, s, designs)
}

// TestLater: in one tick it is steps that count, else ticks and then the step of the later tick, wherever in its own tick the earlier
// moment lies.
func TestLater(t *testing.T) {
	at := func(tick int64, step int) engine.Instant { return engine.Instant{Tick: tick, Step: step} }
	inOrder := []struct {
		from, to engine.Instant
		want     string
	}{
		{at(1, 2), at(1, 3), "1 step"},
		{at(1, 0), at(1, 9), "9 steps"},
		{at(1, 3), at(3, 0), "2 ticks"},
		{at(1, 5), at(3, 1), "2 ticks, to step 1"},
		{at(1, 0), at(3, 4), "2 ticks, to step 4"},
		{at(1, 9), at(4, 0), "3 ticks"},
	}
	for i, c := range inOrder {
		l := between(c.from, c.to)
		if l.String() != c.want {
			t.Errorf("%v to %v: %v, want %s", c.from, c.to, l, c.want)
		}
		if i > 0 {
			if before := between(inOrder[i-1].from, inOrder[i-1].to); before.compare(l) >= 0 || before.rank() >= l.rank() {
				t.Errorf("%v is not less than %v", before, l)
			}
		}
	}
	if got := between(at(1, 0), at(2, 4)).to(between(at(1, 7), at(2, 11))); got != "1 tick, to steps 4 to 11" {
		t.Error(got)
	}
}

// TestTimeToARightReading: it is not the delay: what counts is the step from which on the number is read, the most of all numbers, in
// whatever order they are given.
func TestTimeToARightReading(t *testing.T) {
	s := stage.New()
	stage.MustSession(t, s, trial.PlainFunctions+`
def time(over):
    return compare([design("line", build, send, read, over)], runs=1).rows[0]["time to a right reading"]
expect_equal(time([2, 9, 5]), "9 steps")
expect_equal(time([9, 2, 5]), "9 steps")
expect_equal(time([2]), "2 steps")

# Who forgets what it has seen when it is read has no such time.
def tap(f):
    line = f.wire((0, 0), (9, 0))
    return struct(input=line.first, out=probe(line.last))
def forgetful(rig):
    w = rig.out.width
    rig.out.clear()
    return w
`)
	r := compareText(t, s, `design("forgets", tap, send, forgetful, [2, 3])`)
	if !strings.Contains(r, "time to a right reading") {
		t.Error(r)
	}
}

func compareText(t *testing.T, s *stage.Scene, design string) string {
	t.Helper()
	stage.MustSession(t, s, "text_of = str(compare(["+design+"], runs=1))")
	return builtins.Text(s.Names["text_of"])
}

// TestOrderOfOver: in which order a design names its numbers, and whether it names one twice, makes no difference.
func TestOrderOfOver(t *testing.T) {
	s := stage.New()
	stage.MustSession(t, s, trial.PlainFunctions+"def few(rig):\n    return {9: 9, 3: 3, 2: 2, 1: None}.get(rig.out.width)\n")
	want := compareText(t, s, `design("d", build, send, few, [1, 2, 3, 9])`)
	for _, over := range []string{"[9, 1, 3, 2]", "[3, 9, 2, 1]", "(9, 9, 3, 2, 1, 1)"} {
		if got := compareText(t, s, `design("d", build, send, few, `+over+`)`); got != want {
			t.Errorf("over %s:\n%s\nwant\n%s", over, got, want)
		}
	}
	if !strings.Contains(want, "smallest number          2\n") || !strings.Contains(want, "range                    3 of 4\n") {
		t.Error(want)
	}
	// From which number the design says it works makes no difference either.
	if got := compareText(t, s, `design("d", build, send, few, [9])`); !strings.Contains(got, "smallest number          2, with gaps\n") || !strings.Contains(got, "above it these do not: 4 to 8") {
		t.Error(got)
	}
}
