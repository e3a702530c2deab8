package lang

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"pulsewright/builtins/picture"
)

// TestSavedSketch: a script that save(sketch=True) wrote runs to the same bench, also after a run; what is under way is refused.
func TestSavedSketch(t *testing.T) {
	dir := t.TempDir()
	var typed bytes.Buffer
	s := newSession(t, Config{Out: &typed, Err: &typed, Dir: dir})
	for _, src := range []string{
		"rules(reach=9, news=\"lifo\")",
		"k = key((0, 0), name=\"quay\")\nwire((1, 0), (4, 0), name=\"line\")\nlink((2, 1), \"+y\", name=\"E1\")\nlink((3, 1), \"-z\", far=\"+x\")",
		"shuttle((5, 0), \"+x\", slug=\"feed\")\ng = gate(op=\"xor\", name=\"adder\")\npatch(k, g, invert=True)",
		"press(k)\nrun()",
		"save(\"a.star\", sketch=True)",
	} {
		if err := s.Command(context.Background(), src+"\n"); err != nil {
			t.Fatal(err)
		}
	}
	if !strings.Contains(typed.String(), "wrote a.star: a sketch of 9 parts, posed as they stand") {
		t.Error(typed.String())
	}
	script, err := os.ReadFile(filepath.Join(dir, "a.star"))
	if err != nil {
		t.Fatal(err)
	}
	again := newSession(t, Config{})
	if err := again.Exec(context.Background(), "a.star", string(script)); err != nil {
		t.Fatal(err)
	}
	want, _ := picture.MapText(s.env)
	got, _ := picture.MapText(again.env)
	if got != want || again.env.Bench.Rules() != s.env.Bench.Rules() {
		t.Errorf("%s\nruns to\n%s\nwant\n%s", script, got, want)
	}
	if err := s.Command(context.Background(), "fire((9, 9), 3)\nstep()"); err != nil {
		t.Fatal(err)
	}
	err = s.Command(context.Background(), "save(\"b.star\", sketch=True)")
	if err == nil || !strings.Contains(err.Error(), "'*': the cell is forced; a sketch places a bench at rest, and cannot place this") {
		t.Errorf("got %v, want it refused", err)
	}
	if _, err := os.Stat(filepath.Join(dir, "b.star")); err == nil {
		t.Error("b.star was written")
	}
}
