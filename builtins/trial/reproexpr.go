package trial

import (
	"pulsewright/builtins"
	"pulsewright/builtins/say"

	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"unicode/utf8"

	starlarkmath "go.starlark.net/lib/math"
	"go.starlark.net/starlark"
	"go.starlark.net/starlarkstruct"
	"go.starlark.net/syntax"
)

// deepest is how deep values may lie in one another that a script writes down.
const deepest = 20

// modules are the words that are modules.
var modules = []*starlarkstruct.Module{builtins.JSON, starlarkmath.Module}

// Literal writes a value that needs no names as the language writes it.
func Literal(v starlark.Value) (string, error) {
	return (&scribe{taken: map[string]bool{}, env: &builtins.Env{}}).expr(v, 0)
}

// expr writes a value as an expression, of literals, words and the names of functions, which are defined first.
func (w *scribe) expr(v starlark.Value, depth int) (string, error) {
	if depth > deepest {
		return "", errCycle
	}
	switch v := v.(type) {
	case starlark.NoneType, starlark.Bool, starlark.Int:
		return v.String(), nil
	case starlark.Float:
		if f := float64(v); math.IsNaN(f) || math.IsInf(f, 0) {
			return fmt.Sprintf("float(%q)", v.String()), nil
		}
		return v.String(), nil
	case starlark.String:
		if !utf8.ValidString(string(v)) {
			return "", errors.New("it is a string with a cut-off character, which no script can write down")
		}
		return syntax.Quote(string(v), false), nil
	case starlark.Bytes:
		return syntax.Quote(string(v), true), nil
	case starlark.Tuple:
		s, err := w.elements(v, depth)
		if len(v) == 1 {
			s += ","
		}
		return "(" + s + ")", err
	case *starlark.List:
		s, err := w.elements(v, depth)
		return "[" + s + "]", err
	case *starlark.Set:
		s, err := w.elements(v, depth)
		return "set([" + s + "])", err
	case *starlark.Dict:
		return w.dict(v, depth)
	case *starlarkstruct.Struct:
		return w.structure(v, depth)
	case *starlarkstruct.Module:
		if slices.Contains(modules, v) {
			return v.Name, nil
		}
	case *builtins.Frame:
		return fmt.Sprintf("frame(at=(%d, %d, %d), x=%q, y=%q, mirror=%s, name=%s)", v.At.X, v.At.Y, v.At.Z, v.Axes[0], v.Axes[1], starlark.Bool(v.Mirror).String(), syntax.Quote(v.Name, false)), nil
	case *Design:
		return w.design(v, depth)
	case builtins.Worldly:
		return w.world(v)
	case *starlark.Builtin:
		return w.builtin(v, depth)
	case *starlark.Function, *builtins.OwnKind:
		word := v.(starlark.Callable).Name()
		name, err := w.name(word, v)
		if k := w.known(v); err == nil && !k.done {
			err = fmt.Errorf("%s needs itself to be made", word)
		}
		return name, err
	}
	if v.Type() == "range" {
		return v.String(), nil
	}
	return "", fmt.Errorf("it is %s, which no script can write down", say.Article(v.Type()))
}

func (w *scribe) elements(v starlark.Iterable, depth int) (string, error) {
	var list []string
	for x := range starlark.Elements(v) {
		s, err := w.expr(x, depth+1)
		if err != nil {
			return "", err
		}
		list = append(list, s)
	}
	return strings.Join(list, ", "), nil
}

func (w *scribe) dict(v *starlark.Dict, depth int) (string, error) {
	var list []string
	for k, x := range v.Entries() {
		key, err := w.expr(k, depth+1)
		if err != nil {
			return "", err
		}
		value, err := w.expr(x, depth+1)
		if err != nil {
			return "", err
		}
		list = append(list, key+": "+value)
	}
	return "{" + strings.Join(list, ", ") + "}", nil
}

func (w *scribe) structure(v *starlarkstruct.Struct, depth int) (string, error) {
	if v.Constructor() != starlarkstruct.Default {
		return "", errors.New("it is a struct of another kind, which no script can write down")
	}
	var plain, quoted []string
	named := true // all attributes can be written as names
	for _, a := range v.AttrNames() {
		x, err := v.Attr(a)
		if err != nil {
			return "", err
		}
		s, err := w.expr(x, depth+1)
		if err != nil {
			return "", err
		}
		key, err := Literal(starlark.String(a))
		if err != nil {
			return "", err
		}
		_, err = scriptDialect.ParseExpr("", a+"=0", 0)
		_, notName := scriptDialect.ParseExpr("", a, 0)
		named = named && err != nil && notName == nil && !strings.ContainsAny(a, "()[]{}.,:\"'+-*/%<>=!&|^~ \t\n#")
		plain, quoted = append(plain, a+"="+s), append(quoted, key+": "+s)
	}
	if !named {
		return "struct(**{" + strings.Join(quoted, ", ") + "})", nil
	}
	return "struct(" + strings.Join(plain, ", ") + ")", nil
}

func (w *scribe) design(d *Design, depth int) (string, error) {
	var list []string
	for i, name := range [...]string{"name", "build", "send", "read", "over", "author", "version", "note", "slice", "pitch", "world"} {
		v, _ := d.Attr(name)
		byName := ""
		if i > 4 {
			if v == starlark.None || v == starlark.String("") {
				continue
			}
			byName = name + "="
		}
		s, err := w.expr(v, depth+1)
		if err != nil {
			return "", err
		}
		list = append(list, byName+s)
	}
	return "design(" + strings.Join(list, ", ") + ")", nil
}

// builtin writes a word, or a method of something that can be written.
func (w *scribe) builtin(b *starlark.Builtin, depth int) (string, error) {
	if r := b.Receiver(); r != nil {
		s, err := w.expr(r, depth+1)
		return s + "." + b.Name(), err
	}
	if isWord(b.Name()) {
		return b.Name(), nil
	}
	for _, m := range modules {
		for member, x := range m.Members {
			if x == starlark.Value(b) {
				return m.Name + "." + member, nil
			}
		}
	}
	return "", fmt.Errorf("it is the word %s, which is not in every script", b.Name())
}
