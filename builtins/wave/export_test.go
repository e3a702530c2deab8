package wave

import (
	"encoding/csv"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"pulsewright/builtins/stage"
	"pulsewright/engine"
)

// eventLine is a line of the JSON Lines, as their description has it.
type eventLine struct {
	Bench, Event, Cause, Tick, Step, Turn int64
	Part                                  int64
	Kind, Name                            string
	Cell                                  *[3]int64
	What                                  string
	Level                                 int64
}

// TestExportEvents writes the events of random benches as JSON Lines and as CSV and reads them back: every event, with all
// that is known of it.
func TestExportEvents(t *testing.T) {
	for seed := range uint64(40) {
		b := stage.RandomBench(rand.New(rand.NewPCG(seed, 8)))
		checkEventFiles(t, b)
	}
	checkEventFiles(t, stage.Harbour(t, 35).Bench)
	hostile := engine.New(engine.DefaultRules())
	if err := stage.NameEvil(hostile); err != nil {
		t.Fatal(err)
	}
	if _, err := hostile.Place(engine.Cell{}, engine.Part{Kind: engine.Lamp, Name: "a, \"b\"\r\n=c"}); err != nil {
		t.Fatal(err)
	}
	hostile.Nudge(engine.Target{Cell: engine.Cell{}}, false, 1)
	hostile.Fire(engine.Target{Cell: engine.Cell{X: 4, Y: 5}}, engine.Firing{At: 1, Steps: 1})
	hostile.Turn()
	hostile.Turn()
	checkEventFiles(t, hostile)
}

func checkEventFiles(t *testing.T, b *engine.Bench) {
	t.Helper()
	s := stage.New()
	s.Bench, s.Seed = b, 7
	dir := stage.InFolder(t, s)
	if msg := s.Do("export(\"x.json\")\nexport(\"x.csv\")"); msg != "" {
		t.Fatal(msg)
	}
	lines := strings.Split(strings.TrimSuffix(stage.Read(t, dir, "x.json"), "\n"), "\n")
	if lines[0] != `{"format":"pulsewright-events","version":1,"seed":7}` {
		t.Errorf("the first line is %s", lines[0])
	}
	table := csv.NewReader(strings.NewReader(stage.Read(t, dir, "x.csv")))
	rows, err := table.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if got := strings.Join(rows[0], ","); got != "event,cause,time_ticks,time_steps,time_turns,part,kind,name,x_cells,y_cells,z_cells,what,level" {
		t.Errorf("the table's head is %s", got)
	}
	if len(lines)-1 != b.EventCount() || len(rows)-1 != b.EventCount() {
		t.Fatalf("%d lines and %d rows for %d events", len(lines)-1, len(rows)-1, b.EventCount())
	}
	for id, e := range b.Events(1) {
		d := json.NewDecoder(strings.NewReader(lines[id]))
		d.DisallowUnknownFields()
		var got eventLine
		if err := d.Decode(&got); err != nil {
			t.Fatalf("%v\n%s", err, lines[id])
		}
		want := eventLine{1, int64(id), int64(e.Cause), e.Tick, int64(e.Step), int64(e.Turn), int64(e.ID), b.KindOf(e.ID).String(), b.Name(e.ID), nil, e.What.String(), int64(e.Arg)}
		x, y, z, level := "", "", "", ""
		if c, onLattice := b.CellOf(e.ID); onLattice {
			want.Cell = &[3]int64{int64(c.X), int64(c.Y), int64(c.Z)}
			x, y, z = fmt.Sprint(c.X), fmt.Sprint(c.Y), fmt.Sprint(c.Z)
		}
		if e.What == engine.Level {
			level = fmt.Sprint(e.Arg)
		}
		g, w := got, want
		if (g.Cell == nil) != (w.Cell == nil) || g.Cell != nil && *g.Cell != *w.Cell {
			t.Errorf("event %d: cell %v, want %v", id, g.Cell, w.Cell)
		}
		if g.Cell, w.Cell = nil, nil; strings.ToValidUTF8(w.Name, "\ufffd") != g.Name {
			t.Errorf("event %d: name %q, want %q", id, g.Name, w.Name)
		}
		if g.Name, w.Name = "", ""; g != w {
			t.Errorf("event %d: got %+v, want %+v", id, g, w)
		}
		// A reader of CSV makes \n of \r\n inside quotes.
		name := strings.ReplaceAll(want.Name, "\r\n", "\n")
		row := fmt.Sprint([]any{want.Event, want.Cause, want.Tick, want.Step, want.Turn, want.Part, want.Kind, name, x, y, z, want.What, level})
		if got := fmt.Sprint(rows[id]); got != row {
			t.Errorf("event %d: row %s, want %s", id, got, row)
		}
	}
	for line := range strings.SplitAfterSeq(stage.Read(t, dir, "x.csv"), "\r\n") {
		if strings.Contains(strings.TrimSuffix(line, "\r\n"), "\n") && !strings.Contains(line, `"`) {
			t.Errorf("a line that does not end as RFC 4180 says: %q", line)
		}
	}
}

