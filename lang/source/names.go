package source

import "go.starlark.net/syntax"

// Bound collects the names that statements bind at the top level.
func Bound(stmts []syntax.Stmt, into map[string]bool) {
	Targets(stmts, func(id *syntax.Ident) { into[id.Name] = true })
}

// Targets tells of every name at the places where statements bind it at the top level.
func Targets(stmts []syntax.Stmt, tell func(*syntax.Ident)) {
	var names func(e syntax.Expr)
	names = func(e syntax.Expr) {
		switch e := e.(type) {
		case *syntax.Ident:
			tell(e)
		case *syntax.ParenExpr:
			names(e.X)
		case *syntax.TupleExpr:
			for _, x := range e.List {
				names(x)
			}
		case *syntax.ListExpr:
			for _, x := range e.List {
				names(x)
			}
		}
	}
	for _, stmt := range stmts {
		switch s := stmt.(type) {
		case *syntax.AssignStmt:
			names(s.LHS)
		case *syntax.DefStmt:
			tell(s.Name)
		case *syntax.LoadStmt:
			for _, id := range s.To {
				tell(id)
			}
		case *syntax.ForStmt:
			names(s.Vars)
			Targets(s.Body, tell)
		case *syntax.WhileStmt:
			Targets(s.Body, tell)
		case *syntax.IfStmt:
			Targets(s.True, tell)
			Targets(s.False, tell)
		}
	}
}

// Mentions reports whether a name is read anywhere in a file.
func Mentions(f *syntax.File, name string) (yes bool) {
	syntax.Walk(f, func(n syntax.Node) bool {
		if id, ok := n.(*syntax.Ident); ok && id.Name == name {
			yes = true
		}
		return !yes
	})
	return yes
}
