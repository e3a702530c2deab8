package observe

import (
	"fmt"
	"slices"

	"pulsewright/builtins"
	"pulsewright/builtins/say"
	"pulsewright/engine"

	"go.starlark.net/starlark"
)

// Pulse is one rise and fall at a probed place.
type Pulse struct {
	Rise, Fall engine.Instant
	Done       bool // it has fallen

	of *Probe // that saw it
}

var (
	_ starlark.HasAttrs   = Pulse{}
	_ starlark.Comparable = Pulse{}
)

// Width is how wide the pulse is, in ticks and in steps: fall minus rise of each. With ticks 0 the steps are its width;
// a pulse of 0 steps rose and fell in one step, at different moments.
func (p Pulse) Width() (ticks int64, steps int) {
	return p.Fall.Tick - p.Rise.Tick, p.Fall.Step - p.Rise.Step
}

// WidthString writes the width as messages do: "10 steps", "2 ticks 3 steps", or "" while the pulse lasts.
func (p Pulse) WidthString() string {
	if !p.Done {
		return ""
	}
	ticks, steps := p.Width()
	switch {
	case ticks == 0:
		return say.Count(steps, "step")
	case steps == 0:
		return say.Count(int(ticks), "tick")
	}
	return fmt.Sprintf("%s %+d steps", say.Count(int(ticks), "tick"), steps)
}

// looked notes on the probe what a script looks at.
func (p Pulse) looked(what Looked) {
	if p.of != nil {
		p.of.Looks(what)
	}
}

func (p Pulse) String() string {
	p.looked(AtInstants)
	if !p.Done {
		return fmt.Sprintf("pulse from %v, not over", p.Rise)
	}
	return fmt.Sprintf("pulse of %s, %v to %v", p.WidthString(), p.Rise, p.Fall)
}

func (p Pulse) Type() string          { return "pulse" }
func (p Pulse) Freeze()               {}
func (p Pulse) Truth() starlark.Bool  { return starlark.True }
func (p Pulse) Hash() (uint32, error) { return builtins.Instant{Instant: p.Rise}.Hash() }

// CompareSameType: pulses are equal if both their edges are.
func (p Pulse) CompareSameType(op builtins.Token, y starlark.Value, _ int) (bool, error) {
	p.looked(AtInstants)
	q := y.(Pulse)
	return builtins.Equality(op, p.Rise == q.Rise && p.Fall == q.Fall && p.Done == q.Done, "pulse")
}

// AttrNames lists the attributes.
func (p Pulse) AttrNames() []string { return []string{"fall", "rise", "steps", "ticks", "width"} }

// Attr reads an attribute.
func (p Pulse) Attr(name string) (starlark.Value, error) {
	ticks, steps := p.Width()
	if name == "rise" || name == "fall" {
		p.looked(AtInstants)
	} else {
		p.looked(AtWidth)
	}
	switch {
	case name == "rise":
		return builtins.Instant{Instant: p.Rise}, nil
	case !slices.Contains(p.AttrNames(), name):
		return nil, nil
	case !p.Done:
		return starlark.None, nil
	}
	switch name {
	case "fall":
		return builtins.Instant{Instant: p.Fall}, nil
	case "ticks":
		return starlark.MakeInt64(ticks), nil
	case "steps":
		return starlark.MakeInt(steps), nil
	}
	return p.WidthValue(), nil
}

// WidthValue is the width as scripts see it: a number of steps, or (ticks, steps) if the edges are in different ticks.
func (p Pulse) WidthValue() starlark.Value {
	if !p.Done {
		return starlark.None
	}
	ticks, steps := p.Width()
	if ticks == 0 {
		return starlark.MakeInt(steps)
	}
	return starlark.Tuple{starlark.MakeInt64(ticks), starlark.MakeInt(steps)}
}
