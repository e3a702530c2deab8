package lang

import (
	"fmt"

	"go.starlark.net/starlark"
	"go.starlark.net/syntax"
)

// A program is run one top-level statement at a time, each compiled on its own against the
// session's names, so that a conversation and a file are the same thing: a function sees
// the names as they are when it is called, whoever assigned them since.
//
// The interpreter would make a name that a statement assigns a variable of that statement.
// So assignments at the top level are turned into stores in the session's names before
// they are compiled: n += 1 becomes store["n"] += 1, where store is a name that no script
// can write. Only a def keeps its own name, which is copied when its statement is done.

const (
	hidden    = "·" // begins names that no script can write: it is no letter of the language
	storeName = hidden + "names"
	shownName = hidden + "shown" // the value of a bare expression
)

// store is what assignments at the top level write to.
type store struct{ names *names }

var (
	_ starlark.HasSetKey = store{}
)

func (store) String() string        { return "names" }
func (store) Type() string          { return "names" }
func (store) Freeze()               {}
func (store) Truth() starlark.Bool  { return true }
func (store) Hash() (uint32, error) { return 0, fmt.Errorf("unhashable") }

// Get is the reading half of n += 1.
func (s store) Get(k starlark.Value) (starlark.Value, bool, error) {
	name := string(k.(starlark.String))
	if v, ok := s.names.live[name]; ok {
		return v, true, nil
	}
	return nil, false, unset(name)
}

func (s store) SetKey(k, v starlark.Value) error {
	s.names.set(string(k.(starlark.String)), v)
	return nil
}

func unset(name string) error { return fmt.Errorf("%s is used before it has a value", name) }

// index returns the expression store[name], at the place of the name.
func index(name string, at syntax.Position) *syntax.IndexExpr {
	return &syntax.IndexExpr{
		X:      &syntax.Ident{NamePos: at, Name: storeName},
		Lbrack: at,
		Y:      &syntax.Literal{Token: syntax.STRING, TokenPos: at, Raw: fmt.Sprintf("%q", name), Value: name},
		Rbrack: at,
	}
}

// redirect turns what a top-level statement assigns into stores. Bodies of functions are their own.
func redirect(stmts []syntax.Stmt) {
	for _, stmt := range stmts {
		switch s := stmt.(type) {
		case *syntax.AssignStmt:
			s.LHS = target(s.LHS)
		case *syntax.ForStmt:
			s.Vars = target(s.Vars)
			redirect(s.Body)
		case *syntax.WhileStmt:
			redirect(s.Body)
		case *syntax.IfStmt:
			redirect(s.True)
			redirect(s.False)
		}
	}
}

func target(e syntax.Expr) syntax.Expr {
	switch e := e.(type) {
	case *syntax.Ident:
		return index(e.Name, e.NamePos)
	case *syntax.ParenExpr:
		e.X = target(e.X)
	case *syntax.TupleExpr:
		for i := range e.List {
			e.List[i] = target(e.List[i])
		}
	case *syntax.ListExpr:
		for i := range e.List {
			e.List[i] = target(e.List[i])
		}
	}
	return e
}
