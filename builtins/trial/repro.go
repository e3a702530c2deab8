package trial

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"pulsewright/builtins"
	"pulsewright/builtins/hold"
	"pulsewright/builtins/say"

	"go.starlark.net/resolve"
	"go.starlark.net/starlark"
	"go.starlark.net/syntax"
)

// A counterexample is a script that runs alone. The functions of a design are written down from the text they were read from, with
// what they need: what a name meant in a function is asked of the resolver and of the function itself, not of the
// text, and every value gets a name of its own in the script, which is then put where the function mentions it.

// Script is a text that defines build, send and read; or why there is none.
type Script struct {
	Text, Why string
	Slice     string // a text that defines slice; "" if the design has none, or it cannot be written down
}

// scriptWords are names that scripts round a preamble may use; nothing else in one has such a name.
var scriptWords = []string{"build", "send", "read", "slice", "rig", "got", "n", "numbers", "out", "wanted", "readings", "transmission", "failing", "holding"}

// Beside is a value that a script tells under a name, beside the functions of a design.
type Beside struct {
	Name  string
	Value starlark.Value
}

// Preamble writes down build, send and read of a design, and slice of a chain of slices, with all they need, and what is to stand beside them.
// Call it before the fence is up: it shows what the session's names stand for.
func Preamble(e *builtins.Env, d *Design, beside ...Beside) Script {
	s := writeDown(e, d, false, beside...)
	if d.Slice != nil && !d.Chained {
		chain := *d
		chain.Chained = true
		s.Slice = writeDown(e, &chain, false).Text
	}
	return s
}

// Pinned is the preamble with the library's functions written out, too: two designs with the same text do the same.
func Pinned(e *builtins.Env, d *Design) Script { return writeDown(e, d, true) }

// WrittenAs is a text that tells a value under a name, after all that it needs. With name "" expr is how it is written behind that text.
func WrittenAs(e *builtins.Env, name string, v starlark.Value) (text, expr string, err error) {
	w := &scribe{env: e, files: map[string]*syntax.File{}, taken: map[string]bool{name: true}}
	if expr, err = w.expr(v, 0); err != nil {
		return "", "", err
	}
	if text = w.all(); name != "" {
		text += name + " = " + expr + "\n"
	}
	return text, expr, nil
}

func writeDown(e *builtins.Env, d *Design, whole bool, beside ...Beside) Script {
	if e.Source == nil {
		return Script{Why: "the text of the functions is not known"}
	}
	w := &scribe{env: e, whole: whole, files: map[string]*syntax.File{}, taken: map[string]bool{}}
	for _, name := range scriptWords {
		w.taken[name] = true
	}
	for _, b := range beside {
		w.taken[b.Name] = true
	}
	type root struct {
		name string
		fn   starlark.Callable
	}
	roots := []root{{"build", d.Build}, {"send", d.Send}, {"read", d.Read}}
	if d.Chained {
		roots = []root{{"slice", d.Slice}}
	}
	roots = slices.DeleteFunc(roots, func(r root) bool { return r.fn == nil }) // somebody else writes it
	for _, r := range roots {
		if isFunction(r.fn) && w.known(r.fn) == nil {
			w.named = append(w.named, &naming{want: r.name, name: r.name, value: r.fn})
		}
	}
	for _, r := range roots {
		text, err := "", error(nil)
		if k := w.known(r.fn); k != nil && k.name == r.name {
			err = w.define(k)
		} else if text, err = w.expr(r.fn, 0); err == nil && text != r.name {
			fmt.Fprintf(&w.text, "%s = %s\n\n", r.name, text)
		}
		if err != nil {
			return Script{Why: err.Error()}
		}
	}
	for _, b := range beside {
		text, err := w.expr(b.Value, 0)
		if err != nil {
			return Script{Why: err.Error()}
		}
		fmt.Fprintf(&w.text, "%s = %s\n\n", b.Name, text)
	}
	return Script{Text: w.all()}
}

