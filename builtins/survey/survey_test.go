package survey

import (
	"context"
	"fmt"
	"math/rand/v2"
	"reflect"
	"slices"
	"strings"
	"testing"

	"pulsewright/builtins"
	"pulsewright/builtins/stage"
	"pulsewright/builtins/trial"
	"pulsewright/engine"

	"gonum.org/v1/gonum/stat/distuv"
)

// surveyed runs a script that ends with s = survey(...), and gives what it found.
func surveyed(t *testing.T, script string) (*stage.Scene, *builtins.Report) {
	t.Helper()
	s := stage.New()
	s.Workers = 2
	s.Source = func(string) (string, bool) { return script, true }
	stage.MustSession(t, s, script)
	return s, s.Names["s"].(*builtins.Report)
}

// The broken designs: each reads right somewhere, and wrong where its kind of mistake shows.
const (
	// The first input of a latch sets it, the second resets it; which is which is a matter of the neighbour order.
	brokenOrder = `
def build(f):
    g = f.gate((0, 0), "+z", "latch")
    return struct(set=f.wire((1, 0)), reset=f.wire((0, -1)), out=g)
def send(rig, n):
    fire(rig.set, 3)
def read(rig):
    return 1 if rig.out.state == "on" else 0
d = design("latch", build, send, read, [1])
`
	// Gate b is told through a reed, gate a by the wire itself. Depth first, or with all looking at once, b no longer sees what a did.
	brokenNews = `
def build(f):
    w = f.wire((0, 0))
    f.reed((1, 0), "+y")
    a = f.gate((-1, 0), "-y", "or")
    b = f.gate((2, 0), "+y", "xor")
    patch(w, b, news=False)
    patch(a, b, news=False)
    return struct(input=w, out=probe(b))
def send(rig, n):
    fire(rig.input, 5, fall="late")
def read(rig):
    return 1 + len(rig.out.pulses)
d = design("race", build, send, read, [1])
`
	// The number is how long a slug is under way.
	brokenTravel = `
def build(f):
    s = f.shuttle((0, 0), "+x", slug="feed", name="s")
    f.wire((0, -1), name="in")
    return struct(input=f.part("in"), slug=s)
def send(rig, n):
    fire(rig.input, ticks=9)
def read(rig):
    es = events(target=rig.slug, what=["out", "lands"])
    return es[1].tick - es[0].tick
d = design("lag", build, send, read, [2])
`
	// It counts the links of a bank that a pulse moves: one for each step, but only of a pulse that falls late.
	brokenFall = `
def build(f):
    w = f.wire((0, 0))
    a = f.link((1, 0), "+x")
    return struct(input=w, out=probe(a))
def send(rig, n):
    rig.out.clear()
    fire(rig.input, n)
def read(rig):
    return len(rig.out.pulses)
d = design("one link", build, send, read, [1])
`
	// The lamp is placed on the world, not in the frame.
	brokenTurn = `
def build(f):
    w = f.wire((0, 0), (3, 0))
    return struct(input=w.first, out=probe(lamp((4, 0))))
def send(rig, n):
    fire(rig.input, n)
def read(rig):
    return rig.out.width
d = design("nailed down", build, send, read, [1, 2])
`
	// A pulse longer than three steps is cut.
	brokenSize = `
most = 3
def build(f):
    w = f.wire((0, 0))
    return struct(input=w, out=probe(w))
def least(a, b):
    return a if a < b else b
def send(rig, n):
    fire(rig.input, least(n, most))
def read(rig):
    return rig.out.width
d = design("short", build, send, read, range(1, 9))
`
)

