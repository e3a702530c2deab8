package observe

import (
	"sync"
	"testing"
	"time"

	"pulsewright/engine"
)

// TestReadAllWaitsForNobody: a probe may come twice, and two that read the same probes in another order do not wait for each other.
func TestReadAllWaitsForNobody(t *testing.T) {
	b := engine.New(engine.DefaultRules())
	var probes []*Probe
	for x := range int32(2) {
		id, err := b.Place(engine.Cell{X: x}, engine.Part{Kind: engine.Wire})
		if err != nil {
			t.Fatal(err)
		}
		p, err := NewProbe(b, engine.Target{ID: id}, "")
		if err != nil {
			t.Fatal(err)
		}
		probes = append(probes, p)
	}
	a, z := probes[0], probes[1]
	done := make(chan bool)
	go func() {
		defer close(done)
		var all sync.WaitGroup
		for _, list := range [][]*Probe{{a, z, a}, {z, a, z}} {
			all.Go(func() {
				for range 1000 {
					ReadAll(b, list)
				}
			})
		}
		all.Wait()
	}()
	select {
	case <-done:
	case <-time.After(20 * time.Second):
		t.Fatal("probes wait for each other")
	}
}
