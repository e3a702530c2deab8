package builtins

import (
	"cmp"
	"errors"
	"fmt"
	"strings"

	"pulsewright/builtins/hold"
	"pulsewright/builtins/say"
	"pulsewright/engine"

	"go.starlark.net/starlark"
)

// MaxParams is the longest list of parameters a word may have.
const MaxParams = 16

// Call is one call of a word: where it acts, and its arguments by the position of their parameter. The first failure
// sticks in Err; what is read after it gives zero values.
type Call struct {
	Env    *Env
	Thread *starlark.Thread
	Frame  *Frame // the frame it is a method of, or nil
	Err    error

	entry  *Entry
	vals   [MaxParams]starlark.Value // nil: not given
	read   uint32                    // which parameters the word has read, a bit each
	Rest   starlark.Tuple            // of a variadic parameter, by position
	kwargs []starlark.Tuple          // of a variadic parameter, by name
	part   engine.Part               // what a placing word is about to place
}

// bind gives every argument to its parameter.
func (c *Call) bind(args starlark.Tuple, kwargs []starlark.Tuple) {
	e := c.entry
	if c.looseCell(args); c.Err != nil {
		return
	}
	if len(args) > e.positional {
		last := e.positional - 1
		if last < 0 || !e.Params[last].Variadic {
			c.tooMany(len(args))
			return
		}
		c.Rest = args[last:]
		args = args[:last]
	} else if last := e.positional - 1; last >= 0 && len(args) == e.positional && e.Params[last].Variadic {
		c.Rest = args[last:]
		args = args[:last]
	}
	copy(c.vals[:], args)
	if e.shape != nil {
		e.shape(c)
	}
	for _, kv := range kwargs {
		name := string(kv[0].(starlark.String))
		i := e.param(name)
		switch {
		case i < 0 && len(e.Params) > 0 && e.Params[len(e.Params)-1].Variadic && e.Params[len(e.Params)-1].Keyword:
			c.kwargs = append(c.kwargs, kv)
		case i < 0:
			c.unknown(name)
			return
		case c.vals[i] != nil:
			c.Fail("parameter %s is given twice", name)
			return
		default:
			c.vals[i] = kv[1]
		}
	}
	for i := range e.Params {
		p := &e.Params[i]
		switch {
		case p.Optional || p.Variadic || p.Type == "value":
		case c.vals[i] == starlark.None:
			c.Bad(p.Name, "None", "")
		}
		if c.vals[i] == nil && !p.Optional && !p.Variadic {
			c.missing(p.Name)
		}
		if c.Err != nil {
			return
		}
	}
}

// looseCell refuses the coordinates of a cell that are given one by one, and says what to write.
func (c *Call) looseCell(args starlark.Tuple) {
	e := c.entry
	if len(args) < 2 || e.positional == 0 || !e.Params[0].place() {
		return
	}
	if e.positional > 1 && e.Params[1].Type == "part" { // two parts, and neither is one
		return
	}
	loose := 0
	for loose < len(args) && args[loose].Type() == "int" {
		loose++
	}
	if loose < 2 {
		return
	}
	size := 2
	if loose%2 != 0 || loose == 6 {
		size = 3
	}
	var written []string
	for i := 0; i+size <= loose && i < 2*size; i += size {
		written = append(written, args[i:i+size].String())
	}
	for _, v := range args[min(loose, size*len(written)):] {
		written = append(written, Show(v))
	}
	c.Fail("for parameter %s: got %s and %s, want them in brackets of their own, as one cell: %s(%s)", e.Params[0].Name, Show(args[0]), Show(args[1]), c.Word(), strings.Join(written, ", "))
}

// place reports whether a parameter is given as a cell, or may be.
func (p *Param) place() bool { return p.Type != "number" && strings.Contains(p.Want(), "cell") }

