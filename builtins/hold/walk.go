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

// tupleAt is where a tuple lies.
type tupleAt struct {
	first *starlark.Value
	len   int
}

// identity is the same for the same value and no other; nil: v holds nothing, or is no one thing.
func identity(v starlark.Value) any {
	switch v := v.(type) {
	case starlark.Tuple:
		if len(v) > 0 {
			return tupleAt{&v[0], len(v)} // x[:1] begins where x does
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
// each and says whether to go into it. The error is *TooDeep, where it ends, or that of who asks to stop.
func (u Until) Walk(v starlark.Value, look func(h Held) (into bool)) error {
	w := walker{look: look, round: u.rounds()}
	_, err := w.walk(Held{Value: v})
	return err
}

// Walk is that of an Until that nobody stops.
func Walk(v starlark.Value, look func(h Held) (into bool)) error { return Until(nil).Walk(v, look) }

// WalkAll is Walk that goes into what is held in several ways once for each, but not into what it is in already.
func (u Until) WalkAll(v starlark.Value, look func(h Held) (into bool)) error {
	w := walker{look: look, all: true, round: u.rounds()}
	_, err := w.walk(Held{Value: v})
	return err
}

// WalkAll is that of an Until that nobody stops.
func WalkAll(v starlark.Value, look func(h Held) (into bool)) error {
	return Until(nil).WalkAll(v, look)
}

type walker struct {
	look    func(h Held) bool
	round   rounds
	all     bool
	text    bool           // what is gone through is to be written
	holding bool           // look wants to know of what holds others only, and may be told of one that holds plain values twice
	seen    map[any]extent // what lies in it
}

// extent is what lies in a value: how deep others lie in it, and how many a text of it would name. The zero value: it is still being gone through.
type extent struct{ deep, many int }

// mostWritten is how many values a text of a value may name. What lies in several places is named in each: of twenty lists, each twice in the next, that is a million.
const mostWritten = 200_000_000

// walk gives what lies in a value.
func (w *walker) walk(h Held) (in extent, err error) {
	id := identity(h.Value)
	if id == nil {
		w.look(h)
		return extent{many: 1}, nil
	}
	if known, ok := w.seen[id]; ok && (!w.all || known.deep == 0) {
		if known.deep == 0 && w.text && h.structLoop(id) {
			return in, errLoop
		}
		if h.Depth+known.deep > Deepest {
			return in, w.tooDeep(h)
		}
		return known, nil
	}
	if !w.look(h) {
		return extent{many: 1}, nil
	}
	if h.Depth >= Deepest {
		return in, w.tooDeep(h)
	}
	if w.holding && small(h.Value) {
		return extent{1, 1 + starlark.Len(h.Value)}, w.round.next()
	}
	if w.seen == nil {
		w.seen = map[any]extent{}
	}
	w.seen[id] = in
	holder := new(Held) // here, so that what holds nothing costs no memory
	*holder = h
	in.many = 1
	for x := range Holds(h.Value) {
		if err := w.round.next(); err != nil {
			return in, err
		}
		if w.holding && Plain(x.Value) {
			in.many++
			continue
		}
		x.In, x.Depth = holder, h.Depth+1
		below, err := w.walk(x)
		if err != nil {
			return in, err
		}
		in.deep = max(in.deep, below.deep)
		in.many += below.many
		if w.text && in.many > mostWritten {
			return in, errVast
		}
	}
	in.deep++
	in.many = min(in.many, mostWritten)
	w.seen[id] = in
	return in, nil
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

// errVast is that of a value of which a text would never end.
var errVast = fmt.Errorf("what lies in it lies there in more than %d ways, and cannot be written or compared", mostWritten)

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
// lies in itself or too much lies in it, or that of who asks to stop. What functions hold does not count.
func (u Until) CheckDepth(v starlark.Value) error {
	round := u.rounds()
	if ok, err := shallow(v, 6, &round); ok || err != nil {
		return err
	}
	return u.walkText(v, func(Held) bool { return true })
}

// CheckDepth is that of an Until that nobody stops.
func CheckDepth(v starlark.Value) error { return Until(nil).CheckDepth(v) }

// walkText is Walk through what a text of a value says; of plain values look is not told.
func (u Until) walkText(v starlark.Value, look func(h Held) (into bool)) error {
	w := walker{text: true, holding: true, round: u.rounds(), look: func(h Held) bool {
		switch h.Value.(type) {
		case *starlark.Function, *starlark.Builtin:
			return false
		}
		return look(h)
	}}
	_, err := w.walk(Held{Value: v})
	return err
}

// mostGlance is how many values shallow looks at, some 0.2 s: it goes through what lies in several places once for each.
const mostGlance = 20_000_000

// shallow reports whether nothing lies deeper in a value than so deep, without keeping anything.
func shallow(v starlark.Value, deep int, round *rounds) (ok bool, err error) {
	in := func(x starlark.Value) bool {
		if err = round.next(); err != nil || round.n > mostGlance {
			return false
		}
		if deep == 0 || Plain(x) {
			return deep > 0
		}
		ok, err = shallow(x, deep-1, round)
		return ok
	}
	switch v := v.(type) {
	case *starlark.List:
		for i := range v.Len() {
			if !in(v.Index(i)) {
				return false, err
			}
		}
	case starlark.Tuple:
		for _, x := range v {
			if !in(x) {
				return false, err
			}
		}
	case *starlark.Dict, *starlark.Set, *starlarkstruct.Struct, Holder:
		for h := range Holds(v) {
			if !in(h.Value) {
				return false, err
			}
		}
	}
	return true, nil
}

// Endless reports whether writing a value would come back to what it is written in, or others lie too deep in it to be written.
func Endless(v, in starlark.Value) bool {
	if Plain(v) {
		return false
	}
	back := false
	err := Until(nil).walkText(v, func(h Held) bool {
		back = back || Same(h.Value, in)
		return !back
	})
	return back || err != nil
}
