package builtins

import (
	"fmt"
	"slices"

	"go.starlark.net/starlark"
)

// Report is what an experiment found: a text for people, and fields for scripts. It cannot be changed.
type Report struct {
	name   string
	text   string
	fields starlark.StringDict
}

var _ starlark.HasAttrs = (*Report)(nil)

func (r *Report) Type() string         { return r.name }
func (r *Report) String() string       { return r.text }
func (r *Report) Truth() starlark.Bool { return starlark.True }
func (r *Report) Freeze()              { r.fields.Freeze() }
func (r *Report) Hash() (uint32, error) {
	return 0, fmt.Errorf("a %s cannot be a key of a dict", r.name)
}

// AttrNames lists the fields.
func (r *Report) AttrNames() []string {
	names := r.fields.Keys()
	slices.Sort(names)
	return names
}

// Attr reads a field.
func (r *Report) Attr(name string) (starlark.Value, error) {
	if v, ok := r.fields[name]; ok {
		return v, nil
	}
	return nil, nil
}
