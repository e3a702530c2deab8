package expand

import (
	"pulsewright/builtins/stage"

	"os"
	"strings"
	"testing"
)

// TestExpandableGolden: what expandable says is as it was, word for word.
func TestExpandableGolden(t *testing.T) {
	src, err := os.ReadFile("testdata/texts.star")
	if err != nil {
		t.Fatal(err)
	}
	s := stage.New()
	stage.MustSession(t, s, string(src))
	var lines []string
	for l := range strings.Lines(s.Printed.String()) {
		lines = append(lines, strings.TrimRight(l, " \n"))
	}
	stage.Golden(t, "testdata/texts.txt", []byte(strings.Join(lines, "\n")+"\n"))
}
