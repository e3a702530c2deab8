package differ

import (
	"os"
	"strings"
	"testing"

	"pulsewright/builtins/say"
	"pulsewright/builtins/stage"
)

// TestDiffer runs testdata/differ.star, whose pieces check the values, and holds the stories that they print.
func TestDiffer(t *testing.T) {
	script, err := os.ReadFile("testdata/differ.star")
	if err != nil {
		t.Fatal(err)
	}
	var out strings.Builder
	for piece := range strings.SplitSeq(string(script), "\n---\n") {
		about, _, _ := strings.Cut(piece, "\n")
		s := stage.New()
		stage.InFolder(t, s)
		if err := stage.Session(t, s, piece); err != nil {
			t.Errorf("%s\n%v", about, err)
			continue
		}
		out.WriteString(about + "\n\n" + s.Printed.String() + "\n")
		for line := range strings.SplitSeq(s.Printed.String(), "\n") {
			if n := say.Columns(line); n > 80 {
				t.Errorf("%s\n%d columns wide: %s", about, n, line)
			}
		}
	}
	stage.Golden(t, "testdata/differ.txt", []byte(out.String()))
}
