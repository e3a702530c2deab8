package picture

import (
	"fmt"
	"slices"
	"unicode"

	"pulsewright/builtins"
	"pulsewright/builtins/say"
	"pulsewright/engine"

	"go.starlark.net/starlark"
)

var (
	LayerParam = builtins.Param{Name: "z", Type: "number", Unit: "cells", Default: "None", Optional: true, Keyword: true, Doc: "only this layer, as wide and high as all of them together; None: every layer that holds something"}
	BoxParam   = builtins.Param{Name: "box", Type: "a pair of cells", Default: "None", Optional: true, Keyword: true, Doc: "only what lies between these two corners"}
	SideParam  = builtins.Param{Name: "side", Type: "bool", Default: "False", Optional: true, Keyword: true, Doc: "True: seen from the side, for what is tall: x to the right, z up, one picture for each y"}
	AreaParam  = builtins.Param{Name: "frame", Type: "a frame or its name", Default: "None", Optional: true, Keyword: true, Doc: "only where the parts of this frame lie; one or a list"}
)

func mapWords() []builtins.Entry {
	layer, at := LayerParam, builtins.AtParam
	layer.Keyword = false
	return []builtins.Entry{{Name: "map", Topic: "seeing", Sentence: "Draws the bench layer by layer, x to the right and y up, as it stands or stood: kind, facing and state of each part, with a legend.",
		Params:  []builtins.Param{layer, BoxParam, AreaParam, OfParam, SideParam, at},
		Returns: "the drawing: the shell shows it, print writes it, sketch places it again, unless it is of a part, from the side, or cut so that a slug is in it without its shuttle; .text is the whole of it, also of one too long to be shown",
		Example: "k = key((0, 0))\nwire((1, 0), (4, 0))\nlink((5, 0), \"+y\")\npress(k)\nrun()\nprint(map())\nprint(map(0, box=((0, 0), (2, 0))))\nprint(map(of=k))\nprint(map(at=(1, 0)))\nprint(map(side=True))",
		See:     []string{"sketch", "scope", "state", "parts", "export"}, Call: showMap}}
}

func showMap(c *builtins.Call) (starlark.Value, error) {
	m := ChartOf(c, false)
	if c.Err != nil {
		return nil, c.Err
	}
	return m.drawing(), nil
}

// chart is a bench, or a piece of it, ready to be drawn.
type chart struct {
	*builtins.Env
	layers      []layer // from the lowest to the highest
	xs, ys      []place // the columns and rows of all of them, ys from the highest down
	shelf       []engine.ID
	crop        bool              // a piece only
	besides     map[[2]int32]bool // of one layer by z=: where, by x and y, the others hold something, so that all have the same columns and rows
	lo, hi      engine.Cell
	seen        seen
	side        bool // seen from the side: the lattice is turned so that z goes up the page, and a layer has one y
	series      bool // of moments: crop and legend are the same at every one
	lone        bool // but what it explains is what is drawn
	bare        bool // without its instant
	unexplained bool // without a legend
	slots       bool // each tile of a drawing is a group of its own, which a page may draw anew

	tagged *tags // once known

	of      engine.ID // the part whose pads and readers are marked; 0: none
	related map[engine.Cell]relation
	away    []string    // what is related to it and has no cell
	drawn   []say.Glyph // the signs of relations that lie on the map
	marks   string      // instead of a part: what it says of the cells that are marked
}

// Chart is a map as other rooms hold it.
type Chart = chart

// layer is what has one z; seen from the side, one y.
type layer struct {
	z     int32
	axis  byte
	tiles map[engine.Cell]engine.ID
}

// place is a column or row of a layer, or a fold that stands for so many without anything.
type place struct {
	at   int32
	fold int64
	more int // columns that a fold leaves to the number before it
	wide int // columns more than a tile has
}

// tile is what is to be seen of one cell.
type tile struct {
	id     engine.ID
	kind   engine.Kind
	own    *engine.Spec // of a kind of the script's own
	facing engine.Dir
	shown  engine.Dir // where it faces on the page
	shelf  bool       // it has no cell, and faces nowhere
	engine.State
	arms [6]bool // a conductor: towards which neighbours, on the page, it goes on
}

// look is what is to be seen of a part or bare cell.
func (m *chart) look(id engine.ID) tile {
	b := m.Bench
	t := tile{id: id, kind: b.KindOf(id), State: b.State(id)}
	t.own = b.Spec(id)
	if t.faces() {
		t.facing = b.Thing(id).Facing
		t.shown = m.onPage(t.facing)
	}
	at, onLattice := b.CellOf(id)
	t.shelf = !onLattice
	if onLattice && (t.Conduct || t.conductor()) {
		for d := engine.PosX; d <= engine.NegZ; d++ {
			n, ok := b.PartAt(at.Add(d.Cell()))
			k := b.KindOf(n)
			t.arms[m.onPage(d)] = ok && k.Trait().Conducts || b.CellState(at.Add(d.Cell())).Conduct
		}
	}
	m.seen.add(&t)
	return t
}

