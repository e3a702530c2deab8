package lang

import (
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"
	"sync"

	"go.starlark.net/starlark"

	"pulsewright/builtins"
	"pulsewright/builtins/say"
)

// argEntry describes arg, the one word that belongs to scripts rather than to the bench.
var argEntry = builtins.Entry{
	Name:     "arg",
	Topic:    "keeping",
	Sentence: "The value given for name on the command line (run FILE name=value), or default. It is read as the kind of value the default is.",
	Params: []builtins.Param{
		{Name: "name", Type: "string", Doc: "as given before the ="},
		{Name: "default", Type: "number, bool or string", Doc: "what it is if not given"},
	},
	Returns: "a value of the default's kind",
	Example: "berth = arg(\"berth\", 35)\nprint(berth)",
	See:     []string{"load", "save"},
}

// argHelp is the entry as help shows entries.
func argHelp() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s\n%s\n", argEntry.Usage(), say.Fill(argEntry.Sentence, "", "", 80))
	for _, p := range argEntry.Params {
		fmt.Fprintf(&b, "\n  %-7s  (%s) %s", p.Name, p.Type, p.Doc)
	}
	fmt.Fprintf(&b, "\n\ngives %s\n\nexample\n    %s\n\nsee also %s\n", argEntry.Returns,
		strings.ReplaceAll(argEntry.Example, "\n", "\n    "), strings.Join(argEntry.See, " "))
	return b.String()
}

// arguments are the name=value pairs of a run.
type arguments struct {
	values map[string]string
	lock   sync.Mutex // of asked: trials ask too
	asked  map[string]bool
}

// UsageError is a command line that cannot be understood.
type UsageError struct{ Msg string }

func (e *UsageError) Error() string { return e.Msg }

// set takes the pairs of a run.
func (a *arguments) set(pairs []string) error {
	a.values, a.asked = map[string]string{}, map[string]bool{}
	for _, p := range pairs {
		name, value, ok := strings.Cut(p, "=")
		if !ok || !isName(name) {
			return &UsageError{fmt.Sprintf("argument %q: want name=value", p)}
		}
		if _, twice := a.values[name]; twice {
			return &UsageError{fmt.Sprintf("argument %s is given twice", name)}
		}
		a.values[name] = value
	}
	return nil
}

func isName(s string) bool {
	for i, r := range s {
		if r != '_' && !('a' <= r && r <= 'z') && !('A' <= r && r <= 'Z') && (i == 0 || r < '0' || r > '9') {
			return false
		}
	}
	return s != ""
}

// given lists the pairs as they were given, sorted.
func (a *arguments) given() string { return strings.Join(a.pairs(), " ") }

func (a *arguments) pairs() []string {
	var pairs []string
	for _, name := range slices.Sorted(maps.Keys(a.values)) {
		pairs = append(pairs, name+"="+a.values[name])
	}
	return pairs
}

// unasked is an error if a pair was given that the script never asked for.
func (a *arguments) unasked() error {
	asked := slices.Sorted(maps.Keys(a.asked))
	for _, name := range slices.Sorted(maps.Keys(a.values)) {
		if a.asked[name] {
			continue
		}
		e := &Error{Msg: fmt.Sprintf("the script does not ask for %s", name)}
		if len(asked) == 0 {
			e.Hint = "it asks for no arguments"
		} else {
			e.Hint = "it asks for " + strings.Join(asked, ", ")
			if near := say.Nearest(name, asked); near != "" {
				e.Hint = fmt.Sprintf("did you mean %s? ", near) + e.Hint
			}
		}
		return e
	}
	return nil
}

// ask notes that the script asked for name.
func (a *arguments) ask(name string) {
	a.lock.Lock()
	defer a.lock.Unlock()
	if a.asked == nil {
		a.asked = map[string]bool{}
	}
	a.asked[name] = true
}

// call is the body of arg.
func (a *arguments) call(_ *starlark.Thread, b *starlark.Builtin, args starlark.Tuple, kwargs []starlark.Tuple) (starlark.Value, error) {
	var name string
	var def starlark.Value
	if err := starlark.UnpackArgs(b.Name(), args, kwargs, "name", &name, "default", &def); err != nil {
		return nil, err
	}
	a.ask(name)
	bad := func(want string) error {
		return fmt.Errorf("arg: %s=%s, want %s", name, a.values[name], want)
	}
	given, ok := a.values[name]
	switch def.(type) {
	case starlark.Int:
		if !ok {
			return def, nil
		}
		n, err := strconv.ParseInt(given, 0, 64)
		if err != nil {
			return nil, bad("a whole number")
		}
		return starlark.MakeInt64(n), nil
	case starlark.Float:
		if !ok {
			return def, nil
		}
		x, err := strconv.ParseFloat(given, 64)
		if err != nil {
			return nil, bad("a number")
		}
		return starlark.Float(x), nil
	case starlark.Bool:
		if !ok {
			return def, nil
		}
		switch given {
		case "True", "true", "yes", "1":
			return starlark.True, nil
		case "False", "false", "no", "0":
			return starlark.False, nil
		}
		return nil, bad("True or False")
	case starlark.String:
		if !ok {
			return def, nil
		}
		return starlark.String(given), nil
	}
	return nil, fmt.Errorf("arg: for parameter default: got a %s, want a number, True or False, or a string", def.Type())
}
