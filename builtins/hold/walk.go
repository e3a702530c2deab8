package hold

import (
	"errors"
	"fmt"
	"iter"

	"go.starlark.net/starlark"
	"go.starlark.net/starlarkstruct"
)

// Whoever looks into values goes through them by Holds and Walk: copying a rig, comparing two, fencing a session's names, freezing.

// Deepest is how deep values may lie in one another: in [[1]] the 1 lies 2 deep. The language's own words go into a value by
// calling themselves, and what lies a million deep would end the process.
const Deepest = 1000

// TooDeep is the error of a value in which others lie deeper than that.
type TooDeep struct{ Type string }

func (e *TooDeep) Error() string {
	return fmt.Sprintf("values lie more than %d deep in one another in this %s, want at most %d", Deepest, e.Type, Deepest)
}

// Way is as what a value is held.
type Way uint8

const (
	Whole    Way = iota // it is not held
	Element             // of a list, a tuple, a set, or of a value of our own
	Key                 // of a dict
	Under               // in a dict, under Held.Key
	Field               // of a struct
	Captured            // by a function, from where it was made
	Usual               // the default of a function's parameter
	Receiver            // what a method belongs to
)

// Held is a value that another one holds.
type Held struct {
	Value starlark.Value
	Way   Way
	Name  string         // of a field, a captured variable or a parameter
	Key   starlark.Value // of a dict: the key, or under which key
	Index int            // of an element
	In    *Held          // what holds it; nil: nothing
	Depth int            // how many hold it, one in the other
}

// Holder is a value of our own that holds others.
type Holder interface {
	starlark.Value
	Holds() iter.Seq[starlark.Value]
}

// Holds gives what a value holds, itself, in its order. What is said of it in h.In and h.Depth is up to who walks.
func Holds(v starlark.Value) iter.Seq[Held] {
	switch v := v.(type) {
	case *starlark.List:
		return elements(v.Elements())
	case starlark.Tuple:
		return elements(v.Elements())
	case *starlark.Set:
		return elements(v.Elements())
	case Holder:
		return elements(v.Holds())
	case *starlark.Dict:
		return func(yield func(Held) bool) {
			for k, x := range v.Entries() {
				if !yield(Held{Value: k, Way: Key, Key: k}) || !yield(Held{Value: x, Way: Under, Key: k}) {
					return
				}
			}
		}
	case *starlarkstruct.Struct:
		return func(yield func(Held) bool) {
			for _, a := range v.AttrNames() {
				if x, err := v.Attr(a); err == nil && !yield(Held{Value: x, Way: Field, Name: a}) {
					return
				}
			}
		}
	case *starlark.Function:
		return heldByFunction(v)
	case *starlark.Builtin:
		return func(yield func(Held) bool) {
			if r := v.Receiver(); r != nil {
				yield(Held{Value: r, Way: Receiver})
			}
		}
	}
	return func(func(Held) bool) {}
}

func elements(vs iter.Seq[starlark.Value]) iter.Seq[Held] {
	return func(yield func(Held) bool) {
		i := 0
		for x := range vs {
			if !yield(Held{Value: x, Way: Element, Index: i}) {
				return
			}
			i++
		}
	}
}

func heldByFunction(fn *starlark.Function) iter.Seq[Held] {
	return func(yield func(Held) bool) {
		for i := range fn.NumFreeVars() {
			if b, x := fn.FreeVar(i); x != nil && !yield(Held{Value: x, Way: Captured, Name: b.Name}) {
				return
			}
		}
		for i := range fn.NumParams() {
			if x := fn.ParamDefault(i); x != nil {
				if name, _ := fn.Param(i); !yield(Held{Value: x, Way: Usual, Name: name}) {
					return
				}
			}
		}
	}
}

// Plain reports whether a value holds nothing and cannot change, nor belongs to anything.
func Plain(v starlark.Value) bool {
	switch v.(type) {
	case starlark.NoneType, starlark.Bool, starlark.Int, starlark.Float, starlark.String, starlark.Bytes:
		return true
	}
	return false
}

// identity is the same for the same value and no other; nil: v holds nothing, or is no one thing.
func identity(v starlark.Value) any {
	switch v := v.(type) {
	case starlark.Tuple:
		if len(v) > 0 {
			return &v[0]
		}
	case *starlark.List, *starlark.Dict, *starlark.Set, *starlarkstruct.Struct, *starlark.Function, *starlark.Builtin, Holder:
		return v
	}
	return nil
}

// Holding reports whether a value is of a kind that holds others.
func Holding(v starlark.Value) bool {
	t, ok := v.(starlark.Tuple)
	return ok && len(t) == 0 || identity(v) != nil
}

