package lang

import (
	"go/ast"
	"go/parser"
	gotoken "go/token"
	"io/fs"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"pulsewright/builtins"
)

// TestParameterNames: wherever a word reads an argument by a name written out, or complains about it, some word has a parameter of that name; also
// where no test comes by. (That it is the word's own is found when the line runs: the call panics.)
func TestParameterNames(t *testing.T) {
	known := map[string]bool{}
	for _, e := range builtins.Entries() {
		for _, p := range e.Params {
			known[p.Name] = true
		}
	}
	files := map[string]*ast.File{}
	set := gotoken.NewFileSet()
	err := filepath.WalkDir("../builtins", func(path string, d fs.DirEntry, err error) error {
		if err == nil && strings.HasSuffix(path, ".go") && !strings.HasSuffix(path, "_test.go") {
			files[path], err = parser.ParseFile(set, path, nil, 0)
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	reads := map[string]bool{} // the methods of a call whose first argument is the name of a parameter
	for _, f := range files {
		for _, d := range f.Decls {
			m, ok := d.(*ast.FuncDecl)
			if !ok || m.Recv == nil || len(m.Type.Params.List) == 0 || len(m.Type.Params.List[0].Names) == 0 {
				continue
			}
			if star, ok := m.Recv.List[0].Type.(*ast.StarExpr); ok && m.Type.Params.List[0].Names[0].Name == "param" {
				if of, ok := star.X.(*ast.Ident); ok && of.Name == "Call" {
					reads[m.Name.Name] = true
				}
			}
		}
	}
	seen := 0
	for _, f := range files {
		ast.Inspect(f, func(n ast.Node) bool {
			call, ok := n.(*ast.CallExpr)
			if !ok || len(call.Args) == 0 {
				return true
			}
			method, ok := call.Fun.(*ast.SelectorExpr)
			lit, written := call.Args[0].(*ast.BasicLit)
			if !ok || !written || !reads[method.Sel.Name] {
				return true
			}
			if on, ok := method.X.(*ast.Ident); !ok || on.Name != "c" {
				return true
			}
			seen++
			if name, err := strconv.Unquote(lit.Value); err != nil || !known[name] {
				t.Errorf("%v: no word has a parameter %s", set.Position(lit.Pos()), lit.Value)
			}
			return true
		})
	}
	if len(reads) < 20 || seen < 200 {
		t.Errorf("only %d places that read by %d methods were found", seen, len(reads))
	}
}
