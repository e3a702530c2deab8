package picture

import (
	"cmp"
	"encoding/binary"
	"fmt"
	"slices"

	"pulsewright/builtins"
	"pulsewright/engine"
)

// Lane is one row of a timing diagram: what one part, probe or cell shows over time.
type Lane struct {
	Name    string
	Target  engine.Target
	sort    LaneSort
	from    engine.EventID // a probe that was cleared has forgotten what was before
	first   engine.EventID // the first event in it; 0: none
	start   int32          // what it shows before the first change
	changes []change       // oldest first
	marks   []mark
	filled  bool // from another log than that of the bench
}

// change is a lane showing something else from an instant on.
type change struct {
	tick       int64
	step, turn int32
	value      int32
}

// mark is something that happened at a lane without changing what it shows.
type mark struct {
	tick int64
	step int32
	what engine.What
}

// Moment is a step in which something happened in a lane.
type Moment struct {
	Tick int64
	Step int32
}

func (m Moment) Before(n Moment) bool { return m.compare(n) < 0 }

func (m Moment) compare(n Moment) int {
	return cmp.Or(cmp.Compare(m.Tick, n.Tick), cmp.Compare(m.Step, n.Step))
}

// LaneFor makes the empty lane of a part or cell.
func LaneFor(b *engine.Bench, t engine.Target) *Lane {
	l := &Lane{Target: t}
	if t.ID == 0 {
		l.Name = fmt.Sprintf("cell %v", t.Cell)
		return l
	}
	l.Name, l.sort = b.Label(t.ID), SortOf(b.KindOf(t.ID))
	return l
}

// Without being told, a scope looks at so many parts, and shows so many lanes.
const (
	mostParts = 2000
	MostLanes = 24
)

// Collect fills the lanes from the log, first to last, and lists the moments in which something happened in them. Without
// lanes it takes those parts that showed something else, conductors and bare cells apart unless there is nothing else, in
// the order of their first change; those that show the same share a lane. more is how many parts it left out.
func Collect(e *builtins.Env, lanes []*Lane, first, last engine.EventID) (all []*Lane, moments []Moment, more int, err error) {
	b := e.Bench
	if len(lanes) == 0 {
		defer func() {
			var left int
			all, moments, left = merge(all, moments)
			more += left
		}()
		if lanes, more, err = choose(e, first, last); err != nil {
			return nil, nil, 0, err
		}
	}
	own := slices.DeleteFunc(slices.Clone(lanes), func(l *Lane) bool { return l.filled })
	if len(own) == 0 {
		return lanes, nil, more, nil
	}
	s := NewSignals(b)
	lanesOf, inCell := map[engine.ID][]*Lane{}, map[engine.Cell][]*Lane{} // of a part; of whatever stands in a cell
	for n, l := range own {
		if err := e.StoppedAt(n); err != nil {
			return nil, nil, 0, err
		}
		if l.Target.ID != 0 {
			l.start, _ = s.Start(l.Target.ID)
			lanesOf[l.Target.ID] = append(lanesOf[l.Target.ID], l)
			continue
		}
		inCell[l.Target.Cell] = append(inCell[l.Target.Cell], l)
		if id, ok := b.IDAt(l.Target.Cell); ok {
			l.start, _ = s.Start(id)
		}
	}
	looked := []bool{} // by engine.ID: it is known what stands in its cell
	for id, ev := range b.Events(1) {
		if id > last {
			break
		}
		if id%(1<<16) == 0 {
			if err := e.Stopped(); err != nil {
				return nil, nil, 0, err
			}
		}
		for int(ev.ID) >= len(looked) {
			looked = append(looked, false)
		}
		value, changed := s.Take(ev)
		if !looked[ev.ID] {
			looked[ev.ID] = true
			if cell, onLattice := b.CellOf(ev.ID); onLattice && len(inCell[cell]) > 0 {
				lanesOf[ev.ID] = append(lanesOf[ev.ID], inCell[cell]...)
			}
		}
		for _, l := range lanesOf[ev.ID] {
			if id < first || id < l.from {
				if changed {
					l.start = value
				}
				continue
			}
			if !l.add(ev, value, changed) {
				continue
			}
			if l.first == 0 {
				l.first = id
			}
			m := Moment{ev.Tick, ev.Step}
			if n := len(moments); n == 0 || moments[n-1] != m {
				moments = append(moments, m)
			}
		}
	}
	return lanes, moments, more, nil
}

// marked are the words that leave a mark on a lane.
func marked(w engine.What) bool {
	return w == engine.Lapses || w == engine.Blocked || w == engine.Nudged || w == engine.Lands
}

// choose finds the parts to show where none are named.
func choose(e *builtins.Env, first, last engine.EventID) (lanes []*Lane, more int, err error) {
	b := e.Bench
	var seen []bool
	var parts, conductors, cells []engine.ID
	for id, ev := range b.Events(first) {
		if id > last {
			break
		}
		if id%(1<<16) == 0 {
			if err := e.Stopped(); err != nil {
				return nil, 0, err
			}
		}
		for int(ev.ID) >= len(seen) {
			seen = append(seen, false)
		}
		if seen[ev.ID] || marked(ev.What) {
			continue
		}
		seen[ev.ID] = true
		switch k := b.KindOf(ev.ID); {
		case k == engine.Bare:
			cells = append(cells, ev.ID)
		case k.Trait().Conducts:
			conductors = append(conductors, ev.ID)
		default:
			parts = append(parts, ev.ID)
		}
	}
	for _, ids := range [][]engine.ID{parts, conductors, cells} {
		if len(ids) == 0 {
			continue
		}
		if len(ids) > mostParts {
			more, ids = len(ids)-mostParts, ids[:mostParts]
		}
		for _, id := range ids {
			l := LaneFor(b, engine.Target{ID: id})
			lanes = append(lanes, l)
		}
		break
	}
	return lanes, more, nil
}

// merge makes one lane of those that show the same and keeps the first few. If that leaves parts without a lane, left is
// how many, and only the moments of the others stay.
func merge(all []*Lane, before []Moment) (lanes []*Lane, moments []Moment, left int) {
	like := map[string]*Lane{}
	alike := map[*Lane]int{}
	var key []byte
	for _, l := range all {
		key = binary.AppendVarint(append(key[:0], byte(l.sort)), int64(l.start))
		key = binary.AppendVarint(key, int64(len(l.changes)))
		for _, c := range l.changes {
			key = binary.AppendVarint(binary.AppendVarint(binary.AppendVarint(key, c.tick), int64(c.step)), int64(c.value))
		}
		for _, m := range l.marks {
			key = append(binary.AppendVarint(binary.AppendVarint(key, m.tick), int64(m.step)), byte(m.what))
		}
		if first := like[string(key)]; first != nil {
			alike[first]++
			continue
		}
		if len(lanes) == MostLanes {
			left++
			continue
		}
		like[string(key)] = l
		lanes = append(lanes, l)
	}
	for _, l := range lanes {
		if n := alike[l]; n > 0 {
			l.Name = fmt.Sprintf("%s and %d alike", l.Name, n)
		}
	}
	if left == 0 {
		return lanes, before, 0
	}
	return lanes, momentsOf(lanes), left
}

// FirstAbove sorts lanes that Collect has filled so that the first in which anything happens stands above: what goes in stands above what
// comes of it. Those in which nothing happens come last.
func FirstAbove(lanes []*Lane) {
	slices.SortStableFunc(lanes, func(a, b *Lane) int { return cmp.Compare(uint64(a.first)-1, uint64(b.first)-1) })
}
