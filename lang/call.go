package lang

import (
	"slices"
	"strings"

	"go.starlark.net/starlark"

	"pulsewright/builtins"
)

// dotted is the path that ends a row of tokens: names with dots between, and indexes that are written out, as in line[0].output.
// "" if there is none.
func dotted(tokens []token) string {
	end, start := len(tokens), len(tokens)
	for {
		n := start - 1
		for n > 2 && tokens[n].text == "]" {
			n = beforeIndex(tokens, n)
		}
		if n < 0 || tokens[n].kind != tokName {
			return "" // f().x: would have to be called
		}
		start = n
		if n == 0 || tokens[n-1].text != "." {
			break
		}
		start--
	}
	var path strings.Builder
	for _, t := range tokens[start:end] {
		path.WriteString(t.text)
	}
	return path.String()
}

// beforeIndex is where that stands which the index that ends at close is of: [0], [-1] or ["quay"]. -1 if it is none of these.
func beforeIndex(tokens []token, close int) int {
	open := close - 2
	if open > 1 && tokens[open].text == "-" && tokens[close-1].kind == tokNumber {
		open--
	}
	if k := tokens[close-1].kind; tokens[open].text != "[" || k != tokNumber && k != tokString {
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
func callAt(tokens []token) (call, bool) {
	type level struct {
		call
		isCall bool
	}
	var stack []level
	for i, t := range tokens {
		top := len(stack) - 1
		switch {
		case t.kind != tokOp:
			if top >= 0 {
				stack[top].fresh = false
			}
		case t.text == "(" || t.text == "[" || t.text == "{":
			fn := ""
			if t.text == "(" {
				fn = dotted(tokens[:i])
			}
			if top >= 0 {
				stack[top].fresh = false
			}
			next := level{call{fn: fn, fresh: true}, fn != ""}
			if t.text == "[" && top >= 0 && stack[top].isCall && !follows(tokens[:i]) {
				next = stack[top]
				next.inner = true
			}
			stack = append(stack, next)
		case t.text == ")" || t.text == "]" || t.text == "}":
			if top >= 0 {
				stack = stack[:top]
			}
		case top < 0 || stack[top].inner:
		case t.text == ",":
			stack[top].arg++
			stack[top].key, stack[top].fresh = "", true
		case t.text == "=" && i > 0 && tokens[i-1].kind == tokName:
			stack[top].key = tokens[i-1].text
			stack[top].given = append(stack[top].given, tokens[i-1].text)
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
func follows(tokens []token) bool {
	last := tokens[len(tokens)-1]
	return last.kind != tokOp && !slices.Contains(keywords, last.text) || strings.Contains(")]}", last.text)
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
