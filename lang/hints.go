package lang

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
	"sync"
	"unicode/utf8"

	"go.starlark.net/starlark"

	"pulsewright/builtins/say"
	"pulsewright/lang/lex"
)

// explain turns the interpreter's messages into ours where ours say more: the caret under the word that is wrong,
// the nearest word, and a sentence of its own for what is a habit from Python.
func (s *Session) explain(e *Error) {
	e.Msg = strings.TrimSuffix(e.Msg, "\n")
	s.aim(e)
	if chained(e.Msg) {
		s.back(e)
	}
	if e.Hint = s.openBracket(e); e.Hint == "" && (s.indentation(e) || s.habit(e)) {
		return
	}
	for i, re := range patterns() {
		if m := re.FindStringSubmatch(e.Msg); m != nil {
			explanations[i].do(s, e, m)
			return
		}
	}
	if m := trailingHint.FindStringSubmatch(e.Msg); m != nil {
		e.Msg, e.Hint = m[1], "did you mean "+m[2]+"?"
	}
}

var (
	trailingHint = regexp.MustCompile(`^(.*) \(did you mean (.*)\?\)$`)
	gotWant      = regexp.MustCompile(`^got (.*), want (.*)$`)
)

// aim moves the place of a syntax error from behind a word to the word.
func (s *Session) aim(e *Error) {
	m := gotWant.FindStringSubmatch(e.Msg)
	if m == nil || e.Pos.Line == 0 || e.line == "" && m[1] != "newline" && m[1] != "end of file" {
		return
	}
	switch m[1] {
	case "newline": // stands at the beginning of the next line
		if e.Pos.Line > 1 && e.Pos.Col == 1 {
			e.Pos.Line--
			e.line = s.sources.line(e.Pos)
			e.Pos.Col = int32(utf8.RuneCountInString(e.line)) + 1
		}
		return
	case "end of file", "indent", "outdent":
		return
	}
	if m[2] == "primary expression" {
		return // stands at the word already
	}
	s.back(e)
}

// back moves the place to the beginning of the word it stands in or behind.
func (s *Session) back(e *Error) {
	col := int(e.Pos.Col) - 1
	for _, t := range lex.Text(e.line) {
		start, end := utf8.RuneCountInString(e.line[:t.Start]), utf8.RuneCountInString(e.line[:t.End])
		if start < col && col <= end {
			e.Pos.Col = int32(start) + 1
		}
	}
}

// explanation says what to do with a message that matches re. The expressions are
// compiled when the first error is explained: they would be half of the time it takes to start.
type explanation struct {
	re string
	do func(s *Session, e *Error, m []string)
}

var patterns = sync.OnceValue(func() []*regexp.Regexp {
	all := make([]*regexp.Regexp, len(explanations))
	for i, x := range explanations {
		all[i] = regexp.MustCompile(x.re)
	}
	return all
})

