package engine_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"pulsewright/engine"
)

// line is a simulator of networks of gates without delays, in a page and sharing nothing with the
// engine, in which each of the choices that R2 is about can be made. Changes show at once.
type line struct {
	net     network
	reverse bool // the acts of a step take their turns last told first
	// wanting: a part that is told queues only if it wants another state than it has, as
	// the medium rules; else every part that is told queues, as in the published table.
	wanting bool
}

func (l line) run() []edge {
	value := map[string]bool{}
	for _, p := range l.net.Parts {
		value[p.ID] = p.Init == 1
	}
	part := map[string]netPart{}
	hearers := map[string][]string{}
	for _, p := range l.net.Parts {
		part[p.ID] = p
	}
	for _, c := range l.net.cords() {
		hearers[c.From] = append(hearers[c.From], c.To)
	}
	wants := func(id string) bool {
		p, live := part[id], 0
		for _, in := range p.In {
			from, inverted := strings.CutPrefix(in, "!")
			live += bit(value[from] != inverted)
		}
		all, any := live == len(p.In), live > 0
		switch p.Kind {
		case "and":
			return all
		case "nand":
			return !all
		case "or", "buf":
			return any
		case "nor", "not":
			return !any
		case "xor":
			return live%2 == 1
		case "xnor":
			return live%2 == 0
		case "celem":
			return all || any && value[id]
		case "latch":
			return value[p.In[0]] || !value[p.In[1]] && value[id]
		}
		panic("no gate: " + p.Kind)
	}
	var log []edge
	var queue []string
	queued := map[string]bool{}
	change := func(tick int64, step int, id string) {
		value[id] = !value[id]
		log = append(log, edge{tick, step, id, value[id]})
		for _, h := range hearers[id] {
			if !queued[h] && (!l.wanting || wants(h) != value[h]) {
				queued[h] = true
				queue = append(queue, h)
			}
		}
	}
	for tick := int64(1); tick <= l.net.Until; tick++ {
		for _, p := range l.net.Parts {
			for _, w := range p.Wave {
				if w[0] == tick {
					change(tick, 0, p.ID)
				}
			}
		}
		for step := 1; len(queue) > 0; step++ {
			now := queue
			queue = nil
			if l.reverse {
				slices.Reverse(now)
			}
			for _, id := range now {
				if queued[id] = false; wants(id) != value[id] {
					change(tick, step, id)
				}
			}
		}
	}
	return log
}

// decoder returns a tapped cascade gated by the pulse itself: a pulse of width steps, taps with
// one or two parts each, and a latch q1, q2, … behind each tap.
func decoder(width, taps int, twoSteps bool) network {
	n := network{Name: fmt.Sprintf("decoder of a pulse of %d", width), Until: 1}
	add := func(id, kind string, in ...string) { n.Parts = append(n.Parts, netPart{ID: id, Kind: kind, In: in}) }
	n.Parts = append(n.Parts, netPart{ID: "x", Kind: "input", Wave: [][2]int64{{1, 1}}})
	last := "x"
	for k := 1; k <= width; k++ {
		id := fmt.Sprint("e", k)
		add(id, "buf", last)
		last = id
	}
	add("p", "xor", "x", last)
	tap := []string{"p"}
	for k := 1; k <= taps; k++ {
		id := fmt.Sprint("t", k)
		add(id, "and", tap...)
		if twoSteps {
			add(fmt.Sprint("u", k), "buf", id)
			id = fmt.Sprint("u", k)
		}
		tap = []string{"p", id}
	}
	n.Parts = append(n.Parts, netPart{ID: "clear", Kind: "input"})
	for k := 1; k <= taps; k++ {
		add(fmt.Sprint("q", k), "latch", fmt.Sprint("t", k), "clear")
	}
	return n
}

// position counts the taps whose latches were set; they must be the first ones.
func position(t *testing.T, es []edge) int {
	t.Helper()
	n := 0
	set := map[string]bool{}
	for _, e := range es {
		if e.part[0] == 'q' && e.on {
			set[e.part] = true
		}
	}
	for set[fmt.Sprint("q", n+1)] {
		n++
	}
	if n != len(set) {
		t.Errorf("latches set: %v, want the first ones only", set)
	}
	return n
}

// dips counts how often f fell.
func dips(es []edge) (n int) {
	for _, e := range es {
		n += bit(e.part == "f" && !e.on)
	}
	return n
}

func (n network) edges(t *testing.T, r engine.Rules, cords []netCord) []edge {
	t.Helper()
	w := n.rig(t, r, cords)
	w.run(t)
	return w.edges()
}

