package hold

import "go.starlark.net/starlark"

// Until says whether what goes through many values is to stop, and with which error. It is asked every few thousand values; a nil one never is.
type Until func() error

// rounds counts values until it is time to ask.
type rounds struct {
	until Until
	n     int
}

func (u Until) rounds() rounds { return rounds{until: u} }

// next counts one more value.
func (r *rounds) next() error {
	if r.n++; r.n%4096 == 0 && r.until != nil {
		return r.until()
	}
	return nil
}

// flat reports whether a value is a list or a tuple of plain values.
func (r *rounds) flat(v starlark.Value) (bool, error) {
	switch v := v.(type) {
	case *starlark.List:
		for i := range v.Len() {
			if err := r.next(); err != nil || !Plain(v.Index(i)) {
				return false, err
			}
		}
		return true, nil
	case starlark.Tuple:
		for _, x := range v {
			if err := r.next(); err != nil || !Plain(x) {
				return false, err
			}
		}
		return true, nil
	}
	return false, nil
}

// small reports whether a value is a list or a tuple of a few plain values: to go through it again is cheaper than to know that one has.
func small(v starlark.Value) bool {
	const few = 8
	if n := starlark.Len(v); n < 0 || n > few {
		return false
	}
	var none rounds
	ok, _ := none.flat(v)
	return ok
}
