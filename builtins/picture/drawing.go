package picture

import (
	"errors"
	"math"
	"slices"
	"strings"

	"pulsewright/builtins"
	"pulsewright/builtins/say"
	"pulsewright/builtins/sketch"
	"pulsewright/engine"

	"go.starlark.net/starlark"
)

// drawing is a map as a value: what a terminal is shown of it, and the whole of it as a text that sketch reads.
type drawing struct {
	text, shown, painted string
	kinds                []*engine.Spec // of a script's own, that occur
}

var (
	_ starlark.HasAttrs = (*drawing)(nil)
	_ sketch.Drawing    = (*drawing)(nil)
	_ builtins.Painted  = (*drawing)(nil)
)

func (d *drawing) Type() string          { return "drawing" }
func (d *drawing) Freeze()               {}
func (d *drawing) Truth() starlark.Bool  { return starlark.True }
func (d *drawing) Hash() (uint32, error) { return 0, errors.New("a drawing cannot be a key of a dict") }
func (d *drawing) String() string        { return d.shown }
func (d *drawing) Painted() string       { return d.painted }
func (d *drawing) SketchText() string    { return d.text }
func (d *drawing) Kinds() []*engine.Spec { return d.kinds }
func (d *drawing) AttrNames() []string   { return []string{"text"} }

// Attr reads an attribute.
func (d *drawing) Attr(name string) (starlark.Value, error) {
	if name == "text" {
		return starlark.String(d.text), nil
	}
	return nil, nil
}

// drawing draws a map as it stands now.
func (m *chart) drawing() *drawing {
	d := &drawing{kinds: m.ownKinds()}
	plain := *m
	env := *m.Env
	env.Paint = say.Paint{}
	plain.Env = &env
	lines, all, whole := mapLines, math.MaxInt, false
	if m.related != nil || m.side { // sketch does not read it
		lines, all = noLegend, noLegend
	}
	if d.shown, whole = plain.text(mapRows, lines); whole {
		d.text = d.shown
	} else {
		d.text, _ = plain.text(math.MaxInt, all)
	}
	if d.painted = d.shown; m.Paint != (say.Paint{}) {
		d.painted, _ = m.text(mapRows, lines)
	}
	return d
}

// ownKinds are the kinds of a script's own that are drawn.
func (m *chart) ownKinds() (kinds []*engine.Spec) {
	add := func(id engine.ID) {
		if s := m.Bench.Spec(id); s != nil && !slices.Contains(kinds, s) {
			kinds = append(kinds, s)
		}
	}
	for i := range m.layers {
		for _, id := range m.layers[i].tiles {
			add(id)
		}
	}
	for _, id := range m.shelf {
		add(id)
	}
	slices.SortFunc(kinds, func(a, b *engine.Spec) int { return strings.Compare(a.Name, b.Name) }) // tiles are in no order
	return kinds
}

// unseen is what the drawing does not show, as lines of a legend.
func (m *chart) unseen() []string {
	d := sketch.Drawn{Bench: m.Bench, Shelf: m.shelf, Inside: m.inside, Width: m.Columns(), ASCII: m.ASCII}
	for i := range m.layers {
		for _, id := range m.layers[i].tiles {
			if m.Bench.KindOf(id) != engine.Bare {
				d.Parts = append(d.Parts, id)
			}
		}
	}
	return d.Legend()
}

// MapText is the whole of a bench as a text that sketch reads, without the instant.
func MapText(e *builtins.Env) (string, error) {
	m, err := WholeChart(e)
	if err != nil {
		return "", err
	}
	m.bare = true
	return m.drawing().text, nil
}

// Text draws the map for a page: no more rows than a terminal is shown, and no legend for sketch.
func (m *chart) Text() string {
	text, _ := m.text(mapRows, noLegend)
	return text
}
