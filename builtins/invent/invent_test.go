package invent

import (
	"os"
	"strings"
	"testing"

	"pulsewright/builtins/say"
	"pulsewright/builtins/stage"
)

// TestInvent runs testdata/*.star, whose pieces check the values, and holds the reports that they print.
func TestInvent(t *testing.T) {
	for _, name := range []string{"spare", "harden"} {
		script, err := os.ReadFile("testdata/" + name + ".star")
		if err != nil {
			t.Fatal(err)
		}
		shared, pieces, _ := strings.Cut(string(script), "\n===\n")
		var out strings.Builder
		for piece := range strings.SplitSeq(pieces, "\n---\n") {
			about, _, _ := strings.Cut(piece, "\n")
			s := stage.New()
			s.Workers = 2
			stage.InFolder(t, s)
			if err := stage.Session(t, s, shared+"\n"+piece); err != nil {
				t.Errorf("%s: %s\n%v", name, about, err)
				continue
			}
			out.WriteString(about + "\n\n" + s.Printed.String() + "\n")
			for line := range strings.SplitSeq(s.Printed.String(), "\n") {
				if n := say.Columns(line); n > 100 {
					t.Errorf("%s: %s\n%d columns wide: %s", name, about, n, line)
				}
			}
		}
		stage.Golden(t, "testdata/"+name+".txt", []byte(out.String()))
	}
}
