package lang

import (
	"strings"

	"go.starlark.net/starlark"

	"pulsewright/builtins"
)

// dotted is the dotted name that ends a row of tokens, "" if there is none.
func dotted(tokens []token) string {
	end := len(tokens)
	if end == 0 || tokens[end-1].kind != tokName {
		return ""
	}
	path := tokens[end-1].text
	for i := end - 2; i > 0 && tokens[i].text == "." && tokens[i-1].kind == tokName; i -= 2 {
		path = tokens[i-1].text + "." + path
		end = i
	}
	if i := end - 2; i >= 0 && tokens[i].text == "." {
		return "" // f().x: would have to be called
	}
	return path
}

// call is the call around the cursor.
type call struct {
	fn    string // dotted
	arg   int    // position of the argument at the cursor
	key   string // its name, if it has one
	given []string
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
			stack = append(stack, level{call{fn: fn, fresh: true}, fn != ""})
		case t.text == ")" || t.text == "]" || t.text == "}":
			if top >= 0 {
				stack = stack[:top]
			}
		case top < 0:
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

// params are the parameters of what is called.
func (s *Session) params(c call) []builtins.Param {
	base, last := "", c.fn
	if i := strings.LastIndexByte(c.fn, '.'); i >= 0 {
		base, last = c.fn[:i], c.fn[i+1:]
	}
	if v, ok := s.walk(c.fn); ok {
		if f, ok := v.(*starlark.Function); ok {
			var ps []builtins.Param
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

// param is the parameter that the argument at the cursor goes to.
func (s *Session) param(c call) (builtins.Param, bool) {
	ps := s.params(c)
	if c.key != "" {
		for _, p := range ps {
			if p.Name == c.key {
				return p, true
			}
		}
		return builtins.Param{}, false
	}
	if c.arg < len(ps) && !ps[c.arg].Keyword {
		return ps[c.arg], true
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
