package lang

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// TestSavedKinds: a bench with kinds of a script's own is saved as a sketch, and a conversation with them as its commands; either script runs alone and
// leaves the same bench.
func TestSavedKinds(t *testing.T) {
	dir := t.TempDir()
	session := func() (*Session, *bytes.Buffer) {
		var out bytes.Buffer
		s, err := New(Config{Out: &out, Err: &out, Dir: dir, Seed: 1})
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { s.Close() })
		return s, &out
	}
	const conversation = `0.0 » load("lib/kinds.star", "divider")
0.0 » far = 2
0.0 » def falls(state, live, told): return ("saw" if live.far_back else "waits") if far == 2 else None
  : » 
0.0 » tower = kind("tower", ["waits", "saw"], falls, pads=["far_back"], then={"saw": 3}, letter="y")
0.0 » k = key((0, 0), name="quay", hold=1); k2 = key((5, 0))
0.0 » t = tower((2, 0), "+x", state="saw"); u = tower((2, 2), "+y"); d = divider((1, 0), "+x")
0.0 » patch(k, u)
0.0 » save("said.star")
0.0 » save("stands.star", sketch=True)
`
	screen := play(t, conversation, dir)
	if !strings.Contains(screen, "wrote stands.star: a sketch of 5 parts, posed as they stand") {
		t.Fatal(screen)
	}
	var events []string
	for _, file := range []string{"said.star", "stands.star"} {
		s, out := session()
		if err := s.ExecFile(t.Context(), filepath.Join(dir, file), nil); err != nil {
			text, _ := os.ReadFile(filepath.Join(dir, file))
			t.Fatalf("%s: %v\n%s\n%s", file, err, out, text)
		}
		if err := s.Exec(t.Context(), "ask", `press("quay"); press("quay", at=6); run()
print("<<<", [(e.part.at, e.part.kind, e.what, str(e.at)) for e in events()])`); err != nil {
			t.Fatal(err)
		}
		_, got, _ := strings.Cut(out.String(), "<<<")
		events = append(events, got)
		if !strings.Contains(got, `((2, 0), "tower", "waits", "3.0.0")`) || !strings.Contains(got, `((1, 0), "divider"`) {
			t.Errorf("%s: %s", file, out)
		}
	}
	if events[0] != events[1] {
		t.Errorf("they do not do the same:\n%s%s", events[0], events[1])
	}
	// Told once more in the same way, as when the line is recalled, it is the same kind.
	screen = play(t, conversation[:strings.Index(conversation, "0.0 » save")]+`0.0 » tower = kind("tower", ["waits", "saw"], falls, pads=["far_back"], then={"saw": 3}, letter="y")
0.0 » tower((9, 9), "+x")
0.0 » save("again.star", sketch=True)
`, dir)
	if !strings.Contains(screen, "wrote again.star: a sketch of 6 parts") {
		t.Error(screen)
	}
	screen = play(t, conversation[:strings.Index(conversation, "0.0 » save")]+"0.0 » far = 3\n0.0 » save(\"later.star\", sketch=True)\n", dir)
	if !strings.Contains(screen, "the kind tower: what its function reaches by name has changed since it was told") {
		t.Error(screen)
	}
}
