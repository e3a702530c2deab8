package lang

import (
	"slices"
	"strings"

	"go.starlark.net/starlark"

	"pulsewright/builtins"
	"pulsewright/lang/lex"
)

// Completion is what Tab offers.
type Completion struct {
	Replace int         // how many runes before the cursor Insert replaces
	Insert  string      // the one match, or what all matches begin with
	List    []Candidate // all matches, if there are several
}

// Candidate is one match.
type Candidate struct {
	Name string // what would stand there
	Note string // its signature, or what it is
	tail string // what is typed behind it if it is the only one: a quote, =
}

// Complete offers what may stand at the cursor: names, attributes, parameters inside a call, allowed strings inside
// quotes, files inside load, save and export. line is the line with the cursor behind its first pos runes; more holds the lines
// of the block before it. Nothing is called, and nothing changes.
func (s *Session) Complete(line string, pos int, more string) (c Completion) {
	defer func() {
		if recover() != nil {
			c = Completion{}
		}
	}()
	runes := []rune(line)
	pos = max(0, min(pos, len(runes)))
	before, after := string(runes[:pos]), string(runes[pos:])
	if more != "" {
		before = strings.TrimSuffix(more, "\n") + "\n" + before
	}
	tokens := lex.Text(before)
	var last lex.Token
	if n := len(tokens); n > 0 && tokens[n-1].End == len(before) {
		last = tokens[n-1]
	} else {
		last = lex.Token{Kind: lex.Op, Start: len(before), End: len(before)}
	}
	switch last.Kind {
	case lex.Comment, lex.Number, lex.String:
		return Completion{}
	case lex.Open:
		return s.inString(tokens[:len(tokens)-1], last.Inner(), last.Quote, after)
	}
	word := ""
	if last.Kind == lex.Name {
		word = last.Text
		tokens = tokens[:len(tokens)-1]
	}
	if n := len(tokens); n > 0 && tokens[n-1].Text == "." {
		return choose(word, s.attributes(tokens[:n-1]))
	}
	return choose(word, s.words(tokens, word))
}

// choose narrows candidates to those that begin with what is typed.
func choose(typed string, all []Candidate) Completion {
	var fit []Candidate
	for _, c := range all {
		if strings.HasPrefix(c.Name, typed) && (typed != "" || !strings.HasPrefix(c.Name, "_")) {
			fit = append(fit, c)
		}
	}
	slices.SortStableFunc(fit, func(a, b Candidate) int { return strings.Compare(a.Name, b.Name) })
	fit = slices.CompactFunc(fit, func(a, b Candidate) bool { return a.Name == b.Name })
	switch len(fit) {
	case 0:
		return Completion{}
	case 1:
		return Completion{Replace: len([]rune(typed)), Insert: fit[0].Name + fit[0].tail}
	}
	common := []rune(fit[0].Name)
	for _, c := range fit[1:] {
		r := []rune(c.Name)
		n := 0
		for n < len(common) && n < len(r) && common[n] == r[n] {
			n++
		}
		common = common[:n]
	}
	return Completion{Replace: len([]rune(typed)), Insert: string(common), List: fit}
}

var keywords = []string{"and", "break", "continue", "def", "elif", "else", "for", "if", "in", "lambda", "load", "not", "or", "pass", "return", "while"}

// words are the names that may stand here: parameters of the call one is in, then everything visible.
func (s *Session) words(tokens []lex.Token, word string) (list []Candidate) {
	call, ok := callAt(tokens)
	all := true
	if ok && call.key == "" && call.fresh {
		for _, p := range s.params(call) {
			if p.Variadic || slices.Contains(call.given, p.Name) {
				continue
			}
			list = append(list, Candidate{Name: p.Name + "=", Note: paramNote(p)})
			if word == "" || (p.Optional || p.Default != "") && strings.HasPrefix(p.Name, word) {
				all = false // parameters are what one wants to be told here, and names of one's own
			}
		}
		if word == "" && len(list) > 0 {
			return list
		}
	}
	if ok && word == "" {
		if p, found := s.param(call); found {
			for _, a := range s.choices(p) {
				list = append(list, Candidate{Name: `"` + a + `"`})
			}
			if len(list) > 0 {
				return list
			}
		}
	}
	seen := map[string]bool{}
	for _, name := range s.names.visible() {
		seen[name] = true
		if !all && !s.names.own[name] {
			continue
		}
		list = append(list, Candidate{Name: name, Note: note(name, s.names.live[name], s.names.own[name])})
	}
	for _, k := range keywords {
		seen[k] = true
		if !all {
			continue
		}
		list = append(list, Candidate{Name: k})
	}
	for _, t := range tokens { // what the block itself has named
		if t.Kind == lex.Name && !seen[t.Text] {
			seen[t.Text] = true
			list = append(list, Candidate{Name: t.Text})
		}
	}
	return list
}

// note is what a list of candidates says of a name.
func note(name string, v starlark.Value, own bool) string {
	if e, ok := entry(name); ok && !own {
		return e.Usage()
	}
	switch v := v.(type) {
	case *starlark.Function:
		return signature(v)
	case *starlark.Builtin:
		return name + "(...)"
	case nil:
		return ""
	}
	return v.Type()
}

// attributes of the value that a dotted name leads to.
func (s *Session) attributes(tokens []lex.Token) (list []Candidate) {
	v, ok := s.walk(dotted(tokens))
	if !ok {
		return nil
	}
	x, ok := v.(starlark.HasAttrs)
	if !ok {
		return nil
	}
	for _, name := range x.AttrNames() {
		c := Candidate{Name: name}
		if v, err := x.Attr(name); err == nil && v != nil {
			c.Note = attrNote(x, name, v)
		}
		list = append(list, c)
	}
	return list
}

func attrNote(x starlark.Value, name string, v starlark.Value) string {
	if b, ok := v.(*starlark.Builtin); ok {
		if e, ok := builtins.Lookup(x.Type() + "." + name); ok {
			return strings.TrimPrefix(e.Usage(), x.Type()+".")
		}
		return b.Name() + "(...)"
	}
	return note("", v, true)
}
