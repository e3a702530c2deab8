package engine_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/graph"
	"gonum.org/v1/gonum/graph/path"
	"gonum.org/v1/gonum/graph/simple"
	"gonum.org/v1/gonum/graph/topo"
	"gonum.org/v1/gonum/graph/traverse"

	"pulsewright/engine"
)

// randomGraph is a graph of parts told from part 0, every part reachable.
type randomGraph struct {
	arrows [][2]int64
	parts  int
}

// newRandomGraph draws a graph in which each part has one to three inputs, all different. Without
// cycles, a part's inputs are parts with smaller numbers; with cycles, only its first is.
func newRandomGraph(seed uint64, parts int, cycles bool) randomGraph {
	r := rand.New(rand.NewPCG(seed, 4))
	g := randomGraph{parts: parts}
	for to := 1; to < parts; to++ {
		from := map[int]bool{}
		for i := range 1 + r.IntN(3) {
			f := r.IntN(to)
			if cycles && i > 0 {
				f = r.IntN(parts)
			}
			if f != to && !from[f] {
				from[f] = true
				g.arrows = append(g.arrows, [2]int64{int64(f), int64(to)})
			}
		}
	}
	return g
}

// network lays the graph with gates of one kind behind an input that rises in tick 1 and falls in
// tick 2.
func (g randomGraph) network(kind string) network {
	n := network{Name: "random graph of " + kind, Until: 2}
	for i := range g.parts {
		n.Parts = append(n.Parts, netPart{ID: fmt.Sprint(i), Kind: kind})
	}
	n.Parts[0].Kind, n.Parts[0].Wave = "input", [][2]int64{{1, 1}, {2, 0}}
	for _, a := range g.arrows {
		to := &n.Parts[a[1]]
		to.In = append(to.In, fmt.Sprint(a[0]))
	}
	return n
}

func (g randomGraph) gonum() *simple.DirectedGraph {
	d := simple.NewDirectedGraph()
	for _, a := range g.arrows {
		d.SetEdge(d.NewEdge(simple.Node(a[0]), simple.Node(a[1])))
	}
	return d
}

// shortest returns each part's depth below part 0, by breadth-first search and again by Dijkstra's
// algorithm.
func (g randomGraph) shortest(t *testing.T) []int {
	d := g.gonum()
	depth := make([]int, g.parts)
	seen := 0
	var bf traverse.BreadthFirst
	bf.Walk(d, d.Node(0), func(n graph.Node, at int) bool {
		depth[n.ID()] = at
		seen++
		return false
	})
	if seen != g.parts {
		t.Fatalf("%d of %d parts are reachable", seen, g.parts)
	}
	tree := path.DijkstraFrom(d.Node(0), d)
	for i, at := range depth {
		if w := tree.WeightTo(int64(i)); w != float64(at) {
			t.Fatalf("part %d: breadth first %d, Dijkstra %v", i, at, w)
		}
	}
	return depth
}

// longest returns the length of the longest path from part 0 to each part.
func (g randomGraph) longest(t *testing.T) []int {
	d := g.gonum()
	order, err := topo.Sort(d)
	if err != nil {
		t.Fatal(err)
	}
	depth := make([]int, g.parts)
	for _, n := range order {
		for to := d.From(n.ID()); to.Next(); {
			i := to.Node().ID()
			depth[i] = max(depth[i], depth[n.ID()]+1)
		}
	}
	return depth
}

// arrivals returns the step at which each part rises in tick 1 and falls in tick 2; each must move
// exactly twice (or once, if it never falls: -1).
func (g randomGraph) arrivals(t *testing.T, es []edge) (rise, fall []int) {
	t.Helper()
	rise, fall = make([]int, g.parts), make([]int, g.parts)
	moves := make([]int, g.parts)
	for i := range fall {
		fall[i] = -1
	}
	for _, e := range es {
		var i int
		if _, err := fmt.Sscan(e.part, &i); err != nil {
			t.Fatal(err)
		}
		moves[i]++
		if e.on && e.tick == 1 {
			rise[i] = e.step
		} else if !e.on && e.tick == 2 {
			fall[i] = e.step
		} else {
			t.Errorf("part %d changes to %v in tick %d", i, e.on, e.tick)
		}
	}
	for i, m := range moves {
		if want := 1 + bit(fall[i] >= 0); m != want {
			t.Errorf("part %d moves %d times", i, m)
		}
	}
	return rise, fall
}

// TestArrivalsAgainstGraphLibrary compares the steps at which an edge arrives with depths that an
// independent graph library finds. One input, all parts 0 before: in a graph without cycles, of OR
// gates, the rising edge arrives by the shortest path and the falling edge by the longest; of AND
// gates it is the other way round. The shortest-path direction holds in any order of acts; the
// longest-path direction is raced where inputs arrive one step apart, so that it is exact with
// reads="step" and may be early with reads="turn".
//
// R4. gonum.org/v1/gonum v0.17.0, graph/traverse, graph/path, graph/topo: read, run.
func TestArrivalsAgainstGraphLibrary(t *testing.T) {
	for seed := range uint64(60) {
		g := newRandomGraph(seed, 25, false)
		short, long := g.shortest(t), g.longest(t)
		for _, kind := range []string{"or", "and"} {
			n := g.network(kind)
			for i, r := range []engine.Rules{rules(byStep), rules(byTurn), rules(byTurn, lifo)} {
				m, cords := n.shuffled(rand.New(rand.NewPCG(seed, uint64(i))))
				rise, fall := g.arrivals(t, m.edges(t, r, cords))
				if kind == "and" {
					rise, fall = fall, rise
				}
				for p := 1; p < g.parts; p++ {
					if rise[p] != short[p] {
						t.Errorf("%s part %d: step %d, the shortest path has %d", kind, p, rise[p], short[p])
					}
					early := r.Reads == engine.ByTurn && short[p] <= fall[p] && fall[p] < long[p]
					if fall[p] != long[p] && !early {
						t.Errorf("%s part %d: step %d, the longest path has %d", kind, p, fall[p], long[p])
					}
				}
				if t.Failed() {
					t.Fatalf("graph of seed %d, rules %+v", seed, r)
				}
			}
		}
	}
}

// TestArrivalsInCycles: the rising edge goes by the shortest path in graphs with cycles too, under
// every order of acts. (A cycle of OR gates holds itself, so that nothing need fall.)
//
// R4, as above; larger graphs, with Dijkstra's and breadth-first search agreeing.
func TestArrivalsInCycles(t *testing.T) {
	for seed := range uint64(40) {
		g := newRandomGraph(seed, 60, true)
		short := g.shortest(t)
		n := g.network("or")
		for i, r := range []engine.Rules{rules(byStep), rules(byTurn), rules(byTurn, lifo)} {
			m, cords := n.shuffled(rand.New(rand.NewPCG(seed, uint64(i))))
			rise, _ := g.arrivals(t, m.edges(t, r, cords))
			deepest := math.MinInt
			for p := 1; p < g.parts; p++ {
				deepest = max(deepest, short[p])
				if rise[p] != short[p] {
					t.Errorf("part %d: step %d, the shortest path has %d", p, rise[p], short[p])
				}
			}
			if t.Failed() || deepest < 2 {
				t.Fatalf("graph of seed %d, depth %d, rules %+v", seed, deepest, r)
			}
		}
	}
}
