package builtins

import (
	"fmt"
	"slices"

	"pulsewright/engine"

	"go.starlark.net/starlark"
)

// Part is a part of a bench as scripts hold it. It has no state of its own: what it shows is the bench's, now.
type Part struct {
	Bench *engine.Bench
	ID    engine.ID
}

var (
	_ starlark.HasAttrs   = Part{}
	_ starlark.Comparable = Part{}
)

// Valid reports whether the part still lies on its bench: it may have been removed, or its placing undone.
func (p Part) Valid() bool {
	if cell, onLattice := p.Bench.CellOf(p.ID); onLattice {
		id, ok := p.Bench.IDAt(cell)
		return ok && id == p.ID
	}
	t := p.Bench.Thing(p.ID)
	return t.ID != 0 && !t.Removed
}

// Describe names a part with its kind and cell.
func Describe(b *engine.Bench, id engine.ID) string {
	s := b.KindOf(id).String()
	if n := b.Name(id); n != "" {
		s += " " + n
	}
	if cell, onLattice := b.CellOf(id); onLattice {
		return fmt.Sprintf("%s at %v", s, cell)
	}
	return s + " on the shelf"
}

func (p Part) String() string {
	inquiryOf(p.Bench).want(AskedPlace)
	if !p.Valid() {
		return "a part that is no longer there"
	}
	return Describe(p.Bench, p.ID)
}

func (p Part) Type() string         { return "part" }
func (p Part) Freeze()              {}
func (p Part) Truth() starlark.Bool { return starlark.True }
func (p Part) Hash() (uint32, error) {
	return uint32(p.ID) * 2654435761, nil
}

// CompareSameType: a part equals itself only.
func (p Part) CompareSameType(op token, y starlark.Value, _ int) (bool, error) {
	return equality(op, p == y.(Part), "part")
}

var partAttrs = []string{"armed", "at", "facing", "kind", "level", "name", "powered", "state", "tokens"}

// AttrNames lists the attributes.
func (p Part) AttrNames() []string { return slices.Clone(partAttrs) }

// Attr reads an attribute.
func (p Part) Attr(name string) (starlark.Value, error) {
	if !slices.Contains(partAttrs, name) {
		return nil, nil
	}
	if !p.Valid() {
		return nil, fmt.Errorf("part.%s: that part is no longer there; it was removed or undone", name)
	}
	kind := p.Bench.KindOf(p.ID)
	cell, onLattice := p.Bench.CellOf(p.ID)
	switch name {
	case "kind":
		return starlark.String(kind.String()), nil
	case "name":
		if n := p.Bench.Name(p.ID); n != "" {
			return starlark.String(n), nil
		}
		return starlark.None, nil
	case "at":
		inquiryOf(p.Bench).want(AskedPlace)
		if !onLattice {
			return starlark.None, nil
		}
		return CellValue(cell), nil
	case "facing":
		inquiryOf(p.Bench).want(AskedPlace)
		if !onLattice || !kind.Trait().Faces {
			return starlark.None, nil
		}
		return starlark.String(p.Bench.Thing(p.ID).Facing.String()), nil
	}
	inquiryOf(p.Bench).look()
	s := p.Bench.State(p.ID)
	switch name {
	case "state":
		return StateValue(kind, s), nil
	case "powered":
		return starlark.Bool(s.Powered), nil
	case "armed":
		return starlark.Bool(s.Armed), nil
	case "level":
		return starlark.MakeInt(s.Level), nil
	default: // tokens
		return starlark.MakeInt(s.Tokens), nil
	}
}
