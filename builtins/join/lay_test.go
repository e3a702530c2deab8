package join_test

import (
	"strings"
	"testing"

	"pulsewright/builtins/stage"
)

// TestLayClear: what a row stays clear of, one by one, and what it may pass; each bench has one part between the ends.
func TestLayClear(t *testing.T) {
	for _, c := range []struct{ script, cells string }{
		{`key((0, 0))`, "(1, 0) (2, 0) (3, 0) (4, 0) (5, 0)"},
		{`key((0, 0)); shuttle((3, 3), "-y", slug="plug")`, "(1, 0) (2, 0) (3, 0) (4, 0) (5, 0)"},
		{`key((0, 0)); shuttle((3, 2), "-y", slug="plug")`, ""},                   //  its far seat lies in the straight row
		{`key((0, 0)); link((3, 2), "+y")`, ""},                                   // its far pad
		{`key((0, 0)); echo((3, 1), "+x")`, "(1, 0) (2, 0) (3, 0) (4, 0) (5, 0)"}, // hears behind only
		{`key((0, 0)); delay((3, 1), "+x")`, ""},                                  // hears
		{`delay((0, 0), "+x")`, "(1, 0) (2, 0) (3, 0) (4, 0) (5, 0)"},             // feeds its front only
		{`key((0, 0)); slug((3, 0), "plug")`, ""},
		{`key((0, 0)); slug((3, 1), "plug")`, "(1, 0) (2, 0) (3, 0) (4, 0) (5, 0)"}, // takes up room only
		{`key((0, 0)); slug((3, 1), "feed")`, ""},
		{`key((0, 0)); slug((3, 1), "bridge")`, ""},
		{`key((0, 0)); shuttle((3, 2), "-y", grip="push")`, ""}, // a loose slug may come there
		{hearsBack + `key((0, 0)); sensor((3, 1), "+x")`, "(1, 0) (2, 0) (3, 0) (4, 0) (5, 0)"},
		{hearsBack + `key((0, 0)); sensor((3, 1), "+y")`, ""},
	} {
		s := stage.MustDo(t, c.script+"; lamp((6, 0), name=\"l\"); row = lay((0, 0), \"l\"); straight = [x for x in row.cells] == [(x, 0) for x in range(1, 6)]")
		if got, want := s.Names["straight"].String() == "True", strings.HasPrefix(c.cells, "(1, 0) (2"); got != want {
			t.Errorf("%s: straight is %v: %v", c.script, got, s.Names["row"])
		}
	}
}

// hearsBack is a kind that reads and hears its back only.
const hearsBack = "sensor = kind(\"sensor\", [\"off\", \"on\"], lambda state, live, told: \"on\" if live.back else \"off\", pads=[\"back\"], hears=[\"back\"]); "

// TestLayLevels: a row is no longer than what feeds it can keep live.
func TestLayLevels(t *testing.T) {
	for script, want := range map[string]string{
		`tray((-1, 0), room=4); meter((0, 0), "+x")`: "power goes on for 4 cells behind",
		`bucket((-1, 0), "+x"); meter((0, 0), "+x")`: "power goes on for 1 cell behind",
		`dim = kind("dim", ["off", "on"], lambda state, live, told: "on", feeds={"on": ("front", 3)}, pads=["back"]); dim((0, 0), "+x")`: "power goes on for 3 cells behind",
		`tray((-2, 0), room=5); meter((-1, 0), "+x"); wire((0, 0))`:                                                                      "power of meter at (-1, 0) goes on for 4 cells behind",
	} {
		if msg := stage.New().Do(script + `; lamp((6, 0), name="l"); lay((0, 0), "l")`); !strings.Contains(msg, want) {
			t.Errorf("%s: %s; want %s", script, msg, want)
		}
	}
	stage.MustDo(t, `tray((-1, 0), room=5); meter((0, 0), "+x"); expect_equal(len(lay((0, 0), lamp((6, 0)))), 5)`)
}

// TestLaySays: what is in the way, where that is a slug that belongs to no shuttle.
func TestLaySays(t *testing.T) {
	for slug, want := range map[string]string{
		`(1, 1), "plug"`:      "a loose plug sits at (1, 1)",
		`(1, 1, 1), "bridge"`: "a wire at (1, 1) would join the loose bridge at (1, 1, 1)",
		`(1, 0), "feed"`:      "a wire at (1, 1) would be fed by the loose feed at (1, 0)",
	} {
		if msg := stage.New().Do(`slug(` + slug + `); lay((1, 1), lamp((6, 0)))`); !strings.Contains(msg, "no way can begin or end at (1, 1): "+want) {
			t.Errorf("%s: %s; want %s", slug, msg, want)
		}
	}
	cage := "for x in range(-1, 2):\n    for y in range(-1, 2):\n        for z in range(-1, 2): slug((x, y, z), \"plug\") if x or y or z else key((0, 0), name=\"k\")\n"
	if msg := stage.New().Do(cage + `lay("k", lamp((6, 0), name="l"))`); !strings.Contains(msg, "there is no way within reach from key k at (0, 0) to lamp l at (6, 0) that stays clear; in the way: a loose plug sits at (1, 0)") {
		t.Error(msg)
	}
}

// TestLayTurns: a row laid through a frame turns and mirrors with it.
func TestLayTurns(t *testing.T) {
	stage.MustDo(t, `
dirs = ["+x", "-x", "+y", "-y", "+z", "-z"]
def cells(f):
    f.wire((0, 0), name="in")
    f.battery((3, 0)); f.link((5, 2), "+y"); f.shuttle((2, 4, 1), "-y", slug="feed")
    return [f.local(c) for c in f.lay("in", f.lamp((7, 5, 2)), name="way").cells]
want = cells(frame(name="a"))
expect(len(want) > 12)
expect_equal(len(parts("wire")), 1 + len(want))
for x in dirs:
    for y in dirs:
        if x[1] != y[1]:
            for mirror in [False, True]:
                fresh()
                expect_equal(cells(frame(at=(9, -4, 30), x=x, y=y, mirror=mirror, name="a")), want)
`)
}

// TestLayNames: unnamed wires are called by their kind, as if wire had placed them.
func TestLayNames(t *testing.T) {
	stage.MustDo(t, `
f = frame(at=(5, 5), name="quay")
row = f.lay(f.wire((0, 0), name="in"), f.lamp((4, 0)))
expect_equal([p.name for p in row], ["quay.wire(%d,0)" % x for x in [1, 2, 3]])
expect_equal([p.name for p in f.lay("in", f.lamp((0, 5)), name="up")], ["quay.up.%d" % i for i in range(4)])
`)
}
