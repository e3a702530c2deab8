package wave

import (
	"bufio"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"math/big"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"pulsewright/builtins"
	"pulsewright/builtins/picture"
	"pulsewright/builtins/stage"
	"pulsewright/engine"
)

// dump exports a bench and reads it back.
func dump(t testing.TB, b *engine.Bench) (string, *vcdDump) {
	t.Helper()
	var out strings.Builder
	if err := writeVCD(&out, &builtins.Env{Bench: b}, nil, 1, engine.EventID(b.EventCount())); err != nil {
		t.Fatal(err)
	}
	d, err := readVCD(out.String())
	if err != nil {
		t.Fatalf("%v\n%s", err, out.String())
	}
	return out.String(), d
}

// unit is K, as the comment says it.
func (d *vcdDump) unit(t testing.TB) *big.Int {
	for _, c := range d.comments {
		var k int64
		if n, _ := fmt.Sscanf(c, "time = tick * %d + step", &k); n == 1 {
			return big.NewInt(k)
		}
	}
	t.Fatalf("no comment tells K: %q", d.comments)
	return nil
}

// row is a change in the words of the bench.
type vcdRow struct {
	tick, step int64
	path       string
	value      int64
}

// rows are the changes after the first state, and that state.
func (d *vcdDump) rows(t testing.TB) (rows []vcdRow, start map[string]int64) {
	k := d.unit(t)
	start = map[string]int64{}
	for _, c := range d.changes {
		v, err := strconv.ParseInt(c.value, 2, 64)
		if err != nil {
			t.Fatal(err)
		}
		p := d.vars[c.code].path()
		if c.dumped {
			start[p] = v
			continue
		}
		tick, step := new(big.Int).DivMod(c.time, k, new(big.Int))
		rows = append(rows, vcdRow{tick.Int64(), step.Int64(), p, v})
	}
	return rows, start
}

// expected are the changes that the log tells, found in another way than the exporter does: part by part, from the words
// alone.
func expected(b *engine.Bench, paths map[engine.ID]string) []vcdRow {
	type numbered struct {
		vcdRow
		id engine.EventID
	}
	var all []numbered
	events := map[engine.ID][]engine.EventID{}
	for id, e := range b.Events(1) {
		events[e.ID] = append(events[e.ID], id)
	}
	for part, path := range paths {
		live, forced, last := -1, -1, int64(-1)
		kind := b.KindOf(part)
		if kind == engine.Bare {
			// A bridge may have sat there, live, from the start.
			if st := b.State(part); st.Conduct && st.On {
				live = 1
			}
			for _, id := range events[part] {
				if e := b.Event(id); e.What == engine.Live || e.What == engine.Dead {
					live = int(picture.Bit(e.What == engine.Dead))
					break
				}
			}
			last = int64(picture.Bit(live == 1))
		}
		var own []numbered
		for _, id := range events[part] {
			e, v := b.Event(id), int64(-1)
			switch e.What.String() {
			case "on", "out", "lit":
				v = 1
			case "off", "home", "dark":
				v = 0
			case "level":
				v = int64(e.Arg)
			case "live":
				live, v = 1, 1
			case "dead":
				live, v = 0, 0
			case "forced":
				forced, v = 1, 1
			case "freed":
				forced, v = 0, 0
			case "passes", "drops", "moves", "consumes":
				own = append(own, numbered{vcdRow{e.Tick, int64(e.Step), path, 1}, id})
				continue
			}
			if v < 0 || (e.What == engine.Forced || e.What == engine.Freed) && kind != engine.Bare {
				continue
			}
			if kind == engine.Bare && (live == 1 || forced == 1) {
				v = 1
			}
			if v != last {
				own = append(own, numbered{vcdRow{e.Tick, int64(e.Step), path, v}, id})
				last = v
			}
		}
		all = append(all, own...)
	}
	slices.SortFunc(all, func(x, y numbered) int { return int(x.id) - int(y.id) })
	rows := make([]vcdRow, len(all))
	for i, a := range all {
		rows[i] = a.vcdRow
	}
	return rows
}

