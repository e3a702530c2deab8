package calibrate

import (
	"context"
	"testing"

	"pulsewright/engine"
)

// TestRows: rows tell every run apart that any 24 parts can, from 0 to 22, and every reach to 23; a bench built by hand shows the same.
func TestRows(t *testing.T) {
	held := func(kind engine.Kind, w engine.Rules) (n int) {
		b := engine.New(w)
		k, err := b.Place(engine.Cell{X: 4, Y: 4}, engine.Part{Kind: engine.Key})
		if err != nil {
			t.Fatal(err)
		}
		var row []engine.ID
		for i := range 23 {
			id, err := b.Place(engine.Cell{X: 5 + int32(i), Y: 4}, engine.Part{Kind: kind, Facing: engine.PosY})
			if err != nil {
				t.Fatal(err)
			}
			row = append(row, id)
		}
		if err := b.Press(k, 1); err != nil {
			t.Fatal(err)
		}
		if err := b.Run(context.Background(), engine.Budget{}); err != nil {
			t.Fatal(err)
		}
		for _, id := range row {
			if s := b.State(id); s.On || s.Level > 0 {
				n++
			}
		}
		return n
	}
	s := wide()
	s.orders, s.news, s.reads, s.travel, s.reach, s.check = s.orders[5:6], s.news[1:], s.reads[1:], []int{2}, []int{24}, false
	s.run = upTo(0, 40)
	for n := range 25 {
		w := s.orders[0]
		w.News, w.Reads, w.Run = engine.LIFO, engine.ByStep, n
		if got := held(engine.Reed, w); got != min(n+1, 23) {
			t.Errorf("run %d holds %d reeds of a row of 23", n, got)
		}
		c := begin(t, s)
		answerAll(t, c, w, -1, newRandom(1))
		if k := &c.sp.combos[c.left.at[0].combo]; len(c.left.at) != 1 || k.run != min(n, 22) {
			t.Errorf("run %d: %d runs are left, from %d on", n, len(c.left.at), k.run)
		}
	}
	w := engine.DefaultRules()
	if w.Reach = 22; held(engine.Wire, w) != 22 {
		t.Errorf("reach 22 carries %d wires of 23", held(engine.Wire, w))
	}
}
