package lang

import (
	"slices"
	"strings"

	"go.starlark.net/starlark"

	"pulsewright/builtins"
	"pulsewright/lang/lex"
)

// dotted is the path that ends a row of tokens: names with dots between, and indexes that are written out, as in line[0].output.
// "" if there is none.
func dotted(tokens []lex.Token) string {
	end, start := len(tokens), len(tokens)
	for {
		n := start - 1
		for n > 2 && tokens[n].Text == "]" {
			n = beforeIndex(tokens, n)
		}
		if n < 0 || tokens[n].Kind != lex.Name {
			return "" // f().x: would have to be called
		}
		start = n
		if n == 0 || tokens[n-1].Text != "." {
			break
		}
		start--
	}
	var path strings.Builder
	for _, t := range tokens[start:end] {
		path.WriteString(t.Text)
	}
	return path.String()
}

// beforeIndex is where that stands which the index that ends at close is of: [0], [-1] or ["quay"]. -1 if it is none of these.
func beforeIndex(tokens []lex.Token, close int) int {
	open := close - 2
	if open > 1 && tokens[open].Text == "-" && tokens[close-1].Kind == lex.Number {
		open--
	}
	if k := tokens[close-1].Kind; tokens[open].Text != "[" || k != lex.Number && k != lex.String {
		return -1
	}
	return open - 1
}

// call is the call around the cursor.
type call struct {
	fn    string // dotted
	arg   int    // position of the argument at the cursor
	key   string // its name, if it has one
	given []string
	inner bool // the cursor is in a list that is the argument
	fresh bool // nothing of the argument has been typed but the word at the cursor
}

// callAt finds the innermost call that the tokens leave open.
func callAt(tokens []lex.Token) (call, bool) {
	type level struct {
		call
		isCall bool
	}
	var stack []level
	for i, t := range tokens {
		top := len(stack) - 1
		switch {
		case t.Kind != lex.Op:
			if top >= 0 {
				stack[top].fresh = false
			}
		case t.Text == "(" || t.Text == "[" || t.Text == "{":
			fn := ""
			if t.Text == "(" {
				fn = dotted(tokens[:i])
			}
			if top >= 0 {
				stack[top].fresh = false
			}
			next := level{call{fn: fn, fresh: true}, fn != ""}
			if t.Text == "[" && top >= 0 && stack[top].isCall && !follows(tokens[:i]) {
				next = stack[top]
				next.inner = true
			}
			stack = append(stack, next)
		case t.Text == ")" || t.Text == "]" || t.Text == "}":
			if top >= 0 {
				stack = stack[:top]
			}
		case top < 0 || stack[top].inner:
		case t.Text == ",":
			stack[top].arg++
			stack[top].key, stack[top].fresh = "", true
		case t.Text == "=" && i > 0 && tokens[i-1].Kind == lex.Name:
			stack[top].key = tokens[i-1].Text
			stack[top].given = append(stack[top].given, tokens[i-1].Text)
		default:
			stack[top].fresh = false
		}
	}
	if len(stack) == 0 || !stack[len(stack)-1].isCall {
		return call{}, false
	}
	return stack[len(stack)-1].call, true
}

// follows reports whether the tokens end in a value, so that a bracket behind them is an index.
func follows(tokens []lex.Token) bool {
	last := tokens[len(tokens)-1]
	return last.Kind != lex.Op && !slices.Contains(keywords, last.Text) || strings.Contains(")]}", last.Text)
}

// params are the parameters of what is called.
func (s *Session) params(c call) []builtins.Param {
	base, last := "", c.fn
	if i := strings.LastIndexByte(c.fn, '.'); i >= 0 {
		base, last = c.fn[:i], c.fn[i+1:]
	}
	if v, ok := s.walk(c.fn); ok {
		switch f := v.(type) {
		case *starlark.Function:
			return defined(f)
		case *builtins.OwnKind:
			return f.Word().Params
		}
	}
	if base == "" {
		e, _ := entry(last)
		return e.Params
	}
	if v, ok := s.walk(base); ok {
		if e, ok := builtins.Lookup(v.Type() + "." + last); ok {
			return e.Params
		}
		return nil
	}
	e, _ := builtins.Lookup("frame." + last) // a parameter of the def being written is most often a frame
	return e.Params
}

// defined are the parameters of a function of the user's.
func defined(f *starlark.Function) (ps []builtins.Param) {
	for i := range f.NumParams() {
		name, _ := f.Param(i)
		p := builtins.Param{Name: name}
		if d := f.ParamDefault(i); d != nil {
			p.Default = d.String()
		}
		ps = append(ps, p)
	}
	return ps
}

// param is the parameter that the argument at the cursor goes to.
func (s *Session) param(c call) (builtins.Param, bool) {
	ps := s.params(c)
	if c.key != "" {
		for _, p := range ps {
			if p.Name == c.key {
				return p, true
			}
		}
		if n := len(ps); n > 0 && ps[n-1].Variadic && ps[n-1].Keyword {
			return placing(c.key)
		}
		return builtins.Param{}, false
	}
	if c.arg < len(ps) && !ps[c.arg].Keyword {
		return ps[c.arg], true
	}
	return builtins.Param{}, false
}

// placing is the parameter of that name of a word that places parts: parts(facing="+x") asks for what was given there.
func placing(name string) (builtins.Param, bool) {
	for _, e := range Entries() {
		for _, p := range e.Params {
			if e.Topic == "placing" && p.Name == name {
				return p, true
			}
		}
	}
	return builtins.Param{}, false
}

func paramNote(p builtins.Param) string {
	var words []string
	for _, w := range []string{p.Type, p.Unit} {
		if w != "" {
			words = append(words, w)
		}
	}
	if p.Default != "" {
		words = append(words, "default "+p.Default)
	}
	return strings.Join(words, ", ")
}
