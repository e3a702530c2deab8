// Package bundle puts a script and all that it loads together into one text that runs alone. What load statements mean it asks of the
// session. It may use say and source.
package bundle

import (
	"fmt"
	"slices"
	"strings"

	"go.starlark.net/resolve"
	"go.starlark.net/starlark"
	"go.starlark.net/syntax"

	"pulsewright/lang/source"
)

// A bundle is one script with all that a script loads: the text of each file stands where its first load statement would have run it, and
// what stays is to load from the library, which everybody has. The script's own names are never touched; those of loaded files are, where
// two files mean two things by one name (names.go). text.go puts the texts together.

// Loads is what load statements mean in a session. A key tells a file from all others.
type Loads interface {
	Resolve(from, name string) (key string, err error) // what a load statement of the file from asks for
	Text(key, name string) (string, error)             // of a file; name is how it was asked for
	Library(key string) bool                           // everybody has it
	Title(key string) string                           // what a load statement of a script would call it
	Show(key string) string                            // its path, for errors
	Cycle(keys []string, key string) error             // files that load one another
	IsWord(name string) bool                           // of the language
	Locate(err error) error                            // gives what the parser says its place
}

// Script is what is bundled.
type Script struct {
	Text, Title string
	Key         string // where it lies, for what it loads from there
	Seed        int64  // 0: none that is worth telling
	Given       string // its arguments
}

// Bundle is a script with all it loads.
type Bundle struct {
	Text     string
	Keys     []string // of the files in it, without the script itself
	Contents string   // which files those are
	Renamed  []string // names that had to change
	Tables   []string // that the files read: they are not in it
}

// bundled is a file that goes into a bundle, or one of the library, which does not.
type bundled struct {
	key   string // the loader's; "" is the script itself
	title string // what comments call it
	src   string
	tree  *syntax.File                  // nil: of the library
	loads map[*syntax.LoadStmt]*bundled // whom it loads
	binds map[string][]*syntax.LoadStmt // the script's names, with the load statements that bind them; nil among them: something else does
	names map[string]bool               // all that occur in it
	words map[*syntax.Ident]bool        // uses of words of the language
	vars  map[*syntax.Ident][]loadedAs  // of a loaded file: what its load statements bind, by where it is first bound
	begun bool                          // its text is being written, or has been
}

func (f *bundled) library() bool { return f.tree == nil }

// loadedAs is one name of a load statement; file is nil where something else binds the name.
type loadedAs struct {
	file *bundled
	name string
}

// bundler makes a bundle.
type bundler struct {
	from    Loads
	script  Script
	files   []*bundled // in the order in which they are run; the script itself is last
	byKey   map[string]*bundled
	under   []string // keys of those being read
	called  map[global]string
	spare   map[string]string // words of the language whose name the script takes for something else: what loaded files call them
	renamed []string          // told to the user
	taken   map[string]bool
	loaded  map[string]bool // names of the library that have been loaded
	tables  []string        // that the files read
	out     strings.Builder
}

// Make bundles a script.
func Make(from Loads, script Script) (*Bundle, error) {
	b := &bundler{from: from, script: script, byKey: map[string]*bundled{}, called: map[global]string{}, spare: map[string]string{}, taken: map[string]bool{}, loaded: map[string]bool{}}
	main, err := b.main()
	if err != nil {
		return nil, err
	}
	slices.Sort(b.tables)
	b.tables = slices.Compact(b.tables)
	b.nameAll(main)
	b.write(main)
	made := &Bundle{Text: b.header() + b.out.String(), Contents: b.listed(), Renamed: b.renamed, Tables: b.tables}
	for _, f := range b.files[:len(b.files)-1] {
		made.Keys = append(made.Keys, f.key)
	}
	return made, nil
}

// main reads the script itself and all that it loads.
func (b *bundler) main() (*bundled, error) {
	f := &bundled{title: b.script.Title, src: plainLines(b.script.Text)}
	var err error
	if f.tree, err = source.Dialect.Parse(f.title, f.src, 0); err != nil {
		return nil, b.from.Locate(err)
	}
	f.binds = bindings(f.tree)
	note := func(id *syntax.Ident) bool { return f.binds[id.Name] == nil }
	if err := b.follow(f, b.script.Key, note); err != nil {
		return nil, err
	}
	b.files = append(b.files, f)
	return f, nil
}

