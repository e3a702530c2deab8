package join_test

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"pulsewright/builtins"
	"pulsewright/builtins/stage"
	"pulsewright/engine"
)

// quay is a crooked row of wires with keys at some of them, from which a row is to lead to another row.
func quay(r *rand.Rand) (script string, keys int) {
	var text strings.Builder
	fmt.Fprintf(&text, "rules(reach=%d)\n", 10+r.IntN(22))
	at := engine.Cell{}
	taken := map[engine.Cell]bool{{}: true, {X: 1}: true, {X: 2}: true}
	text.WriteString("wire((0, 0), name='start')\n")
	free := func(c engine.Cell) bool {
		for _, d := range round {
			if n := sum(c, d); taken[n] && n != at {
				return false
			}
		}
		return !taken[c] && c.X <= 0
	}
	for range 2 + r.IntN(16) { // wires touch none but the one before
		n := sum(at, []engine.Cell{{X: -1}, {X: -1}, {Y: 1}, {Y: -1}, {Z: 1}}[r.IntN(5)])
		if !free(n) {
			continue
		}
		taken[n] = true
		fmt.Fprintf(&text, "wire((%d, %d, %d))\n", n.X, n.Y, n.Z)
		was := at
		at = n
		below := engine.Cell{X: was.X, Y: was.Y, Z: was.Z - 1}
		if r.IntN(2) == 0 && below.Z == -1 && below.X < 0 && !taken[below] {
			taken[below] = true
			fmt.Fprintf(&text, "key((%d, %d, %d), name='key%d')\n", below.X, below.Y, below.Z, keys)
			keys++
		}
	}
	for _, d := range []engine.Cell{{X: -1}, {Z: 1}} {
		if n := sum(at, d); keys == 0 || !taken[n] {
			fmt.Fprintf(&text, "key((%d, %d, %d), name='key%d')\n", n.X, n.Y, n.Z, keys)
			taken[n] = true
			keys++
			break
		}
	}
	x := 4 + r.IntN(7)
	if r.IntN(3) == 0 {
		fmt.Fprintf(&text, "lamp((%d, 0), name='end')\n", x)
	} else {
		fmt.Fprintf(&text, "wire((%d, 0), name='end')\nwire((%d, 0), (%d, %d))\n", x, x+1, x+1, r.IntN(5)-2)
	}
	for range r.IntN(12) {
		fmt.Fprintf(&text, "link((%d, %d, %d), '+x') if state((%[1]d, %[2]d, %[3]d)).kind == 'cell' else None\n", 2+r.IntN(4), r.IntN(5)-2, r.IntN(3)-1)
	}
	return text.String(), keys
}

// pressed presses each key alone and gives those at which some of the row or of the net behind its end stays dead, or the lamp dark; mine
// are the parts before the row.
func pressed(t *testing.T, s *stage.Scene, keys int, mine map[engine.ID]bool) (dead []string) {
	t.Helper()
	b := s.Bench
	for i := range keys {
		was := b.Snapshot()
		if msg := s.Do(fmt.Sprintf("press('key%d')\nrun(1)", i)); msg != "" {
			t.Fatal(msg)
		}
		off := 0
		for id := range b.Parts() {
			if k := b.KindOf(id); !mine[id] && (k == engine.Wire || k == engine.Lamp) && !b.State(id).On {
				off++
			}
		}
		if off > 0 {
			dead = append(dead, fmt.Sprintf("key key%d", i))
		}
		b.Restore(was)
	}
	return dead
}

// TestLayEveryKey: whichever of the keys of the start's net is pressed alone, all that a row leads to is live; where no row is laid for want of
// reach, one laid by hand as short as can be leaves something dead, for the very key that is named.
func TestLayEveryKey(t *testing.T) {
	laid, refused, several := 0, 0, 0
	for seed := range uint64(180) {
		r := rand.New(rand.NewPCG(seed, 31))
		script, keys := quay(r)
		s := stage.MustDo(t, script)
		mine := map[engine.ID]bool{}
		for id := range s.Bench.Parts() {
			if at, _ := s.Bench.CellOf(id); at.X <= 0 {
				mine[id] = true
			}
		}
		p := plainly(s.Bench)
		msg := s.Do("row = lay('start', 'end')")
		if msg == "" {
			laid++
			several += builtins.BoolInt(keys > 1)
			if dead := pressed(t, s, keys, mine); len(dead) > 0 {
				t.Fatalf("seed %d: laid, and not all is live with %v\n%s", seed, dead, script)
			}
			continue
		}
		if !strings.Contains(msg, " too few") {
			continue // no way
		}
		start, _ := s.Bench.Lookup("start")
		end, _ := s.Bench.Lookup("end")
		p.start, p.end = start, end
		p.from, _ = s.Bench.CellOf(start)
		p.to, _ = s.Bench.CellOf(end)
		cells := p.way(func(at engine.Cell) bool {
			return at.X > -30 && at.X < 30 && at.Y > -9 && at.Y < 9 && at.Z > -9 && at.Z < 9
		})
		if cells == nil {
			continue // nor any that is too long
		}
		refused++
		for _, at := range cells {
			s.Bench.Place(at, engine.Part{Kind: engine.Wire})
		}
		dead := pressed(t, s, keys, mine)
		named := false
		for _, key := range dead {
			named = named || strings.Contains(msg, "power of "+key+" at ")
		}
		if !named {
			t.Fatalf("seed %d: %s\nby hand, over %v: dead with %v\n%s", seed, msg, cells, dead, script)
		}
	}
	if laid < 60 || refused < 60 || several < 20 {
		t.Errorf("%d laid, %d of them with several keys, %d refused", laid, several, refused)
	}
}

// way is a shortest row between the ends over clear cells of a box, however long.
func (p *plain) way(inside func(engine.Cell) bool) (cells []engine.Cell) {
	before := map[engine.Cell]engine.Cell{}
	var line []engine.Cell
	reach := func(c, from engine.Cell) {
		if _, seen := before[c]; !seen && inside(c) && p.clear(c) {
			before[c] = from
			line = append(line, c)
		}
	}
	for _, d := range round {
		if c := sum(p.from, d); p.begins(c) {
			reach(c, p.from)
		}
	}
	for i := 0; i < len(line); i++ {
		if p.ends(line[i]) {
			for c := line[i]; c != p.from; c = before[c] {
				cells = append(cells, c)
			}
			return cells
		}
		for _, d := range round {
			reach(sum(line[i], d), line[i])
		}
	}
	return nil
}
