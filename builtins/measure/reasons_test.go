package measure

import (
	"path/filepath"
	"strings"
	"testing"

	"pulsewright/builtins/stage"

	"os"
)

// TestReasonsGolden: what is said where something cannot be told or is worth nothing is as it was, word for word; so is all that is written.
func TestReasonsGolden(t *testing.T) {
	src, err := os.ReadFile("testdata/reasons.star")
	if err != nil {
		t.Fatal(err)
	}
	s := stage.New()
	dir := stage.InFolder(t, s)
	stage.MustSession(t, s, string(src))
	var lines []string
	for l := range strings.Lines(s.Printed.String()) {
		lines = append(lines, strings.TrimRight(l, " \n"))
	}
	stage.Golden(t, "testdata/reasons.txt", []byte(strings.Join(lines, "\n")+"\n"))
	for _, name := range []string{"written.csv", "written.json", "written.svg", "written.html"} {
		got, err := os.ReadFile(filepath.Join(dir, name))
		if err != nil {
			t.Fatal(err)
		}
		stage.Golden(t, filepath.Join("testdata", name), got)
	}
}

// TestReasons: what only a large machine comes to, or one of which no size can be built.
func TestReasons(t *testing.T) {
	if got := (&recovered{anew: true}).why(); got != "the rig keeps values that change, so that the state of the bench does not tell all" {
		t.Error(got)
	}
	if got := (&recovered{alone: make([]alone, 20)}).why(); got != "at this gap or a longer one the machine has more than 80 states when a number is sent" {
		t.Error(got)
	}
	s := series{fail: "size 1: fail: there is no room"}
	if got := s.slices(nil)[0].how; got != "too few sizes can be built: size 1: fail: there is no room" {
		t.Error(got)
	}
}
