package bundle

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"

	"go.starlark.net/resolve"
	"go.starlark.net/syntax"

	"pulsewright/builtins/say"
	"pulsewright/lang/source"
)

// edit is a piece of a file's text that is replaced, or before which another file is to be put.
type edit struct {
	from, to int
	text     string
	before   *bundled
}

// write puts a file into the bundle, after what it loads first.
func (b *bundler) write(f *bundled) {
	f.begun = true
	places := source.NewPlaces(f.src, 1)
	var edits []edit
	top := true // nothing has been done yet but loading
	for i, stmt := range f.tree.Stmts {
		load, ok := stmt.(*syntax.LoadStmt)
		switch {
		case ok:
			g := f.loads[load]
			e := wholeStatement(f.src, places, load.Load, after(load.Rparen), b.instead(f, load))
			if !g.library() && top && !g.begun {
				b.write(g)
			} else if !g.library() {
				e.before = g
			}
			edits = append(edits, e)
		case f.key != "" && i == 0 && isDocstring(stmt):
			lit := stmt.(*syntax.ExprStmt).X.(*syntax.Literal)
			from, to := lit.Span()
			edits = append(edits, wholeStatement(f.src, places, from, to, comment(lit.Value.(string))))
		case f.key == "" && b.isBundleCall(f, stmt):
			from, to := stmt.Span()
			edits = append(edits, wholeStatement(f.src, places, from, to, ""))
		case !(i == 0 && isDocstring(stmt)):
			top = false
		}
	}
	if f.key != "" {
		edits = append(edits, b.renames(f, places)...)
	}
	slices.SortStableFunc(edits, func(a, b edit) int { return cmp.Compare(a.from, b.from) })
	if f.key != "" || b.out.Len() > 0 {
		fmt.Fprintf(&b.out, "\n# From %s:\n", f.title)
	}
	b.edited(f, edits)
}

// edited writes a file's text with its edits.
func (b *bundler) edited(f *bundled, edits []edit) {
	at := 0
	for _, e := range edits {
		b.out.WriteString(f.src[at:e.from])
		if at = e.to; e.before != nil && !e.before.begun {
			if e.from > 0 && f.src[e.from-1] != '\n' {
				b.out.WriteString("\n")
			}
			b.write(e.before)
			fmt.Fprintf(&b.out, "\n# Again from %s:\n", f.title)
		}
		b.out.WriteString(e.text)
	}
	b.out.WriteString(f.src[at:])
	if names := b.freezes(f); len(names) > 0 {
		word := cmp.Or(b.spare["frozen"], "frozen")
		fmt.Fprintf(&b.out, "%s(%s)  # as what a loaded file holds\n", word, strings.Join(names, ", "))
	}
}

// freezes are the names of a loaded file that may hold what changes: a file that is loaded is frozen when it has run.
func (b *bundler) freezes(f *bundled) (names []string) {
	if f.key == "" {
		return nil
	}
	sure := map[string]bool{} // bound whatever happens
	for _, stmt := range f.tree.Stmts {
		switch s := stmt.(type) {
		case *syntax.DefStmt:
			sure[s.Name.Name] = slices.ContainsFunc(s.Params, func(p syntax.Expr) bool { _, ok := p.(*syntax.BinaryExpr); return ok })
		case *syntax.AssignStmt:
			source.Targets([]syntax.Stmt{stmt}, func(id *syntax.Ident) { sure[id.Name] = !isPlain(s.RHS) })
		}
	}
	for _, g := range f.tree.Module.(*resolve.Module).Globals {
		if sure[g.First.Name] {
			names = append(names, b.called[global{file: f, name: g.First.Name}])
		}
	}
	return names
}

// isPlain tells the expressions that are numbers or strings.
func isPlain(e syntax.Expr) bool {
	_, ok := e.(*syntax.Literal)
	return ok
}

// instead is what stands in the place of a load statement: what the library gives is loaded, a name that is called otherwise is set.
func (b *bundler) instead(f *bundled, load *syntax.LoadStmt) string {
	g := f.loads[load]
	if f.key == "" && g.library() {
		return libraryLine(g.key, load.From, load.To)
	}
	var lines strings.Builder
	var from, to []*syntax.Ident
	for i, id := range load.From {
		name := b.called[global{file: g, name: id.Name}]
		if key := g.key + " " + name; g.library() && !b.loaded[key] {
			b.loaded[key] = true
			from, to = append(from, id), append(to, &syntax.Ident{Name: name})
		}
		if want := load.To[i].Name; f.key == "" && want != name {
			fmt.Fprintf(&lines, "%s = %s\n", want, name)
		} else if f.key != "" {
			if v, ok := b.called[global{file: f, name: want, local: true}]; ok {
				fmt.Fprintf(&lines, "%s = %s\n", v, name)
			}
		}
	}
	if len(from) > 0 {
		return libraryLine(g.key, from, to) + lines.String()
	}
	return lines.String()
}

