package lang

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"go.starlark.net/resolve"
	"go.starlark.net/starlark"
	"go.starlark.net/syntax"

	"pulsewright/builtins"
)

// A bundle is one script with all that a script loads: the text of each file stands where its first load statement would have run it, and
// what stays is to load from the library, which everybody has. The script's own names are never touched; those of loaded files are, where
// two files mean two things by one name (bundlenames.go). bundletext.go puts the texts together.

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
	s       *Session
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

// bundle writes the running script, or the conversation, with all it loads.
func (s *Session) bundle(to string, over builtins.Over) (string, error) {
	switch {
	case s.chunk != nil && s.chunk.sole != "bundle":
		return "", errors.New("stands alone: bundle(path) is a command of its own")
	case len(s.loader.loading) > 0:
		return "", errors.New("a file that is being loaded cannot do this; do it in the script itself")
	case filepath.Ext(to) != ".star":
		return "", fmt.Errorf("%s: a script's name ends in .star", to)
	}
	if err := s.env.MayWrite(to, over); err != nil {
		return "", err
	}
	b := &bundler{s: s, byKey: map[string]*bundled{}, called: map[global]string{}, spare: map[string]string{}, taken: map[string]bool{}, loaded: map[string]bool{}}
	text, title, loose := s.wholeScript()
	main, err := b.script(text, title)
	if err != nil {
		return "", err
	}
	if err := b.overSource(to); err != nil {
		return "", err
	}
	b.nameAll(main)
	b.write(main)
	body := b.header() + b.out.String()
	if err := s.runsAlone(to, body); err != nil {
		return "", err
	}
	bytes, err := s.env.WriteFile(to, over, func(w io.Writer) error {
		_, err := io.WriteString(w, body)
		return err
	})
	if err != nil {
		return "", err
	}
	return b.report(to, bytes, loose), nil
}

// wholeScript is the text of the running script, or of the conversation, what it is called, and how many of its pieces cannot be repeated.
func (s *Session) wholeScript() (text, title string, loose int) {
	switch {
	case s.chunk != nil:
		text, loose = s.saved()
		return text, "the conversation", loose
	case s.origin.file != "":
		return s.doing, filepath.ToSlash(filepath.Base(s.origin.file)), 0
	case len(s.script) > 0:
		text, loose = s.savedWith(s.doing)
		return text, "the script", loose
	}
	return s.doing, "the script", 0
}

// script reads the script itself and all that it loads.
func (b *bundler) script(text, title string) (*bundled, error) {
	f := &bundled{title: title, src: plainLines(text)}
	var err error
	if f.tree, err = dialect.Parse(title, f.src, 0); err != nil {
		return nil, b.s.locate(err)
	}
	f.binds = bindings(f.tree)
	note := func(id *syntax.Ident) bool { return f.binds[id.Name] == nil }
	if err := b.follow(f, b.s.loader.from(), note); err != nil {
		return nil, err
	}
	if dir := filepath.Dir(b.s.origin.file); b.s.chunk != nil && (b.s.origin.embedded || dir != ".") {
		for _, g := range f.loads {
			if isBeside(g.key) {
				return nil, errors.New("a script of another folder was run before this conversation, and what is loaded may lie beside that; do it in the script itself")
			}
		}
	}
	b.files = append(b.files, f)
	return f, nil
}

// read reads a file that is loaded, and all that it loads.
func (b *bundler) read(key, name string) (*bundled, error) {
	if f := b.byKey[key]; f != nil {
		return f, nil
	}
	l := b.s.loader
	if i := slices.Index(b.under, key); i >= 0 {
		return nil, fmt.Errorf("load cycle: %s loads itself by way of %s", l.show(key), l.chain(b.under[i:], key))
	}
	f := &bundled{key: key, title: b.title(key)}
	if isEmbedded(key) && strings.HasPrefix(key, libPrefix) {
		b.byKey[key] = f
		return f, nil
	}
	if m := l.modules[key]; m != nil {
		f.src = m.text // as it ran
	} else {
		var err error
		if f.src, err = l.read(key); err != nil {
			return nil, fmt.Errorf("%s cannot be loaded: %w", name, l.missing(key, name, err))
		}
	}
	f.src = plainLines(f.src)
	var err error
	if f.tree, err = moduleDialect.Parse(l.show(key), f.src, 0); err == nil {
		err = resolve.File(f.tree, b.s.names.base.Has, starlark.Universe.Has)
	}
	if err != nil {
		return nil, b.s.locate(err)
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

// title is what a load statement of a script would call a file.
func (b *bundler) title(key string) string {
	if isOwn(key) {
		_, at := b.s.ownKey(key)
		return ownPrefix + at
	}
	return key
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
		key, err := b.s.loader.resolve(from, name)
		if err != nil {
			return fmt.Errorf("%s: cannot load %s: %w", f.title, name, b.s.loader.suggestOwn(name, err))
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

// overSource refuses to write over a file that is bundled.
func (b *bundler) overSource(to string) error {
	now, err := b.s.root.Stat(to)
	if err != nil {
		return nil // there is none
	}
	l := b.s.loader
	for _, f := range b.files {
		var was fs.FileInfo
		switch key := f.key; {
		case key == "" && b.s.origin.file != "" && b.s.chunk == nil:
			was, err = l.folder().Stat(filepath.Base(b.s.origin.file))
		case key == "" || isEmbedded(key):
			continue
		case isOwn(key):
			own, at := b.s.ownKey(key)
			was, err = own.root.Stat(filepath.FromSlash(at))
		default:
			was, err = l.folder().Stat(filepath.FromSlash(strings.TrimPrefix(key, "./")))
		}
		if err == nil && os.SameFile(was, now) {
			return fmt.Errorf("%s is one of the files that are bundled; take another name", path.Clean(filepath.ToSlash(to)))
		}
	}
	return nil
}

// runsAlone looks whether a bundle can be read, and knows all its names.
func (s *Session) runsAlone(name, body string) error {
	f, err := dialect.Parse(name, body, 0)
	if err == nil {
		err = resolve.File(f, s.names.base.Has, starlark.Universe.Has)
	}
	if err != nil {
		return fmt.Errorf("it cannot be bundled: together the files would not be read as they are: %w", err)
	}
	return nil
}

// plainLines is a text with its lines ended as this language ends them.
func plainLines(src string) string {
	src = strings.ReplaceAll(strings.ReplaceAll(src, "\r\n", "\n"), "\r", "\n")
	if src != "" && !strings.HasSuffix(src, "\n") {
		src += "\n"
	}
	return src
}