// TestExportPart: the filters choose events, and what cannot be told is not made up.
func TestExportPart(t *testing.T) {
	s := stage.New()
	dir := stage.InFolder(t, s)
	if msg := s.Do(`
k = key((0, 0), name="quay.k")
w = wire((1, 0), (3, 0))
for t in (1, 3, 5):
    press(k, at=t)
    release(k, at=t + 1)
run()
export("k.csv", of=["quay.k"], since=3, until=4)
export("K.VCD", of=k, since=3)
export("k.json", of=[w, (9, 9)], until=2)
`); msg != "" {
		t.Fatal(msg)
	}
	if got := strings.Count(stage.Read(t, dir, "k.csv"), "\r\n"); got != 3 {
		t.Errorf("%d lines, want a head and 2 events\n%s", got, stage.Read(t, dir, "k.csv"))
	}
	if got := strings.Count(stage.Read(t, dir, "k.json"), "\n"); got != 7 {
		t.Errorf("%d lines, want a head and 3 wires live and dead\n%s", got, stage.Read(t, dir, "k.json"))
	}
	d, err := readVCD(stage.Read(t, dir, "K.VCD"))
	if err != nil {
		t.Fatal(err)
	}
	rows, start := d.rows(t)
	if got := fmt.Sprint(start, rows); got != "map[bench.quay.k:0] [{3 0 bench.quay.k 1} {4 0 bench.quay.k 0} {5 0 bench.quay.k 1} {6 0 bench.quay.k 0}]" {
		t.Error(got)
	}
}

