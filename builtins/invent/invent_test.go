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
			texts := map[string]string{}
			s.Remember = func(file, text string) { texts[file] = text }
			s.Source = func(file string) (string, bool) {
				if made, ok := texts[file]; ok {
					return made, true
				}
				return text, true
			}
			stage.InFolder(t, s)
			reports := s.Collect(name)
			if err := stage.Session(t, s, text); err != nil {
				t.Errorf("%s: %s\n%v", name, about, err)
				continue
			}
			for _, r := range *reports {
				standsAlone(t, r)
			}
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
	"shrink": "\nexpect(survey(smaller, runs=100).n == None)\n",
	"search": "\nrig = build(frame())\nfor n in found.over + found.over:\n    send(rig, n)\n    run()\n    expect_equal(read(rig), n)\nexpect(survey(found, rules=rules(), runs=400).runs > 0)\n",
}

// standsAlone runs the script of what was shrunk or found in a world of its own, and surveys what it tells.
func standsAlone(t *testing.T, r *builtins.Report) {
	if r.Name != "shrink" && r.Name != "search" {
		return
	}
	script := string(r.Fields["script"].(starlark.String))
	check := checks[r.Name]
	switch {
	case script == "" && r.Fields["sketch"] == starlark.String(""):
		return // nothing was found
	case script == "":
		t.Errorf("no script of\n%v", r)
		return
	case r.Name == "search" && !strings.Contains(script, "\nfound = design("):
		check = tellsApart
	}
	if err := stage.TryAlone(context.Background(), script+check); err != nil {
		t.Errorf("%s\n%v", script, builtins.Message(err))
	}
}

// tellsApart checks a machine from which nothing comes out: every number sets off other parts.
const tellsApart = `
rig = build(frame())
seen = []
for n in NUMBERS:
    before = len(events())
    send(rig, n)
    run()
    acts = sorted({str(e.cell): None for e in events()[before:] if e.what in ("on", "out", "lit") and e.part}.keys())
    expect(acts not in seen, "%d sets off no others" % n)
    seen.append(acts)
`
