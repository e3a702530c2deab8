package builtins

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"go.starlark.net/starlark"
	"go.starlark.net/starlarkstruct"
	"go.starlark.net/syntax"
)

// script is a text that defines build, send and read; or why there is none.
type script struct{ text, why string }

// dialect of the scripts whose text is read here: that of the sessions.
var reproDialect = &syntax.FileOptions{Set: true, While: true, TopLevelControl: true, GlobalReassign: true, Recursion: true, LoadBindsGlobally: true}

// preamble writes down the functions of a design with all they need, from the text they were read from.
func (e *Env) preamble(m *machine) script {
	w := &scribe{source: e.Source, files: map[string]*syntax.File{}, names: map[string]starlark.Value{}}
	for _, f := range []struct {
		name string
		fn   starlark.Callable
	}{{"build", m.build}, {"send", m.send}, {"read", m.read}} {
		if err := w.need(f.name, f.fn); err != nil {
			return script{why: err.Error()}
		}
	}
	slices.Sort(w.loads)
	loads := strings.Join(w.loads, "")
	if loads != "" {
		loads += "\n"
	}
	return script{text: loads + w.text.String()}
}

// scribe writes definitions, each after those it needs.
type scribe struct {
	source func(file string) (string, bool)
	files  map[string]*syntax.File
	names  map[string]starlark.Value // written, or being written
	loads  []string
	text   strings.Builder
}

// need makes a name stand for a value in the script.
func (w *scribe) need(name string, v starlark.Value) error {
	if old, ok := w.names[name]; ok {
		if sameValue(old, v) {
			return nil
		}
		if same, err := starlark.Equal(old, v); err == nil && same {
			return nil
		}
		return fmt.Errorf("two different things are called %s", name)
	}
	w.names[name] = v
	switch v := v.(type) {
	case *starlark.Builtin:
		if v.Receiver() != nil {
			return fmt.Errorf("%s is a method of a value", name)
		}
		if v.Name() != name {
			fmt.Fprintf(&w.text, "%s = %s\n", name, v.Name())
		}
		return nil
	case *starlark.Function:
		return w.function(name, v)
	}
	if !isPlain(v, 0) {
		return fmt.Errorf("%s is %s, which no script can write down", name, article(v.Type()))
	}
	fmt.Fprintf(&w.text, "%s = %s\n", name, v.String())
	return nil
}

// isPlain reports whether a value can be written as the language writes it.
func isPlain(v starlark.Value, depth int) bool {
	if depth > 20 {
		return false
	}
	switch v := v.(type) {
	case starlark.NoneType, starlark.Bool, starlark.Int, starlark.Float, starlark.String:
		return true
	case *starlark.Dict:
		for k, x := range v.Entries() {
			if !isPlain(k, depth+1) || !isPlain(x, depth+1) {
				return false
			}
		}
		return true
	case *starlarkstruct.Struct:
		if v.Constructor() != starlarkstruct.Default {
			return false
		}
		for _, a := range v.AttrNames() {
			if x, err := v.Attr(a); err != nil || !isPlain(x, depth+1) {
				return false
			}
		}
		return true
	case starlark.Tuple, *starlark.List, *starlark.Set:
		for x := range starlark.Elements(v.(starlark.Iterable)) {
			if !isPlain(x, depth+1) {
				return false
			}
		}
		return true
	}
	return v.Type() == "range"
}