// TestSurveyCatches: a design broken in each way is caught, the smallest counterexample and what flips it are named, and the script
// that is written out reproduces it.
func TestSurveyCatches(t *testing.T) {
	for _, c := range []struct {
		name, script string
		n, flip      string
		holds        func(s trial.Setting, hold, cases int) bool
	}{
		{"order", brokenOrder, "1", "it fails once -y is told before +x: so in all 4 orders tried under these rules",
			func(s trial.Setting, hold, cases int) bool { return hold == cases/2 }},
		{"news and reads", brokenNews, "1", `it is right if reads is "turn", not "step"`,
			func(s trial.Setting, hold, cases int) bool {
				switch {
				case s.Rules.Reads == engine.ByStep:
					return hold == 0
				case s.Rules.News == engine.LIFO:
					return hold == cases/2
				}
				return hold == cases
			}},
		{"travel", brokenTravel, "2", "it is right if travel is 2, not 3",
			func(s trial.Setting, hold, cases int) bool {
				return (s.Rules.Travel == 2) == (hold == cases) && (hold == 0 || hold == cases)
			}},
		{"fall", brokenFall, "1", "it is right if the pulse falls late, not early",
			func(s trial.Setting, hold, cases int) bool {
				return s.Late == (hold == cases) && (hold == 0 || hold == cases)
			}},
		{"orientation", brokenTurn, "1", "it is right if it lies as frame at (0, 0), x to +x, y to +y, not as frame at (0, 0), x to +x, y to -y, mirrored",
			func(s trial.Setting, hold, cases int) bool { return hold == cases/6 }},
		{"size", brokenSize, "4", "no case that was tried gets past that sending",
			func(s trial.Setting, hold, cases int) bool { return hold == 0 }},
	} {
		t.Run(c.name, func(t *testing.T) {
			travel := "[2, 3]"
			s, r := surveyed(t, c.script+"s = survey(d, travel="+travel+")\nprint(s)")
			if n, _ := r.Attr("n"); builtins.Text(n) != c.n {
				t.Errorf("fails at %s, want %s", n, c.n)
			}
			if flip, _ := r.Attr("flip"); builtins.Text(flip) != c.flip && c.name != "orientation" {
				t.Errorf("flip: %s, want %s", flip, c.flip)
			}
			table, _ := r.Attr("table")
			for _, row := range table.(*builtins.Table).Rows {
				st := trial.PlainSetting(engine.DefaultRules())
				st.Set("news", row[0])
				st.Set("reads", row[1])
				st.Set("fall", row[2])
				st.Set("travel", row[3])
				if hold, cases := int64Of(row[4]), int64Of(row[5]); cases != 34560 || !c.holds(st, hold, cases) {
					t.Errorf("%v: %d of %d hold", st, hold, cases)
				}
			}
			script, _ := r.Attr("script")
			if builtins.Text(script) == "" {
				t.Fatalf("no script:\n%s", s.Printed)
			}
			again := stage.New()
			if err := stage.Session(t, again, builtins.Text(script)); err != nil {
				t.Errorf("%s\n%v", builtins.Text(script), err)
			}
			if got, _ := r.Attr("got"); !strings.Contains(again.Printed.String(), "read "+builtins.Text(got)) {
				t.Errorf("the script read %q, the survey %s", again.Printed, got)
			}
			checkParts(t, r, again)
			// The script is not vacuous: where the design holds, it says so by failing.
			if c.name == "order" {
				well := strings.Replace(builtins.Text(script), "order=\"", "order=\"+x -x +y -y +z -z\") # \"", 1)
				if err := stage.Session(t, stage.New(), strings.Replace(well, "\n", "\n", 1)); err == nil {
					t.Errorf("with the usual order the script still finds a failure:\n%s", well)
				}
			}
		})
	}
}

// checkParts holds the end of a counterexample's script: it shows where the case parts from the nearest that reads right, if there is one.
func checkParts(t *testing.T, r *builtins.Report, again *stage.Scene) {
	t.Helper()
	call, _ := r.Attr("parts")
	flip, _ := r.Attr("flip")
	text, shown := builtins.Text(call), again.Printed.String()
	if none := strings.HasPrefix(builtins.Text(flip), "no case"); (text == "") != none {
		t.Errorf("%s, and the call that shows where they part is %q", flip, text)
	}
	if text == "" {
		return
	}
	script, _ := r.Attr("script")
	if !strings.HasSuffix(builtins.Text(script), "\n"+text+"\n") || !strings.Contains(r.Text, "shows: "+text) {
		t.Errorf("the script or the report does not end with %s:\n%s\n%s", text, script, r.Text)
	}
	if !strings.Contains(shown, "a: function failing; b: function holding\nthey part after ") {
		t.Errorf("they do not part:\n%s", shown)
	}
}

func int64Of(v any) int {
	n := 0
	fmt.Sscan(fmt.Sprint(v), &n)
	return n
}

// TestSurveyWorkers: the same survey with 1, 2 and 8 workers.
func TestSurveyWorkers(t *testing.T) {
	want := ""
	for _, workers := range []int{1, 2, 8} {
		s := stage.New()
		s.Workers = workers
		stage.MustSession(t, s, brokenNews+"print(survey(d, travel=[2]))")
		if want == "" {
			want = s.Printed.String()
		} else if s.Printed.String() != want {
			t.Errorf("with %d workers:\n%s\nwith one:\n%s", workers, s.Printed, want)
		}
	}
}

