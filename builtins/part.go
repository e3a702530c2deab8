package builtins

import (
	"fmt"
	"slices"
	"strings"

	"pulsewright/builtins/say"
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
	s := b.KindName(id)
	if n := b.Name(id); n != "" {
		s += " " + n
	}
	if cell, onLattice := b.CellOf(id); onLattice {
		return fmt.Sprintf("%s at %v", s, cell)
	}
	return s + " on the shelf"
}

func (p Part) String() string {
	InquiryOf(p.Bench).Want(AskedPlace)
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
func (p Part) CompareSameType(op Token, y starlark.Value, _ int) (bool, error) {
	return Equality(op, p == y.(Part), "part")
}

// sameAttrs are the attributes that every part has.
var sameAttrs = []string{"armed", "at", "facing", "kind", "name", "port", "powered", "state", "way"}

// partAttrs are the attributes of what a word places: those of every part, the level of a conductor, and the parameters of
// the word but those that say where.
func (e *Entry) partAttrs() []string {
	names := slices.Clone(sameAttrs)
	if e.Places.Trait().Conducts {
		names = append(names, "level")
	}
	for i := range e.Params {
		if p := &e.Params[i]; p.of != nil {
			names = append(names, p.Name)
		}
	}
	slices.Sort(names)
	return slices.Compact(names)
}

// placedBy is the word that places parts of a kind.
func placedBy(k engine.Kind) *Entry {
	entries()
	return table.byName[k.String()]
}

// AttrNames lists the attributes: only those that its kind has.
func (p Part) AttrNames() []string { return slices.Clone(wordOf(p.Bench, p.ID).attrs) }

// Attr reads an attribute.
func (p Part) Attr(name string) (starlark.Value, error) {
	kind := p.Bench.KindName(p.ID)
	word := wordOf(p.Bench, p.ID)
	if !slices.Contains(word.attrs, name) {
		return nil, starlark.NoSuchAttrError(fmt.Sprintf("%s has no .%s; it has .%s", say.Article(kind), name, strings.Join(word.attrs, " .")))
	}
	if !p.Valid() {
		return nil, fmt.Errorf("part.%s: that part is no longer there; it was removed or undone", name)
	}
	switch name {
	case "kind":
		return starlark.String(kind), nil
	case "name":
		return nameOf(p), nil
	case "at":
		InquiryOf(p.Bench).Want(AskedPlace)
		cell, onLattice := p.Bench.CellOf(p.ID)
		if !onLattice {
			return starlark.None, nil
		}
		return CellValue(cell), nil
	case "facing":
		return facingOf(p), nil
	case "port":
		return starlark.String(PortKind(p)), nil
	case "way":
		return wayValue(p), nil
	case "state":
		return StateValue(p.Bench.KindOf(p.ID), p.now()), nil
	case "powered":
		return starlark.Bool(p.now().Powered), nil
	case "armed":
		return starlark.Bool(p.now().Armed), nil
	case "level":
		return levelOf(p), nil
	}
	return word.Params[word.param(name)].of(p), nil
}

// now is the state of the part, which somebody has looked at.
func (p Part) now() engine.State {
	InquiryOf(p.Bench).Look()
	return p.Bench.State(p.ID)
}

// PartValue is a part as a script sees it; a bare cell as its coordinates, None if there is none.
func PartValue(b *engine.Bench, id engine.ID) starlark.Value {
	if id == 0 {
		return starlark.None
	}
	if b.KindOf(id) != engine.Bare {
		return Part{b, id}
	}
	cell, _ := b.CellOf(id)
	return CellValue(cell)
}