// all is what has been written, what is loaded first.
func (w *scribe) all() string {
	slices.Sort(w.loads)
	loads := strings.Join(w.loads, "")
	if loads != "" {
		loads += "\n"
	}
	return loads + w.text.String()
}

// Shows runs a script in a world like that of a fresh session and gives why it does not run to its end; "" if it does, or
// if nothing here can run it.
func Shows(e *builtins.Env, ctx context.Context, text string) string {
	if e.Try == nil {
		return ""
	}
	if err := e.Try(ctx, text); err != nil {
		return say.Clean(builtins.Message(err))
	}
	return ""
}

// scribe writes definitions, each after those it needs.
type scribe struct {
	env   *builtins.Env
	whole bool // the library is written out as well
	files map[string]*syntax.File
	named []*naming
	taken map[string]bool
	loads []string
	text  strings.Builder
}

// naming is a value that has a name in the script.
type naming struct {
	want  string // what it is called where it is used
	name  string // what the script calls it
	value starlark.Value
	text  string // of a plain value
	begun bool   // it is being written
	done  bool   // it has been
}

func isFunction(v starlark.Value) bool {
	_, ok := v.(*starlark.Function)
	return ok
}

// isOne reports whether a value has one name wherever it is used, and is told there: a function, or a kind of a script's own.
func isOne(v starlark.Value) bool {
	_, own := v.(*builtins.OwnKind)
	return own || isFunction(v)
}

// known finds a function or a kind that has a name.
func (w *scribe) known(v starlark.Value) *naming {
	if isOne(v) {
		for _, k := range w.named {
			if hold.Same(k.value, v) {
				return k
			}
		}
	}
	return nil
}

// name gives the name that a value has in the script, and sees to it that it is defined there, at the latest at the end.
func (w *scribe) name(want string, v starlark.Value) (string, error) {
	k := w.known(v)
	if k == nil {
		text := ""
		if !isOne(v) {
			var err error
			if text, err = w.expr(v, 0); err != nil {
				return "", fmt.Errorf("%s: %w", want, err)
			}
			if w.whole && text == "arg" {
				return "", errors.New("arg() is asked, whose answers may be others elsewhere; ask it outside of the functions, and use what it said")
			}
			if text == want {
				return want, nil // a word of the language
			}
			for _, o := range w.named {
				if o.want == want && o.text == text {
					return o.name, nil
				}
			}
		}
		k = &naming{want: want, name: w.unused(want), value: v, text: text}
		w.named = append(w.named, k)
	}
	return k.name, w.define(k)
}

// unused is a name that nothing has, like the one that is wanted.
func (w *scribe) unused(want string) string {
	if want == "lambda" {
		want = "function"
	}
	name := want
	for i := 2; w.taken[name] || isWord(name); i++ {
		name = fmt.Sprintf("%s_%d", want, i)
	}
	w.taken[name] = true
	return name
}

// isWord reports whether a name means something in every script.
func isWord(name string) bool {
	if _, ok := builtins.Lookup(name); ok {
		return !strings.Contains(name, ".")
	}
	return starlark.Universe.Has(name) || slices.Contains([]string{"struct", "json", "math", "arg"}, name)
}

func (w *scribe) define(k *naming) error {
	if k.begun {
		return nil
	}
	k.begun = true
	defer func() { k.done = true }()
	if fn, ok := k.value.(*starlark.Function); ok {
		return w.function(k, fn)
	}
	if t, ok := k.value.(*builtins.OwnKind); ok {
		var err error
		if k.text, err = w.kind(t); err != nil {
			return err
		}
	}
	fmt.Fprintf(&w.text, "%s = %s\n\n", k.name, k.text)
	return nil
}

