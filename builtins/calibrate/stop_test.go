package calibrate

import (
	"context"
	"strings"
	"sync"
	"testing"
	"time"

	"pulsewright/builtins"
	"pulsewright/engine"
)

// countdown is a context that ends when it has been asked so often whether it has.
type countdown struct {
	context.Context
	left    int
	last    time.Time
	longest time.Duration // between two looks
}

func (c *countdown) Err() error {
	now := time.Now()
	if !c.last.IsZero() {
		c.longest = max(c.longest, now.Sub(c.last))
	}
	c.last = now
	if c.left--; c.left < 0 {
		return context.Canceled
	}
	return nil
}

// TestLooks: a calibration that is stopped while it chooses says so, takes nothing for found, and chooses as ever when it is asked again. It looks
// often enough whether it is to stop.
func TestLooks(t *testing.T) {
	openings.Clear()
	layings()
	w := hidden(newRandom(9))
	want := begin(t, wide())
	c := begin(t, wide())
	c.env.Workers = 1 // the countdown is no context for two
	c.env.Bench = engine.New(engine.DefaultRules())
	stop := func(looks int) *countdown {
		x := &countdown{Context: context.Background(), left: looks}
		c.env.Ctx = x
		c.next, c.first = nil, nil
		text := c.text()
		if x.left >= 0 {
			t.Fatalf("it was never stopped, in %d looks", looks-x.left)
		}
		if !strings.HasPrefix(text, "stopped while the next experiment was chosen") || c.found() || c.done() || c.world() != nil {
			t.Fatalf("stopped after %d looks: found %v, done %v\n%s", looks, c.found(), c.done(), text)
		}
		if _, err := c.Attr("world"); err == nil {
			t.Error("a world is given though it was stopped")
		}
		return x
	}
	var longest time.Duration
	for range 2 {
		for _, looks := range []int{0, 1, 40, 200} {
			openings.Clear()
			longest = max(longest, stop(looks).longest)
		}
		c.env.Ctx = context.Background()
		if got, want := c.text(), want.text(); got != want {
			t.Fatalf("after it was stopped it chooses otherwise\n%s\nwant\n%s", got, want)
		}
		for _, k := range []*Calibration{c, want} {
			shown, err := k.proposal().shows(w, nil)
			if err != nil {
				t.Fatal(err)
			}
			k.record(shown)
		}
	}
	t.Logf("the longest time between two looks was %v", longest)
	if longest > 2*time.Second { // half a second on an idle machine
		t.Errorf("%v passed between two looks", longest)
	}
}

// TestParallelCalibrations: calibrations at the same time share what they have run, and find what each finds alone.
func TestParallelCalibrations(t *testing.T) {
	s := wide()
	s.orders, s.reach, s.run, s.travel = s.orders[:40], upTo(1, 4), upTo(1, 3), upTo(1, 3)
	find := func(seed uint64) string {
		r := newRandom(seed)
		w := s.orders[r.IntN(len(s.orders))]
		w.Travel, w.Reach, w.Run = 1+r.IntN(3), 1+r.IntN(4), 1+r.IntN(3)
		c, err := newCalibration(&builtins.Env{}, s)
		if err != nil {
			return err.Error()
		}
		for !c.done() {
			shown, err := c.proposal().shows(w, nil)
			if err != nil {
				return err.Error()
			}
			c.record(shown)
		}
		return c.text()
	}
	openings.Clear()
	texts := make([]string, 6)
	var all sync.WaitGroup
	for i := range texts {
		all.Go(func() { texts[i] = find(uint64(i / 2)) })
	}
	all.Wait()
	for i := range texts {
		if alone := find(uint64(i / 2)); texts[i] != alone || !strings.HasPrefix(alone, "found by") {
			t.Errorf("beside others\n%s\nalone\n%s", texts[i], alone)
		}
	}
}
