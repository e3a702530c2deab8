package calibrate

import "pulsewright/engine"

// most is the level from which on reach makes no difference to the rig, and likewise run: no level goes farther than the largest group of
// cells that may conduct, side by side, and no two reeds of a group of n are more than n - 1 cells apart. Tokens before a meter, and kinds
// of the user's own, may add to a level wherever they stand.
func (r *Rig) most() (reach, run int) {
	conduct, reeds := map[engine.Cell]engine.Dir{}, map[engine.Cell]engine.Dir{}
	more := 0
	for _, p := range r.parts {
		switch {
		case p.Kind == engine.Told:
			more += r.kin.conductors()
			conduct[p.at] = 0
		case p.Kind.Trait().Conducts:
			conduct[p.at] = 0
		case p.Kind == engine.Shuttle && p.Slug == engine.Bridge:
			near := p.at.Add(p.Facing.Cell())
			conduct[near], conduct[near.Add(p.Facing.Cell())] = 0, 0
		case p.Kind == engine.Tray:
			more += p.Tokens
		case p.Kind == engine.Reed:
			reeds[p.at] = p.Facing
		}
	}
	return largest(conduct) + more, max(largest(reeds)-1, 0)
}

// largest is how many cells the largest group has in which each lies beside another with the same mark.
func largest(cells map[engine.Cell]engine.Dir) (most int) {
	done := map[engine.Cell]bool{}
	var size func(c engine.Cell) int
	size = func(c engine.Cell) int {
		done[c] = true
		n := 1
		for d := engine.PosX; d <= engine.NegZ; d++ {
			if o := c.Add(d.Cell()); !done[o] {
				if mark, ok := cells[o]; ok && mark == cells[c] {
					n += size(o)
				}
			}
		}
		return n
	}
	for c := range cells {
		if !done[c] {
			most = max(most, size(c))
		}
	}
	return most
}