// checkDepth refuses arguments in which others lie too deep: nothing of ours would come to an end with them.
func (c *Call) checkDepth(args starlark.Tuple, kwargs []starlark.Tuple) {
	until := hold.Until(c.Env.Stopped)
	for _, v := range args {
		if err := until.CheckDepth(v); err != nil {
			c.Fail("%w", err)
		}
	}
	for _, kv := range kwargs {
		if err := until.CheckDepth(kv[1]); err != nil {
			c.Fail("for parameter %s: %w", string(kv[0].(starlark.String)), err)
		}
	}
}

func (c *Call) missing(param string) error {
	p := c.Spec(param)
	return c.Fail("missing argument %s, want %s; usage: %s", p.Name, p.Want(), c.entry.Usage())
}

// param is the position of a parameter that may be given by name, or -1.
func (e *Entry) param(name string) int {
	for i := range e.Params {
		if e.Params[i].Name == name && !e.Params[i].Variadic {
			return i
		}
	}
	return -1
}

func (c *Call) tooMany(n int) {
	e := c.entry
	if e.positional == 0 && len(e.Params) == 0 {
		c.Fail("got %s, want none", say.Count(n, "argument"))
		return
	}
	if e.positional == 0 {
		c.Fail("got %s by position, want all by name; usage: %s", say.Count(n, "argument"), e.Usage())
		return
	}
	var byName []string
	for _, p := range e.Params[e.positional:] {
		byName = append(byName, p.Name)
	}
	also := ""
	if len(byName) > 0 {
		also = "; by name only: " + strings.Join(byName, ", ")
	}
	c.Fail("got %s by position, want at most %d%s; usage: %s", say.Count(n, "argument"), e.positional, also, e.Usage())
}

func (c *Call) unknown(name string) {
	var names []string
	for _, p := range c.entry.Params {
		if !p.Variadic {
			names = append(names, p.Name)
		}
	}
	if len(names) == 0 {
		c.Fail("no parameter %q; it takes none by name", name)
		return
	}
	c.Fail("no parameter %q, want one of %s%s", name, strings.Join(names, " "), say.DidYouMean(name, names))
}

// Want is what a parameter takes, in words.
func (p *Param) Want() string {
	if len(p.Allowed) > 0 {
		return "one of " + strings.Join(p.Allowed, " ")
	}
	switch p.Type {
	case "cell":
		return "a cell (x, y) or (x, y, z)"
	case "part":
		return "a part, its name or its cell"
	case "number":
		if p.Unit != "" {
			return "a number of " + p.Unit
		}
		return "a whole number"
	case "bool":
		return "True or False"
	}
	if strings.HasPrefix(p.Type, "a ") || strings.HasPrefix(p.Type, "an ") {
		return p.Type
	}
	return say.Article(p.Type)
}

// Word is the name of the word.
func (c *Call) Word() string { return c.entry.Name }

// Fail makes an error that begins with the word; the first one sticks. Of twenty words in one another, each of which would say where it was, the
// outermost is enough.
func (c *Call) Fail(format string, args ...any) error {
	if c.Err == nil {
		c.Err = fmt.Errorf(c.Word()+": "+format, args...)
		if errors.Is(c.Err, ErrDeep) {
			c.Err = fmt.Errorf("%s: %w", c.Word(), ErrDeep)
		}
	}
	return c.Err
}

// Wrap puts the word in front of an error of the engine. nil stays nil.
func (c *Call) Wrap(err error) error {
	if err == nil {
		return nil
	}
	return c.Fail("%w", err)
}

// Bad makes an error about a parameter: what came, and what is wanted ("" for what the table says).
func (c *Call) Bad(param string, got, want string) error {
	p := c.Spec(param)
	if want == "" {
		want = p.Want()
	}
	return c.Fail("for parameter %s: got %s, want %s", p.Name, got, want)
}

// Has reports whether a parameter was given, and not None.
func (c *Call) Has(param string) bool {
	v := c.Value(param)
	return v != nil && v != starlark.None
}

// Value is the argument of a parameter, or nil.
func (c *Call) Value(param string) starlark.Value { return c.vals[c.at(param)] }