// TestRacedTable reproduces the table of R2 on the page of Go above: what an engine gives that
// shows a change at once and queues every part that is told.
//
// R2. IEEE Std 1364-2005, 11.4.1 (determinism) and 11.5 (race conditions): read via two public
// conformance suites that quote the clauses. Numbers run.
func TestRacedTable(t *testing.T) {
	first, reverse := line{}, line{reverse: true}
	for _, l := range []*line{&first, &reverse} {
		l.net = loadNetwork(t, "hazard")
		if got := dips(l.run()); got != 0 {
			t.Errorf("hazard, reverse %v: %d dips, want none", l.reverse, got)
		}
	}
	for _, c := range []struct {
		width, taps    int
		twoSteps       bool
		first, reverse int
	}{
		{5, 9, false, 9, 4}, // decode_raced
		{3, 24, false, 24, 2}, {7, 24, false, 24, 6}, {16, 24, false, 24, 15},
		{6, 6, true, 3, 3}, {12, 9, true, 6, 6}, {20, 24, true, 10, 10}, // W even: W/2
		{5, 24, true, 2, 2}, {9, 24, true, 4, 4}, {15, 24, true, 7, 7}, // W odd: (W-1)/2
	} {
		first.net = decoder(c.width, c.taps, c.twoSteps)
		reverse.net = first.net
		if f, r := position(t, first.run()), position(t, reverse.run()); f != c.first || r != c.reverse {
			t.Errorf("pulse of %d, %d taps, two steps %v: positions %d and %d, want %d and %d",
				c.width, c.taps, c.twoSteps, f, r, c.first, c.reverse)
		}
	}
}

// TestRaced states our rule for the networks of R2, in which the order inside a step decides. With
// reads="step" the bench gives the two-phase column of the published table: W, and for two-step
// taps W/2 or (W+1)/2; the hazard dips. With reads="turn" changes show at once, but the bench is
// not the engine of the table's other columns: there a part that is told always queues, so that
// one pulse sets all taps off in one step; here it queues only if, when told, it wants another
// state than it has. So the cascade keeps its step a tap, and only the last tap is raced: it
// lapses if the falling edge of p was told before it was, which gives W-1, the table's last
// column; told the other way round it gives W.
//
// R2. IEEE Std 1364-2005, 11.4.1 and 11.5 (both outcomes of a race are correct): read via two
// public conformance suites. Two-phase numbers run; those of reads="turn" follow from the medium,
// and are compared with the page of Go above.
func TestRaced(t *testing.T) {
	for _, c := range []struct {
		width, taps             int
		twoSteps                bool
		step, turn, pulseSooner int // pulseSooner: x tells p before it tells e1
	}{
		{5, 9, false, 5, 4, 5}, // decode_raced
		{3, 24, false, 3, 2, 3}, {7, 24, false, 7, 6, 7}, {16, 24, false, 16, 15, 16}, {24, 24, false, 24, 23, 24},
		{6, 6, true, 3, 3, 3}, {12, 9, true, 6, 6, 6}, {20, 24, true, 10, 10, 10},
		{5, 24, true, 3, 2, 3}, {9, 24, true, 5, 4, 5}, {15, 24, true, 8, 7, 8},
	} {
		n := decoder(c.width, c.taps, c.twoSteps)
		sooner := n.cords()
		p := slices.Index(sooner, netCord{From: "x", To: "p"})
		sooner = slices.Insert(slices.Delete(sooner, p, p+1), 0, netCord{From: "x", To: "p"})
		for _, got := range []struct {
			how  string
			es   []edge
			want int
		}{
			{"reads step", n.edges(t, rules(byStep), nil), c.step},
			{"reads turn", n.edges(t, rules(byTurn), nil), c.turn},
			{"reads turn, the pulse told first", n.edges(t, rules(byTurn), sooner), c.pulseSooner},
		} {
			if at := position(t, got.es); at != got.want {
				t.Errorf("pulse of %d, %d taps, two steps %v, %s: position %d, want %d",
					c.width, c.taps, c.twoSteps, got.how, at, got.want)
			}
		}
	}

	h := loadNetwork(t, "hazard")
	cords := h.cords()
	aTellsAB := slices.Clone(cords)
	i := slices.Index(aTellsAB, netCord{From: "a", To: "ab"})
	aTellsAB[0], aTellsAB[i] = aTellsAB[i], aTellsAB[0]
	for _, c := range []struct {
		how  string
		es   []edge
		want int
	}{
		{"reads step", h.edges(t, rules(byStep), nil), 1},
		{"reads turn, the inverter told first", h.edges(t, rules(byTurn), cords), 0},
		{"reads turn, the inverter told last", h.edges(t, rules(byTurn), aTellsAB), 1},
	} {
		if got := dips(c.es); got != c.want {
			t.Errorf("hazard, %s: %d dips, want %d", c.how, got, c.want)
		}
	}
}

// TestTurnOrder compares whole logs, turn by turn and not sorted, with the page of Go above, on
// every network of gates alone, raced ones included.
func TestTurnOrder(t *testing.T) {
	compared := 0
	for _, name := range networks(t) {
		n := loadNetwork(t, name)
		if n.MaxSteps > 0 || slices.ContainsFunc(n.Parts, func(p netPart) bool { return p.Kind == "delay" || p.Kind == "wire" }) {
			continue
		}
		compared++
		want := line{net: n, wanting: true}.run()
		if got := n.edges(t, rules(byTurn), nil); !slices.Equal(got, want) {
			t.Errorf("%s: the log is\n%v\nwant\n%v", name, got, want)
		}
	}
	if compared < 15 {
		t.Errorf("only %d networks compared", compared)
	}
}
