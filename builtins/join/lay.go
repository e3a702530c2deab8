package join

import (
	"fmt"
	"slices"
	"strings"

	"pulsewright/builtins"
	"pulsewright/builtins/say"
	"pulsewright/engine"

	"go.starlark.net/starlark"
)

func layWords() []builtins.Entry {
	name := builtins.NameParam
	name.Doc += "; the parts of a row called line are line.0, line.1 and so on"
	return []builtins.Entry{{Name: "lay", Topic: "placing", Sentence: "Lays a row of wires from one port to another, round corners and past all that stands in the way, within reach of each that feeds its start, that of all conductors it leads to, and clear of whatever else would feed, join, read or hear it.",
		Params: []builtins.Param{
			{Name: "start", Type: "a part or a free cell", Doc: "what feeds the row: a conductor, a battery, key or tray, or what feeds its front; where nothing feeds it yet, reach counts from there, and a meter counts as full. A free cell is the row's first"},
			{Name: "to", Type: "a part or a free cell", Doc: "what the row leads to: a conductor, or a part that reads a cell beside it; a free cell is the row's last"},
			name},
		Returns: "the row: a list of parts with .first .last .cells; the shortest there is, of these the one with the fewest corners",
		Example: "k = key((0, 0))\nbattery((3, 0))\nl = lamp((6, 0))\nrow = lay(k, l)\npress(k)\nrun()\nexpect_equal(l.state, \"lit\")",
		See:     []string{"wire", "rules"}, Call: lay, Framed: true}}
}

// lay places all wires of a way, or none.
func lay(c *builtins.Call) (starlark.Value, error) {
	b := c.Env.Bench
	start, end := moor(c, "start"), moor(c, "to")
	if c.Err != nil {
		return nil, c.Err
	}
	if start.id != 0 && start.id == end.id {
		return nil, c.Fail("%s is both ends of the way; want two", builtins.Describe(b, start.id))
	}
	if !start.opens(b, builtins.Gives) {
		return nil, c.Bad("start", builtins.Describe(b, start.id)+", which feeds no wire", "a conductor, a battery, key or tray, a part that feeds its front, or a free cell")
	}
	if !end.opens(b, builtins.Takes) {
		return nil, c.Bad("to", builtins.Describe(b, end.id)+", which reads no wire beside it", "a conductor, a part that reads a cell beside it, or a free cell")
	}
	name := c.Str("name")
	if c.Err == nil && c.Has("name") {
		c.CheckName("name", name)
	}
	if c.Err != nil {
		return nil, c.Err
	}
	cells, err := findWay(c, start, end)
	if err != nil {
		return nil, err
	}
	return c.PlaceWires(cells, name)
}

// moor reads an end of a way.
func moor(c *builtins.Call, param string) mooring {
	t := c.Target(param)
	if c.Err != nil {
		return mooring{}
	}
	b := c.Env.Bench
	if t.ID == 0 || b.KindOf(t.ID) == engine.Bare {
		if t.ID != 0 {
			t.Cell, _ = b.CellOf(t.ID)
		}
		return mooring{cell: t.Cell}
	}
	cell, onLattice := b.CellOf(t.ID)
	if !onLattice {
		c.Bad(param, builtins.Describe(b, t.ID), "a part on the lattice or a free cell; patch() joins what lies on the shelf")
	}
	return mooring{id: t.ID, cell: cell}
}

// opens finds out on which sides a wire beside a part is joined to it as it should be.
func (m *mooring) opens(b *engine.Bench, joined func(*engine.Bench, engine.ID, engine.Dir) bool) (some bool) {
	for d := range engine.Dir(6) {
		m.open[d] = m.id != 0 && joined(b, m.id, d)
		some = some || m.open[d]
	}
	return some || m.id == 0
}

// findWay finds the cells of the way, or says what is in the way.
func findWay(c *builtins.Call, start, end mooring) ([]engine.Cell, error) {
	b := c.Env.Bench
	c.Env.Inquiry.Want(builtins.AskedReach)
	if c.Frame == nil || c.Frame.By == nil {
		c.Env.Inquiry.Want(builtins.AskedPlace) // of ways that are as good the first is taken, by the directions of the bench
	}
	g := &ground{bench: b, start: start, end: end, within: int64(b.Rules().Reach) + 2}
	g.survey()
	for _, m := range []mooring{start, end} {
		if s, closed := g.shut[m.cell]; m.id == 0 && closed {
			return nil, c.Fail("no way can begin or end at %v: %s%s", m.cell, s.say(b, m.cell), meantPart(b, s))
		}
	}
	if d, next := engine.DirOf(end.cell.Sub(start.cell)); next && start.open[d] && (end.id != 0 && end.open[d.Opposite()]) {
		return nil, c.Fail("%s and %s stand side by side already; there is nothing to lay", builtins.Describe(b, start.id), builtins.Describe(b, end.id))
	}
	most := g.most()
	w := newWay(g, c.Frame, c.Env.Stopped)
	cells, err := w.shortest(most.cells)
	if err != nil || cells != nil {
		return cells, c.Wrap(err)
	}
	return nil, noWay(c, w, most)
}

// noWay says why there is none: too long, or what bars it.
func noWay(c *builtins.Call, w *way, most carry) error {
	b := c.Env.Bench
	from, to := w.start.say(b), w.end.say(b)
	off := w.end.cell.Sub(w.start.cell)
	if least := steps(off) - 1; least > int64(max(most.cells, 0)) {
		return c.Fail("%s is too far from %s: at least %s lie between them, and %s", to, from, say.Count(int(least), "cell"), most.say(w.ground, int(least)))
	}
	long, err := w.shortest(1 << 30)
	if err != nil {
		return c.Wrap(err)
	}
	if long != nil {
		near := "" // one that leaves what was looked at has more cells than lie within it
		if int64(len(long)) > w.within {
			near = fmt.Sprintf(" and within %d cells of its start", w.within)
		}
		return c.Fail("the shortest way from %s to %s that stays clear%s takes %s, and %s", from, to, near, say.Count(len(long), "cell"), most.say(w.ground, len(long)))
	}
	crossed, err := w.barred()
	if err != nil {
		return c.Wrap(err)
	}
	var bars []string
	for _, at := range crossed {
		s := w.shut[at]
		text := s.say(b, at)
		if !slices.Contains(bars, text) {
			bars = append(bars, text)
		}
	}
	if len(bars) == 0 {
		return c.Fail("there is no way within reach from %s to %s; cells from -%d to %d", from, to, engine.Limit, engine.Limit)
	}
	more := ""
	if n := len(bars) - 3; n > 0 {
		bars, more = bars[:3], fmt.Sprintf("; and %d more", n)
	}
	return c.Fail("there is no way within reach from %s to %s that stays clear; in the way: %s%s", from, to, strings.Join(bars, "; "), more)
}

// say names an end of a way.
func (m *mooring) say(b *engine.Bench) string {
	if m.id == 0 {
		return m.cell.String()
	}
	return builtins.Describe(b, m.id)
}

// meantPart suggests the part itself where a cell beside it was given.
func meantPart(b *engine.Bench, s shut) string {
	if s.touch == joined || s.touch == read || s.touch == fed {
		return "; to lead there, give that part as the end"
	}
	return ""
}
