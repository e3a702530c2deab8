package invent

import (
	"context"
	"os"
	"strings"
	"testing"

	"pulsewright/builtins"
	"pulsewright/builtins/say"
	"pulsewright/builtins/stage"

	"go.starlark.net/starlark"
)

// TestInvent runs testdata/*.star, whose pieces check the values, and holds the reports that they print.
func TestInvent(t *testing.T) {
	for _, name := range []string{"spare", "harden", "shrink", "search"} {
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
			text := shared + "\n" + piece
			s.Source = func(string) (string, bool) { return text, true }
			stage.InFolder(t, s)
			if err := stage.Session(t, s, text); err != nil {
				t.Errorf("%s: %s\n%v", name, about, err)
				continue
			}
			standsAlone(t, s)
			out.WriteString(about + "\n\n" + s.Printed.String() + "\n")
			for line := range strings.SplitSeq(s.Printed.String(), "\n") {
				if n := say.Columns(line); n > 100 && name != "shrink" && name != "search" { // of a script lines are as long as they are
					t.Errorf("%s: %s\n%d columns wide: %s", name, about, n, line)
				}
			}
		}
		stage.Golden(t, "testdata/"+name+".txt", []byte(out.String()))
	}
}

// checks are what is asked of a script that stands alone. What a search finds holds as the box lies, in the neighbour order it was searched in; laid another
// way it is surveyed, and may fail there.
var checks = map[string]string{
	"shrink": "\nexpect(survey(smaller, runs=300).n == None)\n",
	"search": "\nrig = build(frame())\nfor n in found.over + found.over:\n    send(rig, n)\n    run()\n    expect_equal(read(rig), n)\nexpect(survey(found, rules=rules(), runs=4000).runs > 0)\n",
}

// standsAlone runs the script of what was shrunk or found last in a world of its own, and surveys what it tells.
func standsAlone(t *testing.T, s *stage.Scene) {
	r, ok := s.Names["r"].(*builtins.Report)
	if !ok || r.Name != "shrink" && r.Name != "search" {
		return
	}
	script := string(r.Fields["script"].(starlark.String))
	if script == "" {
		t.Error("no script")
	}
	if err := stage.TryAlone(context.Background(), script+checks[r.Name]); err != nil {
		t.Errorf("%s\n%v", script, builtins.Message(err))
	}
}
