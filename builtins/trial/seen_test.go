package trial

import (
	"testing"

	"go.starlark.net/starlark"
)

// TestSeenInParts: however many values have been seen, no set grows to more than a few thousand.
func TestSeenInParts(t *testing.T) {
	const many = 40_000
	for name, value := range map[string]func(i int) starlark.Value{
		"numbers":   func(i int) starlark.Value { return starlark.MakeInt(i) },
		"thousands": func(i int) starlark.Value { return starlark.MakeInt(i << 10) },
		"texts":     func(i int) starlark.Value { return starlark.String(starlark.MakeInt(i).String()) },
		"pairs":     func(i int) starlark.Value { return starlark.Tuple{starlark.MakeInt(i), starlark.MakeInt(-i)} },
	} {
		s := newSeen(many)
		for i := range many {
			if s.again(value(i)) {
				t.Fatalf("%s: %v was there before", name, value(i))
			}
		}
		for i := range s {
			if n := s[i].Len(); n > 2*4096 {
				t.Errorf("%s: %d of %d are in one set", name, n, many)
			}
		}
	}
}
