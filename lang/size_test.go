package lang

import (
	"bytes"
	"fmt"
	"go/ast"
	"go/parser"
	gotoken "go/token"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

const (
	mostLines    = 400 // of a file
	mostFunction = 80  // lines of a function, from func to its last brace
	mostPackage  = 6000
	mostEngine   = 8000 // it grows by kinds of part
)

// longer are the functions that may be longer, each with the reason.
var longer = map[string]string{
	"engine.runActs": "the hot loop: cut into pieces it would fetch from memory, for each act, what it holds in registers",
}

// TestSizes: packages, files and functions are short enough to be read. Tests may be longer.
func TestSizes(t *testing.T) {
	used, packages := map[string]bool{}, map[string]int{}
	files := 0
	err := filepath.WalkDir("..", func(path string, d fs.DirEntry, err error) error {
		switch {
		case err != nil:
			return err
		case d.IsDir() && strings.HasPrefix(d.Name(), ".") && d.Name() != "..":
			return filepath.SkipDir
		case d.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go"):
			return nil
		}
		files++
		text, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		packages[filepath.Dir(path)] += bytes.Count(text, []byte("\n"))
		for _, f := range tooLong(t, path, text) {
			if longer[f.name] == "" {
				t.Errorf("%s: %s has %d lines, want at most %d; cut it where its meaning has a joint", path, f.name, f.lines, f.most)
			}
			used[f.name] = true
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	for dir, lines := range packages {
		most := mostPackage
		if filepath.Base(dir) == "engine" {
			most = mostEngine
		}
		if lines > most {
			t.Errorf("%s has %d lines without tests, want at most %d; let out a room", dir, lines, most)
		}
	}
	if files < 100 {
		t.Errorf("only %d files seen", files)
	}
	for name := range longer {
		if !used[name] {
			t.Errorf("%s is short enough, or gone: take it out of the list", name)
		}
	}
}

// size is a file or function that is too long.
type size struct {
	name        string
	lines, most int
}

// tooLong lists what is too long in a file: the file itself, and its functions, named for their package's folder.
func tooLong(t *testing.T, path string, text []byte) (long []size) {
	t.Helper()
	dir, _ := filepath.Rel("..", filepath.Dir(path))
	if n := bytes.Count(text, []byte("\n")); n > mostLines {
		long = append(long, size{filepath.Base(path), n, mostLines})
	}
	files := gotoken.NewFileSet()
	parsed, err := parser.ParseFile(files, path, text, 0)
	if err != nil {
		t.Fatal(err)
	}
	for _, decl := range parsed.Decls {
		if f, ok := decl.(*ast.FuncDecl); ok {
			if n := files.Position(f.End()).Line - files.Position(f.Pos()).Line + 1; n > mostFunction {
				long = append(long, size{filepath.ToSlash(dir) + "." + f.Name.Name, n, mostFunction})
			}
		}
	}
	return long
}

// TestTooLong: the test above sees what is too long.
func TestTooLong(t *testing.T) {
	lines := strings.Repeat("\t_ = 0\n", mostFunction-2)
	text := "package p\n\nfunc fits() {\n" + lines + "}\n\nfunc long() {\n" + lines + "\n}\n"
	if got := fmt.Sprint(tooLong(t, "../p/x.go", []byte(text))); got != "[{p.long 81 80}]" {
		t.Errorf("too long are %v", got)
	}
	text += strings.Repeat("\n", mostLines)
	if got := len(tooLong(t, "../p/x.go", []byte(text))); got != 2 {
		t.Errorf("%d are too long, want the file as well", got)
	}
}
