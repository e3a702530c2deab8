package hold

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"go.starlark.net/starlark"
)

// errKnot is that of a list or the like that cannot be frozen: the interpreter freezes what it holds, and would go round for ever in a function
// that holds itself.
var errKnot = errors.New("it holds a function that holds itself, which can only be captured by a function, not held by a value")

// errTangle is that of a value whose freezing would take the interpreter hours.
var errTangle = fmt.Errorf("tuples and functions lie in it in more than %d ways, and cannot be frozen", mostFrozen)

// Freeze makes a value, and all that lies in it, such that it changes no more. A function may hold itself; where that cannot be
// frozen, or lies too deep, the error says so, and some of it may be frozen. So it may where somebody asks to stop.
func (u Until) Freeze(v starlark.Value) error {
	if identity(v) == nil {
		v.Freeze()
		return nil
	}
	round := u.rounds()
	if ok, err := round.flat(v); ok || err != nil {
		if ok {
			v.Freeze()
		}
		return err
	}
	var holders []starlark.Value
	w := walker{holding: true, round: round, look: func(h Held) bool {
		switch h.Value.(type) {
		case starlark.Tuple, *starlark.Function, *starlark.Builtin: // nothing in them changes but what they hold
		default:
			if small(h.Value) {
				h.Value.Freeze()
			} else if !Plain(h.Value) {
				holders = append(holders, h.Value)
			}
		}
		return true
	}}
	if _, err := w.walk(Held{Value: v}); err != nil {
		return err
	}
	k := knots{round: round, known: map[any]int{}}
	for i := len(holders) - 1; i >= 0; i-- { // inside out
		if err := k.look(holders[i]); err != nil {
			return err
		}
		holders[i].Freeze()
	}
	return nil
}

// Freeze is that of an Until that nobody stops.
func Freeze(v starlark.Value) error { return Until(nil).Freeze(v) }

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

// knots tells what the interpreter does when it freezes functions, methods and tuples: none of them marks itself as frozen, so that it goes into
// one each time it comes to it, and for ever into one that leads back to itself.
type knots struct {
	round rounds
	known map[any]int // how many values it comes to on the way through one; knot: they never end
	all   int         // it has come to, and will
}

const (
	mostFrozen = 200_000_000 // values that the interpreter may come to, some 0.3 s
	knot       = math.MaxInt32
)

// through reports whether freezing goes through a value each time.
func through(v starlark.Value) bool {
	switch v := v.(type) {
	case starlark.Tuple:
		return len(v) > 0
	case *starlark.Function, *starlark.Builtin:
		return true
	}
	return false
}

// look gives an error if the interpreter cannot freeze a holder in which all that marks itself as frozen is frozen.
func (k *knots) look(holder starlark.Value) error {
	for h := range Holds(holder) {
		if err := k.round.next(); err != nil {
			return err
		}
		k.all++
		if !through(h.Value) {
			continue
		}
		if small(h.Value) {
			k.all += starlark.Len(h.Value)
		} else {
			n, err := k.steps(h.Value)
			if err != nil {
				return err
			}
			if n == knot {
				return errKnot
			}
			k.all += n
		}
		if k.all > mostFrozen {
			return errTangle
		}
	}
	return nil
}

// opened is a value on the way of steps.
type opened struct {
	id    any
	into  []starlark.Value // still to be gone into
	steps int
}

// add adds the steps through a value that lies in it. Beyond mostFrozen they are not counted.
func (o *opened) add(n int) {
	if n == knot || o.steps == knot {
		o.steps = knot
	} else {
		o.steps = min(o.steps+n, mostFrozen+1)
	}
}

// steps is how many values freezing comes to on its way through one. What is open it takes for a knot, for it leads back there.
func (k *knots) steps(v starlark.Value) (int, error) {
	way := []opened{{into: []starlark.Value{v}}} // a stack of our own: it may be as long as there are functions
	for {
		at := &way[len(way)-1]
		if len(at.into) == 0 {
			if at.id == nil {
				return at.steps, nil
			}
			k.known[at.id] = at.steps
			way = way[:len(way)-1]
			above := &way[len(way)-1]
			above.add(at.steps)
			continue
		}
		x := at.into[0]
		at.into = at.into[1:]
		id := identity(x)
		if n, ok := k.known[id]; ok {
			at.add(n)
			continue
		}
		k.known[id] = knot
		o := opened{id: id}
		for h := range Holds(x) {
			if err := k.round.next(); err != nil {
				return 0, err
			}
			o.steps++
			if through(h.Value) {
				o.into = append(o.into, h.Value)
			}
		}
		way = append(way, o)
	}
}

// FreezeAll freezes the values of names, as far as they can be frozen; the error is that of the first that cannot, by name.
func (u Until) FreezeAll(d starlark.StringDict) (err error) {
	for _, name := range d.Keys() {
		if e := u.Freeze(d[name]); e != nil && err == nil {
			err = fmt.Errorf("%s: %w", name, e)
		}
	}
	return err
}

// FreezeAll is that of an Until that nobody stops.
func FreezeAll(d starlark.StringDict) error { return Until(nil).FreezeAll(d) }
