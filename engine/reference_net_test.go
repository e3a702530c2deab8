package engine_test

import (
	"context"
	"encoding/json"
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

// netPart is one part of a network. Its inputs are names, with ! in front when read the other way
// round.
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

// shuffled returns the network's parts and cords in another order. The inputs of one part keep
// theirs: a latch knows its inputs by it.
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

// part says how the bench holds a part of the network: an input is a key, so that it changes at
// step 0 and can rest on.
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

// rig lays the network, its cords in the order given (nil: as n.cords has them), and states what
// its inputs will do.
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

func lifo(r *engine.Rules) { r.News = engine.LIFO }
