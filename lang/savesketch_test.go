package lang

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"pulsewright/builtins/picture"
	"pulsewright/engine"
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
	if err == nil || !strings.Contains(err.Error(), "the pulse fired at cell (9, 9) ends in tick 4; a sketch cannot hold that; run() until it is at rest, or save the commands, without sketch=True") {
		t.Errorf("got %v, want it refused", err)
	}
	if _, err := os.Stat(filepath.Join(dir, "b.star")); err == nil {
		t.Error("b.star was written")
	}
}

// TestSketchWaits: what waits to happen is never lost: at whatever moment the bench is saved as a sketch, either that is refused, for what waits
// and by no name but the file's, or what was saved goes on as the bench does.
func TestSketchWaits(t *testing.T) {
	const machine = `
beacon = kind("beacon", ["dark", "shining"], lambda state, live, told: "dark" if told == "due" else "shining" if live.back else None, then={"shining": 3}, feeds={"shining": "around"}, pads=["back"])
key((0, 0), name="held", hold=4)
wire((1, 0), (3, 0), name="line")
oneshot((4, 0), "+x", ticks=2, name="shot")
delay((2, 1), "+y", ticks=3, name="late")
delay((1, 1), "+y", ticks=2, mode="transport", name="train")
delay((3, 1), "+y", ticks=2, mode="inertial", name="dull")
lamp((2, 2), name="office")
shuttle((1, -1), "-y", slug="plug", name="pull")
jack((1, -2))
beacon((2, -1), "-y", name="beacon")
lamp((2, -2), name="glow")
tray((9, 9), keep=20, tokens=1, room=3, name="crate")
key((9, 8), name="plain")
oneshot((10, 8), "+x", ticks=2, name="once")
`
	refused, written := 0, 0
	for _, given := range []string{"", "press('held', at=3)", "press('plain'); release('plain', at=15)", "fire('line.0', ticks=2)", "nudge('pull', at=300)", "fire('line.0', steps=2); fire('line.2', steps=0)"} {
		dir := t.TempDir()
		s := newSession(t, Config{Dir: dir})
		do := func(src string) error { return s.Command(context.Background(), src+"\n") }
		if err := do(machine + given); err != nil {
			t.Fatal(err)
		}
		for moment := range 14 {
			name := fmt.Sprintf("at%d.star", moment)
			err := do(fmt.Sprintf("save(%q, sketch=True)", name))
			if err != nil {
				refused++
				if text := err.Error(); strings.Contains(text, "counterexample") || !strings.Contains(text, "run() until it is at rest, or save the commands, without sketch=True") {
					t.Errorf("%s, moment %d: %v", given, moment, err)
				}
			} else {
				written++
				script, err := os.ReadFile(filepath.Join(dir, name))
				again := newSession(t, Config{})
				if err == nil {
					err = again.Exec(context.Background(), name, string(script))
				}
				if err != nil {
					t.Fatal(err)
				}
				if want, got := goesOn(t, s), goesOn(t, again); want != got {
					t.Errorf("%s, moment %d\ngoes on\n%s\nwhat was saved\n%s\n%s", given, moment, want, got, script)
				}
			}
			if moment > 9 {
				do("run(ticks=6)")
			} else {
				do([]string{"turn()", "step()", "step()"}[moment%3])
			}
		}
	}
	if refused < 20 || written < 10 {
		t.Errorf("%d refused, %d written", refused, written)
	}
}

// goesOn plays a copy of a bench until it is quiet, with each key pressed once more then, and gives its events, with ticks from now on.
func goesOn(t *testing.T, s *Session) string {
	b := s.env.Bench.Snapshot().Bench()
	from, tick := b.EventCount(), b.Now().Tick
	for range 2 {
		if err := b.RunTicks(context.Background(), 400, engine.Budget{}); err != nil {
			t.Fatal(err)
		}
		for _, name := range []string{"held", "plain"} {
			id, _ := b.Lookup(name)
			b.Press(id, 0)
		}
		id, _ := b.Lookup("once")
		b.Nudge(engine.Target{ID: id}, false, 0)
	}
	var text strings.Builder
	for i := from; i < b.EventCount(); i++ {
		e := b.Event(engine.EventID(i + 1))
		fmt.Fprintf(&text, "%d.%d %s %v %d\n", e.Tick-tick, e.Step, b.Label(e.ID), e.What, e.Arg)
	}
	return text.String()
}
