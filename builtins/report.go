package builtins

import (
	"fmt"
	"slices"
	"strings"

	"pulsewright/builtins/hold"

	"go.starlark.net/starlark"
	"go.starlark.net/starlarkstruct"
)

// Report is what an experiment found: a text for people, and fields for scripts. It cannot be changed.
type Report struct {
	Name   string
	Text   string
	Fields starlark.StringDict
	Lacks  string // why there is no other field, with a %q for its name; "": nothing is said of it
}

var _ starlark.HasAttrs = (*Report)(nil)

func (r *Report) Type() string   { return r.Name }
func (r *Report) String() string { return r.Text }

// Fitted is String with the tables in it for so many columns of a terminal.
func (r *Report) Fitted(room int) string {
	text := r.Text
	for _, name := range r.AttrNames() {
		if t, ok := r.Fields[name].(*Table); ok {
			text = strings.Replace(text, t.String(), t.Fitted(room), 1)
		}
	}
	return text
}

func (r *Report) Truth() starlark.Bool { return starlark.True }
func (r *Report) Freeze()              { hold.FreezeAll(r.Fields) }
func (r *Report) Hash() (uint32, error) {
	return 0, fmt.Errorf("a %s cannot be a key of a dict", r.Name)
}

// AttrNames lists the fields.
func (r *Report) AttrNames() []string {
	names := r.Fields.Keys()
	slices.Sort(names)
	return names
}

// Attr reads a field.
func (r *Report) Attr(name string) (starlark.Value, error) {
	if v, ok := r.Fields[name]; ok {
		return v, nil
	}
	if r.Lacks != "" {
		return nil, starlark.NoSuchAttrError(fmt.Sprintf("a %s has no .%s: "+r.Lacks, r.Name, name, name))
	}
	return nil, nil
}

// StructOf makes a struct with a name of its own.
func StructOf(name string, d starlark.StringDict) starlark.Value {
	return starlarkstruct.FromStringDict(starlark.String(name), d)
}
