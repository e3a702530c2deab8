package builtins

import (
	"fmt"

	"pulsewright/engine"

	"go.starlark.net/starlark"
	"go.starlark.net/syntax"
)

type token = syntax.Token

// equality answers == and != and refuses the rest.
func equality(op token, same bool, what string) (bool, error) {
	switch op {
	case syntax.EQL:
		return same, nil
	case syntax.NEQ:
		return !same, nil
	}
	return false, fmt.Errorf("%s %s %s: only == and != compare these", what, op, what)
}

// Instant is a moment as scripts hold it: tick, step, turn. Instants are ordered.
type Instant struct{ engine.Instant }

var (
	_ starlark.HasAttrs       = Instant{}
	_ starlark.TotallyOrdered = Instant{}
)

func (i Instant) Type() string         { return "instant" }
func (i Instant) Freeze()              {}
func (i Instant) Truth() starlark.Bool { return starlark.True }
func (i Instant) Hash() (uint32, error) {
	return uint32(i.Tick)*31*31 + uint32(i.Step)*31 + uint32(i.Turn), nil
}

// Cmp orders instants.
func (i Instant) Cmp(y starlark.Value, _ int) (int, error) {
	j := y.(Instant)
	switch {
	case i.Before(j.Instant):
		return -1, nil
	case j.Before(i.Instant):
		return 1, nil
	}
	return 0, nil
}

// AttrNames lists the attributes.
func (i Instant) AttrNames() []string { return []string{"step", "tick", "turn"} }

// Attr reads an attribute.
func (i Instant) Attr(name string) (starlark.Value, error) {
	switch name {
	case "tick":
		return starlark.MakeInt64(i.Tick), nil
	case "step":
		return starlark.MakeInt(i.Step), nil
	case "turn":
		return starlark.MakeInt(i.Turn), nil
	}
	return nil, nil
}
