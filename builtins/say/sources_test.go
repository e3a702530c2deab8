package say

import (
	"go/scanner"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/mattn/go-runewidth"
)

// TestNoAmbiguousSigns: no text that a word can print has a sign that is two columns wide in some terminals. SVG goes to no terminal.
func TestNoAmbiguousSigns(t *testing.T) {
	texts := 0
	err := filepath.WalkDir("..", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") || strings.Contains(path, "svg") {
			return err
		}
		src, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		var s scanner.Scanner
		files := token.NewFileSet()
		s.Init(files.AddFile(path, -1, len(src)), src, nil, 0)
		for {
			pos, tok, lit := s.Scan()
			switch tok {
			case token.EOF:
				return nil
			case token.STRING, token.CHAR:
				texts++
				if strings.ContainsFunc(lit, runewidth.IsAmbiguousWidth) {
					t.Errorf("%v: %s", files.Position(pos), lit)
				}
			}
		}
	})
	if err != nil || texts < 1000 {
		t.Errorf("%d texts, %v", texts, err)
	}
}
