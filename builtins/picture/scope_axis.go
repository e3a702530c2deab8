package picture

import "strconv"

// column is one place on the axis of a timing diagram: a step, or a fold that stands for a stretch without changes.
type column struct {
	tick  int64
	step  int32
	ticks int64 // a fold of so many ticks
	steps int64 // a fold of so many steps
}

func (c column) folded() bool { return c.ticks > 0 || c.steps > 0 }

// fold is the text of a fold.
func (c column) fold() string { return "~" + strconv.FormatInt(max(c.ticks, c.steps), 10) + "~" }

// TimeAxis lays the columns for the moments, which are in order. A tick begins with step 0 and ends one step after its last
// moment, or as soon as its number has room. Ticks in which nothing happens are folded, and so are more than room steps in a row. If that would be more
// than limit columns it keeps the last of them; cut says that it did.
func TimeAxis(moments []Moment, room, limit int) (cols []column, cut bool) {
	if len(moments) > limit {
		moments, cut = moments[len(moments)-limit:], true
	}
	add := func(tick int64, step int32) { cols = append(cols, column{tick: tick, step: step}) }
	begun := 0 // where the present tick begins
	end := func(m Moment) {
		step := m.Step
		for first := true; first || len(cols)-begun < len(strconv.FormatInt(m.Tick, 10))+2; first = false {
			step++
			add(m.Tick, step)
		}
	}
	for i, m := range moments {
		next := int32(0) // the first step of m.tick that has no column yet
		if i > 0 && moments[i-1].Tick == m.Tick {
			next = moments[i-1].Step + 1
		} else if i > 0 {
			p := moments[i-1]
			end(p)
			if quiet := m.Tick - p.Tick - 1; quiet > 0 {
				cols = append(cols, column{tick: p.Tick + 1, ticks: quiet})
			}
			begun = len(cols)
		} else if cut {
			next = m.Step
		}
		if skip := int64(m.Step-next) - 4; skip > int64(room) {
			add(m.Tick, next)
			add(m.Tick, next+1)
			cols = append(cols, column{tick: m.Tick, step: next + 2, steps: skip})
			next = m.Step - 2
		}
		for ; next <= m.Step; next++ {
			add(m.Tick, next)
		}
	}
	if n := len(moments); n > 0 {
		end(moments[n-1])
	}
	if len(cols) > limit {
		cols, cut = cols[len(cols)-limit:], true
	}
	return cols, cut
}

// bands cuts the columns into stretches that fit into room, given how wide each is. Each band is a range of columns.
func bands(cols []column, room int, width func(column) int) (out [][2]int) {
	start, used := 0, 0
	for i, c := range cols {
		w := width(c)
		if used+w > room && i > start {
			out = append(out, [2]int{start, i})
			start, used = i, 0
		}
		used += w
	}
	return append(out, [2]int{start, len(cols)})
}