// TestExportStays: nothing is written outside the working folder, and nothing half written is left in it.
func TestExportStays(t *testing.T) {
	s := stage.New()
	outer := t.TempDir()
	dir := filepath.Join(outer, "work")
	if err := os.Mkdir(dir, 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink(outer, filepath.Join(dir, "out")); err != nil {
		t.Fatal(err)
	}
	if err := os.Mkdir(filepath.Join(dir, "full.vcd"), 0o755); err != nil {
		t.Fatal(err)
	}
	s.Do("fire((0, 0), 3)\nrun()")
	for _, c := range []struct{ call, want string }{
		{`export("x.vcd")`, `export: there is no folder to write to here`},
	} {
		if msg := s.Do(c.call); msg != c.want {
			t.Errorf("%s: %q, want %q", c.call, msg, c.want)
		}
	}
	root, err := os.OpenRoot(dir)
	if err != nil {
		t.Fatal(err)
	}
	defer root.Close()
	s.Dir = root
	for call, want := range map[string]string{
		`export("../x.vcd")`:                 `export: "../x.vcd" is outside the working folder; want a path inside it, such as quay.vcd`,
		`export("/tmp/x.csv")`:               `export: "/tmp/x.csv" is outside the working folder; want a path inside it, such as quay.csv`,
		`export("no/x.json")`:                `export: "no/x.json": no such folder`,
		`export("x.txt")`:                    `export: for parameter path: got "x.txt", want a path that ends in .vcd, .csv, .json, .svg, .html`,
		`export("x")`:                        `export: for parameter path: got "x", want a path that ends in .vcd, .csv, .json, .svg, .html`,
		`export("x.vcd", what="map")`:        `export: parameter what goes with the ending .svg only`,
		`export("x.svg", z=1)`:               `export: parameter z goes with what="map" only`,
		`export("x.svg", what="map", at=3)`:  `export: for parameter at: got 3, want a moment that has been: it is 1.3.0 now`,
		`export("x.csv", at=3)`:              `export: parameter at goes with the endings .svg and .html only`,
		`export("x.svg", side=True)`:         `export: parameter side goes with what="map" only`,
		`export("x.csv", between=(1, 2))`:    `export: parameter between goes with a scope only`,
		`export("x.svg", what="map", of=[])`: `export: for parameter of: got [], want one part, its name or its cell`,
	} {
		if msg := s.Do(call); msg != want {
			t.Errorf("%s: got %q, want %q", call, msg, want)
		}
	}
	for _, call := range []string{`export("out/x.vcd")`, `export("full.vcd")`} {
		if msg := s.Do(call); !strings.HasPrefix(msg, "export: ") {
			t.Errorf("%s: %q", call, msg)
		}
	}
	if msg := s.Do(`export("x.vcd")` + "\n" + `export("x.vcd")`); msg != "" {
		t.Error(msg)
	}
	var names []string
	for _, d := range []string{outer, dir} {
		entries, err := os.ReadDir(d)
		if err != nil {
			t.Fatal(err)
		}
		for _, e := range entries {
			names = append(names, e.Name())
		}
	}
	if got := fmt.Sprint(names); got != "[work full.vcd out x.vcd]" {
		t.Errorf("there are %s", got)
	}
}

// BenchmarkExport writes a million events.
func BenchmarkExport(b *testing.B) {
	s := stage.LongRun(b, 1_000_000)
	dir := stage.InFolder(b, s)
	for _, ending := range exportEndings {
		b.Run(ending[1:], func(b *testing.B) {
			for b.Loop() {
				if msg := s.Do("export(\"x" + ending + "\")"); msg != "" {
					b.Fatal(msg)
				}
			}
			if info, err := os.Stat(filepath.Join(dir, "x"+ending)); err == nil {
				b.ReportMetric(float64(info.Size())/1e6, "MB")
			}
		})
	}
}

// A name that a spreadsheet would compute has a mark in front that keeps it from that.
func TestExportFormulas(t *testing.T) {
	s := stage.New()
	dir := stage.InFolder(t, s)
	if msg := s.Do(`press(key((0, 0), hold=1, name="=1+2"))
run()
export("quay.csv")`); msg != "" {
		t.Fatal(msg)
	}
	got := stage.Read(t, dir, "quay.csv")
	if !strings.Contains(got, ",'=1+2,") || strings.Contains(got, ",=1+2,") {
		t.Errorf("got %s", got)
	}
}

// TestExportLevel: level is that of the word level, and 0 for what a kind of one's own does, whichever state it enters.
func TestExportLevel(t *testing.T) {
	s := stage.New()
	dir := stage.InFolder(t, s)
	if msg := s.Do(`
def onward(state, live, told):
    return {"a": "b", "b": "c"}.get(state) if live.back else None
ladder = kind("ladder", ["a", "b", "c"], onward, letter="y")
k = key((0, 0))
ladder((1, 0), "+x", name="l")
for i in range(2):
    press(k)
    run()
    release(k)
    run()
expect_equal([e.what for e in events("l")], ["b", "c"])
export("l.json")
`); msg != "" {
		t.Fatal(msg)
	}
	text := stage.Read(t, dir, "l.json")
	if got := strings.Count(text, `"level":0}`); got != 6 || strings.Count(text, `"level":`) != 6 {
		t.Errorf("%d events of level 0, want all 6:\n%s", got, text)
	}
}
