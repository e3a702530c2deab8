package engine_test

import (
	"slices"
	"strings"
	"testing"

	"pulsewright/engine"
)

// adjacency is a graph by its vertices, each with those it tells, in order.
type adjacency [][]string

// cordsBy returns the network's cords in the order of a graph's adjacency lists. A vertex that is
// the network's input hears nothing, so that arrows to it are no cords.
func (n network) cordsBy(t *testing.T, a adjacency) []netCord {
	t.Helper()
	var cords []netCord
	all := n.cords()
	for _, row := range a {
		for _, to := range row[1:] {
			if c := (netCord{From: row[0], To: to}); slices.Contains(all, c) {
				cords = append(cords, c)
			} else if !slices.ContainsFunc(n.Parts, func(p netPart) bool { return p.ID == to && p.Kind == "input" }) {
				t.Fatalf("%s: no arrow from %s to %s", n.Name, row[0], to)
			}
		}
	}
	for _, c := range all { // vertices that are never reached
		if !slices.Contains(cords, c) {
			cords = append(cords, c)
		}
	}
	return cords
}

// TestQueueContents follows the act queue itself through the textbook's breadth-first figure:
// after each turn the parts whose acts are queued, in the order in which they will act, must be
// the queue that is printed there.
//
// R3a. Cormen, Leiserson, Rivest, Stein, Introduction to Algorithms, 3rd ed. 2009, Fig. 22.3.
// Graph and order of adjacency read via a public transcription; queue contents from memory,
// derived again; distances run.
func TestQueueContents(t *testing.T) {
	n := loadNetwork(t, "clrs_bfs")
	figure := adjacency{
		{"s", "w", "r"}, {"r", "v", "s"}, {"w", "t", "x", "s"}, {"t", "x", "w", "u"},
		{"x", "y", "w", "u", "t"}, {"v", "r"}, {"u", "y", "x", "t"}, {"y", "x", "u"},
	}
	contents := []string{"w r", "r t x", "t x v", "x v u", "v u y", "u y", "y", ""} // after s, w, r, t, …
	distance := map[string]int{"s": 0, "r": 1, "w": 1, "t": 2, "x": 2, "v": 2, "u": 3, "y": 3}

	r := n.rig(t, rules(byTurn), n.cordsBy(t, figure))
	var queues []map[string]bool
	for {
		ok, err := r.Turn()
		if err != nil {
			t.Fatal(err)
		}
		if !ok {
			break
		}
		q := map[string]bool{}
		for id := range r.Parts() {
			if r.State(id).Queued {
				q[r.Thing(id).Name] = true
			}
		}
		queues = append(queues, q)
	}
	order := r.edges()
	for _, e := range order {
		if !e.on || e.step != distance[e.part] {
			t.Errorf("%s changes at step %d, want on at step %d", e.part, e.step, distance[e.part])
		}
	}
	var got []string
	for _, q := range queues {
		var s []string
		for _, e := range order {
			if q[e.part] {
				s = append(s, e.part)
			}
		}
		got = append(got, strings.Join(s, " "))
	}
	if !slices.Equal(got, contents) {
		t.Errorf("queue contents\n got %q\nwant %q", got, contents)
	}
}

// tinyDG is the digraph of R3b as far as vertex 3 reaches, adjacency in the published order.
var tinyDG = adjacency{
	{"v3", "v5", "v2"}, {"v5", "v4"}, {"v2", "v0", "v3"}, {"v4", "v3", "v2"}, {"v0", "v5", "v1"},
}

// TestFirstActs: acts are queued, so the order of first acts is breadth first whatever the rule
// for news. (Depth first shows where parts react inside the turn: next test.)
//
// R3b. Sedgewick, Wayne, Algorithms, 4th ed. 2011, 4.2, digraph tinyDG from vertex 3; distances
// read (library file headers); order of first acts derived.
func TestFirstActs(t *testing.T) {
	n := loadNetwork(t, "algs4_tinydg")
	for _, r := range []engine.Rules{rules(byTurn), rules(byTurn, lifo), rules(byStep)} {
		w := n.rig(t, r, n.cordsBy(t, tinyDG))
		w.run(t)
		want := []edge{
			{1, 0, "v3", true}, {1, 1, "v5", true}, {1, 1, "v2", true},
			{1, 2, "v4", true}, {1, 2, "v0", true}, {1, 3, "v1", true},
		}
		if got := w.edges(); !slices.Equal(got, want) {
			t.Errorf("rules %+v: first acts %v, want %v", r, got, want)
		}
	}
}

// TestNewsOrder lays the same digraph with reeds, which react when they hear. All of it happens in
// one turn, and the order of flips is the order in which news is delivered: 3 5 2 4 0 1 first in
// first out, 3 5 4 2 0 1 depth first, the first neighbour uppermost.
//
// R3b, as above. Depth first: Knuth, The Art of Computer Programming 1, 2.3, and Tarjan 1972 for
// the notions, from memory; the order derived.
func TestNewsOrder(t *testing.T) {
	for _, c := range []struct {
		rules engine.Rules
		want  string
	}{
		{rules(), "v3 v5 v2 v4 v0 v1"},
		{rules(lifo), "v3 v5 v4 v2 v0 v1"},
	} {
		b := engine.New(c.rules)
		id := map[string]engine.ID{}
		for _, name := range []string{"v0", "v1", "v2", "v3", "v4", "v5"} {
			p := engine.Part{Kind: engine.Reed, Name: name}
			if name == "v3" {
				p.Kind = engine.Key
			}
			var err error
			if id[name], err = b.Shelve(p); err != nil {
				t.Fatal(err)
			}
		}
		for _, row := range tinyDG {
			for _, to := range row[1:] {
				if to == "v3" {
					continue
				}
				if err := b.Patch(id[row[0]], id[to], engine.Cord{Power: true, News: true}); err != nil {
					t.Fatal(err)
				}
			}
		}
		if err := b.Press(id["v3"], 0); err != nil {
			t.Fatal(err)
		}
		var got []string
		if _, err := b.Turn(); err != nil {
			t.Fatal(err)
		}
		for _, e := range b.Events(1) {
			if e.At() != (engine.Instant{Tick: 1}) {
				t.Errorf("%s at %v, want all in one turn", b.Thing(e.ID).Name, e.At())
			}
			got = append(got, b.Thing(e.ID).Name)
		}
		if s := strings.Join(got, " "); s != c.want {
			t.Errorf("rules %+v: order %s, want %s", c.rules, s, c.want)
		}
	}
}
