package differ

import "pulsewright/engine"

// place is what makes a part of a and one of b the same: its name, its cell seen from the frame, or on the shelf its turn.
type place struct {
	name  string
	cell  engine.Cell
	shelf int // counted from 1 among those without a name to go by
}

// pair gives each part of both sides its class. A cell that held several parts one after the other is one class. With names, parts that
// have the same name in both are the same; the others are, if their cells are.
func pair(a, b *side, names bool) (classes int) {
	has := map[string]int{}
	shared := func(w who, s *side) bool {
		return w.kind != engine.Bare && w.name != "" && (names || w.shelf) && has[s.seen(w.name)] == 3
	}
	for k, s := range []*side{a, b} {
		for id := engine.ID(1); id <= s.last(); id++ {
			if w := s.who(id); s.has(id) && w.name != "" {
				has[s.seen(w.name)] |= 1 << k
			}
		}
	}
	number := map[place]int32{}
	for _, s := range []*side{a, b} {
		last, shelf := s.last(), 0
		s.class = make([]int32, last+1)
		for id := engine.ID(1); id <= last; id++ {
			if !s.has(id) {
				continue
			}
			w := s.who(id)
			p := place{}
			switch {
			case shared(w, s):
				p.name = s.seen(w.name)
			case w.shelf:
				shelf++
				p.shelf = shelf
			default:
				p.cell = s.frame.Local(w.cell)
			}
			if number[p] == 0 {
				number[p] = int32(len(number) + 1)
			}
			s.class[id] = number[p]
		}
	}
	for _, s := range []*side{a, b} {
		s.first = make([]engine.ID, len(number)+1)
		for id, c := range s.class {
			if c == 0 {
				continue
			}
			if w := s.who(engine.ID(id)); s.first[c] == 0 || !w.removed {
				s.first[c] = engine.ID(id)
			}
		}
	}
	return len(number)
}
