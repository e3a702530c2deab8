package sketch

import (
	"errors"
	"fmt"

	"pulsewright/builtins"
	"pulsewright/builtins/say"
	"pulsewright/engine"

	"go.starlark.net/starlark"
)

// Sketch is what a sketch has placed. It cannot be changed.
type Sketch struct {
	Bench      *engine.Bench
	plan       *Plan
	ids, shelf []engine.ID
}

var (
	_ starlark.Sequence = (*Sketch)(nil)
	_ starlark.Mapping  = (*Sketch)(nil)
	_ starlark.HasAttrs = (*Sketch)(nil)
)

func (s *Sketch) Type() string          { return "sketch" }
func (s *Sketch) Freeze()               {}
func (s *Sketch) Truth() starlark.Bool  { return s.Len() > 0 }
func (s *Sketch) Hash() (uint32, error) { return 0, errors.New("a sketch cannot be a key of a dict") }
func (s *Sketch) Len() int              { return len(s.ids) + len(s.shelf) }
func (s *Sketch) String() string        { return "sketch of " + say.Count(s.Len(), "part") }

// On is the same sketch on a bench where its parts have become others.
func (s *Sketch) On(b *engine.Bench, now func([]engine.ID) []engine.ID) *Sketch {
	return &Sketch{b, s.plan, now(s.ids), now(s.shelf)}
}

// id is the part at an end of a cord.
func (s *Sketch) id(e End) engine.ID {
	if e < 0 {
		return s.shelf[-1-e]
	}
	return s.ids[e]
}

// list is the parts that are so.
func (s *Sketch) list(which func(t *Tile) bool) *starlark.List {
	var parts []starlark.Value
	for i, id := range s.ids {
		if which(&s.plan.Tiles[i]) {
			parts = append(parts, builtins.Part{Bench: s.Bench, ID: id})
		}
	}
	for i, id := range s.shelf {
		if which(&s.plan.Shelf[i]) {
			parts = append(parts, builtins.Part{Bench: s.Bench, ID: id})
		}
	}
	return starlark.NewList(parts)
}

// Iterate walks the parts: layers from the lowest, rows down the page, from the left; the shelf last.
func (s *Sketch) Iterate() starlark.Iterator {
	return s.list(func(*Tile) bool { return true }).Iterate()
}

// Get finds a part by its name in the drawing or its cell, or the parts of a mark, a kind or its letter.
func (s *Sketch) Get(k starlark.Value) (starlark.Value, bool, error) {
	if text, ok := k.(starlark.String); ok {
		found := s.list(func(t *Tile) bool { return t.Name == string(text) })
		if found.Len() == 1 && text != "" {
			return found.Index(0), true, nil
		}
		if found = s.list(func(t *Tile) bool { return t.Is(string(text)) }); found.Len() > 0 {
			return found, true, nil
		}
		return nil, false, fmt.Errorf("the sketch has no part, mark or kind called %q", string(text))
	}
	cell, got, want := builtins.ParseCell(k)
	if want != "" {
		return nil, false, fmt.Errorf("a sketch is asked for %s, want a name, a mark, a kind or %s", got, wantCell)
	}
	for i := range s.ids {
		if s.plan.Tiles[i].Cell == cell {
			return builtins.Part{Bench: s.Bench, ID: s.ids[i]}, true, nil
		}
	}
	return nil, false, fmt.Errorf("nothing is drawn at %v", cell)
}

// AttrNames lists the attributes.
func (s *Sketch) AttrNames() []string { return []string{"parts"} }

// Attr reads an attribute.
func (s *Sketch) Attr(name string) (starlark.Value, error) {
	if name == "parts" {
		return s.list(func(*Tile) bool { return true }), nil
	}
	return nil, nil
}
