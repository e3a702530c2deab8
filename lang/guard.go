package lang

import (
	"fmt"

	"go.starlark.net/starlark"
)

// maxElements is how many elements one call may put into a list, tuple or the like.
const maxElements = 50_000_000

// guard puts limits on the language's own words. Those that make a list of what they are given ask for the memory at once, and a list of
// 10^18 numbers would end the process; so would writing a value in which others lie millions deep.
func guard(d starlark.StringDict) {
	for _, name := range []string{"list", "tuple", "sorted", "reversed", "enumerate", "set", "dict", "zip"} {
		guarded(d, name, func(_ *starlark.Thread, v starlark.Value) error {
			if n := starlark.Len(v); n > maxElements {
				return fmt.Errorf("%d elements are too many, at most %d", n, maxElements)
			}
			return nil
		})
	}
	for _, name := range []string{"print", "str", "repr", "fail"} {
		guarded(d, name, checkDepth)
	}
	guardTexts(d)
}

// guarded has a word refuse arguments.
func guarded(d starlark.StringDict, name string, check func(*starlark.Thread, starlark.Value) error) {
	b, ok := d[name].(*starlark.Builtin)
	if !ok {
		return
	}
	d[name] = starlark.NewBuiltin(name, func(thread *starlark.Thread, _ *starlark.Builtin, args starlark.Tuple, kwargs []starlark.Tuple) (starlark.Value, error) {
		for _, a := range args {
			if err := check(thread, a); err != nil {
				return nil, fmt.Errorf("%s: %w", name, err)
			}
		}
		return b.CallInternal(thread, args, kwargs)
	})
}
