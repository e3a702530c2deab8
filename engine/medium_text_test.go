package engine_test

import (
	"context"
	"fmt"
	"strconv"
	"strings"
	"testing"

	"pulsewright/engine"
)

// The files medium_*_test.go show the medium sentence by sentence, each on a bench of a few parts.
// A bench, what is done to it and the log it must give are written as text:
//
//	rules reach=3 news=lifo       only what differs from a fresh bench; first line
//	k: key (0,0)                  name, kind, cell
//	   wire (1,0)..(5,0)          a line of them; in the log: wire (1, 0)
//	s: shuttle (0,1) +x plug out  facing, slug, pose
//	g: gate and ticks=2           no cell: on the shelf
//	   slug (3,0) feed            a loose slug
//	   cord k g                   or: cord k g invert, cord k g power, cord k g news
//
// The acts: press, release, fire, nudge with a name or a cell, "@5" for a tick; fill; run. At the
// end the bench runs to quiet. The log has an event a line, "tick.step.turn who what < who what",
// the latter the cause, which an expected line may leave out.
type sentence struct {
	says  string // the sentence of the medium, or what of it is shown
	bench string
	acts  string
	log   string
	armed string // the parts that are armed at the end, in the order placed
}

func showAll(t *testing.T, sentences []sentence) {
	for _, s := range sentences {
		t.Run(s.says, func(t *testing.T) { s.show(t) })
	}
}

func (s sentence) show(t *testing.T) {
	t.Helper()
	b := sketch(t, s.bench)
	do(t, b, s.acts)
	if err := b.Check(); err != nil {
		t.Error(err)
	}
	got, want := story(b), trimLines(s.log)
	wanted := strings.Split(want, "\n")
	for i, line := range strings.Split(got, "\n") {
		if what, _, _ := strings.Cut(line, " < "); i < len(wanted) && what == wanted[i] {
			wanted[i] = line // no cause is named
		}
	}
	if want = strings.Join(wanted, "\n"); got != want {
		t.Errorf("the log differs in %s\nall of it:\n%s", firstDifference(got, want), got)
	}
	var armed []string
	for id := range b.Parts() {
		if b.State(id).Armed {
			armed = append(armed, who(b, id))
		}
	}
	if got := strings.Join(armed, " "); got != s.armed {
		t.Errorf("armed at the end: %q, want %q", got, s.armed)
	}
}

// do carries out acts, then runs to quiet.
func do(t testing.TB, b *engine.Bench, acts string) {
	t.Helper()
	for line := range strings.Lines(acts + "\nrun") {
		if w := strings.Fields(line); len(w) > 0 {
			if err := act(b, w); err != nil {
				t.Fatalf("%s: %v", strings.TrimSpace(line), err)
			}
		}
	}
}

func act(b *engine.Bench, words []string) error {
	if words[0] == "run" {
		if len(words) == 1 {
			return b.Run(context.Background(), engine.Budget{})
		}
		n, _ := strconv.Atoi(words[1])
		return b.RunTicks(context.Background(), int64(n), engine.Budget{})
	}
	var on engine.Target
	if strings.HasPrefix(words[1], "(") {
		on.Cell = cellOf(words[1])
	} else {
		id, ok := b.Lookup(words[1])
		if !ok {
			return fmt.Errorf("no part is named %s", words[1])
		}
		on.ID = id
	}
	var f engine.Firing
	around, tokens := false, 0
	for _, w := range words[2:] {
		name, value, _ := strings.Cut(w, "=")
		n, _ := strconv.Atoi(value)
		switch {
		case w[0] == '@':
			n, _ := strconv.Atoi(w[1:])
			f.At = int64(n)
		case name == "steps":
			f.Steps = n
		case name == "ticks":
			f.Ticks = n
		case name == "tokens":
			tokens = n
		case w == "late":
			f.Late = true
		case w == "around":
			around = true
		default:
			return fmt.Errorf("unknown word %q", w)
		}
	}
	switch words[0] {
	case "press":
		return b.Press(on.ID, f.At)
	case "release":
		return b.Release(on.ID, f.At)
	case "fire":
		return b.Fire(on, f)
	case "nudge":
		return b.Nudge(on, around, f.At)
	case "fill":
		return b.Fill(on.ID, tokens)
	}
	return fmt.Errorf("unknown act %q", words[0])
}

// who names a part for the log: by its name, else by kind and cell.
func who(b *engine.Bench, id engine.ID) string {
	th := b.Thing(id)
	if th.Name != "" {
		return th.Name
	}
	return fmt.Sprintf("%v %v", th.Kind, th.Cell)
}

// story writes the whole log, with causes.
func story(b *engine.Bench) string {
	var lines []string
	for _, e := range b.Events(1) {
		line := fmt.Sprintf("%v %s", e.At(), whoWhat(b, e))
		if e.Cause != 0 {
			line += " < " + whoWhat(b, b.Event(e.Cause))
		}
		lines = append(lines, line)
	}
	return strings.Join(lines, "\n")
}

// whoWhat writes who did what.
func whoWhat(b *engine.Bench, e engine.Event) string {
	s := who(b, e.ID) + " " + e.What.String()
	if e.What == engine.Level {
		s += fmt.Sprint(" ", e.Arg)
	}
	return s
}

// trimLines takes the blanks around each line away, and empty lines.
func trimLines(s string) string {
	var lines []string
	for line := range strings.Lines(s) {
		if line = strings.TrimSpace(line); line != "" {
			lines = append(lines, line)
		}
	}
	return strings.Join(lines, "\n")
}

// part finds a part by name.
func part(t testing.TB, b *engine.Bench, name string) engine.ID {
	t.Helper()
	id, ok := b.Lookup(name)
	if !ok {
		t.Fatalf("no part is named %s", name)
	}
	return id
}
