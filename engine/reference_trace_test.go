package engine_test

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"pulsewright/engine"
)

// edge is one change of one part.
type edge struct {
	tick int64
	step int
	part string
	on   bool
}

// edges lists what the parts of a network did, in the order of the log. Wires are no parts of a
// trace, and a lapse is no change.
func (r rig) edges() []edge {
	var es []edge
	for _, e := range r.Events(1) {
		if e.What == engine.On || e.What == engine.Off {
			es = append(es, edge{e.Tick, int(e.Step), r.Thing(e.ID).Name, e.What == engine.On})
		}
	}
	return es
}

// of writes the changes of one part as "+1.4 -1.9": on at tick 1 step 4, off at tick 1 step 9.
func (r rig) of(part string) string {
	var s []string
	for _, e := range r.edges() {
		if e.part == part {
			s = append(s, fmt.Sprintf("%c%d.%d", "-+"[bit(e.on)], e.tick, e.step))
		}
	}
	return strings.Join(s, " ")
}

// trace writes the edges as a golden trace does: one "tick step part value" a line, sorted.
func trace(es []edge) string {
	es = slices.Clone(es)
	slices.SortStableFunc(es, func(a, b edge) int {
		switch {
		case a.tick != b.tick:
			return int(a.tick - b.tick)
		case a.step != b.step:
			return a.step - b.step
		case a.part != b.part:
			return strings.Compare(a.part, b.part)
		}
		return bit(a.on) - bit(b.on)
	})
	var s strings.Builder
	for _, e := range es {
		fmt.Fprintf(&s, "%d %d %s %d\n", e.tick, e.step, e.part, bit(e.on))
	}
	return s.String()
}

func bit(on bool) int {
	if on {
		return 1
	}
	return 0
}

// golden is a trace as the independent program wrote it.
type golden struct {
	lines     string
	orderFree bool  // every order of acts inside a step gives this trace
	limitTick int64 // the tick that never settles; 0: none
	limitStep int   // the step at which the trace of that tick ends
}

func loadGolden(t testing.TB, name string) golden {
	t.Helper()
	f, err := os.Open(filepath.Join("testdata", "golden", name+".trace"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	var g golden
	var lines strings.Builder
	for in := bufio.NewScanner(f); in.Scan(); {
		line := in.Text()
		if !strings.HasPrefix(line, "#") {
			fmt.Fprintln(&lines, line)
			continue
		}
		switch f := strings.Fields(line); f[1] {
		case "order-free":
			g.orderFree = f[2] == "yes"
		case "limit":
			if _, err := fmt.Sscan(f[2]+" "+f[3], &g.limitTick, &g.limitStep); err != nil {
				t.Fatalf("%s: %q: %v", name, line, err)
			}
		}
	}
	g.lines = lines.String()
	return g
}

// follow runs the rig and compares its trace, whole, with the golden one. A tick that never
// settles must end in a *engine.Runaway; its first steps are compared.
func (r rig) follow(t testing.TB, g golden) {
	t.Helper()
	err := r.RunTicks(context.Background(), r.net.Until, engine.Budget{Turns: 2_000})
	es := r.edges()
	if g.limitTick > 0 {
		var away *engine.Runaway
		if !errors.As(err, &away) {
			t.Fatalf("tick %d never settles, yet the run ended with error %v", g.limitTick, err)
		}
		if away.At.Tick != g.limitTick {
			t.Errorf("the runaway is in tick %d, want %d", away.At.Tick, g.limitTick)
		}
		es = slices.DeleteFunc(es, func(e edge) bool { return e.tick == g.limitTick && e.step > g.limitStep })
	} else if err != nil {
		t.Fatal(err)
	}
	if got := trace(es); got != g.lines {
		t.Errorf("the trace differs:\n%s", firstDifference(got, g.lines))
	}
}

// firstDifference shows where two texts part.
func firstDifference(got, want string) string {
	g, w := strings.Split(got, "\n"), strings.Split(want, "\n")
	for i := 0; i < max(len(g), len(w)); i++ {
		a, b := "(end)", "(end)"
		if i < len(g) {
			a = g[i]
		}
		if i < len(w) {
			b = w[i]
		}
		if a != b {
			return fmt.Sprintf("line %d\n got  %s\n want %s", i+1, a, b)
		}
	}
	return "(no difference)"
}
