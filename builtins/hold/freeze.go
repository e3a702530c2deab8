package hold

import (
	"errors"
	"fmt"
	"strings"

	"go.starlark.net/starlark"
)

// errKnot is that of a list or the like that cannot be frozen: the interpreter freezes what it holds, and would go round for ever in a function
// that holds itself.
var errKnot = errors.New("it holds a function that holds itself, which can only be captured by a function, not held by a value")

// Freeze makes a value, and all that lies in it, such that it changes no more. A function may hold itself; where that cannot be
// frozen, or lies too deep, the error says so, and some of it may be frozen.
func Freeze(v starlark.Value) error {
	if identity(v) == nil {
		v.Freeze()
		return nil
	}
	var holders []starlark.Value
	err := Walk(v, func(h Held) bool {
		switch h.Value.(type) {
		case starlark.Tuple, *starlark.Function, *starlark.Builtin: // nothing in them changes but what they hold
		default:
			if !Plain(h.Value) {
				holders = append(holders, h.Value)
			}
		}
		return true
	})
	if err != nil {
		return err
	}
	k := knots{}
	for i := len(holders) - 1; i >= 0; i-- { // inside out
		for h := range Holds(holders[i]) {
			if k.reaches(h.Value) {
				return errKnot
			}
		}
		holders[i].Freeze()
	}
	return nil
}

// Frozen reports whether a list, dict or set can change no more. The interpreter does not say; but while a value is being gone through it
// refuses to be emptied, and why it does is told by the words.
func Frozen(v starlark.Value) bool {
	c, ok := v.(interface {
		starlark.Iterable
		Clear() error
	})
	if !ok {
		return false
	}
	it := c.Iterate()
	defer it.Done()
	err := c.Clear()
	return err != nil && strings.Contains(err.Error(), "frozen")
}

// knots tells of functions, methods and tuples whether freezing them would come back to one of them for ever: nothing that marks itself as frozen
// lies on the way. While it looks it says yes.
type knots map[any]bool

func (k knots) reaches(v starlark.Value) bool {
	switch v.(type) {
	case starlark.Tuple, *starlark.Function, *starlark.Builtin:
	default:
		return false
	}
	id := identity(v)
	if id == nil {
		return false
	}
	if known, ok := k[id]; ok {
		return known
	}
	k[id] = true
	found := false
	for h := range Holds(v) {
		found = k.reaches(h.Value) || found
	}
	k[id] = found
	return found
}

// FreezeAll freezes the values of names, as far as they can be frozen; the error is that of the first that cannot, by name.
func FreezeAll(d starlark.StringDict) (err error) {
	for _, name := range d.Keys() {
		if e := Freeze(d[name]); e != nil && err == nil {
			err = fmt.Errorf("%s: %w", name, e)
		}
	}
	return err
}
