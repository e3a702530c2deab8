package measure

import (
	"pulsewright/builtins/stage"
	"strings"
	"testing"

	"go.starlark.net/starlark"
)

// TestSheetBegins: the first lane of the timing is what send presses or forces, also where the rig keeps it in a list, names it by a text or has it twice.
func TestSheetBegins(t *testing.T) {
	s := stage.MustDo(t, `
def one(f, gives):
    w = f.wire((0, 0), name="in")
    l = f.link((1, 0), "+x")
    return gives(w, probe(l, name="came"))
def keyed(f):
    k = f.key((0, 0), name="quay")
    l = f.link((1, 0), "+x")
    return struct(keys=[k], out=probe(l, name="came"))
width = lambda rig: rig.out.width
fires = lambda rig, n: fire(rig.into, n)
def sheet(name, build, send, read=width, over=[3]):
    return datasheet(design(name, build, send, read, over), runs=1).text
named = sheet("named", lambda f: one(f, lambda w, p: struct(into=w.name, out=p)), fires)
cell = sheet("cell", lambda f: one(f, lambda w, p: struct(into=w.at, out=p)), fires)
port = sheet("port", lambda f: one(f, lambda w, p: struct(into=w, out=p)), fires)
seen = sheet("seen", lambda f: one(f, lambda w, p: struct(into=w, seen=probe(w, name="sent"), out=p)), fires)
key = sheet("key", keyed, lambda rig, n: press(rig.keys[0]), lambda rig: 1 if rig.out.pulses or rig.out.live else None, [1])
bare = sheet("bare", lambda f: struct(into=f.cell((0, 0)), out=probe(f.link((1, 0), "+x"), name="came")), fires)
`)
	for name, want := range map[string]string{"named": "in", "cell": "in", "port": "in", "seen": "in", "key": "quay", "bare": "cell (0, 0)"} {
		text, _ := starlark.AsString(s.Names[name])
		err := ""
		_, text, _ = strings.Cut(text, "## Timing")
		text, _, _ = strings.Cut(text, "## Map")
		var lanes []string
		for line := range strings.SplitSeq(text, "\n") {
			if i := strings.IndexAny(line, "⣀⡏⠉⣇"); i > 0 {
				lanes = append(lanes, strings.TrimSpace(line[:i]))
			}
		}
		switch {
		case len(lanes) != 2:
			err = "want two lanes"
		case lanes[0] != want || lanes[1] != "came":
			err = "want " + want + ", then came"
		}
		if err != "" {
			t.Errorf("%s: lanes %q, %s:\n%s", name, lanes, err, text)
		}
	}
}
