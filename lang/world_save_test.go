package lang

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// TestWorldSaves: a world is written as a script that stands alone, kinds and all that their functions need with it; loaded elsewhere it is the same world,
// and its parts do the same.
func TestWorldSaves(t *testing.T) {
	dir, other := t.TempDir(), t.TempDir()
	const story = `
fresh(w)
s = w.kinds[0]((1, 0), "-x", name="watch")
k = key((0, 0), hold=2)
press(k)
run()
story = str([(str(e.at), e.what) for e in events(s)])
`
	tell := func(t *testing.T, dir, script string) string {
		t.Helper()
		var out bytes.Buffer
		s, err := New(Config{Out: &out, Err: &out, Dir: dir, Seed: 1})
		if err != nil {
			t.Fatal(err)
		}
		defer s.Close()
		main := filepath.Join(dir, "main.star")
		if err := os.WriteFile(main, []byte(script), 0o644); err != nil {
			t.Fatal(err)
		}
		if err := s.ExecFile(t.Context(), main, nil); err != nil {
			t.Fatalf("%v\n%s", err, out.String())
		}
		return out.String()
	}
	first := tell(t, dir, `
load("lib/kinds.star", "divider")
ticks = 3
def still(told): return "still" if told == "due" else None
def watches(state, live, told):
    """Sees what changes in front."""
    return "saw" if state == "still" else still(told)
watcher = kind("watcher", ["still", "saw"], watches, hears=["front"], when="now", then={"saw": ticks}, feeds={"saw": "around"}, letter="y")
w = world("North quay", travel=1, reach=12, kinds=[watcher, divider], note="found\nby hand")
log(False)
w.save("quay.star")
w.save("quay.star")
world().save("plain.star")
world("and").save("and.star")
`+story+`
print("<<<" + story)
expect_error(lambda: w.save("quay.txt"), "want the path of a script, such as \"north_quay.star\"")
expect_error(lambda: w.save("../quay.star"), "outside the working folder")
`)
	text, err := os.ReadFile(filepath.Join(dir, "quay.star"))
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(other, "quay.star"), text, 0o644); err != nil {
		t.Fatal(err)
	}
	second := tell(t, other, `
load("./quay.star", w="north_quay", sees="watcher")
expect_equal((w.name, w.travel, w.reach, w.note, [k.name for k in w.kinds]), ("North quay", 1, 12, "found\nby hand", ["watcher", "divider"]))
expect_equal(w.kinds[0], sees)
log(False)
`+story+`
print("<<<" + story)
`)
	_, a, _ := strings.Cut(first, "<<<")
	_, b, _ := strings.Cut(second, "<<<")
	if a == "" || a != b || !strings.Contains(a, "saw") {
		t.Errorf("here\n%s\nelsewhere\n%s\n%s", a, b, text)
	}
	for file, name := range map[string]string{"plain.star": "my_world", "and.star": "my_world"} {
		if text, err := os.ReadFile(filepath.Join(dir, file)); err != nil || !strings.Contains(string(text), "\n"+name+" = world(") {
			t.Errorf("%s: %v\n%s", file, err, text)
		}
	}
}