// function writes a function from its text, after what it mentions.
func (w *scribe) function(k *naming, fn *starlark.Function) error {
	file := fn.Position().Filename()
	if !w.whole && w.env.Library != nil && w.env.Library(file) && fn.Globals()[fn.Name()] == starlark.Value(fn) && !strings.HasPrefix(fn.Name(), "_") {
		line := fmt.Sprintf("load(%q, %q)\n", file, fn.Name())
		if k.name != fn.Name() {
			line = fmt.Sprintf("load(%q, %s = %q)\n", file, k.name, fn.Name())
		}
		w.loads = append(w.loads, line)
		return nil
	}
	t, err := w.find(fn)
	if err != nil {
		return err
	}
	if err := w.defaults(t, fn); err != nil {
		return err
	}
	meant := meanings(fn)
	names := map[string]string{} // what a name of the function is called in the script
	var failed error
	t.outer(func(id *syntax.Ident) {
		name, ok := names[id.Name]
		if !ok && failed == nil {
			v := meant(id.Name)
			if v == nil {
				failed = fmt.Errorf("%s mentions %s, which stands for nothing yet", fn.Name(), id.Name)
				return
			}
			name, failed = w.name(id.Name, v)
			if name != id.Name && t.own[name] && failed == nil {
				failed = fmt.Errorf("%s has a name of its own like that of something it needs: %s", fn.Name(), name)
			}
			names[id.Name] = name
		}
		t.put(id, name)
	})
	if failed != nil {
		return failed
	}
	if def, ok := t.node.(*syntax.DefStmt); ok {
		t.put(def.Name, k.name)
		fmt.Fprintf(&w.text, "%s\n\n", t.String())
		return nil
	}
	fmt.Fprintf(&w.text, "%s = (%s)\n\n", k.name, t.String())
	return nil
}

// defaults puts the values of the parameters' defaults in the place of what was computed when the function was made.
func (w *scribe) defaults(t *functionText, fn *starlark.Function) error {
	for i := range fn.NumParams() {
		v := fn.ParamDefault(i)
		if v == nil {
			continue
		}
		name, _ := fn.Param(i)
		text, err := w.expr(v, 0)
		if err != nil {
			return fmt.Errorf("the default of %s in %s: %w", name, fn.Name(), err)
		}
		for _, p := range t.params {
			if b, ok := p.(*syntax.BinaryExpr); ok && b.X.(*syntax.Ident).Name == name {
				t.put(b.Y, text)
			}
		}
	}
	return nil
}

// meanings tells what the names that a function does not bind itself stand for.
func meanings(fn *starlark.Function) func(name string) starlark.Value {
	free := map[string]starlark.Value{}
	for i := range fn.NumFreeVars() {
		if b, v := fn.FreeVar(i); v != nil {
			free[b.Name] = v
		}
	}
	return func(name string) starlark.Value {
		for _, m := range []starlark.StringDict{free, fn.Globals(), fn.Module().Predeclared(), starlark.Universe} {
			if v, ok := m[name]; ok {
				return v
			}
		}
		return nil
	}
}

// find finds the text of a function.
func (w *scribe) find(fn *starlark.Function) (*functionText, error) {
	file := fn.Position().Filename()
	if w.env.Source == nil {
		return nil, fmt.Errorf("the text of %s is not known", file)
	}
	src, ok := w.env.Source(file)
	if !ok {
		return nil, fmt.Errorf("the text of %s is not known", file)
	}
	src = strings.ReplaceAll(strings.ReplaceAll(src, "\r\n", "\n"), "\r", "\n")
	tree := w.files[file]
	if tree == nil {
		var err error
		if tree, err = scriptDialect.Parse(file, src, 0); err == nil {
			w.files[file] = tree
		} else if tree, err = scriptDialect.Parse(file, paragraph(src, int(fn.Position().Line)), 0); err != nil {
			return nil, fmt.Errorf("%s can no longer be read: %v", file, err)
		}
		// What is wrong elsewhere in a conversation does not matter: what the function mentions is known by now.
		anything := func(string) bool { return true }
		_ = resolve.File(tree, anything, anything)
	}
	t := newFunctionText(tree, src, fn.Position())
	if t == nil {
		return nil, fmt.Errorf("%s is no longer found in %s", fn.Name(), file)
	}
	return t, nil
}

var errCycle = errors.New("it holds itself, or lies too deep, and no script can write that down")