// function writes a function from its text, after what it mentions.
func (w *scribe) function(name string, fn *starlark.Function) error {
	file := fn.Position().Filename()
	globals := fn.Globals()
	if strings.HasPrefix(file, "lib/") && globals[fn.Name()] == starlark.Value(fn) && !strings.HasPrefix(fn.Name(), "_") {
		line := fmt.Sprintf("load(%q, %q)\n", file, fn.Name())
		if name != fn.Name() {
			line = fmt.Sprintf("load(%q, %s = %q)\n", file, name, fn.Name())
		}
		w.loads = append(w.loads, line)
		return nil
	}
	node, text, err := w.find(fn)
	if err != nil {
		return err
	}
	free := map[string]starlark.Value{}
	for i := range fn.NumFreeVars() {
		if b, v := fn.FreeVar(i); v != nil {
			free[b.Name] = v
		}
	}
	predeclared := fn.Module().Predeclared()
	var mentioned []string
	syntax.Walk(node, func(n syntax.Node) bool {
		if id, ok := n.(*syntax.Ident); ok && !slices.Contains(mentioned, id.Name) {
			mentioned = append(mentioned, id.Name)
		}
		return true
	})
	def, isDef := node.(*syntax.DefStmt)
	for _, id := range mentioned {
		if isDef && id == def.Name.Name {
			continue
		}
		v, ok := free[id]
		if !ok {
			v, ok = globals[id]
		}
		if !ok {
			if v, ok = predeclared[id]; ok {
				if b, isWord := v.(*starlark.Builtin); isWord && b.Receiver() == nil && b.Name() == id {
					continue
				}
				if _, isModule := v.(*starlarkstruct.Module); isModule {
					continue
				}
			}
		}
		if u, universal := starlark.Universe[id]; !ok || universal && sameValue(u, v) {
			continue // its own, or the language's
		}
		if err := w.need(id, v); err != nil {
			return err
		}
	}
	if !isDef {
		fmt.Fprintf(&w.text, "%s = %s\n", name, text)
		return nil
	}
	own := def.Name.Name
	if old, ok := w.names[own]; ok && !sameValue(old, fn) {
		return fmt.Errorf("two different things are called %s", own)
	}
	fmt.Fprintf(&w.text, "%s\n\n", text)
	if own != name {
		w.names[own] = fn
		fmt.Fprintf(&w.text, "%s = %s\n\n", name, own)
	}
	return nil
}

// find finds the text of a function.
func (w *scribe) find(fn *starlark.Function) (syntax.Node, string, error) {
	file := fn.Position().Filename()
	if w.source == nil {
		return nil, "", errors.New("the text of the functions is not known")
	}
	src, ok := w.source(file)
	if !ok {
		return nil, "", fmt.Errorf("the text of %s is not known", file)
	}
	tree := w.files[file]
	if tree == nil {
		var err error
		if tree, err = reproDialect.Parse(file, src, 0); err == nil {
			w.files[file] = tree
		} else if tree, err = reproDialect.Parse(file, paragraph(src, int(fn.Position().Line)), 0); err != nil {
			return nil, "", fmt.Errorf("%s can no longer be read: %v", file, err)
		}
	}
	var found syntax.Node
	syntax.Walk(tree, func(n syntax.Node) bool {
		switch n := n.(type) {
		case *syntax.DefStmt:
			if samePlace(n.Def, fn.Position()) || samePlace(n.Name.NamePos, fn.Position()) {
				found = n
			}
		case *syntax.LambdaExpr:
			if samePlace(n.Lambda, fn.Position()) {
				found = n
			}
		}
		return found == nil
	})
	if found == nil {
		return nil, "", fmt.Errorf("%s is no longer found in %s", fn.Name(), file)
	}
	from, to := found.Span()
	lines := strings.Split(src, "\n")
	lines = slices.Clone(lines[from.Line-1 : to.Line])
	last := len(lines) - 1
	lines[last] = string([]rune(lines[last])[:to.Col-1])
	indent := int(from.Col) - 1
	lines[0] = string([]rune(lines[0])[indent:])
	if _, ok := found.(*syntax.DefStmt); ok {
		for i := 1; i < len(lines); i++ { // a function inside another moves to the margin
			if len(lines[i]) >= indent && strings.TrimSpace(lines[i][:indent]) == "" {
				lines[i] = lines[i][indent:]
			}
		}
	}
	return found, strings.Join(lines, "\n"), nil
}

// paragraph is the statement that begins in a line of a text: of a conversation, in which not every line could be read.
func paragraph(src string, line int) syntax.FilePortion {
	lines := strings.Split(src, "\n")
	if line < 1 || line > len(lines) {
		return syntax.FilePortion{}
	}
	end := line
	for end < len(lines) && (strings.TrimSpace(lines[end]) == "" || lines[end][0] == ' ' || lines[end][0] == '\t' || lines[end][0] == ')') {
		end++
	}
	return syntax.FilePortion{Content: []byte(strings.Join(lines[line-1:end], "\n")), FirstLine: int32(line), FirstCol: 1}
}

func samePlace(a, b syntax.Position) bool { return a.Line == b.Line && a.Col == b.Col }
