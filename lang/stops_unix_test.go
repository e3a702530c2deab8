//go:build unix

package lang

import (
	"context"
	"os"
	"strings"
	"syscall"
	"testing"
	"time"

	"pulsewright/builtins/trial"
)

// A line of ticks that never ends, much of a log, much of a bench.
const (
	aRing = "g = gate((0, -3, 0), '+x', 'not', ticks=1, name='ring'); patch(g, g); nudge(g)\n"
	aLog  = "log(False)\n" + aRing + "run(ticks=150000)\n"
	aYard = "log(False)\nfor y in range(400): wire((0, 2 * y), (499, 2 * y))\n"
	aHall = "load('lib/designs.star', 'systems')\nd = systems()[0]\n"
)

// Much that a script holds.
const someLists = "big = [[i] for i in range(150000)]\n"

const aRow = `
def build(f, size):
    for k in range(size):
        f.gate((2 * k, 0), "+x", "buf", pads=[(-1, 0, 0)])
        f.wire((2 * k + 1, 0))
    return struct(out=probe(f.part((2 * size - 1, 0))), into=f.cell((-1, 0)))
row = design("row", build, lambda rig, n: fire(rig.into, n), lambda rig: rig.out.width, [2, 5], pitch=(2, 0, 0))
`

// longWords are commands that take long, each after what stands before it.
var longWords = []struct{ name, before, command string }{
	{"survey", aHall, "survey(d, size=12)"},
	{"survey, mixed", aHall, "survey(d, size=4, mixed=10000)"},
	{"sweep", aHall, "sweep(d, over=[i % 60 for i in range(100000)], size=64)"},
	{"sweep of a function", "", "sweep(lambda x: x, range(10000000))"},
	{"recovery", aHall, "recovery(d, size=24)"},
	{"expandable", aRow, "expandable(row, upto=512)"},
	{"compare", aHall, "compare(systems(), size=8)"},
	{"datasheet", aHall, "datasheet(d, size=8)"},
	{"shrink", aHall, "shrink(d, size=4)"},
	{"spare", aHall, "spare(d, size=8)"},
	{"harden", aHall, "harden(d, size=8)"},
	{"search", "", "search(task((0, 0), (5, 0), [2, 3, 7], later=5), ((1, 0), (5, 3)), ['wire', 'link', 'reed', dict(kind='gate', op='buf'), dict(kind='gate', op='not')])"},
	{"calibrate", "", "calibrate()"},
	{"calibrate, for designs", aHall, "calibrate(for_designs=systems(), size=4)"},
	{"rehearse", "c = calibrate(reach=24, run=6)\nw = world(order='+z -y +x -x -z +y', travel=1)\n", "while not c.done: c.rehearse(w)"},
	{"lay", "k = key((0, 0))\nl = lamp((60, 0))\nfor y in range(-40, 41): wire((57, y, -40), (57, y, 40))\nrules(reach=64)\n", "while True: expect_error(lambda: lay(k, l))"},
	{"watch", aYard + aRing + "watch(*parts()[:100])\n", "for i in range(99999): run(ticks=1)"},
	{"map", aYard, "while True: print(map())"},
	{"scope", aLog, "for i in range(99): scope(g)"},
	{"play", aYard + aRing, "play(ticks=2000)"},
	{"events", aLog, "for i in range(99): events()"},
	{"why", aLog, "for i in range(999): why(g)"},
	{"whynot", aLog + "l = link((0, 1), '+y')\n", "for i in range(999): whynot(l, since=0)"},
	{"csv", aLog, "for i in range(9): export('log%d.csv' % i)"},
	{"vcd", aLog, "for i in range(9): export('log%d.vcd' % i)"},
	{"json", aLog, "for i in range(9): export('log%d.json' % i)"},
	{"differ", "def ring():\n    log(False)\n    fresh()\n    g = gate((0, 0), '+x', 'not', ticks=1, name='ring')\n    patch(g, g)\n    nudge(g)\n    run(ticks=400000)\n", "differ(ring, ring)"},
	{"kind", "def wants(state, live, told):\n    for i in range(9999): pass\n    return state\n", "kind('vast', ['sa', 'sb', 'sc', 'sd', 'se', 'sf', 'sg', 'sh'], wants)"},
	{"wire", "", "wire((0, 0), (9999999, 0))"},
	{"remove", aYard, "for p in parts(): remove(p)"},
	{"parts", aYard, "for i in range(99): parts()"},
	{"armed", aYard, "for i in range(99): armed()"},
	{"run", aRing, "run(ticks=1 << 30)"},
	{"turn", "log(False)\n" + aRing, "turn(1 << 30)"},
	{"step", "log(False)\n" + aRing, "step(1 << 30)"},
	{"tick", "log(False)\n" + aRing, "tick(1 << 30)"},
	{"back", aLog, "for i in range(999):\n    back(100000)\n    run(ticks=90000)"},
	{"sketch", "t = '\\n'.join([' . ' * 1000] * 300)\n", "for i in range(9): sketch(t, at=(0, 1000 * i))"},
	{"against", "a = table([[i, i] for i in range(60000)], head=['a', 'b'])\nb = table([[i, i + 1] for i in range(60000)], head=['a', 'b'])\n", "for i in range(99): a.against(b)"},
	{"table", "", "for i in range(9): str(table([[i, i] for i in range(1000000)]))"},
	{"plot", "t = table([[i % 1009, i] for i in range(60000)], head=['a', 'b'])\n", "for i in range(99): plot(t)"},
	{"read_table", "table([[i, i] for i in range(40000)], head=['a', 'b']).save('berths.csv')\n", "for i in range(99): read_table('berths.csv')"},
	{"sort", "t = table([[i * 7919 % 1000003, i] for i in range(100000)], head=['a', 'b'])\n", "for i in range(999): t.sort('a')"},
	{"shuffle", "t = range(10000000)\n", "for i in range(99): shuffle(t)"},
	{"state", aYard, "for p in parts(): state(p)"},
	{"cost", aLog, "for i in range(1 << 30): cost()"},
	{"sweep, lists held", someLists, "while True: sweep(lambda n: len(big), [1])"},
	{"search, fixed", "", "def fixed(f):\n    while True: pass\nsearch(task((0, 0), (5, 0), [2]), ((1, 0), (4, 0)), ['link'], fixed=fixed)"},
}