// put makes a value the argument of a parameter: for words with several forms.
func (c *Call) put(param string, v starlark.Value) { c.vals[c.at(param)] = v }

// at is the position of a parameter, which the word has now read. It panics if the word has none of that name: then the
// word's entry and what it reads do not agree.
func (c *Call) at(param string) int {
	for i := range c.entry.Params {
		if c.entry.Params[i].Name == param {
			c.read |= 1 << i
			return i
		}
	}
	panic("builtins: the word " + c.entry.Name + " has no parameter " + param)
}

// Spec is what the word's entry says of a parameter.
func (c *Call) Spec(param string) *Param { return &c.entry.Params[c.at(param)] }

// Biggest is the largest number a script may give where it counts ticks, turns or the like.
const Biggest = 1 << 53

// Int reads a whole number of at least least.
func (c *Call) Int(param string, otherwise, least int64) int64 {
	if c.Err != nil || !c.Has(param) {
		return otherwise
	}
	n, ok := c.Value(param).(starlark.Int)
	if !ok {
		c.Bad(param, Show(c.Value(param)), "")
		return otherwise
	}
	v, ok := n.Int64()
	if !ok || v > Biggest {
		c.Bad(param, "a number too large", fmt.Sprintf("at most %d", int64(Biggest)))
		return otherwise
	}
	if v < least {
		c.Bad(param, Show(n), fmt.Sprintf("%s, at least %d", c.Spec(param).Want(), least))
		return otherwise
	}
	return v
}

// Small reads a whole number from least to the most that anything on a bench can be.
func (c *Call) Small(param string, otherwise, least int64) int {
	v := c.Int(param, otherwise, least)
	if v > engine.MaxTicks {
		c.Bad(param, Show(c.Value(param)), fmt.Sprintf("at most %d", engine.MaxTicks))
		return int(otherwise)
	}
	return int(v)
}

// Bool reads True or False.
func (c *Call) Bool(param string, otherwise bool) bool {
	if c.Err != nil || !c.Has(param) {
		return otherwise
	}
	b, ok := c.Value(param).(starlark.Bool)
	if !ok {
		c.Bad(param, Show(c.Value(param)), "")
	}
	return bool(b)
}

// Str reads a string, "" if none was given.
func (c *Call) Str(param string) string {
	if c.Err != nil || !c.Has(param) {
		return ""
	}
	s, ok := c.Value(param).(starlark.String)
	if !ok {
		c.Bad(param, Show(c.Value(param)), "")
	}
	return string(s)
}

// Choice reads one of the strings the parameter allows.
func (c *Call) Choice(param string, otherwise string) string {
	if c.Err != nil || !c.Has(param) {
		return otherwise
	}
	return c.choice(param, c.Value(param))
}

func (c *Call) choice(param string, v starlark.Value, more ...string) string {
	s, ok := v.(starlark.String)
	p := *c.Spec(param)
	p.Allowed = append(p.Allowed[:len(p.Allowed):len(p.Allowed)], more...)
	if ok {
		for _, a := range p.Allowed {
			if a == string(s) {
				return a
			}
		}
	}
	c.Bad(param, Show(v), p.Want()+say.DidYouMean(string(s), p.Allowed))
	return ""
}

// List reads what is given once or as a list: "lit", or ["lit", "dark"].
func (c *Call) List(param string) []starlark.Value {
	if c.Err != nil || !c.Has(param) {
		return nil
	}
	it, ok := c.Value(param).(*starlark.List)
	if !ok {
		return []starlark.Value{c.Value(param)}
	}
	vs := make([]starlark.Value, it.Len())
	for k := range vs {
		vs[k] = it.Index(k)
	}
	return vs
}

// Freeze freezes values that a parameter was given; c.Err says what cannot be.
func (c *Call) Freeze(param string, vs ...starlark.Value) {
	for n, v := range vs {
		if err := cmp.Or(c.Env.StoppedAt(n), hold.Until(c.Env.Stopped).Freeze(v)); err != nil {
			c.Fail("for parameter %s: %w", param, err)
			return
		}
	}
}
