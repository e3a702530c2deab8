package engine_test

import (
	"compress/gzip"
	"context"
	"crypto/sha256"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"slices"
	"strings"
	"testing"

	"pulsewright/engine"
)

// generatedNetwork is a network drawn by lot, with what the independent program's trace of it comes to.
type generatedNetwork struct {
	network
	Lines int    // of the trace
	Trace string // the first 16 digits of the SHA-256 of its lines
	Free  bool   // every order of acts inside a step gives this trace
}

func generatedNetworks(t *testing.T) (all []generatedNetwork) {
	f, err := os.Open("testdata/generated.jsonl.gz")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	text, err := gzip.NewReader(f)
	if err != nil {
		t.Fatal(err)
	}
	for in := json.NewDecoder(text); ; {
		var n generatedNetwork
		if err := in.Decode(&n); err == io.EOF {
			return all
		} else if err != nil {
			t.Fatal(err)
		}
		all = append(all, n)
	}
}

// TestGeneratedNetworks compares the traces of networks of gates, delays and inverted cords that were drawn by lot, as TestNetworks does; of the
// traces only their digests are kept. Those in which the order of acts cannot matter are run under other rules, too.
//
// IEEE Std 1666, IEEE Std 1076-2019, 14.7.5 and 10.5.2.2, as for TestNetworks; traces: run.
func TestGeneratedNetworks(t *testing.T) {
	back := engine.DefaultRules().Order
	slices.Reverse(back[:])
	backwards := func(r *engine.Rules) { r.Order = back }
	all := generatedNetworks(t)
	if len(all) < 200 {
		t.Errorf("%d networks", len(all))
	}
	free, lines := 0, 0
	for _, n := range all {
		under := []engine.Rules{rules(byStep), rules(byStep, backwards), rules(byStep, lifo)}
		if n.Free {
			free++
			under = append(under, rules(byTurn), rules(byTurn, lifo), rules(byTurn, backwards))
		}
		lines += n.Lines
		for _, r := range under {
			rig := n.rig(t, r, nil)
			if err := rig.RunTicks(context.Background(), n.Until, engine.Budget{}); err != nil {
				t.Fatalf("%s: %v", n.Name, err)
			}
			got := trace(rig.edges())
			if digest := fmt.Sprintf("%x", sha256.Sum256([]byte(got)))[:16]; digest != n.Trace {
				t.Fatalf("%s under %+v: %d lines, want %d, and others:\n%s", n.Name, r, strings.Count(got, "\n"), n.Lines, got)
			}
		}
	}
	if free < 40 || lines < 15_000 {
		t.Errorf("%d networks are free of order, the traces have %d lines", free, lines)
	}
}
