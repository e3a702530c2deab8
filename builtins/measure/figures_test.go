package measure

import (
	"pulsewright/builtins/stage"

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
	s := stage.New()
	stage.MustSession(t, s, string(src))
	var lines []string
	surveyed := false // what surveys say has tests of its own
	for l := range strings.Lines(s.Printed.String()) {
		if strings.HasPrefix(l, "## ") {
			surveyed = strings.HasPrefix(l, "## Where it holds")
		}
		if !surveyed {
			lines = append(lines, strings.TrimRight(l, " \n"))
		}
	}
	stage.Golden(t, "testdata/figures.txt", []byte(strings.Join(lines, "\n")+"\n"))
}
