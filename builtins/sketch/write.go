package sketch

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"pulsewright/builtins/say"
	"pulsewright/engine"
)

// Drawn is what a drawing shows of a bench.
type Drawn struct {
	Bench  *engine.Bench
	Parts  []engine.ID            // on the lattice
	Shelf  []engine.ID            // without a cell, in the order in which they were placed
	Inside func(engine.Cell) bool // what is drawn at all
	Width  int                    // columns of a line
	ASCII  bool
}

// writer writes the legend of a drawing.
type writer struct {
	*Drawn
	parts []written
	of    map[engine.ID]End
	lines []string

	specs []*engine.Spec // kinds of a script's own that occur
}

// written is a part of which a legend is written.
type written struct {
	engine.Thing
	state engine.State
	says  string // its settings but for the name
}

// Legend writes what the drawing does not show, as Read reads it; nothing if it shows all.
func (d *Drawn) Legend() []string {
	w := writer{Drawn: d, of: map[engine.ID]End{}}
	w.occurring()
	for _, id := range d.Parts {
		w.parts = append(w.parts, written{Thing: d.Bench.Thing(id), state: d.Bench.State(id)})
	}
	slices.SortFunc(w.parts, func(a, b written) int { return compareCells(a.Cell, b.Cell) })
	for i := range w.parts {
		w.of[w.parts[i].ID] = End(i)
	}
	slugs := w.slugs()
	for i := range w.parts {
		w.parts[i].says = w.says(&w.parts[i], slugs[w.parts[i].ID])
	}
	w.settings()
	w.names()
	w.shelf()
	w.cords()
	w.order()
	return w.lines
}

// compareCells orders cells as a drawing has them: layers from the lowest, rows down the page, from the left.
func compareCells(a, b engine.Cell) int {
	switch {
	case a.Z != b.Z:
		return int(a.Z) - int(b.Z)
	case a.Y != b.Y:
		return int(b.Y) - int(a.Y)
	}
	return int(a.X) - int(b.X)
}

// pack writes items on lines of the legend, each line with what stands before and behind its items.
func (w *writer) pack(before string, items []string, joint, behind string) {
	line := ""
	for _, item := range items {
		if line != "" && say.Columns(before+line+joint+item+behind) > w.Width {
			w.lines = append(w.lines, before+line+behind)
			line = ""
		}
		if line != "" {
			line += joint
		}
		line += item
	}
	if line != "" {
		w.lines = append(w.lines, before+line+behind)
	}
}

func (w *writer) quote(s string) string {
	if w.ASCII {
		return strconv.QuoteToASCII(s)
	}
	return strconv.Quote(s)
}

// slugs says what the legend must say of the slugs of shuttles, because their seats do not show it or show that of another.
func (w *writer) slugs() map[engine.ID]string {
	type owner struct {
		shuttles []*written
		slug     engine.Slug // what is drawn there
	}
	says, seats := map[engine.ID]string{}, map[engine.Cell]*owner{}
	for i := range w.parts {
		p := &w.parts[i]
		if p.Kind != engine.Shuttle {
			continue
		}
		t := Tile{Cell: p.Cell, Part: p.Part}
		t.Out = p.state.On
		seat := t.seat()
		o := seats[seat]
		if o == nil {
			o = &owner{}
			if w.Inside(seat) {
				if s := w.Bench.CellState(seat); !s.Loose {
					o.slug = s.Seated
				}
			}
			seats[seat] = o
		}
		o.shuttles = append(o.shuttles, p)
	}
	for _, o := range seats {
		for _, p := range o.shuttles {
			switch alone := len(o.shuttles) == 1; {
			case p.Slug != engine.NoSlug && (o.slug == engine.NoSlug || !alone):
				says[p.ID] = fmt.Sprintf("slug=%q", p.Slug)
			case p.Slug == engine.NoSlug && o.slug != engine.NoSlug && alone:
				says[p.ID] = "slug=None"
			}
		}
	}
	return says
}

// says writes the settings of a part but for its name, as far as they are not the usual ones.
func (w *writer) says(p *written, slug string) string {
	var all []string
	number := func(key string, n, usual int) {
		if n != usual {
			all = append(all, fmt.Sprintf("%s=%d", key, n))
		}
	}
	switch p.Kind {
	case engine.Key:
		number("hold", p.Hold, 0)
	case engine.Delay:
		number("ticks", p.Ticks, 1)
		if p.Mode != engine.Stretch {
			all = append(all, fmt.Sprintf("mode=%q", p.Mode))
		}
		if p.Mode == engine.Inertial {
			number("reject", p.Reject, p.Ticks)
		}
	case engine.Oneshot:
		number("ticks", p.Ticks, 1)
	case engine.Chute:
		number("ticks", p.Ticks, 3)
	case engine.Gate:
		all = append(all, fmt.Sprintf("op=%q", p.Op))
		number("ticks", p.Ticks, 0)
	case engine.Bucket:
		number("drop", p.Drop, 1)
	case engine.Tray:
		if n := p.state.Tokens; n > 9 || p.Shelf && n > 0 {
			all = append(all, fmt.Sprintf("tokens=%d", n))
		}
		number("room", p.Room, max(p.state.Tokens, 1))
		number("keep", p.Keep, 0)
	case engine.Shuttle:
		number("travel", p.Travel, 0)
		if p.Grip != engine.NoGrip {
			all = append(all, fmt.Sprintf("grip=%q", p.Grip))
		}
		if p.LetGo {
			all = append(all, "letgo=True")
		}
	case engine.Told:
		all = w.ownSays(p)
	case engine.Meter:
		s := &p.state
		hidden := p.Shelf || s.Armed || s.Queued || s.Transit || s.Forced || s.Timer
		if s.Level > 9 || hidden && s.Level > 1 {
			all = append(all, fmt.Sprintf("level=%d", s.Level))
		}
	}
	if slug != "" {
		all = append(all, slug)
	}
	if p.Pads != nil {
		all = append(all, "pads="+showVal(p.Pads))
	}
	if p.FarSet && p.Far != usualFar(p) {
		all = append(all, fmt.Sprintf("far=%q", p.Far))
	}
	return strings.Join(all, ", ")
}

