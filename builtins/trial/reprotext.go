package trial

import (
	"slices"
	"strings"

	"go.starlark.net/resolve"
	"go.starlark.net/syntax"
)

// scriptDialect is the dialect of the sessions, of the scripts whose text is read here.
var scriptDialect = &syntax.FileOptions{Set: true, While: true, TopLevelControl: true, GlobalReassign: true, Recursion: true, LoadBindsGlobally: true}

// functionText is the text of a function, in which names can be replaced.
type functionText struct {
	node   syntax.Node // *syntax.DefStmt or *syntax.LambdaExpr
	params []syntax.Expr
	own    map[string]bool // names it binds itself
	lines  [][]rune        // from its first to its last line
	puts   []put
}

// put is a piece of the text that is replaced.
type put struct {
	from, to syntax.Position
	text     string
}

// newFunctionText finds the function at a place of a resolved file; nil: there is none.
func newFunctionText(tree *syntax.File, src string, at syntax.Position) *functionText {
	t := &functionText{own: map[string]bool{}}
	syntax.Walk(tree, func(n syntax.Node) bool {
		switch n := n.(type) {
		case *syntax.DefStmt:
			if samePlace(n.Def, at) || samePlace(n.Name.NamePos, at) {
				t.node, t.params = n, n.Params
			}
		case *syntax.LambdaExpr:
			if samePlace(n.Lambda, at) {
				t.node, t.params = n, n.Params
			}
		}
		return t.node == nil
	})
	if t.node == nil {
		return nil
	}
	from, to := t.span()
	lines := strings.Split(src, "\n")
	for _, l := range lines[from.Line-1 : to.Line] {
		t.lines = append(t.lines, []rune(l))
	}
	return t
}

// span is from where to where the function stands; endOf says why not its own Span.
func (t *functionText) span() (from, to syntax.Position) {
	from, _ = t.node.Span()
	if def, ok := t.node.(*syntax.DefStmt); ok {
		return from, lastLine(def.Body)
	}
	return from, endOf(t.node)
}

// lastLine is somewhere in the last line of a block.
func lastLine(body []syntax.Stmt) syntax.Position {
	_, end := body[len(body)-1].Span()
	return end
}

// endOf is where an expression ends. The parser's own Span leaves out the bracket that closes an index, a slice or a tuple.
func endOf(n syntax.Node) syntax.Position {
	after := func(p syntax.Position) syntax.Position {
		p.Col++
		return p
	}
	switch n := n.(type) {
	case *syntax.IndexExpr:
		return after(n.Rbrack)
	case *syntax.SliceExpr:
		return after(n.Rbrack)
	case *syntax.TupleExpr:
		if n.Lparen.IsValid() {
			return after(n.Rparen)
		}
		return endOf(n.List[len(n.List)-1])
	case *syntax.BinaryExpr:
		return endOf(n.Y)
	case *syntax.UnaryExpr:
		if n.X != nil {
			return endOf(n.X)
		}
	case *syntax.CondExpr:
		return endOf(n.False)
	case *syntax.LambdaExpr:
		return endOf(n.Body)
	}
	_, end := n.Span()
	return end
}

// outer tells of every name in the function's body that the function does not bind: what was bound outside when it was made, or is
// looked up when it runs. Defaults of its own parameters are not in its body.
func (t *functionText) outer(tell func(*syntax.Ident)) {
	var used []*syntax.Ident
	visit := func(n syntax.Node) bool {
		id, ok := n.(*syntax.Ident)
		if !ok || id.Binding == nil {
			return true // of a name behind a dot or of a named argument nothing is bound
		}
		used = append(used, id)
		return true
	}
	var fn *resolve.Function
	switch n := t.node.(type) {
	case *syntax.DefStmt:
		fn, _ = n.Function.(*resolve.Function)
		for _, s := range n.Body {
			syntax.Walk(s, visit)
		}
	case *syntax.LambdaExpr:
		fn, _ = n.Function.(*resolve.Function)
		syntax.Walk(n.Body, visit)
	}
	free := map[*syntax.Ident]bool{} // what the function has from the functions around it, by where that is bound
	if fn != nil {
		for _, b := range fn.FreeVars {
			free[b.First] = true
		}
		for _, b := range fn.Locals {
			t.own[b.First.Name] = true
		}
	}
	var outer []*syntax.Ident
	for _, id := range used {
		switch b := id.Binding.(*resolve.Binding); b.Scope {
		case resolve.Global, resolve.Predeclared, resolve.Universal, resolve.Undefined:
			outer = append(outer, id)
		case resolve.Free:
			if free[b.First] {
				outer = append(outer, id)
			} else {
				t.own[id.Name] = true
			}
		default:
			t.own[id.Name] = true
		}
	}
	for _, id := range outer {
		tell(id)
	}
}

// put replaces an expression.
func (t *functionText) put(e syntax.Expr, text string) {
	from, _ := e.Span()
	t.puts = append(t.puts, put{from, endOf(e), text})
}

// String is the text at the margin, with everything put in.
func (t *functionText) String() string {
	from, to := t.span()
	lines := slices.Clone(t.lines)
	indent := ""
	if _, ok := t.node.(*syntax.DefStmt); ok {
		indent = string(lines[0][:from.Col-1])
	} else {
		last := len(lines) - 1
		lines[last] = lines[last][:to.Col-1]
	}
	slices.SortFunc(t.puts, func(a, b put) int {
		if a.from.Line != b.from.Line {
			return int(b.from.Line - a.from.Line)
		}
		return int(b.from.Col - a.from.Col)
	})
	for _, p := range t.puts { // from the last to the first, so that places stay what they are
		i, j := p.from.Line-from.Line, p.to.Line-from.Line
		line := append(slices.Clone(lines[i][:p.from.Col-1]), []rune(p.text)...)
		line = append(line, lines[j][p.to.Col-1:]...)
		lines[i] = line
		for k := i + 1; k <= j; k++ {
			lines[k] = nil // a default over several lines: empty lines mean nothing between brackets
		}
	}
	quoted := t.quotedLines()
	var b strings.Builder
	for i, l := range lines {
		s := string(l)
		switch {
		case i == 0:
			s = string(l[from.Col-1:])
		case !quoted[int32(i)+from.Line]:
			s = "\n" + strings.TrimPrefix(s, indent)
		default:
			s = "\n" + s
		}
		b.WriteString(s)
	}
	return strings.TrimRight(b.String(), " \t")
}

// quotedLines are the lines that begin inside a string: what they begin with is part of it.
func (t *functionText) quotedLines() map[int32]bool {
	quoted := map[int32]bool{}
	syntax.Walk(t.node, func(n syntax.Node) bool {
		if l, ok := n.(*syntax.Literal); ok {
			for k := range strings.Count(l.Raw, "\n") {
				quoted[l.TokenPos.Line+int32(k)+1] = true
			}
		}
		return true
	})
	return quoted
}

// paragraph is the statement that begins in a line of a text: of a conversation, in which not every line could be read.
func paragraph(src string, line int) syntax.FilePortion {
	lines := strings.Split(src, "\n")
	if line < 1 || line > len(lines) {
		return syntax.FilePortion{}
	}
	end := line
	for end < len(lines) && (strings.TrimSpace(lines[end]) == "" || lines[end][0] == ' ' || lines[end][0] == '\t' || lines[end][0] == ')') {
		end++
	}
	return syntax.FilePortion{Content: []byte(strings.Join(lines[line-1:end], "\n")), FirstLine: int32(line), FirstCol: 1}
}

func samePlace(a, b syntax.Position) bool { return a.Line == b.Line && a.Col == b.Col }
