package engine_test

import (
	"bufio"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"pulsewright/engine"
)

// network is a net of parts in which place does not matter, as testdata/networks/*.json states it.
type network struct {
	Name     string
	About    string
	Until    int64 // last tick run
	MaxSteps int   `json:"max_steps"`
	Parts    []netPart
}

// netPart is one part of a network. Its inputs are names, with ! in front when read the other way round.
type netPart struct {
	ID     string
	Kind   string
	In     []string
	Init   int        // value before tick 0; nothing acts until an input changes
	Wave   [][2]int64 // input: tick, value
	Ticks  int        // delay
	Reject int        // delay: 0 means that it repeats every edge
}

// netCord is one input of one part.
type netCord struct {
	From, To string
	Invert   bool
}

func loadNetwork(t testing.TB, name string) network {
	t.Helper()
	src, err := os.ReadFile(filepath.Join("testdata", "networks", name+".json"))
	if err != nil {
		t.Fatal(err)
	}
	var n network
	if err := json.Unmarshal(src, &n); err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	return n
}

// cords lists the network's cords part by part, each part's inputs in the order given.
func (n network) cords() []netCord {
	var cs []netCord
	for _, p := range n.Parts {
		for _, in := range p.In {
			from, inverted := strings.CutPrefix(in, "!")
			cs = append(cs, netCord{from, p.ID, inverted})
		}
	}
	return cs
}

// shuffled returns the network's parts and cords in another order. The inputs of one
// part keep theirs: a latch knows its inputs by it.
func (n network) shuffled(r *rand.Rand) (network, []netCord) {
	m := n
	m.Parts = slices.Clone(n.Parts)
	r.Shuffle(len(m.Parts), func(i, j int) { m.Parts[i], m.Parts[j] = m.Parts[j], m.Parts[i] })
	cords := m.cords()
	slots := r.Perm(len(cords))
	mixed := make([]netCord, len(cords))
	for i := 0; i < len(cords); {
		j := i
		for j < len(cords) && cords[j].To == cords[i].To {
			j++
		}
		own := slices.Clone(slots[i:j])
		slices.Sort(own)
		for k, slot := range own {
			mixed[slot] = cords[i+k]
		}
		i = j
	}
	return m, mixed
}

var gateKinds = map[string]engine.Op{
	"buf": engine.Buf, "not": engine.Not, "and": engine.And, "or": engine.Or, "nand": engine.Nand,
	"nor": engine.Nor, "xor": engine.Xor, "xnor": engine.Xnor, "celem": engine.Hold, "latch": engine.Latch,
}

// part says how the bench holds a part of the network: an input is a key, so that it
// changes at step 0 and can rest on.
func (p netPart) part() (engine.Part, error) {
	q := engine.Part{Name: p.ID, On: p.Init == 1, Ticks: p.Ticks}
	switch p.Kind {
	case "input":
		q.Kind = engine.Key
	case "wire":
		q.Kind = engine.Wire
	case "delay":
		q.Kind, q.Mode = engine.Delay, engine.Transport
		if p.Reject > 0 {
			q.Mode, q.Reject = engine.Inertial, p.Reject
		}
	default:
		op, ok := gateKinds[p.Kind]
		if !ok {
			return q, fmt.Errorf("part %s has unknown kind %q", p.ID, p.Kind)
		}
		q.Kind, q.Op = engine.Gate, op
	}
	return q, nil
}

// rig is a network laid on the shelf of a bench.
type rig struct {
	*engine.Bench
	net network
}

// rig lays the network, its cords in the order given (nil: as n.cords has them), and
// states what its inputs will do.
func (n network) rig(t testing.TB, r engine.Rules, cords []netCord) rig {
	t.Helper()
	b := engine.New(r)
	id := map[string]engine.ID{}
	for _, p := range n.Parts {
		q, err := p.part()
		if err != nil {
			t.Fatal(err)
		}
		if id[p.ID], err = b.Shelve(q); err != nil {
			t.Fatalf("%s: %s: %v", n.Name, p.ID, err)
		}
	}
	if cords == nil {
		cords = n.cords()
	}
	for _, c := range cords {
		if err := b.Patch(id[c.From], id[c.To], engine.Cord{Power: true, News: true, Invert: c.Invert}); err != nil {
			t.Fatalf("%s: cord %s to %s: %v", n.Name, c.From, c.To, err)
		}
	}
	for _, p := range n.Parts {
		for _, w := range p.Wave {
			act := b.Release
			if w[1] == 1 {
				act = b.Press
			}
			if err := act(id[p.ID], w[0]); err != nil {
				t.Fatalf("%s: %s at tick %d: %v", n.Name, p.ID, w[0], err)
			}
		}
	}
	return rig{b, n}
}