// tossedBench places parts at random in a box, through a frame, and fires some cells. The same seed gives the same bench, laid as the frame lies.
func tossedBench(seed uint64, f *builtins.Frame, rules engine.Rules, flat, buckets bool) (*engine.Bench, bool) {
	rng := rand.New(rand.NewPCG(seed, 7))
	b := engine.New(rules)
	kinds := []engine.Kind{engine.Wire, engine.Wire, engine.Jack, engine.Reed, engine.Reed, engine.Link, engine.Link, engine.Shuttle, engine.Delay, engine.Oneshot, engine.Echo, engine.Gate, engine.Gate, engine.Lamp, engine.Battery, engine.Tray, engine.Meter}
	if buckets {
		kinds = append(kinds, engine.Bucket, engine.Bucket, engine.Tray)
	}
	deep := int32(3)
	if flat {
		deep = 1
	}
	cell := func() engine.Cell {
		return engine.Cell{X: rng.Int32N(5), Y: rng.Int32N(5), Z: rng.Int32N(deep)}
	}
	for range 8 + rng.IntN(30) {
		p := engine.Part{Kind: kinds[rng.IntN(len(kinds))]}
		facing := engine.Dir(rng.IntN(6))
		if flat {
			facing = engine.Dir(rng.IntN(4))
		}
		at := cell()
		switch p.Kind {
		case engine.Wire, engine.Jack, engine.Lamp, engine.Battery:
		case engine.Tray:
			p.Room, p.Tokens = 3, rng.IntN(2)
		default:
			p.Facing = f.Dir(facing)
		}
		switch p.Kind {
		case engine.Shuttle:
			p.Slug = engine.Slug(rng.IntN(4))
		case engine.Delay, engine.Oneshot:
			p.Ticks = 1 + rng.IntN(3)
		case engine.Gate:
			p.Op, p.Ticks = engine.Op(rng.IntN(11)), rng.IntN(2)
		case engine.Bucket:
			p.Tokens, p.Drop = rng.IntN(2), 1
		}
		b.Place(f.Cell(at), p) // refused where there is no room, whichever way the frame lies
	}
	for range 3 + rng.IntN(5) {
		b.Fire(engine.Target{Cell: f.Cell(cell())}, engine.Firing{Steps: rng.IntN(6), Late: rng.IntN(2) == 0})
	}
	err := b.RunTicks(context.Background(), 25, engine.Budget{Turns: 3000})
	return b, err == nil
}

func logOf(b *engine.Bench) (es []engine.Event) {
	for _, e := range b.Events(1) {
		es = append(es, e)
	}
	return es
}

// TestTurnedAlike: the argument that orientations follow from orders, on random benches: turned, mirrored and under the order turned alike, the log
// and the counters are the same; with buckets so if down stays down. And it is not vacuous: under the order not turned they often differ.
func TestTurnedAlike(t *testing.T) {
	events, differ, downs := 0, 0, 0
	for seed := range uint64(120) {
		rng := rand.New(rand.NewPCG(seed, 3))
		rules := engine.DefaultRules()
		rules.Order = allOrders()[rng.IntN(720)]
		rules.News, rules.Reads, rules.Travel = engine.News(rng.IntN(2)), engine.Reads(rng.IntN(2)), 1+rng.IntN(3)
		buckets := seed%3 == 0
		plain := trial.PlainSetting(rules)
		b, ok := tossedBench(seed, plain.Frame(), rules, false, buckets)
		want := logOf(b)
		events += len(want)
		for _, p := range allPoses() {
			s := plain
			s.X, s.Y, s.Mirror = p.X, p.Y, p.Mirror
			down := downOf(s) == downOf(plain)
			turn := turnedFrom(plain, s)
			for i, d := range rules.Order {
				s.Rules.Order[i] = turn[d]
			}
			c, ok2 := tossedBench(seed, s.Frame(), s.Rules, false, buckets)
			same := ok == ok2 && slices.Equal(logOf(c), want) && b.Counters() == c.Counters()
			switch {
			case !buckets || down:
				if !same {
					t.Fatalf("seed %d, %v: another log", seed, s.Frame())
				}
				if u, _ := tossedBench(seed, s.Frame(), rules, false, buckets); !slices.Equal(logOf(u), want) {
					differ++
				}
			case !same:
				downs++
			}
		}
	}
	if events < 1500 || differ < 200 || downs < 10 {
		t.Errorf("%d events, %d differ under the order not turned, %d with another way down: too few to show anything", events, differ, downs)
	}
}

