package builtins

import (
	"os"
	"strings"
	"testing"
)

// TestFiguresGolden: what sweeps, comparisons and data sheets say is as it was, word for word.
func TestFiguresGolden(t *testing.T) {
	src, err := os.ReadFile("testdata/figures.star")
	if err != nil {
		t.Fatal(err)
	}
	s := newScene()
	mustSession(t, s, string(src))
	var lines []string
	surveyed := false // what surveys say has tests of its own
	for l := range strings.Lines(s.out.String()) {
		if strings.HasPrefix(l, "## ") {
			surveyed = strings.HasPrefix(l, "## Where it holds")
		}
		if !surveyed {
			lines = append(lines, strings.TrimRight(l, " \n"))
		}
	}
	golden(t, "testdata/figures.txt", []byte(strings.Join(lines, "\n")+"\n"))
}