// seen is what occurs on a map, for its legend.
type seen struct {
	kinds  [engine.KindCount]bool
	own    []*engine.Spec // kinds of the script's own
	dirs   [6]bool
	marks  [len(markTexts)]bool
	slugs  [4]bool
	loose  [4]bool // slugs of no shuttle
	awaits bool
	many   bool // tokens or a level of more than one digit
}

func (s *seen) add(t *tile) {
	s.kinds[t.kind] = true
	if t.own != nil && !slices.Contains(s.own, t.own) {
		s.own = append(s.own, t.own)
	}
	if t.faces() && !t.shelf {
		s.dirs[t.facing] = true
	}
	for i, m := range markTexts {
		s.marks[i] = s.marks[i] || m[0] == t.mark()
	}
	if t.Loose {
		s.loose[t.Seated] = true
	} else {
		s.slugs[t.Seated] = true
	}
	s.many = s.many || t.counts() && t.Tokens > 9 || t.leveled() && t.Level > 9
	s.awaits = s.awaits || t.Awaits && t.kind == engine.Bare
}

// Parts is how many parts and cells the map shows.
func (m *chart) Parts() int {
	n := len(m.shelf)
	for i := range m.layers {
		n += len(m.layers[i].tiles)
	}
	return n
}

// axes finds the columns and rows: the same for all layers, so that what lies above something stands above it on the page.
// More than three in a row without anything are folded.
func (m *chart) axes() {
	var xs, ys []int32
	for i := range m.layers {
		for at := range m.layers[i].tiles {
			xs, ys = append(xs, at.X), append(ys, at.Y)
		}
	}
	for at := range m.besides {
		xs, ys = append(xs, at[0]), append(ys, at[1])
	}
	m.xs, m.ys = places(xs), places(ys)
	slices.Reverse(m.ys)
	for i := range m.xs {
		if m.related != nil {
			m.xs[i].wide = ofWide
		}
	}
}

func places(used []int32) (ps []place) {
	slices.Sort(used)
	used = slices.Compact(used)
	for i, at := range used {
		if i > 0 {
			switch gap := int64(at) - int64(used[i-1]) - 1; {
			case gap > 3:
				ps = append(ps, place{at: used[i-1] + 1, fold: gap, more: reach(ps)})
			default:
				for k := used[i-1] + 1; k < at; k++ {
					ps = append(ps, place{at: k})
				}
			}
		}
		ps = append(ps, place{at: at})
	}
	return ps
}

// reach is how far the number of any of the last columns reaches beyond them.
func reach(ps []place) (n int) {
	for i := len(ps) - 1; i >= 0 && ps[i].fold == 0; i-- {
		n = max(n, len(fmt.Sprint(ps[i].at))-tileWidth*(len(ps)-i))
	}
	return n
}

// letter is the kind's, a capital while the part is on.
func (t *tile) letter() rune {
	if t.own != nil && t.own.Active[t.Told] {
		return unicode.ToUpper(t.own.Letter)
	} else if t.own != nil {
		return t.own.Letter
	}
	if t.on() {
		return capital(t.kind)
	}
	return rune(say.Kinds[t.kind].Letter)
}

// faces reports whether it faces some way.
func (t *tile) faces() bool {
	if t.own != nil {
		return t.own.Faces
	}
	return t.kind.Trait().Faces
}

func (t *tile) on() bool { return t.kind != engine.Bare && builtins.IsOn(t.kind, t.State) }

// counts reports whether the number of its tokens stands beside the letter: where there can be more than one.
func (t *tile) counts() bool { return t.kind.Trait().Shows == engine.ShowsTokens }

// leveled reports whether it shows a level.
func (t *tile) leveled() bool { return t.kind.Trait().Shows == engine.ShowsLevel }

// conductor reports whether it is drawn as one, with arms.
func (t *tile) conductor() bool { return t.kind.Trait().Conducts }

// mark is the sign for what is about to happen at a tile, "" if nothing is.
func (t *tile) mark() string {
	switch {
	case t.Armed:
		return "!"
	case t.Queued:
		return "q"
	case t.Transit || t.Awaits && t.kind == engine.Jack:
		return ":"
	case t.Forced:
		return "*"
	case t.Timer:
		return "@"
	}
	return ""
}

// markTexts explain the marks, in the order in which they are listed.
var markTexts = [...][2]string{{"!", "armed: the next news sets it off"}, {"q", "its act is queued"}, {":", "a slug is in transit"}, {"*", "forced"}, {"@", "its timer is set"}}

// slugLetter stands for a slug: p, f or b.
func slugLetter(s engine.Slug) byte { return s.String()[0] }

// digit writes a small number in one column.
func digit(e *builtins.Env, n int) rune {
	if n > 9 {
		return e.Glyph(say.GMany)
	}
	return rune('0' + n)
}

func (l *layer) String() string { return fmt.Sprintf("%c = %d", l.axis, l.z) }

// capital is the letter of a kind while it is on.
func capital(k engine.Kind) rune { return rune(say.Kinds[k].Letter) - 'a' + 'A' }

// markNotes explains the marks that occur.
func (m *chart) markNotes() (texts []string) {
	for i, mark := range markTexts {
		if m.seen.marks[i] {
			texts = append(texts, mark[0]+" "+mark[1])
		}
	}
	return texts
}
