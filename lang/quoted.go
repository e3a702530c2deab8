package lang

import (
	"io/fs"
	"maps"
	"path"
	"slices"
	"strings"

	"go.starlark.net/syntax"

	"pulsewright/builtins"
	"pulsewright/builtins/help"
	"pulsewright/builtins/say"
	"pulsewright/lang/lex"
	"pulsewright/lang/source"
	"pulsewright/scripts"
)

// maxPartNames is how many names of parts are looked through for a completion.
const maxPartNames = 20_000

// inString completes inside quotes: the strings a parameter takes, names of parts, files.
func (s *Session) inString(tokens []lex.Token, typed, quote, after string) Completion {
	c, ok := callAt(tokens)
	if !ok {
		return Completion{}
	}
	if strings.HasPrefix(after, quote) {
		quote = ""
	}
	var list []Candidate
	switch {
	case c.fn == "load" && c.arg == 0:
		list = s.loadable(typed)
	case c.fn == "load":
		list = s.exported(tokens)
	case c.fn == "help" && c.arg == 0:
		for _, e := range Entries() {
			list = append(list, Candidate{Name: e.Name, Note: e.Sentence})
		}
		for _, t := range builtins.Topics() {
			list = append(list, Candidate{Name: t, Note: "topic"})
		}
		terms, texts := help.Terms()
		for i, t := range terms {
			list = append(list, Candidate{Name: t, Note: texts[i]})
		}
	default:
		p, ok := s.param(c)
		if !ok {
			return Completion{}
		}
		switch choices := s.choices(p); {
		case len(choices) > 0:
			for _, a := range choices {
				list = append(list, Candidate{Name: a})
			}
		case p.Name == "path" && p.Type == "string":
			list = files(s.root.FS(), typed, "", func(name string) bool { return true })
		case takesPart(p):
			list = s.partNames(p.Name == "key")
		}
	}
	for i := range list {
		if !strings.HasSuffix(list[i].Name, "/") {
			list[i].tail = quote
		}
	}
	return choose(typed, list)
}

// choices are the strings that a parameter takes; of kinds and words of the log also those of kinds of one's own on the bench.
func (s *Session) choices(p builtins.Param) []string {
	list := slices.Clone(p.Allowed)
	if len(list) == 0 || p.Name != "kind" && p.Name != "what" {
		return list
	}
	for _, own := range s.env.Bench.Specs() {
		switch {
		case p.Name == "kind":
			list = append(list, own.Name)
		case slices.Contains(list, "lapses"): // not the pictures of export
			list = append(list, slices.DeleteFunc(slices.Clone(own.Says), func(w string) bool { return w == "" })...)
		}
	}
	return list
}

func takesPart(p builtins.Param) bool {
	for _, w := range []string{"part", "key", "target", "holder"} {
		if strings.Contains(p.Type, w) || p.Name == w {
			return true
		}
	}
	return false
}

// partNames are the names of parts, or only those of keys.
func (s *Session) partNames(keys bool) (list []Candidate) {
	b, n := s.env.Bench, 0
	for name, id := range b.Names() {
		if n++; n > maxPartNames {
			break
		}
		kind := b.KindName(id)
		if keys && kind != "key" {
			continue
		}
		list = append(list, Candidate{Name: say.Printable(name), Note: kind})
	}
	return list
}

// files are the entries of the folder that a path being typed points into; folders end in a slash.
func files(fsys fs.FS, typed, prefix string, fits func(name string) bool) (list []Candidate) {
	dir := path.Dir(strings.TrimPrefix(typed, prefix) + "x")
	entries, err := fs.ReadDir(fsys, dir)
	if err != nil {
		return nil
	}
	for _, e := range entries {
		name := prefix + path.Join(dir, e.Name())
		switch {
		case strings.HasPrefix(e.Name(), "."):
		case e.IsDir():
			list = append(list, Candidate{Name: name + "/"})
		case fits(e.Name()):
			list = append(list, Candidate{Name: name})
		}
	}
	return list
}

// isScript reports whether a file may be loaded; tests are run, not loaded.
func isScript(name string) bool {
	return strings.HasSuffix(name, ".star") && !strings.HasSuffix(name, "_test.star")
}

// loadable are the files that load can find.
func (s *Session) loadable(typed string) []Candidate {
	switch {
	case strings.HasPrefix(typed, libPrefix):
		return files(scripts.FS, typed, "", isScript)
	case strings.HasPrefix(typed, "./"):
		return files(s.loader.folder().FS(), typed, "./", isScript)
	}
	list := []Candidate{{Name: libPrefix, Note: "the library"}, {Name: "./", Note: "beside the script"}}
	for _, f := range s.own {
		switch {
		case f.root == nil:
		case strings.HasPrefix(typed, ownPrefix):
			list = append(list, files(f.root.FS(), typed, ownPrefix, isScript)...)
		default:
			list = append(list, Candidate{Name: ownPrefix, Note: "a folder of your own"})
		}
	}
	return list
}

// exported are the names that the file of a load statement binds. The file is read, not run.
func (s *Session) exported(tokens []lex.Token) (list []Candidate) {
	file := ""
	for i, t := range tokens {
		if t.Text == "load" && i+2 < len(tokens) && tokens[i+2].Kind == lex.String {
			file = tokens[i+2].Inner()
		}
	}
	key, err := s.loader.resolve(s.loader.from(), file)
	if err != nil {
		return nil
	}
	src, err := s.loader.read(key)
	if err != nil {
		return nil
	}
	f, err := source.ModuleDialect.Parse(file, src, 0)
	if err != nil {
		return nil
	}
	for _, name := range given(f) {
		list = append(list, Candidate{Name: name})
	}
	return list
}

// given are the names that others can load from a file, sorted: not those that begin with _, nor those it loaded itself.
func given(f *syntax.File) []string {
	names := map[string]bool{}
	source.Bound(f.Stmts, names)
	for _, stmt := range f.Stmts {
		if load, ok := stmt.(*syntax.LoadStmt); ok {
			for _, to := range load.To {
				delete(names, to.Name)
			}
		}
	}
	maps.DeleteFunc(names, func(name string, _ bool) bool { return strings.HasPrefix(name, "_") })
	return slices.Sorted(maps.Keys(names))
}