// run runs the rig to the end of the network's last tick.
func (r rig) run(t testing.TB) {
	t.Helper()
	if err := r.RunTicks(context.Background(), r.net.Until, engine.Budget{}); err != nil {
		t.Fatalf("%s: %v", r.net.Name, err)
	}
}

// edge is one change of one part.
type edge struct {
	tick int64
	step int
	part string
	on   bool
}

// edges lists what the parts of a network did, in the order of the log. Wires are no
// parts of a trace, and a lapse is no change.
func (r rig) edges() []edge {
	var es []edge
	for _, e := range r.Events(1) {
		if e.What == engine.On || e.What == engine.Off {
			es = append(es, edge{e.Tick, int(e.Step), r.Thing(e.ID).Name, e.What == engine.On})
		}
	}
	return es
}

// of writes the changes of one part as "+1.4 -1.9": on at tick 1 step 4, off at tick 1 step 9.
func (r rig) of(part string) string {
	var s []string
	for _, e := range r.edges() {
		if e.part == part {
			s = append(s, fmt.Sprintf("%c%d.%d", "-+"[bit(e.on)], e.tick, e.step))
		}
	}
	return strings.Join(s, " ")
}

// trace writes the edges as a golden trace does: one "tick step part value" a line, sorted.
func trace(es []edge) string {
	es = slices.Clone(es)
	slices.SortStableFunc(es, func(a, b edge) int {
		switch {
		case a.tick != b.tick:
			return int(a.tick - b.tick)
		case a.step != b.step:
			return a.step - b.step
		case a.part != b.part:
			return strings.Compare(a.part, b.part)
		}
		return bit(a.on) - bit(b.on)
	})
	var s strings.Builder
	for _, e := range es {
		fmt.Fprintf(&s, "%d %d %s %d\n", e.tick, e.step, e.part, bit(e.on))
	}
	return s.String()
}

func bit(on bool) int {
	if on {
		return 1
	}
	return 0
}

// golden is a trace as the independent program wrote it.
type golden struct {
	lines     string
	orderFree bool  // every order of acts inside a step gives this trace
	limitTick int64 // the tick that never settles; 0: none
	limitStep int   // the step at which the trace of that tick ends
}

func loadGolden(t testing.TB, name string) golden {
	t.Helper()
	f, err := os.Open(filepath.Join("testdata", "golden", name+".trace"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	var g golden
	var lines strings.Builder
	for in := bufio.NewScanner(f); in.Scan(); {
		line := in.Text()
		if !strings.HasPrefix(line, "#") {
			fmt.Fprintln(&lines, line)
			continue
		}
		switch f := strings.Fields(line); f[1] {
		case "order-free":
			g.orderFree = f[2] == "yes"
		case "limit":
			if _, err := fmt.Sscan(f[2]+" "+f[3], &g.limitTick, &g.limitStep); err != nil {
				t.Fatalf("%s: %q: %v", name, line, err)
			}
		}
	}
	g.lines = lines.String()
	return g
}

// follow runs the rig and compares its trace, whole, with the golden one. A tick that
// never settles must end in a *engine.Runaway; its first steps are compared.
func (r rig) follow(t testing.TB, g golden) {
	t.Helper()
	err := r.RunTicks(context.Background(), r.net.Until, engine.Budget{Turns: 20_000})
	es := r.edges()
	if g.limitTick > 0 {
		var away *engine.Runaway
		if !errors.As(err, &away) {
			t.Fatalf("tick %d never settles, yet the run ended with error %v", g.limitTick, err)
		}
		if away.At.Tick != g.limitTick {
			t.Errorf("the runaway is in tick %d, want %d", away.At.Tick, g.limitTick)
		}
		es = slices.DeleteFunc(es, func(e edge) bool { return e.tick == g.limitTick && e.step > g.limitStep })
	} else if err != nil {
		t.Fatal(err)
	}
	if got := trace(es); got != g.lines {
		t.Errorf("the trace differs:\n%s", firstDifference(got, g.lines))
	}
}

// firstDifference shows where two texts part.
func firstDifference(got, want string) string {
	g, w := strings.Split(got, "\n"), strings.Split(want, "\n")
	for i := 0; i < max(len(g), len(w)); i++ {
		a, b := "(end)", "(end)"
		if i < len(g) {
			a = g[i]
		}
		if i < len(w) {
			b = w[i]
		}
		if a != b {
			return fmt.Sprintf("line %d\n got  %s\n want %s", i+1, a, b)
		}
	}
	return "(no difference)"
}

// rules returns the rules of a fresh bench with some of them changed.
func rules(change ...func(*engine.Rules)) engine.Rules {
	r := engine.DefaultRules()
	for _, c := range change {
		c(&r)
	}
	return r
}

func byStep(r *engine.Rules) { r.Reads = engine.ByStep }
func byTurn(r *engine.Rules) { r.Reads = engine.ByTurn }
func lifo(r *engine.Rules)   { r.News = engine.LIFO }