// laterWords are commands of several parts that work otherwise at other moments: what they have done is to be taken back, what they were given is
// long to read, what they lay out is long to draw.
var laterWords = []struct {
	after                 time.Duration
	name, before, command string
}{
	{600 * time.Millisecond, "wire", "", "wire((0, 0), (9999999, 0))"},
	{300 * time.Millisecond, "reed", "", "reed((0, 0), (9999999, 0), '+y')"},
	{soon, "wire, of many corners", "corners = [(i, 0) for i in range(200000)]\n", "wire(path=corners)"},
	{soon, "remove reeds", "reed((0, 0), (49999, 0), '+y')\n", "remove(parts())"},
	{250 * time.Millisecond, "survey, many drawn", trial.PlainLine, "survey(line, mixed=100000, runs=1 << 40)"},
	{soon, "survey, many travels", trial.PlainLine + "many = list(range(1, 100000))\n", "survey(line, travel=many)"},
	{soon, "survey, many orders", trial.PlainLine + "many = ['mixed %d' % n for n in range(50000)]\n", "survey(line, rules=dict(order=many))"},
	{200 * time.Millisecond, "map of a long row", "wire((0, 0), (99999, 0))\n", "while True: print(map())"},
	{soon, "scope of a long row", "w = wire((0, 0), (39999, 0))\nrules(reach=50000)\npress(key((-1, 0)))\nrun()\n", "while True: scope(w)"},
	{300 * time.Millisecond, "recovery, many numbers", "d = design('quiet', lambda f: struct(), lambda rig, n: None, lambda rig: 1, range(2, 1000000))\n", "recovery(d)"},
	{200 * time.Millisecond, "sketch, many times", "", "sketch('+', times=9999999, pitch=(1, 0))"},
}

// soon is when everything in the list is still at work.
const soon = 40 * time.Millisecond

// TestStops: whatever works long stops within half a second of Ctrl-C, and the session lives on. On a machine that has other work the clock says
// little: then the time of processors counts, and the best of three. PULSEWRIGHT_MOMENTS=50ms,1s,3s tries at other moments.
func TestStops(t *testing.T) {
	moments := []time.Duration{soon}
	if text := os.Getenv("PULSEWRIGHT_MOMENTS"); text != "" {
		moments = nil
		for part := range strings.SplitSeq(text, ",") {
			m, err := time.ParseDuration(part)
			if err != nil {
				t.Fatal(err)
			}
			moments = append(moments, m)
		}
	}
	try := func(t *testing.T, before, command string, after time.Duration) {
		least := time.Hour
		for try := 0; try < 3 && least > time.Second/2; try++ {
			least = min(least, stops(t, before, command, after))
		}
		if least > time.Second/2 {
			t.Errorf("interrupted after %v it went on for %v", after, least)
		}
	}
	for _, w := range longWords {
		t.Run(w.name, func(t *testing.T) {
			for _, m := range moments {
				try(t, w.before, w.command, m)
			}
		})
	}
	for _, w := range laterWords {
		t.Run(w.name+", later", func(t *testing.T) { try(t, w.before, w.command, w.after) })
	}
}

// stops interrupts a command after a while, and says how long it went on.
func stops(t *testing.T, before, command string, after time.Duration) time.Duration {
	s := newSession(t, Config{Dir: t.TempDir()})
	if err := s.Command(context.Background(), before+"x = 0"); err != nil {
		t.Fatal(FormatError(err, s.cfg.ErrPalette))
	}
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	var asked time.Time
	var worked time.Duration
	time.AfterFunc(after, func() { asked, worked = time.Now(), processors(t); cancel() })
	err := s.Command(ctx, "x = 1\n"+command)
	if err == nil && after > soon {
		return 0 // done by then
	}
	if !Interrupted(err) {
		t.Fatalf("error: %v", err)
	}
	took := min(time.Since(asked), processors(t)-worked)
	t.Logf("%v by the clock, %v of processors", time.Since(asked), processors(t)-worked)
	for _, then := range []string{"undo()", "expect_equal(x, 0)"} {
		if err := s.Command(context.Background(), then); err != nil {
			t.Error(FormatError(err, s.cfg.ErrPalette))
		}
	}
	return took
}

// processors is how long processors have worked for us.
func processors(t *testing.T) time.Duration {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		t.Fatal(err)
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}
