package calibrate

import (
	"fmt"
	"slices"

	"pulsewright/engine"
)

// table is what a rig shows in each world. Worlds that cannot act differently on it are run once, and only when one of them is asked for:
//   - orders that put the directions alike in which news may go from a cell that may change; mixed ones are run each;
//   - reaches that no conductor of the rig is too far away for, and runs over the distance of its reeds;
//   - travels that end after the last look, or all of them where nothing depends on how long a slug is in transit (steady).
type table struct {
	*Rig
	laid     laying
	sp       *space
	class    []int      // of each order
	reps     []int      // an order of each class
	members  []orderSet // the orders of each class
	cellOf   []int32    // of each combination
	cells    []cellRow
	outcomes []string
	number   map[string]int
}

// cellRow is what the rig shows under combinations that are alike to it, by the class of the order.
type cellRow struct {
	combo combo
	shown []int // outcome by class of the order; -1: not run yet
	run   int   // how many classes have been run
	shows []showing
}

// showing is an outcome and the orders under which it is seen.
type showing struct {
	outcome int
	orders  orderSet
}

// steady reports whether travel makes no difference to what the rig shows: no slug moves; or one looks at rest, all keys are pressed in one
// tick, and nothing but slugs takes ticks. Then all that happens, happens in the tick of the press and whole travels after it, in an
// order that is the same however many ticks these are.
func (r *Rig) steady() bool {
	if r.has(engine.Shuttle) == 0 {
		return true
	}
	for _, p := range r.parts {
		switch p.Kind {
		case engine.Shuttle:
		case engine.Key, engine.Wire, engine.Jack, engine.Lamp, engine.Reed, engine.Link, engine.Battery, engine.Meter:
		case engine.Tray:
		default:
			return false
		}
	}
	for _, k := range r.keys {
		if k.tick != r.keys[0].tick || r.parts[k.key].Hold > 0 {
			return false
		}
	}
	return len(r.looks) == 0
}

// lastLook is the last tick in which one looks, 0 if that is once all is at rest.
func (r *Rig) lastLook() int {
	if len(r.looks) == 0 {
		return 0
	}
	return int(r.looks[len(r.looks)-1])
}

// ways are, of each cell that may change, the directions in which its news may go, where there are more than one.
func (r *Rig) ways() (masks [][6]bool) {
	hears, changes := map[engine.Cell]bool{}, map[engine.Cell]bool{}
	for _, p := range r.parts {
		switch p.Kind {
		case engine.Battery:
		case engine.Key, engine.Tray:
			changes[p.at] = true
		default:
			changes[p.at], hears[p.at] = true, true
		}
		if p.Kind == engine.Shuttle && p.Slug != engine.NoSlug {
			near := p.at.Add(p.Facing.Cell())
			for _, seat := range []engine.Cell{near, near.Add(p.Facing.Cell())} {
				changes[seat] = true
				hears[seat] = hears[seat] || p.Slug == engine.Bridge
			}
		}
	}
	for c := range changes {
		var mask [6]bool
		n := 0
		for d := engine.PosX; d <= engine.NegZ; d++ {
			if hears[c.Add(d.Cell())] {
				mask[d] = true
				n++
			}
		}
		if n > 1 && !slices.Contains(masks, mask) {
			masks = append(masks, mask)
		}
	}
	return masks
}

// newTable makes the table of a rig; nothing is run yet.
func newTable(sp *space, l laying) *table {
	r := l.rig
	t := &table{Rig: r, laid: l, sp: sp, class: make([]int, len(sp.orders)), number: map[string]int{}}
	masks, known := r.ways(), map[string]int{}
	for i, o := range sp.orders {
		key := orderKey(o, masks)
		k, ok := known[key]
		if !ok {
			k = len(t.reps)
			known[key] = k
			t.reps = append(t.reps, i)
			t.members = append(t.members, newOrderSet(len(sp.orders)))
		}
		t.class[i] = k
		t.members[k].add(i)
	}
	t.cellOf, t.cells = sp.alike(r)
	for i := range t.cells {
		shown := make([]int, len(t.reps))
		for j := range shown {
			shown[j] = -1
		}
		t.cells[i].shown = shown
	}
	return t
}

// alike numbers the combinations on which a rig acts alike, and gives a row for each.
func (sp *space) alike(r *Rig) ([]int32, []cellRow) {
	reach, run := r.most()
	key := likeKey{reach, run, r.lastLook(), r.steady(), r.kin}
	k, ok := sp.like[key]
	if !ok {
		known := map[combo]int32{}
		k.of = make([]int32, len(sp.combos))
		alike := r.aliker()
		for i, c := range sp.combos {
			c.kinds = sp.way(c.kinds, r.kin)
			c = alike(c)
			n, ok := known[c]
			if !ok {
				n = int32(len(k.combos))
				known[c] = n
				k.combos = append(k.combos, c)
			}
			k.of[i] = n
		}
		sp.like[key] = k
	}
	rows := make([]cellRow, len(k.combos))
	for i, c := range k.combos {
		rows[i].combo = c
	}
	return k.of, rows
}

// likeKey is the same for rigs to which the same combinations are alike.
type likeKey struct {
	reach, run, look int
	steady           bool
	kin              *family
}

// likeCombos is which combinations are alike to some rigs.
type likeCombos struct {
	of     []int32
	combos []combo
}

// orderKey is the same for orders that no cell with these ways can tell apart.
func orderKey(o engine.Rules, masks [][6]bool) string {
	if o.Mixed {
		return fmt.Sprint("mixed ", o.Seed)
	}
	var key []byte
	for _, m := range masks {
		for _, d := range o.Order {
			if m[d] {
				key = append(key, byte('0'+d))
			}
		}
		key = append(key, ' ')
	}
	return string(key)
}

// row is the row of a cell, with all classes run that some of the orders belong to.
func (t *table) row(cell int32, orders orderSet) *cellRow {
	row := &t.cells[cell]
	if row.run == len(row.shown) {
		return row
	}
	for k, o := range row.shown {
		if o >= 0 || !t.members[k].meets(orders) {
			continue
		}
		text := t.laid.outcome(t.sp.rules(&row.combo, t.reps[k]), row.combo.kinds)
		n, ok := t.number[text]
		if !ok {
			n = len(t.outcomes)
			t.number[text] = n
			t.outcomes = append(t.outcomes, text)
		}
		row.shown[k] = n
		row.run++
		i := slices.IndexFunc(row.shows, func(s showing) bool { return s.outcome == n })
		if i < 0 {
			i = len(row.shows)
			row.shows = append(row.shows, showing{n, newOrderSet(len(t.sp.orders))})
		}
		// Sets that were given out stay as they were.
		set := slices.Clone(row.shows[i].orders)
		for w := range set {
			set[w] |= t.members[k][w]
		}
		row.shows[i].orders = set
	}
	return row
}

// showing are the orders under which an outcome is seen, with a combination; only those among some are sure to be there.
func (t *table) showing(combo int32, outcome string, among orderSet) orderSet {
	row := t.row(t.cellOf[combo], among)
	for _, s := range row.shows {
		if t.outcomes[s.outcome] == outcome {
			return s.orders
		}
	}
	return nil
}