var explanations = []explanation{
	{`^undefined: (\S+)(?: \(did you mean (.*)\?\))?$`, func(s *Session, e *Error, m []string) {
		e.Msg = m[1] + " is not defined"
		if e.Hint = s.unquoted(e, m[1]); e.Hint != "" {
			return
		}
		if h, ok := pythonNames[m[1]]; ok && !s.names.live.Has(m[1]) {
			e.Hint = h
			return
		}
		near := say.Nearest(m[1], s.names.visible())
		if m[2] != "" {
			near = m[2]
		}
		if near != "" {
			e.Hint = "did you mean " + near + "?"
		}
	}},
	{`^unhandled index operation (?:builtin_function_or_method|function)\[`, func(_ *Session, e *Error, _ []string) {
		e.Msg, e.Hint = "a function has no [ ]", "round brackets call it, as in lamp((4, 0))"
	}},
	{`^internal error: predeclared variable (\S+) is uninitialized$`, func(_ *Session, e *Error, m []string) {
		e.Msg = unset(m[1]).Error()
	}},
	{`^global variable (\S+) referenced before assignment$`, func(_ *Session, e *Error, m []string) {
		e.Msg = unset(m[1]).Error()
	}},
	{`^local variable (\S+) referenced before assignment$`, func(s *Session, e *Error, m []string) {
		e.Msg = unset(m[1]).Error()
		if s.names.live.Has(m[1]) {
			e.Hint = fmt.Sprintf("a function cannot assign the %s outside it; keep the value in a list or a dict, or return it", m[1])
		}
	}},
	{`^function (\S+) got an unexpected keyword argument "?([^"]+)"?$`, func(s *Session, e *Error, m []string) {
		e.Msg = fmt.Sprintf("%s: no parameter %q", m[1], m[2])
		if f, ok := s.names.live[m[1]].(*starlark.Function); ok {
			e.Hint = nearParam(m[2], f)
		}
	}},
	{`^function (\S+) (missing|accepts|got multiple)(.*)$`, func(s *Session, e *Error, m []string) {
		if f, ok := s.names.live[m[1]].(*starlark.Function); ok {
			e.Hint = "usage: " + signature(f)
		}
	}},
	{`^Starlark computation cancelled: (.*)$`, func(_ *Session, e *Error, m []string) { e.Msg = m[1] }},
	{`^string value is not iterable$`, hint("a string cannot be walked through; write s.elems() for its characters")},
	{`^unknown conversion %`, hint(`% takes no width; write pad(x, 5), or "%s" % x`)},
	{`^format spec features not supported`, hint("{} takes no width; write pad(x, 5), or \"{}\".format(x)")},
	{`^unknown binary op: (string \+ \w+|\w+ \+ string)$`, hint("a string and another value are joined by str(x), or by \"%s\" % x")},
	{`^list has no \.sort field or method`, func(_ *Session, e *Error, _ []string) {
		e.Msg, e.Hint = "list has no .sort", "write xs = sorted(xs)"
	}},
	{`^(\S+) value does not support item assignment$`, hint("only a list or a dict can be changed in place")},
	{`^(builtin_function_or_method|function) has no \.(\S+) field or method`, wordAttribute},
	{`^got float literal, want .*$`, func(_ *Session, e *Error, _ []string) {
		e.Hint = "the name of a part stands in quotes; one of a row is also row[0]"
	}},
	{`^unexpected (EOF|newline) in string$`, openQuote},
	{`^(.*) has no \.(\S+) field or method(?: \(did you mean \.(\S+)\?\))?$`, func(_ *Session, e *Error, m []string) {
		e.Msg = fmt.Sprintf("%s has no .%s", m[1], m[2])
		if m[3] != "" {
			e.Hint = fmt.Sprintf("did you mean .%s?", m[3])
		}
	}},
	{`^cannot (.*) frozen (.*)$`, hint("what a loaded file made cannot be changed; make a copy, such as list(xs) or dict(d)")},
	{`^got newline, want ':'$`, func(_ *Session, e *Error, _ []string) {
		e.Msg = "the line ends, want ':'"
	}},
	{`^got newline, want primary expression$`, func(_ *Session, e *Error, _ []string) {
		e.Msg = "the line ends, want an expression"
	}},
	{`^got end of file, want primary expression$`, func(_ *Session, e *Error, _ []string) {
		e.Msg = "the text ends, want an expression"
	}},
	{`^got (.*), want primary expression$`, func(_ *Session, e *Error, m []string) {
		e.Msg = "got " + m[1] + ", want an expression"
	}},
	{`^got end of file, want (.*)$`, func(_ *Session, e *Error, m []string) {
		e.Msg = "the text ends, want " + m[1]
	}},
}

func hint(h string) func(*Session, *Error, []string) {
	return func(_ *Session, e *Error, _ []string) { e.Hint = h }
}

// nearParam suggests a parameter of a def.
func nearParam(word string, f *starlark.Function) string {
	var params []string
	for i := range f.NumParams() {
		name, _ := f.Param(i)
		params = append(params, name)
	}
	if near := say.Nearest(word, params); near != "" {
		return "did you mean " + near + "?"
	}
	return "usage: " + signature(f)
}

// signature is a def as one would call it.
func signature(f *starlark.Function) string {
	var ps []string
	named := f.NumParams()
	if f.HasVarargs() {
		named--
	}
	if f.HasKwargs() {
		named--
	}
	for i := range named {
		name, _ := f.Param(i)
		if i == named-f.NumKwonlyParams() && f.NumKwonlyParams() > 0 && !f.HasVarargs() {
			ps = append(ps, "*")
		}
		if d := f.ParamDefault(i); d != nil {
			name += "=" + d.String()
		}
		ps = append(ps, name)
	}
	rest := named
	if f.HasVarargs() {
		name, _ := f.Param(rest)
		ps = slices.Insert(ps, named-f.NumKwonlyParams(), "*"+name)
		rest++
	}
	if f.HasKwargs() {
		name, _ := f.Param(rest)
		ps = append(ps, "**"+name)
	}
	return say.Printable(f.Name() + "(" + strings.Join(ps, ", ") + ")")
}
