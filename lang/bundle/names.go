package bundle

import (
	"fmt"
	"maps"
	"path"
	"slices"
	"strings"

	"go.starlark.net/resolve"
	"go.starlark.net/syntax"

	"pulsewright/lang/source"
)

// In a bundle all files share one top level. The script keeps every name it has. A name of a loaded file stays what it is, unless the
// script, a file before it or the language calls something else so: then the file is added to it. What a name stands for is asked of the
// resolver: strings, comments, attributes and names of arguments are never touched.

// global is a name at the top level of a file that is loaded.
type global struct {
	file  *bundled
	name  string
	local bool // a load statement bound it there, and something else as well
}

// isWordUse tells the uses of words of the language in a file that has been resolved.
func isWordUse(id *syntax.Ident) bool {
	b, ok := id.Binding.(*resolve.Binding)
	return ok && (b.Scope == resolve.Predeclared || b.Scope == resolve.Universal)
}

// bindings are the names that a script binds at its top level, with the load statements that do; nil stands for anything else.
func bindings(f *syntax.File) map[string][]*syntax.LoadStmt {
	by := map[string][]*syntax.LoadStmt{}
	for _, stmt := range f.Stmts {
		load, _ := stmt.(*syntax.LoadStmt)
		names := map[string]bool{}
		source.Bound([]syntax.Stmt{stmt}, names)
		for name := range names {
			by[name] = append(by[name], load)
		}
	}
	return by
}

// loadVariables are the variables of a loaded file that its load statements bind, with all that binds them.
func loadVariables(f *bundled) map[*syntax.Ident][]loadedAs {
	vars := map[*syntax.Ident][]loadedAs{}
	for _, stmt := range f.tree.Stmts {
		if load, ok := stmt.(*syntax.LoadStmt); ok {
			for i, id := range load.To {
				first := id.Binding.(*resolve.Binding).First
				vars[first] = append(vars[first], loadedAs{f.loads[load], load.From[i].Name})
			}
		}
	}
	for _, stmt := range f.tree.Stmts {
		if _, ok := stmt.(*syntax.LoadStmt); ok {
			continue
		}
		source.Targets([]syntax.Stmt{stmt}, func(id *syntax.Ident) {
			if b, ok := id.Binding.(*resolve.Binding); ok && vars[b.First] != nil {
				vars[b.First] = append(vars[b.First], loadedAs{})
			}
		})
	}
	return vars
}

// only is what a variable stands for, if all that binds it is the same name of the same file.
func only(by []loadedAs) (loadedAs, bool) {
	for _, a := range by {
		if a != by[0] {
			return loadedAs{}, false
		}
	}
	if len(by) == 0 || by[0].file == nil {
		return loadedAs{}, false
	}
	return by[0], true
}

// nameAll settles what every name of the loaded files is called in the bundle.
func (b *bundler) nameAll(main *bundled) {
	for _, f := range b.files {
		if f == main {
			continue
		}
		for _, stmt := range f.tree.Stmts { // the library's names that it loads, in their order
			if load, ok := stmt.(*syntax.LoadStmt); ok && f.loads[load].library() {
				for _, from := range load.From {
					b.name(main, global{file: f.loads[load], name: from.Name})
				}
			}
		}
		for _, g := range f.tree.Module.(*resolve.Module).Globals {
			b.name(main, global{file: f, name: g.First.Name})
		}
		var doubtful []string
		for v, by := range f.vars {
			if _, ok := only(by); !ok {
				doubtful = append(doubtful, v.Name)
			}
		}
		slices.Sort(doubtful)
		for _, name := range doubtful {
			b.name(main, global{file: f, name: name, local: true})
		}
		for id := range f.words {
			if main.binds[id.Name] != nil && b.spare[id.Name] == "" {
				b.spare[id.Name] = "?"
			}
		}
	}
	if len(b.files) > 1 && main.binds["frozen"] != nil {
		b.spare["frozen"] = "?" // text.go says it at the end of a file
	}
	for _, w := range slices.Sorted(maps.Keys(b.spare)) {
		b.spare[w] = b.fresh(w, "word")
	}
}

// name settles what a name is called.
func (b *bundler) name(main *bundled, g global) {
	if b.called[g] != "" {
		return
	}
	name := g.name
	if !b.keeps(main, g) {
		name = b.fresh(name, stem(g.file.key))
		if !g.file.library() {
			b.renamed = append(b.renamed, fmt.Sprintf("%s of %s is %s", g.name, g.file.title, name))
		}
	}
	b.taken[name] = true
	b.called[g] = name
}

// keeps reports whether a name can stay what it is: nothing else in the bundle is called so, and wherever another file calls it otherwise, it
// can be called so there.
func (b *bundler) keeps(main *bundled, g global) bool {
	if b.isReserved(g.name) || b.taken[g.name] {
		return false
	}
	for _, load := range main.binds[g.name] {
		if load == nil || main.loads[load] != g.file || loadedFrom(load, g.name) != g.name {
			return false
		}
	}
	for _, f := range b.files {
		for v, by := range f.vars {
			if a, ok := only(by); ok && a.file == g.file && a.name == g.name && v.Name != g.name && f.names[g.name] {
				return false
			}
		}
	}
	return true
}

// loadedFrom is what a load statement binds a name to.
func loadedFrom(load *syntax.LoadStmt, to string) string {
	for i, id := range load.To {
		if id.Name == to {
			return load.From[i].Name
		}
	}
	return ""
}

func (b *bundler) isReserved(name string) bool { return name == "_" || b.from.IsWord(name) }

// fresh is a name that occurs nowhere.
func (b *bundler) fresh(name, more string) string {
	used := func(name string) bool {
		return b.isReserved(name) || b.taken[name] || slices.ContainsFunc(b.files, func(f *bundled) bool { return f.names[name] })
	}
	long := name + "_" + more
	for i := 2; used(long); i++ {
		long = fmt.Sprintf("%s_%s_%d", name, more, i)
	}
	b.taken[long] = true
	return long
}

// stem is the name of a file as part of a name.
func stem(key string) string {
	name := strings.TrimSuffix(path.Base(key), ".star")
	return strings.Map(func(r rune) rune {
		if r == '_' || '0' <= r && r <= '9' || 'a' <= r && r <= 'z' || 'A' <= r && r <= 'Z' {
			return r
		}
		return '_'
	}, name)
}

// inBundle is what a name in a loaded file is called in the bundle; ok is false where it is not at the top level of any.
func (b *bundler) inBundle(f *bundled, id *syntax.Ident) (name string, ok bool) {
	v, isBound := id.Binding.(*resolve.Binding)
	if !isBound {
		return "", false // a name behind a dot, or of an argument
	}
	switch v.Scope {
	case resolve.Global:
		return b.called[global{file: f, name: id.Name}], true
	case resolve.Predeclared, resolve.Universal:
		name, ok = b.spare[id.Name]
		return name, ok
	}
	by := f.vars[v.First] // a function knows a name of its file by a binding of its own, first bound in the same place
	if a, ok := only(by); ok {
		return b.called[global{file: a.file, name: a.name}], true
	}
	return b.called[global{file: f, name: id.Name, local: true}], by != nil
}
