package picture

import (
	"errors"

	"pulsewright/builtins"
	"pulsewright/builtins/say"

	"go.starlark.net/starlark"
)

// diagram is a timing diagram as a value.
type diagram struct{ text, painted string }

var (
	_ starlark.HasAttrs = (*diagram)(nil)
	_ builtins.Painted  = (*diagram)(nil)
)

func (d *diagram) Type() string          { return "diagram" }
func (d *diagram) Freeze()               {}
func (d *diagram) Truth() starlark.Bool  { return starlark.True }
func (d *diagram) Hash() (uint32, error) { return 0, errors.New("a diagram cannot be a key of a dict") }
func (d *diagram) String() string        { return d.text }
func (d *diagram) Painted() string       { return d.painted }
func (d *diagram) AttrNames() []string   { return []string{"text"} }

// Attr reads an attribute.
func (d *diagram) Attr(name string) (starlark.Value, error) {
	if name == "text" {
		return starlark.String(d.text), nil
	}
	return nil, nil
}

// diagramOf draws a timing diagram into so many columns.
func diagramOf(e *builtins.Env, g *grid, width int) *diagram {
	if len(g.rows) == 0 {
		const none = "nothing has gone on or off yet: name the parts to show, as in scope(part)"
		return &diagram{none, none}
	}
	plain := *e
	plain.Paint = say.Paint{}
	d := &diagram{text: ScopeAsText(&plain, g, width)}
	if d.painted = d.text; e.Paint != (say.Paint{}) {
		d.painted = ScopeAsText(e, g, width)
	}
	return d
}