// Walk goes through a value and all that lies in it, what holds before what is held, each value that holds others once. look is told of
// each and says whether to go into it. The error is *TooDeep, where it ends.
func Walk(v starlark.Value, look func(h Held) (into bool)) error {
	w := walker{look: look}
	_, err := w.walk(Held{Value: v})
	return err
}

// WalkAll is Walk that goes into what is held in several ways once for each, but not into what it is in already.
func WalkAll(v starlark.Value, look func(h Held) (into bool)) error {
	w := walker{look: look, all: true}
	_, err := w.walk(Held{Value: v})
	return err
}

type walker struct {
	look func(h Held) bool
	all  bool
	text bool        // what is gone through is to be written
	seen map[any]int // how deep others lie in it; 0: it is still being gone through
}

// walk gives how deep others lie in a value.
func (w *walker) walk(h Held) (deep int, err error) {
	id := identity(h.Value)
	if id == nil {
		w.look(h)
		return 0, nil
	}
	if known, ok := w.seen[id]; ok && (!w.all || known == 0) {
		if known == 0 && w.text && h.structLoop(id) {
			return 0, errLoop
		}
		if h.Depth+known > Deepest {
			return 0, w.tooDeep(h)
		}
		return known, nil
	}
	if !w.look(h) {
		return 0, nil
	}
	if h.Depth >= Deepest {
		return 0, w.tooDeep(h)
	}
	if w.seen == nil {
		w.seen = map[any]int{}
	}
	w.seen[id] = 0
	holder := new(Held) // here, so that what holds nothing costs no memory
	*holder = h
	for x := range Holds(h.Value) {
		x.In, x.Depth = holder, h.Depth+1
		below, err := w.walk(x)
		if err != nil {
			return 0, err
		}
		deep = max(deep, below)
	}
	w.seen[id] = deep + 1
	return deep + 1, nil
}

func (w *walker) tooDeep(h Held) error {
	for h.In != nil {
		h = *h.In
	}
	return &TooDeep{h.Value.Type()}
}

// errLoop is that of a value that cannot be written. Of a list or a dict that lies in itself the interpreter writes dots, a table writes dots for
// what it lies in; but a struct asks each field for its text, and does not see that it comes back.
var errLoop = errors.New("a struct lies in itself, by way of what it holds, and cannot be written, compared or tried")

// structLoop reports whether a struct is on the way from a value to h, which is that value once more.
func (h Held) structLoop(id any) bool {
	for at := h.In; at != nil; at = at.In {
		if _, ok := at.Value.(*starlarkstruct.Struct); ok {
			return true
		}
		if identity(at.Value) == id {
			break
		}
	}
	return false
}

// CheckDepth gives an error for a value that cannot be printed, compared or written: *TooDeep where others lie too deep in it, another where a struct
// lies in itself. What functions hold does not count.
func CheckDepth(v starlark.Value) error {
	if room := 20_000_000; shallow(v, 4, &room) {
		return nil
	}
	return walkText(v, func(Held) bool { return true })
}

// walkText is Walk through what a text of a value says.
func walkText(v starlark.Value, look func(h Held) (into bool)) error {
	w := walker{text: true, look: func(h Held) bool {
		switch h.Value.(type) {
		case *starlark.Function, *starlark.Builtin:
			return false
		}
		return look(h)
	}}
	_, err := w.walk(Held{Value: v})
	return err
}

// shallow reports whether nothing lies deeper in a value than so deep, without keeping anything; it looks at no more values than there is room for.
func shallow(v starlark.Value, deep int, room *int) bool {
	switch v := v.(type) {
	case *starlark.List:
		for i := range v.Len() {
			if *room--; deep == 0 || *room < 0 || !shallow(v.Index(i), deep-1, room) {
				return false
			}
		}
	case starlark.Tuple:
		for _, x := range v {
			if *room--; deep == 0 || *room < 0 || !shallow(x, deep-1, room) {
				return false
			}
		}
	case *starlark.Dict, *starlark.Set, *starlarkstruct.Struct, Holder:
		for h := range Holds(v) {
			if *room--; deep == 0 || *room < 0 || !shallow(h.Value, deep-1, room) {
				return false
			}
		}
	}
	return true
}

// Endless reports whether writing a value would come back to what it is written in, or others lie too deep in it to be written.
func Endless(v, in starlark.Value) bool {
	if Plain(v) {
		return false
	}
	back := false
	err := walkText(v, func(h Held) bool {
		back = back || Same(h.Value, in)
		return !back
	})
	return back || err != nil
}