// compareDump holds a dump to the log of its bench.
func compareDump(t *testing.T, b *engine.Bench) {
	t.Helper()
	text, d := dump(t, b)
	k := d.unit(t)
	paths := map[engine.ID]string{}
	found := map[string]bool{}
	for _, v := range d.vars {
		found[v.path()] = true
	}
	add := func(id engine.ID) {
		if _, ok := paths[id]; ok {
			return
		}
		var path []string
		for part := range strings.SplitSeq(strings.TrimSuffix("bench."+b.Name(id), "."), ".") {
			if c := part[0]; c >= '0' && c <= '9' || strings.ContainsAny(part, "(,)-") {
				part = `\` + part
			}
			path = append(path, part)
		}
		p := strings.Join(path, ".")
		if b.Name(id) == "" {
			p = `bench.\` + strings.NewReplacer(", ", ",", " ", "_").Replace(b.Label(id))
		}
		paths[id] = p
	}
	for id := range b.Parts() {
		add(id)
	}
	most := 0
	for _, e := range b.Events(1) {
		add(e.ID)
		most = max(most, int(e.Step))
	}
	if k.Cmp(big.NewInt(int64(most))) <= 0 {
		t.Fatalf("K is %v, and there is a step %d", k, most)
	}
	if len(d.vars) != len(paths) {
		t.Fatalf("%d variables of %d parts and cells\n%s", len(d.vars), len(paths), text)
	}
	for _, p := range paths {
		if !found[p] {
			t.Fatalf("no variable %s\n%s", p, text)
		}
	}
	rows, start := d.rows(t)
	want := expected(b, paths)
	// What a part shows at first is the opposite of its first change.
	seen := map[string]bool{}
	kept := want[:0]
	for _, w := range want {
		if first := !seen[w.path]; first {
			seen[w.path] = true
			if v, ok := start[w.path]; ok && v == w.value && !isEvent(d, w.path) {
				continue // it was so before
			}
		}
		kept = append(kept, w)
	}
	if !slices.Equal(rows, kept) {
		for i := range max(len(rows), len(kept)) {
			if i >= len(rows) || i >= len(kept) || rows[i] != kept[i] {
				t.Fatalf("change %d differs: %d in the dump, %d in the log\ndump %v\nlog  %v\n%s", i, len(rows), len(kept), rows[i:min(i+3, len(rows))], kept[i:min(i+3, len(kept))], text)
			}
		}
	}
	// At the end each variable shows what its part does.
	end := start
	for _, r := range rows {
		end[r.path] = r.value
	}
	for id := range b.Parts() {
		if v, ok := end[paths[id]]; ok && !isEvent(d, paths[id]) && v != int64(picture.ValueNow(b.KindOf(id), b.State(id))) {
			t.Errorf("%s ends with %d\n%s", paths[id], v, text)
		}
	}
}

func isEvent(d *vcdDump, path string) bool {
	for _, v := range d.vars {
		if v.path() == path {
			return v.kind == "event"
		}
	}
	return false
}

// TestVCDRandom reads back the dumps of random benches.
func TestVCDRandom(t *testing.T) {
	n := 300
	if testing.Short() {
		n = 40
	}
	events := 0
	for seed := range uint64(n) {
		b := stage.RandomBench(rand.New(rand.NewPCG(seed, 7)))
		events += b.EventCount()
		compareDump(t, b)
		if t.Failed() {
			t.Fatalf("seed %d", seed)
		}
	}
	if events < 20*n {
		t.Errorf("%d events on %d benches: the comparison is too thin", events, n)
	}
}

// TestVCDNetworks reads back the dumps of the reference networks: they hold the published traces, which come from a
// program on the reference library of IEEE Std 1666. The file format: IEEE Std 1364-2005, clause 18.
func TestVCDNetworks(t *testing.T) {
	for _, name := range networkNames(t) {
		t.Run(name, func(t *testing.T) {
			b, parts := runNetwork(t, name)
			compareDump(t, b)
			_, d := dump(t, b)
			rows, _ := d.rows(t)
			want, limit := networkTrace(t, name)
			rows = slices.DeleteFunc(rows, func(r vcdRow) bool {
				return !parts[strings.TrimPrefix(r.path, "bench.")] || limit.Before(picture.Moment{Tick: r.tick, Step: int32(r.step)})
			})
			got := vcdRows(rows)
			if !slices.Equal(got, want) {
				t.Errorf("got %d rows, want %d\ngot  %.300q\nwant %.300q", len(got), len(want), got, want)
			}
		})
	}
}

// vcdRows writes rows as "tick step path value", sorted.
func vcdRows(rows []vcdRow) []string {
	var lines []string
	for _, r := range rows {
		lines = append(lines, fmt.Sprintf("%08d %04d %s %d", r.tick, r.step, r.path, r.value))
	}
	slices.Sort(lines)
	return lines
}

// networkNames lists the reference networks of the engine's tests.
func networkNames(t testing.TB) (names []string) {
	files, err := filepath.Glob("../../engine/testdata/networks/*.json")
	if err != nil || len(files) != 31 {
		t.Fatalf("%d reference networks (%v), want 31", len(files), err)
	}
	for _, f := range files {
		names = append(names, strings.TrimSuffix(filepath.Base(f), ".json"))
	}
	return names
}

// runNetwork lays a reference network on the shelf, as the engine's tests do, and runs it to its end.
func runNetwork(t testing.TB, name string) (b *engine.Bench, parts map[string]bool) {
	t.Helper()
	src, err := os.ReadFile("../../engine/testdata/networks/" + name + ".json")
	if err != nil {
		t.Fatal(err)
	}
	var n struct {
		Until int64
		Parts []struct {
			ID, Kind      string
			In            []string
			Init          int
			Wave          [][2]int64
			Ticks, Reject int
		}
	}
	if err := json.Unmarshal(src, &n); err != nil {
		t.Fatal(err)
	}
	rules := engine.DefaultRules()
	rules.Reads = engine.ByStep
	b = engine.New(rules)
	ids := map[string]engine.ID{}
	parts = map[string]bool{}
	must := func(err error) {
		t.Helper()
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
	}
	for _, p := range n.Parts {
		q := engine.Part{Name: p.ID, On: p.Init == 1, Ticks: p.Ticks}
		switch p.Kind {
		case "input":
			q.Kind = engine.Key
		case "wire":
			q.Kind = engine.Wire
		case "delay":
			q.Kind, q.Mode = engine.Delay, engine.Transport
			if p.Reject > 0 {
				q.Mode, q.Reject = engine.Inertial, p.Reject
			}
		default:
			q.Kind = engine.Gate
			op := p.Kind
			if op == "celem" {
				op = "hold"
			}
			var ok bool
			if q.Op, ok = engine.ParseOp(op); !ok {
				t.Fatalf("%s: unknown kind %q", name, p.Kind)
			}
		}
		ids[p.ID], err = b.Shelve(q)
		must(err)
		parts[p.ID] = p.Kind != "wire" // wires are no parts of a trace
	}
	for _, p := range n.Parts {
		for _, in := range p.In {
			from, inverted := strings.CutPrefix(in, "!")
			must(b.Patch(ids[from], ids[p.ID], engine.Cord{Power: true, News: true, Invert: inverted}))
		}
	}
	for _, p := range n.Parts {
		for _, w := range p.Wave {
			if w[1] == 1 {
				must(b.Press(ids[p.ID], w[0]))
			} else {
				must(b.Release(ids[p.ID], w[0]))
			}
		}
	}
	err = b.RunTicks(context.Background(), n.Until, engine.Budget{Turns: 2_000})
	var away *engine.Runaway
	if !errors.As(err, &away) { // the rings never settle; their traces end somewhere
		must(err)
	}
	return b, parts
}

// networkTrace is the published trace of a network, as vcdRows writes it, and the last moment of it.
func networkTrace(t testing.TB, name string) (lines []string, limit picture.Moment) {
	t.Helper()
	src, err := os.ReadFile("../../engine/testdata/golden/" + name + ".trace")
	if err != nil {
		t.Fatal(err)
	}
	limit = picture.Moment{Tick: 1 << 60, Step: 0}
	var rows []vcdRow
	for line := range strings.Lines(string(src)) {
		var r vcdRow
		var part string
		if strings.HasPrefix(line, "#") {
			fmt.Sscanf(line, "# limit %d %d", &limit.Tick, &limit.Step)
			continue
		}
		if _, err := fmt.Sscan(line, &r.tick, &r.step, &part, &r.value); err != nil {
			t.Fatalf("%s: %q: %v", name, line, err)
		}
		r.path = "bench." + part
		rows = append(rows, r)
	}
	if len(rows) == 0 {
		t.Fatalf("%s has an empty trace", name)
	}
	return vcdRows(rows), limit
}

// TestVCDFolder writes the dumps of the networks, and the rows that an independent reader must find in them, to the folder
// that PULSEWRIGHT_VCD names; .ci/vcd uses it. Without that it compares one network with rows that such a reader found
// (vcd-parser 1.0.1): testdata/vcd.
func TestVCDFolder(t *testing.T) {
	b, _ := runNetwork(t, "diamond_unequal")
	want, err := os.ReadFile("testdata/vcd/diamond_unequal.rows")
	if err != nil {
		t.Fatal(err)
	}
	if _, d := dump(t, b); allRows(t, d) != string(want) {
		t.Errorf("got\n%swant\n%s", allRows(t, d), want)
	}
	folder := os.Getenv("PULSEWRIGHT_VCD")
	if folder == "" {
		return
	}
	benches := map[string]*engine.Bench{"harbour": stage.Harbour(t, 35).Bench, "kinds": ownKinds(t)}
	for _, name := range networkNames(t) {
		benches[name], _ = runNetwork(t, name)
	}
	for name, b := range benches {
		text, d := dump(t, b)
		for ending, content := range map[string]string{".vcd": text, ".rows": allRows(t, d), ".k": d.unit(t).String() + "\n"} {
			if err := os.WriteFile(filepath.Join(folder, name+ending), []byte(content), 0o644); err != nil {
				t.Fatal(err)
			}
		}
	}
}

// allRows writes a dump as testdata/vcd/readback.js does: tick, step, path and value, sorted by time and path.
func allRows(t testing.TB, d *vcdDump) string {
	rows, start := d.rows(t)
	for p, v := range start {
		rows = append(rows, vcdRow{0, 0, p, v})
	}
	slices.SortStableFunc(rows, func(a, b vcdRow) int {
		switch {
		case a.tick != b.tick:
			return int(a.tick - b.tick)
		case a.step != b.step:
			return int(a.step - b.step)
		}
		return strings.Compare(a.path, b.path)
	})
	var s strings.Builder
	for _, r := range rows {
		fmt.Fprintf(&s, "%d %d %s %d\n", r.tick, r.step, r.path, r.value)
	}
	return s.String()
}

// TestVCDHarbour reads back the dump of one transmission across the harbour.
func TestVCDHarbour(t *testing.T) {
	s := stage.Harbour(t, 35)
	compareDump(t, s.Bench)
	_, d := dump(t, s.Bench)
	scopes := map[string]bool{}
	for _, v := range d.vars {
		scopes[strings.Join(v.scope, ".")] = true
	}
	for _, want := range []string{"bench.panel", "bench.line.s1", "bench.board"} {
		if !scopes[want] {
			t.Errorf("no scope %s", want)
		}
	}
}

// TestVCDTime: K grows with the steps, and times may be longer than 63 bits.
func TestVCDTime(t *testing.T) {
	s := stage.MustDo(t, "w = wire((0, 0), name=\"w\")\nfire(w, 123456)\nrun()\nfire(w, 2, at=900000)\nrun()")
	_, d := dump(t, s.Bench)
	if k := d.unit(t); k.Cmp(big.NewInt(1_000_000)) != 0 {
		t.Errorf("K is %v for 123456 steps", k)
	}
	compareDump(t, s.Bench)
	rows, _ := d.rows(t)
	if got := fmt.Sprint(rows); got != "[{1 0 bench.w 1} {1 123456 bench.w 0} {900000 0 bench.w 1} {900000 2 bench.w 0}]" {
		t.Error(got)
	}
	var out strings.Builder
	v := &vcdWriter{out: bufio.NewWriter(&out), k: 1_000_000}
	v.time(picture.Moment{Tick: 1 << 52, Step: 7})
	v.out.Flush()
	if got := out.String(); got != "#4503599627370496000007\n" {
		t.Errorf("a late time is %q", got)
	}
}

// TestVCDZeroSteps: a pulse of 0 steps has both its changes in the dump, in order, at the same time.
func TestVCDZeroSteps(t *testing.T) {
	s := stage.MustDo(t, "w = wire((0, 0), name=\"w\")\nfire(w, 0)\nrun()")
	text, d := dump(t, s.Bench)
	rows, _ := d.rows(t)
	if got := fmt.Sprint(rows); got != "[{1 0 bench.w 1} {1 0 bench.w 0}]" {
		t.Errorf("%s\n%s", got, text)
	}
}

// TestVCDNames: every name becomes an identifier of its own.
func TestVCDNames(t *testing.T) {
	for name, want := range map[string]string{"pull": "pull", "r1": "r1", "1": `\1`, "link(3,-4)": `\link(3,-4)`, "a b": "a_b", "é": `\%C3%A9`,
		"$end": `\%24end`, "": "_", "x\ny": `\x%0Ay`, `a\b`: `\a\b`} {
		if got := vcdName(name); got != want {
			t.Errorf("vcdName(%q) = %q, want %q", name, got, want)
		}
	}
	codes := map[string]bool{}
	for n := 0; n < 850_000; {
		if n == 20_000 {
			n = 835_000 // where codes of three characters end
		}
		code := vcdCode(&n)
		if codes[code] || code == "$end" || strings.Trim(code, "!\"#$%&'()*+,-./0123456789:;<=>?@ABCDEFGHIJKLMNOPQRSTUVWXYZ[\\]^_`abcdefghijklmnopqrstuvwxyz{|}~") != "" {
			t.Fatalf("code %q", code)
		}
		codes[code] = true
	}
	b := engine.New(engine.DefaultRules())
	for i, name := range []string{"a b", "a_b", "a.b", "a", "x y.z", "x_y.z", "$end", "\x1b[2J$end #0", "é.ü", "..", "a_b_2"} {
		if _, err := b.Place(engine.Cell{X: int32(i)}, engine.Part{Kind: engine.Lamp, Name: name}); err != nil {
			t.Fatal(err)
		}
	}
	if _, d := dump(t, b); len(d.vars) != 11 {
		t.Errorf("%d variables for 11 parts", len(d.vars))
	}
}
