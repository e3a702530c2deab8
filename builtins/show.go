package builtins

import (
	"errors"

	"go.starlark.net/starlark"
)

// Show is a value as messages write it: itself if it is short and plain, else its type.
func Show(v starlark.Value) string {
	switch v := v.(type) {
	case starlark.String, starlark.Int, starlark.Float, starlark.Bool, starlark.NoneType, Part, Instant:
		if s := v.String(); len(s) <= 60 {
			return s
		}
		return "a long " + v.Type()
	case starlark.Tuple, *starlark.List:
		if s := v.String(); len(s) <= 40 {
			return s
		}
		return v.Type()
	case nil:
		return "nothing"
	case starlark.Callable:
		return "a function"
	}
	return v.Type()
}

// Message is the text of an error without the Starlark call stack.
func Message(err error) string {
	var e *starlark.EvalError
	if errors.As(err, &e) {
		return e.Msg
	}
	return err.Error()
}

// Text is a value as print writes it.
func Text(v starlark.Value) string {
	if s, ok := starlark.AsString(v); ok {
		return s
	}
	return v.String()
}