// read reads a file that is loaded, and all that it loads.
func (b *bundler) read(key, name string) (*bundled, error) {
	if f := b.byKey[key]; f != nil {
		return f, nil
	}
	if i := slices.Index(b.under, key); i >= 0 {
		return nil, b.from.Cycle(b.under[i:], key)
	}
	f := &bundled{key: key, title: b.from.Title(key)}
	if b.from.Library(key) {
		b.byKey[key] = f
		return f, nil
	}
	src, err := b.from.Text(key, name)
	if err != nil {
		return nil, fmt.Errorf("%s cannot be loaded: %w", name, err)
	}
	f.src = plainLines(src)
	if f.tree, err = source.ModuleDialect.Parse(b.from.Show(key), f.src, 0); err == nil {
		err = resolve.File(f.tree, b.from.IsWord, starlark.Universe.Has)
	}
	if err != nil {
		return nil, b.from.Locate(err)
	}
	b.under = append(b.under, key)
	err = b.follow(f, key, isWordUse)
	b.under = b.under[:len(b.under)-1]
	if err != nil {
		return nil, err
	}
	f.vars = loadVariables(f)
	b.byKey[key] = f
	b.files = append(b.files, f)
	return f, nil
}

// follow reads what a file loads, and notes which names it has and which tables it reads. isWord tells uses of words of the language.
func (b *bundler) follow(f *bundled, from string, isWord func(*syntax.Ident) bool) error {
	f.loads, f.names, f.words = map[*syntax.LoadStmt]*bundled{}, map[string]bool{}, map[*syntax.Ident]bool{}
	for _, stmt := range f.tree.Stmts {
		load, ok := stmt.(*syntax.LoadStmt)
		if !ok {
			continue
		}
		name := load.ModuleName()
		key, err := b.from.Resolve(from, name)
		if err != nil {
			return fmt.Errorf("%s: cannot load %s: %w", f.title, name, err)
		}
		if f.loads[load], err = b.read(key, name); err != nil {
			return err
		}
		for i, id := range load.From {
			if g := f.loads[load]; !g.library() && !g.gives(id.Name) {
				return fmt.Errorf("%s: name %s not found in %s", f.title, id.Name, name)
			}
			f.names[load.To[i].Name] = true
		}
	}
	direct := map[*syntax.Ident]bool{} // calls of read_table that say what they read
	syntax.Walk(f.tree, func(n syntax.Node) bool {
		switch n := n.(type) {
		case *syntax.LoadStmt:
			return false
		case *syntax.CallExpr:
			id, ok := n.Fn.(*syntax.Ident)
			switch {
			case !ok || !isWord(id):
			case id.Name == "read_table":
				if path, ok := literalPath(n.Args); ok {
					direct[id] = true
					b.tables = append(b.tables, path)
				}
			case id.Name == "differ":
				b.tables = append(b.tables, savedLogs(n.Args)...)
			}
		case *syntax.Ident:
			f.names[n.Name] = true
			if !isWord(n) {
				break
			}
			f.words[n] = true
			if n.Name == "read_table" && !direct[n] {
				b.tables = append(b.tables, tablesUnknown)
			}
		}
		return true
	})
	return nil
}

// tablesUnknown stands for tables whose paths are no plain strings.
const tablesUnknown = "tables whose paths are worked out"

// literalPath is the path in the arguments of read_table, if it is written out.
func literalPath(args []syntax.Expr) (string, bool) {
	for i, a := range args {
		if kv, ok := a.(*syntax.BinaryExpr); ok && kv.Op == syntax.EQ && kv.X.(*syntax.Ident).Name == "path" {
			a = kv.Y
		} else if i > 0 {
			continue
		}
		if lit, ok := a.(*syntax.Literal); ok && lit.Token == syntax.STRING {
			return lit.Value.(string), true
		}
	}
	return "", false
}

// savedLogs are the logs in the arguments of differ.
func savedLogs(args []syntax.Expr) (paths []string) {
	for _, a := range args {
		if kv, ok := a.(*syntax.BinaryExpr); ok && kv.Op == syntax.EQ {
			a = kv.Y
		}
		if lit, ok := a.(*syntax.Literal); ok && lit.Token == syntax.STRING && strings.HasSuffix(lit.Value.(string), ".json") {
			paths = append(paths, lit.Value.(string))
		}
	}
	return paths
}

// gives reports whether others can load a name from a file.
func (f *bundled) gives(name string) bool {
	module, ok := f.tree.Module.(*resolve.Module)
	return ok && slices.ContainsFunc(module.Globals, func(g *resolve.Binding) bool { return g.First.Name == name })
}

// plainLines is a text with its lines ended as this language ends them.
func plainLines(src string) string {
	src = strings.ReplaceAll(strings.ReplaceAll(src, "\r\n", "\n"), "\r", "\n")
	if src != "" && !strings.HasSuffix(src, "\n") {
		src += "\n"
	}
	return src
}
