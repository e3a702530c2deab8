package calibrate

import (
	"context"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"pulsewright/builtins"
	"pulsewright/engine"
)

func upTo(from, to int) (all []int) {
	for n := from; n <= to; n++ {
		all = append(all, n)
	}
	return all
}

// begin begins a calibration.
func begin(t testing.TB, s setup) *Calibration {
	t.Helper()
	c, err := newCalibration(&builtins.Env{}, s)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// wide are worlds with any order, news and reads, travel 1 to 8, reach 1 to 64, run 1 to 32.
func wide() setup {
	return setup{orders: allOrders(), news: []engine.News{0, 1}, reads: []engine.Reads{0, 1},
		travel: upTo(1, 8), reach: upTo(1, 64), run: upTo(1, 32), most: 24, check: true}
}

// hidden is a world of the wide ones, by lot.
func hidden(r *rand.Rand) engine.Rules {
	w := allOrders()[r.IntN(720)]
	w.News, w.Reads = engine.News(r.IntN(2)), engine.Reads(r.IntN(2))
	w.Travel, w.Reach, w.Run = 1+r.IntN(8), 1+r.IntN(64), 1+r.IntN(32)
	return w
}

// newRandom is a generator of a test's own.
func newRandom(seed uint64) *rand.Rand { return rand.New(rand.NewPCG(seed, 11)) }

// went is how a calibration went.
type went struct {
	find, all int     // experiments until it was found, and with those that check
	outcomes  float64 // bits: the entropy of what was asked until it was found
	slowest   time.Duration
}

// answerAll answers every experiment as a world does, but for the answer with the number lie, which is another one that the rig might give.
func answerAll(t testing.TB, c *Calibration, w engine.Rules, lie int, r *rand.Rand) (x went) {
	t.Helper()
	for len(c.steps) > 0 {
		c.takeBack()
	}
	for n := 0; ; {
		start := time.Now()
		p := c.proposal()
		x.slowest = max(x.slowest, time.Since(start))
		if c.done() {
			return x
		}
		shown, err := p.shows(w, nil)
		if err != nil {
			t.Fatal(err)
		}
		parts := 0
		for i, rig := range p.rigs {
			parts += len(rig.parts)
			if n == lie {
				shown[i] = otherThan(rig.Rig, shown[i], r)
			}
			n++
		}
		if parts > c.most {
			t.Fatalf("%d parts", parts)
		}
		if x.all++; !p.check {
			x.find++
			x.outcomes += p.bits
		}
		c.record(shown)
	}
}

// otherThan is an answer that the rig might be said to give: the state of one part is another.
func otherThan(r *Rig, shown string, random *rand.Rand) string {
	for {
		text := shown
		switch k := random.IntN(len(r.seen)); {
		case r.lastLook() > 0:
			text = strconv.Itoa(2 + random.IntN(r.lastLook()-1))
		default:
			var states []string
			for i, w := range r.seen {
				words, most := r.words(i)
				var state string
				for one := range strings.SplitSeq(shown, ", ") {
					if rest, ok := strings.CutPrefix(one, w.name+" "); ok {
						state = rest
					}
				}
				if i == k && most > 0 {
					state = strconv.Itoa(random.IntN(most + 1))
				} else if i == k {
					state = words[random.IntN(len(words))]
				}
				states = append(states, state)
			}
			text = strings.Join(states, " ")
		}
		other, err := r.read(text)
		if err != nil {
			panic(err)
		}
		if other != shown {
			return other
		}
	}
}

// worldsToTry is how many worlds are tried, and how many of them the variable PULSEWRIGHT_WORLDS asks for.
func worldsToTry(usual int) int {
	if n, _ := strconv.Atoi(os.Getenv("PULSEWRIGHT_WORLDS")); n > 0 {
		return n
	}
	return usual
}

// TestHiddenWorlds: worlds by lot are found from what they show alone. What is left in the end acts alike on every rig.
// PULSEWRIGHT_WORLDS=1000 tries so many, and tells how many experiments that takes.
func TestHiddenWorlds(t *testing.T) {
	n := worldsToTry(30)
	r := rand.New(rand.NewPCG(1, 2))
	c := begin(t, wide())
	var find, all, above []int
	var slowest time.Duration
	open := math.Log2(c.left.count())
	for i := range n {
		w := hidden(r)
		x := answerAll(t, c, w, -1, r)
		if c.torn() || !c.has(w) {
			t.Fatalf("world %d, %+v: not found; %s", i, w, c.text())
		}
		if len(c.alone()) > 0 {
			t.Errorf("world %d: answers %v stand alone", i, c.alone())
		}
		for _, l := range c.tables {
			if _, alike := l.sole(c.left); !alike {
				t.Errorf("world %d: %s tells those apart that are left", i, l.name)
			}
		}
		find, all, slowest = append(find, x.find), append(all, x.all), max(slowest, x.slowest)
		bound := math.Ceil(open / (x.outcomes / float64(x.find))) // as many experiments as tell so many bits each
		above = append(above, x.find-int(bound))
	}
	for _, s := range [][]int{find, all, above} {
		slices.Sort(s)
	}
	t.Logf("%d worlds out of 2^%.1f: found by %d experiments in the middle, %d at most; with those that check %d and %d; above the bound by %d and %d; the slowest proposal took %v",
		n, open, find[n/2], find[n-1], all[n/2], all[n-1], above[n/2], above[n-1], slowest)
	if find[n/2] > 4 || all[n/2] > 6 || all[n-1] > 8 {
		t.Errorf("%d experiments in the middle, with those that check %d and %d at most; want 4, 6 and 8", find[n/2], all[n/2], all[n-1])
	}
}

// TestLeastReach: where a wire carries no farther than itself and acts look before any changes, one world is left all the same, whatever the
// order; and at the other ends of the numbers, too.
func TestLeastReach(t *testing.T) {
	r := rand.New(rand.NewPCG(21, 22))
	s := wide()
	s.travel, s.reach, s.run, s.check = []int{1, 8}, []int{1, 64}, []int{1, 22}, false
	c := begin(t, s)
	for i := range 60 {
		w := hidden(r)
		w.Travel, w.Reach, w.Run = s.travel[i%2], s.reach[i/2%2], s.run[i/4%2]
		if i < 40 {
			w.Reads, w.Reach = engine.ByStep, 1
		}
		answerAll(t, c, w, -1, r)
		if orders := c.sp.pool[c.left.at[0].set].count(); !c.has(w) || len(c.left.at) != 1 || orders != 1 {
			t.Errorf("world %d, %+v: %d orders of %d combinations are left", i, w, orders, len(c.left.at))
		}
	}
}

// TestOneLie: one wrong answer always shows, in the end.
func TestOneLie(t *testing.T) {
	n := worldsToTry(12)
	r := rand.New(rand.NewPCG(3, 4))
	c := begin(t, wide())
	named := 0
	for i := range n {
		w := hidden(r)
		lie := r.IntN(12)
		answerAll(t, c, w, lie, r)
		if len(c.answers()) <= lie {
			continue // it had ended before
		}
		if !c.torn() {
			t.Fatalf("world %d, %+v: answer %d was wrong and nothing has shown it; %s", i, w, lie, c.text())
		}
		d := c.doubts()
		if fits := c.fits(d.least); fits {
			t.Errorf("world %d: the answers %v can all be true", i, d.least)
		}
		for k := range d.least {
			if less := slices.Delete(slices.Clone(d.least), k, k+1); len(less) > 0 && !c.fits(less) {
				t.Errorf("world %d: of the answers %v, %v are enough", i, d.least, less)
			}
		}
		if !slices.Contains(d.least, lie) {
			t.Errorf("world %d: the answers %v are true", i, d.least)
		}
		if d.missing != 1 {
			t.Errorf("world %d: the nearest worlds are %d answers off", i, d.missing)
		}
		if slices.ContainsFunc(d.apart, func(out []int) bool { return out[0] == lie }) {
			named++
		}
	}
	t.Logf("%d of %d: the wrong answer is among those without which the others agree", named, n)
	if named == 0 {
		t.Error("the wrong answer is never named")
	}
}

// fits reports whether any world fits some of the answers.
func (c *Calibration) fits(set []int) bool {
	w := c.sp.all()
	for _, i := range set {
		w = w.where(c.answers()[i].table, c.answers()[i].shown)
	}
	return !w.empty()
}

// TestSideBySide: an experiment built on one bench, where its map has it, shows what its rigs are said to show; under mixed orders, too.
func TestSideBySide(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	s := wide()
	s.at = engine.Cell{X: 7, Y: -3, Z: 40}
	c := begin(t, s)
	for i := range 4 {
		w := hidden(r)
		mixed := w
		mixed.Order, mixed.Mixed, mixed.Seed = engine.DefaultRules().Order, true, uint64(i)
		for len(c.steps) > 0 {
			c.takeBack()
		}
		for !c.done() {
			sideBySide(t, c.proposal(), mixed)
			c.record(sideBySide(t, c.proposal(), w))
		}
	}
}

// sideBySide builds an experiment on one bench, compares, and gives what is shown.
func sideBySide(t *testing.T, p *experiment, w engine.Rules) []string {
	t.Helper()
	want, err := p.shows(w, nil)
	if err != nil {
		t.Fatal(err)
	}
	b := engine.New(w)
	ids, err := p.lay(b)
	if err != nil {
		t.Fatal(err)
	}
	looks := make([][]string, len(p.rigs))
	for tick := int64(1); tick <= 20; tick++ {
		if err := b.RunTicks(context.Background(), 1, engine.Budget{}); err != nil {
			t.Fatal(err)
		}
		for i, rig := range p.rigs {
			if slices.Contains(rig.looks, tick) {
				looks[i] = append(looks[i], rig.see(b, ids[i]))
			}
		}
	}
	if err := b.Run(context.Background(), engine.Budget{}); err != nil {
		t.Fatal(err)
	}
	for i, rig := range p.rigs {
		got := rig.see(b, ids[i])
		if len(rig.looks) > 0 {
			got = rig.joined(looks[i])
		}
		if got != want[i] {
			t.Errorf("%s in %+v shows %q beside the others, and is said to show %q", rig.name, w, got, want[i])
		}
	}
	return want
}

// TestOpening: the first experiment is the same when it is remembered.
func TestOpening(t *testing.T) {
	s := wide()
	s.orders, s.reach, s.run = s.orders[:50], upTo(1, 4), upTo(1, 3)
	openings.Clear()
	var texts [2]string
	for i := range texts {
		c := begin(t, s)
		texts[i] = c.text()
	}
	s.most = 12
	if other := begin(t, s).text(); texts[0] != texts[1] || other == texts[0] {
		t.Errorf("first\n%s\nthen\n%s\nwith fewer parts\n%s", texts[0], texts[1], other)
	}
}

// TestTables: what a table says of a world is what the rig shows in it, when it is run there.
func TestTables(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 8))
	c := begin(t, wide())
	for _, l := range c.tables {
		for range 6 {
			w := hidden(r)
			if r.IntN(2) == 0 {
				w.Reach, w.Run = 1+r.IntN(4), 1+r.IntN(4)
			}
			want, err := l.Rig.outcome(w, engine.Cell{X: 3, Y: -2, Z: 5})
			if err != nil {
				t.Fatal(err)
			}
			combo := slices.IndexFunc(c.sp.combos, func(k combo) bool {
				return k.news == w.News && k.reads == w.Reads && k.travel == w.Travel && holds(c.sp.reach, k.reach, w.Reach) && holds(c.sp.run, k.run, w.Run)
			})
			order := slices.IndexFunc(c.sp.orders, func(o engine.Rules) bool { return o.Order == w.Order })
			one := newOrderSet(len(c.sp.orders))
			one.add(order)
			if s := l.showing(int32(combo), want, one); s == nil || !s.has(order) {
				t.Errorf("%s shows %q in %+v, the table says something else", l.name, want, w)
			}
		}
	}
}

// TestRigs: every rig of the list comes to rest, has at most 24 parts, and tells something.
func TestRigs(t *testing.T) {
	for _, r := range found() {
		outcomes := map[string]bool{}
		for i, o := range allOrders() {
			o.News, o.Reads, o.Travel = engine.News(i%2), engine.Reads(i/2%2), 1+i%5
			text, err := r.outcome(o, engine.Cell{})
			if err != nil || text == endless {
				t.Fatalf("%s: %s %v", r.name, text, err)
			}
			outcomes[text] = true
		}
		if len(r.parts) > 24 || len(outcomes) < 2 {
			t.Errorf("%s: %d parts, %d outcomes", r.name, len(r.parts), len(outcomes))
		}
		again, err := readRig(r.about + ": " + r.written())
		if err != nil || again.written() != r.written() {
			t.Errorf("%s is not read as it is written: %v", r.name, err)
		}
	}
}
