package lang

import (
	"pulsewright/builtins"
	"pulsewright/builtins/hold"

	"go.starlark.net/starlark"
	"go.starlark.net/syntax"
)

// Two things of the language make texts of values and are no words that could be guarded: t % v, and the method t.format. So in the tree of a
// program t % v becomes t % shallow(v), and t.format becomes text(t).format, by names that no script can write.

const (
	shallowName = hidden + "shallow"
	textName    = hidden + "text"
)

// lookFirst changes a tree so that what is to become part of a text is looked at first: what lies too deep in another value cannot be written.
func lookFirst(f *syntax.File) {
	syntax.Walk(f, func(n syntax.Node) bool {
		switch n := n.(type) {
		case *syntax.BinaryExpr:
			if n.Op == syntax.PERCENT && !number(n.X) && !number(n.Y) {
				n.Y = called(shallowName, n.Y, n.OpPos)
			}
		case *syntax.AssignStmt:
			if n.Op == syntax.PERCENT_EQ && !number(n.RHS) {
				n.RHS = called(shallowName, n.RHS, n.OpPos)
			}
		case *syntax.DotExpr:
			if n.Name.Name == "format" {
				n.X = called(textName, n.X, n.Dot)
			}
		}
		return true
	})
}

// number reports whether an expression is a number as written.
func number(e syntax.Expr) bool {
	l, ok := e.(*syntax.Literal)
	return ok && (l.Token == syntax.INT || l.Token == syntax.FLOAT)
}

// called is the call of one of our words.
func called(name string, arg syntax.Expr, at syntax.Position) syntax.Expr {
	return &syntax.CallExpr{Fn: &syntax.Ident{NamePos: at, Name: name}, Lparen: at, Args: []syntax.Expr{arg}, Rparen: at}
}

// guardTexts adds the words that lookFirst has a program call, and has getattr give the same method.
func guardTexts(d starlark.StringDict) {
	d[shallowName] = starlark.NewBuiltin(shallowName, func(thread *starlark.Thread, _ *starlark.Builtin, args starlark.Tuple, _ []starlark.Tuple) (starlark.Value, error) {
		return args[0], checkDepth(thread, args[0])
	})
	d[textName] = starlark.NewBuiltin(textName, func(_ *starlark.Thread, _ *starlark.Builtin, args starlark.Tuple, _ []starlark.Tuple) (starlark.Value, error) {
		if t, ok := args[0].(starlark.String); ok {
			return textToFormat(t), nil
		}
		return args[0], nil
	})
	getattr := starlark.Universe["getattr"].(*starlark.Builtin)
	d["getattr"] = starlark.NewBuiltin("getattr", func(thread *starlark.Thread, _ *starlark.Builtin, args starlark.Tuple, kwargs []starlark.Tuple) (starlark.Value, error) {
		if t, ok := first(args).(starlark.String); ok && len(args) > 1 && args[1] == starlark.String("format") {
			return textToFormat(t).Attr("format")
		}
		return getattr.CallInternal(thread, args, kwargs)
	})
}

func first(args starlark.Tuple) starlark.Value {
	if len(args) == 0 {
		return nil
	}
	return args[0]
}

// textToFormat is a text of which the method format looks at its arguments first. No script gets hold of it.
type textToFormat starlark.String

var _ starlark.HasAttrs = textToFormat("")

func (t textToFormat) String() string        { return string(t) }
func (textToFormat) Type() string            { return "string" }
func (textToFormat) Freeze()                 {}
func (t textToFormat) Truth() starlark.Bool  { return t != "" }
func (t textToFormat) Hash() (uint32, error) { return starlark.String(t).Hash() }
func (t textToFormat) AttrNames() []string   { return starlark.String(t).AttrNames() }

func (t textToFormat) Attr(name string) (starlark.Value, error) {
	v, err := starlark.String(t).Attr(name)
	format, ok := v.(*starlark.Builtin)
	if !ok {
		return v, err
	}
	return starlark.NewBuiltin(name, func(thread *starlark.Thread, _ *starlark.Builtin, args starlark.Tuple, kwargs []starlark.Tuple) (starlark.Value, error) {
		for _, a := range args {
			if err := checkDepth(thread, a); err != nil {
				return nil, err
			}
		}
		for _, a := range kwargs {
			if err := checkDepth(thread, a[1]); err != nil {
				return nil, err
			}
		}
		return format.CallInternal(thread, args, kwargs)
	}).BindReceiver(starlark.String(t)), nil
}

// checkDepth is hold.CheckDepth, for as long as nobody has asked the thread to stop.
func checkDepth(thread *starlark.Thread, v starlark.Value) error {
	if hold.Plain(v) {
		return nil
	}
	return until(thread).CheckDepth(v)
}

// until is what says that a thread is to stop.
func until(thread *starlark.Thread) hold.Until {
	if e := builtins.Of(thread); e != nil {
		return e.Stopped
	}
	return nil
}