// libraryLine is a load statement.
func libraryLine(key string, from, to []*syntax.Ident) string {
	line := "load(" + syntax.Quote(key, false)
	for i := range from {
		line += ", "
		if to[i].Name != from[i].Name {
			line += to[i].Name + " = "
		}
		line += syntax.Quote(from[i].Name, false)
	}
	return line + ")\n"
}

// renames are the names of a loaded file that are called otherwise in the bundle.
func (b *bundler) renames(f *bundled, places *source.Places) (edits []edit) {
	syntax.Walk(f.tree, func(n syntax.Node) bool {
		switch n := n.(type) {
		case *syntax.LoadStmt:
			return false
		case *syntax.Ident:
			if name, ok := b.inBundle(f, n); ok && name != n.Name {
				from := places.Offset(n.NamePos)
				edits = append(edits, edit{from: from, to: from + len(n.Name), text: name})
			}
		}
		return true
	})
	return edits
}

// wholeStatement replaces a statement with lines, or with nothing. What else is on its line stays, on lines of its own.
func wholeStatement(src string, places *source.Places, from, to syntax.Position, lines string) edit {
	e := edit{from: places.Offset(from), to: places.Offset(to), text: lines}
	begins := e.from == 0 || src[e.from-1] == '\n'
	if !begins {
		e.text = "\n" + lines
	}
	skip := func(set string) {
		for e.to < len(src) && strings.IndexByte(set, src[e.to]) >= 0 {
			e.to++
		}
	}
	skip(" \t")
	if e.to < len(src) && src[e.to] == ';' {
		e.to++
		skip(" \t")
	}
	if e.to < len(src) && src[e.to] == '\n' {
		e.to++
	}
	return e
}

func after(p syntax.Position) syntax.Position {
	p.Col++
	return p
}

func isDocstring(stmt syntax.Stmt) bool {
	e, ok := stmt.(*syntax.ExprStmt)
	if !ok {
		return false
	}
	lit, ok := e.X.(*syntax.Literal)
	return ok && lit.Token == syntax.STRING
}

// isBundleCall tells the calls that a bundle is made by: it makes no other.
func (b *bundler) isBundleCall(f *bundled, stmt syntax.Stmt) bool {
	e, ok := stmt.(*syntax.ExprStmt)
	if !ok {
		return false
	}
	call, ok := e.X.(*syntax.CallExpr)
	if !ok {
		return false
	}
	id, ok := call.Fn.(*syntax.Ident)
	return ok && id.Name == "bundle" && f.words[id]
}

// comment is a text as comments.
func comment(text string) string {
	var b strings.Builder
	for line := range strings.SplitSeq(strings.TrimSpace(text), "\n") {
		b.WriteString(strings.TrimRight("# "+strings.TrimSpace(line), " ") + "\n")
	}
	return b.String()
}

// header is what a bundle says of itself.
func (b *bundler) header() string {
	var h strings.Builder
	put := func(format string, args ...any) {
		h.WriteString(say.Fill(fmt.Sprintf(format, args...), "# ", "# ", 100) + "\n")
	}
	put("A bundle: %s, which runs alone.", b.listed())
	if b.usesLibrary() {
		put("What it loads from lib/ is the library, which is part of pulsewright.")
	}
	if len(b.renamed) > 0 {
		put("Names that were taken: %s here.", strings.Join(b.renamed, ", "))
	}
	if len(b.tables) > 0 {
		put("Not in it, and read from files: %s.", strings.Join(b.tables, ", "))
	}
	if b.script.Seed != 0 {
		put("Run it with --seed %d to repeat it.", b.script.Seed)
	}
	if b.script.Given != "" {
		put("It was given: %s", b.script.Given)
	}
	for _, word := range slices.Sorted(maps.Keys(b.spare)) {
		if word != "bundle" {
			fmt.Fprintf(&h, "%s = %s\n", b.spare[word], word)
		}
	}
	if b.bundlesYet() {
		fmt.Fprintf(&h, "%s = lambda *args, **named: None  # what is bundled is not bundled again\n", cmp.Or(b.spare["bundle"], "bundle"))
	}
	return h.String()
}

// bundlesYet reports whether some of the texts says bundle where the call cannot be left out: in a block, a function or an expression.
func (b *bundler) bundlesYet() bool {
	for _, f := range b.files {
		left := 0
		for _, stmt := range f.tree.Stmts {
			if f.key == "" && b.isBundleCall(f, stmt) {
				left--
			}
		}
		for id := range f.words {
			if id.Name == "bundle" {
				left++
			}
		}
		if left > 0 {
			return true
		}
	}
	return false
}

// listed says which files are in the bundle.
func (b *bundler) listed() string {
	n := len(b.files) - 1
	if n == 0 {
		return b.files[0].title + ", which loads no files"
	}
	var names []string
	for _, f := range b.files[:n] {
		names = append(names, f.title)
	}
	return fmt.Sprintf("%s and %s it loads (%s)", b.files[n].title, say.Count(n, "file"), strings.Join(names, ", "))
}

func (b *bundler) usesLibrary() bool {
	for _, f := range b.files {
		for _, g := range f.loads {
			if g.library() {
				return true
			}
		}
	}
	return false
}
