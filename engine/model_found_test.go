package engine_test

import (
	"os"
	"strings"
	"testing"

	"pulsewright/builtins"
	"pulsewright/builtins/stage"
	_ "pulsewright/builtins/words"
	"pulsewright/engine"

	"go.starlark.net/starlark"
)

// TestFound: every machine that the tests of search and shrink find is played once more on the model, which takes no short cut and knows of no
// search: what is sent to it sets off the same events, so that what was read of them was right.
func TestFound(t *testing.T) {
	for _, name := range []string{"search", "shrink"} {
		script, err := os.ReadFile("../builtins/invent/testdata/" + name + ".star")
		if err != nil {
			t.Fatal(err)
		}
		shared, pieces, _ := strings.Cut(string(script), "\n===\n")
		machines := 0
		for piece := range strings.SplitSeq(pieces, "\n---\n") {
			s := stage.New()
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
				t.Fatalf("%s\n%v", piece, builtins.Message(err))
			}
			for _, r := range *reports {
				script := string(r.Fields["script"].(starlark.String))
				if strings.Contains(script, "\nKINDS = ") {
					continue // the model knows what kinds of one's own do by their number alone; random benches hold those
				}
				if script != "" {
					machines++
					playFound(t, name, script)
				}
			}
		}
		if machines < 9 {
			t.Errorf("%s: %d machines were found, want at least 9", name, machines)
		}
	}
}

// playFound builds the machine of a script, sends it what it is made for, twice, and plays the same on the model.
func playFound(t *testing.T, name, script string) {
	t.Helper()
	do := "for n in NUMBERS + NUMBERS:\n    send(rig, n)\n    run()\n"
	switch {
	case name == "shrink":
		do = "for n in smaller.over + smaller.over:\n    send(rig, n)\n    run()\n    expect_equal(read(rig), n)\n"
	case strings.Contains(script, "\nfound = design("):
		do = "for n in found.over + found.over:\n    send(rig, n)\n    run()\n    expect_equal(read(rig), n)\n"
	}
	s := stage.New()
	stage.MustSession(t, s, script+"\nrig = build(frame())\nrecord(\"all\")\n")
	var deeds []deed
	for id := range s.Bench.Parts() {
		p := s.Bench.Thing(id)
		d, is := deed{do: doPlace, part: int(id), cell: p.Cell, spec: p.Part}, s.Bench.State(id)
		switch p.Kind { // a sketch poses what it has placed
		case engine.Link, engine.Shuttle:
			d.spec.Out = is.On
		case engine.Tray, engine.Bucket:
			d.spec.Tokens = is.Tokens
		case engine.Gate, engine.Reed, engine.Delay:
			d.spec.On = is.On
		}
		if p.Shelf {
			d.do = doShelve
		}
		deeds = append(deeds, d)
	}
	for _, c := range s.Bench.Cords() {
		deeds = append(deeds, deed{do: doPatch, part: int(c.From), to: int(c.To), cord: c.Cord})
	}
	stage.MustSession(t, s, do)
	forced := map[engine.ID]engine.Event{}
	for _, e := range s.Bench.Events(1) {
		switch e.What {
		case engine.Forced:
			forced[e.ID] = e
		case engine.Freed:
			f := engine.Firing{Ticks: int(e.Tick - forced[e.ID].Tick), Steps: int(e.Step), Late: strings.Contains(script, "fall=\"late\"")}
			fire := deed{do: doFire, firing: f, cell: s.Bench.Thing(e.ID).Cell}
			if s.Bench.Has(e.ID) {
				fire.part = int(e.ID)
			}
			deeds = append(deeds, fire, deed{do: doRun})
		}
	}
	p := newPair(s.Bench.Rules(), false)
	p.turns = 100_000
	if err := p.play(deeds); err != nil {
		t.Errorf("%s: the model does something else: %v", script, err)
	}
	if len(p.m.log) != s.Bench.EventCount() {
		t.Fatalf("%s: %d events on the model, %d where it was read", script, len(p.m.log), s.Bench.EventCount())
	}
	if p.seen != s.Bench.EventCount() || p.seen < 4 {
		t.Errorf("%s: %d events on the model, %d where it was read", script, p.seen, s.Bench.EventCount())
	}
	for i, e := range s.Bench.Events(1) {
		at := place{shelf: p.shelf[e.ID]}
		if at.shelf == 0 {
			at.cell = s.Bench.Thing(e.ID).Cell
		}
		if want, got := eventString(p.m.log[i-1]), eventString(modelEvent{e.Tick, int(e.Step), int(e.Turn), at, e.What, int(e.Arg), int(e.Cause)}); want != got {
			t.Fatalf("%s: event %d: the model says %s, where it was read %s", script, i, want, got)
		}
	}
}