// TestOrdersAlike: orders that no cell can tell apart give the same log, on random benches; others often do not.
func TestOrdersAlike(t *testing.T) {
	alike, others, few := 0, 0, 0
	for seed := range uint64(150) {
		rng := rand.New(rand.NewPCG(seed, 5))
		rules := engine.DefaultRules()
		rules.News, rules.Reads = engine.News(rng.IntN(2)), engine.Reads(rng.IntN(2))
		flat := seed%2 == 0
		b, _ := tossedBench(seed, builtins.World, rules, flat, false)
		l := &likeness{}
		l.look(b)
		classes := l.orders(rules.Order)
		total := 0
		for _, o := range classes {
			total += o.Like
		}
		if total != 720 {
			t.Fatalf("seed %d: classes of %d orders in all", seed, total)
		}
		if len(classes) < 720 {
			few++
		}
		key := func(o [6]engine.Dir) (k []byte) {
			for _, m := range l.masks {
				for _, d := range o {
					if m>>d&1 != 0 {
						k = append(k, byte(d))
					}
				}
				k = append(k, 9)
			}
			return k
		}
		logs := map[string][]engine.Event{}
		for range 40 {
			r := rules
			r.Order = allOrders()[rng.IntN(720)]
			c, _ := tossedBench(seed, builtins.World, r, flat, false)
			k, log := string(key(r.Order)), logOf(c)
			if want, ok := logs[k]; ok {
				alike++
				if !slices.Equal(want, log) {
					t.Fatalf("seed %d: two orders of one class give two logs", seed)
				}
			}
			for k2, other := range logs {
				if k2 != k && !slices.Equal(other, log) {
					others++
					break
				}
			}
			logs[k] = log
		}
	}
	if alike < 200 || others < 200 || few < 50 {
		t.Errorf("%d pairs alike, %d told apart, %d benches with fewer orders: too few to show anything", alike, others, few)
	}
}

// TestSurveyDown: with a bucket, which drops towards the ground, six orientations are run and the others follow.
func TestSurveyDown(t *testing.T) {
	_, r := surveyed(t, `
def build(f):
    f.bucket((0, 0, 1), "+x", tokens=1, name="b")
    return struct(input=f.wire((0, -1, 1)), tray=f.tray((0, 0)))
def send(rig, n):
    fire(rig.input, n)
def read(rig):
    return rig.tray.tokens
d = design("drop", build, send, read, [1])
s = survey(d, travel=[2])
`)
	if !strings.Contains(r.Text, "6 of 48 orientations, which the others were found to follow by rotations about the vertical") {
		t.Error(r.Text)
	}
	table, _ := r.Attr("table")
	for _, row := range table.(*builtins.Table).Rows {
		if hold := int64Of(row[4]); hold != 34560/6 {
			t.Errorf("%d hold, want those with the tray below: %d", hold, 34560/6)
		}
	}
}

// TestSurveyByLot: too many cases are drawn by lot, the same with the same seed; the bound is stated.
func TestSurveyByLot(t *testing.T) {
	const script = brokenTurn + "s = survey(d, travel=[2], runs=400)\n" // 8 settings, 5 sendings: 10 cases each
	_, r := surveyed(t, script)
	if ex, _ := r.Attr("exhaustive"); bool(ex.Truth()) || !strings.Contains(r.Text, "by lot: 10 cases for each row") {
		t.Error("not drawn by lot")
	}
	_, again := surveyed(t, script)
	if r.Text != again.Text || !strings.Contains(r.Text, "Clopper and Pearson") {
		t.Error(r.Text)
	}
}

// TestAtMost holds the bound to the quantiles of the beta distribution, of which it is made (Clopper and Pearson 1934).
func TestAtMost(t *testing.T) {
	for _, n := range []int{1, 2, 5, 40, 1000} {
		for _, k := range []int{0, 1, 2, n / 2, n - 1, n} {
			if k > n || k < 0 {
				continue
			}
			want := 1.0
			if k < n {
				want = distuv.Beta{Alpha: float64(k + 1), Beta: float64(n - k)}.Quantile(.95)
			}
			if got := atMost(k, n); got-want > 1e-9 || want-got > 1e-9 || got > 1 {
				t.Errorf("%d of %d: at most %g, want %g", k, n, got, want)
			}
		}
	}
}

// TestAllPoses: there are 48 orientations and 720 orders, no two alike.
func TestAllPoses(t *testing.T) {
	seen := map[string]bool{}
	for _, p := range allPoses() {
		seen[trial.Setting{X: p.X, Y: p.Y, Mirror: p.Mirror}.Frame().String()] = true
	}
	orders := map[[6]engine.Dir]bool{}
	for _, o := range allOrders() {
		orders[o] = true
	}
	if len(seen) != 48 || len(orders) != 720 || !reflect.DeepEqual(allOrders()[0], engine.DefaultRules().Order) {
		t.Errorf("%d orientations, %d orders", len(seen), len(orders))
	}
}