// usualFar is where the far pad of a part lies unless something else is said.
func usualFar(p *written) engine.Dir {
	if p.Kind.Trait().Far == engine.FarDown {
		return engine.NegZ
	}
	return p.Facing.Opposite()
}

// settings writes the settings: one line for all of a kind if they are alike, else those that are alike together.
func (w *writer) settings() {
	var order []string
	of := map[string][]engine.Cell{}
	type sort struct {
		head string
		is   func(p *written) bool
	}
	var sorts []sort
	for _, k := range engine.Kinds() {
		sorts = append(sorts, sort{string(letter(k)), func(p *written) bool { return p.Kind == k }})
	}
	for _, s := range w.specs {
		sorts = append(sorts, sort{string(s.Letter), func(p *written) bool { return p.Spec == s }})
	}
	for _, k := range sorts {
		says, n, alike := "", 0, true
		for i := range w.parts {
			if p := &w.parts[i]; k.is(p) {
				alike = alike && (n == 0 || p.says == says)
				says = p.says
				n++
			}
		}
		if alike && says != "" {
			w.lines = append(w.lines, fmt.Sprintf("%s: %s", k.head, says))
		}
		for i := range w.parts {
			if p := &w.parts[i]; k.is(p) && !alike && p.says != "" {
				if of[p.says] == nil {
					order = append(order, p.says)
				}
				of[p.says] = append(of[p.says], p.Cell)
			}
		}
	}
	for _, says := range order {
		w.pack("", rows(of[says]), " ", ": "+says)
	}
}

// rows writes cells, those of a row side by side as one.
func rows(cells []engine.Cell) (items []string) {
	for i := 0; i < len(cells); {
		k := i + 1
		for k < len(cells) && cells[k] == cells[k-1].Add(engine.Cell{X: 1}) {
			k++
		}
		if k-i < 3 {
			k = i + 1
			items = append(items, cells[i].String())
		} else {
			items = append(items, cells[i].String()+" to "+cells[k-1].String())
		}
		i = k
	}
	return items
}

// shelf writes the parts without a cell.
func (w *writer) shelf() {
	var items []string
	for i, id := range w.Shelf {
		p := written{Thing: w.Bench.Thing(id), state: w.Bench.State(id)}
		w.of[id] = End(-1 - i)
		sign := letter(p.Kind)
		on := p.state.On
		if p.Spec != nil {
			sign, on = ownSign(p.Spec, p.Spec.Active[p.state.Told]), false
		}
		switch p.Kind {
		case engine.Battery, engine.Wire, engine.Jack, engine.Chute:
			on = false // they have no pose
		}
		if on {
			sign -= 'a' - 'A'
		}
		item := string(sign)
		if says := w.says(&p, ""); says != "" {
			item += " " + says
		}
		if p.Name != "" {
			item += " name=" + w.quote(p.Name)
		}
		items = append(items, item)
	}
	w.pack("shelf: ", items, "; ", "")
}

// end writes an end of a cord.
func (w *writer) end(e End) string {
	if e < 0 {
		return fmt.Sprintf("#%d", -e)
	}
	return w.parts[e].Cell.String()
}

// cords writes the cords of which both ends are drawn.
func (w *writer) cords() {
	var items []string
	for _, c := range w.Bench.Cords() {
		from, ok := w.of[c.From]
		to, also := w.of[c.To]
		if !ok || !also {
			continue
		}
		item := w.end(from) + " to " + w.end(to)
		if !c.Power {
			item += " power=False"
		}
		if !c.News {
			item += " news=False"
		}
		if c.Invert {
			item += " invert=True"
		}
		items = append(items, item)
	}
	w.pack("cords: ", items, "; ", "")
}

// order writes which parts were placed first, if it is not the order in which they are drawn: those whose pose sets a timer.
func (w *writer) order() {
	var timed []engine.ID
	for _, ids := range [][]engine.ID{w.Parts, w.Shelf} {
		for _, id := range ids {
			t, s := w.Bench.Thing(id), w.Bench.State(id)
			if t.Spec != nil && t.Spec.Then[s.Told] > 0 || s.On && (t.Kind == engine.Oneshot || t.Kind == engine.Echo || t.Kind == engine.Key && t.Hold > 0 || t.Kind == engine.Tray && t.Keep > 0) {
				timed = append(timed, id)
			}
		}
	}
	slices.Sort(timed)
	drawn := func(a, b engine.ID) int {
		switch x, y := w.of[a], w.of[b]; {
		case x < 0 && y < 0:
			return int(y) - int(x)
		case x < 0 || y < 0: // the shelf comes last
			return int(y) - int(x)
		default:
			return int(x) - int(y)
		}
	}
	if slices.IsSortedFunc(timed, drawn) {
		return
	}
	var items []string
	for _, id := range timed {
		items = append(items, w.end(w.of[id]))
	}
	w.pack("order: ", items, " ", "")
}
