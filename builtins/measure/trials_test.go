package measure

import (
	"pulsewright/builtins/stage"
	"pulsewright/builtins/trial"

	"bytes"
	"context"
	"encoding/csv"
	"encoding/json"
	"os"
	"regexp"
	"strings"
	"testing"
)

// TestRecovery holds recovery to brute force on small designs.
func TestRecovery(t *testing.T) { stage.MustDo(t, stage.Read(t, "testdata/recovery.star")) }

// TestCompareAndDatasheet looks at what compare and datasheet write: that formats hold the same figures, that the page is
// made of what was computed, and that the same call gives the same bytes.
func TestCompareAndDatasheet(t *testing.T) {
	const script = `
def two(f, size):
    for k in range(size):
        f.gate((2 * k, 0), "+x", "buf", pads=[(-1, 0, 0)], name="g%d" % k)
        f.wire((2 * k + 1, 0))
    return struct(into=f.cell((-1, 0)), out=probe(f.part((2 * size - 1, 0))))

def reach(f, size):
    "A conductor, nothing else."
    row = f.wire((0, 0), (2 * size, 0))
    return struct(into=row.first, out=probe(row.last))

def send(rig, n):
    fire(rig.into, n)

def read(rig):
    return rig.out.width

a = design("gates", two, send, read, [2, 5], version="1", author="harbour office", note="a | b <c>", pitch=(2, 0, 0))
b = design("conductor", reach, send, read, [1, 2, 5], pitch=(2, 0, 0))
r = compare([a, b], "c.csv", size=2)
compare([a, b], "c.json", size=2)
compare([a, b], "c.svg", size=2)
expect_equal(r.best["smallest number"], ["conductor"])
expect_equal(r.best["parts a slice"], [])
expect_equal(r.best["conductors a slice"], ["gates, version 1"])
expect_equal(r.rows[0]["growth of parts"], "linear: 2 N")
expect_equal(r.rows[1]["growth of parts"], "linear: 2 N + 1")
expect_equal(r.rows[1]["growth of news"], "constant: 0, to size 12")
expect_equal(r.rows[0]["parts a slice"], 2)
expect_equal(str(compare([a, b], size=2)), str(r))
s = datasheet(a, "a.html", size=2)
datasheet(a, "a.json", size=2)
datasheet(a, "a.md", size=2)
expect_equal(datasheet(a, "again.md", size=2).text, s.text)
expect_equal(s.figures["recovery, ticks"], recovery(a, size=2).ticks)
expect("works at any size" in s.text)
t = datasheet(b, "b.md", size=2).text
expect("fails at size 13" in t)
expect("""wire (0, 0) was forced live at 1.0.0
  1.0 5 wires (0, 0) \u22ef (4, 0) went live
wire (0, 0) was let go at 1.5.0
  1.5 5 wires (0, 0) \u22ef (4, 0) went dead
""" in t, t)
expect("A conductor, nothing else." in t)
expect_error(lambda: compare([a], "c.txt"), ".csv, .json or .svg")
expect_error(lambda: datasheet(a, "c.txt"), ".md, .html or .json")
expect_error(lambda: compare([]), "at least one design")
`
	dir, err := os.OpenRoot(t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	defer dir.Close()
	s := stage.New()
	s.Dir = dir
	if msg := s.Do(script); msg != "" {
		t.Fatal(msg)
	}
	file := func(name string) []byte {
		data, err := dir.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		return data
	}
	lines, err := csv.NewReader(bytes.NewReader(file("c.csv"))).ReadAll()
	if err != nil || len(lines) != 3 {
		t.Fatalf("csv: %v, %d lines", err, len(lines))
	}
	var rows []struct {
		Design  string
		Figures []figureJSON
	}
	if err := json.Unmarshal(file("c.json"), &rows); err != nil || len(rows) != 2 {
		t.Fatalf("json: %v, %d rows", err, len(rows))
	}
	for k, r := range rows {
		for i, f := range r.Figures {
			if got := lines[k+1][1+2*i]; got != f.Value || lines[k+1][2+2*i] == "*" != f.Best {
				t.Errorf("%s, %s: csv has %q, json %q", r.Design, f.Name, got, f.Value)
			}
			if f.How == "" {
				t.Errorf("%s, %s: nobody knows how it was obtained", r.Design, f.Name)
			}
		}
	}
	if n := bytes.Count(file("c.svg"), []byte(`class="badge"`)); n == 0 {
		t.Error("svg: no figure is framed as the best")
	}
	var page sheet
	if err := json.Unmarshal(file("a.json"), &page); err != nil {
		t.Fatal(err)
	}
	html, md := string(file("a.html")), string(file("a.md"))
	for _, f := range page.Figures {
		if f.Value != "" && (!strings.Contains(md, inMarkdown(f.Value)) || !strings.Contains(html, f.Value)) {
			t.Errorf("%s = %s is not on every page", f.Name, f.Value)
		}
	}
	if strings.Count(html, "<svg ") != 2 || strings.Contains(html, "<c>") {
		t.Error("the page does not hold its two pictures, or a note is not escaped")
	}
	ids := map[string]bool{}
	for _, m := range regexp.MustCompile(` id="([^"]*)"`).FindAllStringSubmatch(html, -1) {
		if ids[m[1]] {
			t.Errorf("the page has two elements %s", m[1])
		}
		ids[m[1]] = true
	}
	if !ids["map-title"] || !ids["timing-about"] || !strings.Contains(html, `aria-labelledby="map-title map-about"`) {
		t.Errorf("the pictures are not labelled: %v", ids)
	}
	if n := strings.Count(html[strings.Index(html, "map-about"):], "<g><title>"); n < 3 {
		t.Errorf("%d parts of the map say what they are", n)
	}
	if strings.Contains(html, "<?xml") || strings.Contains(html, "http-equiv") || regexp.MustCompile(`(src|href)=`).MatchString(html) {
		t.Error("the page loads something, or holds what belongs at the top of a file")
	}
}

// TestExperimentWorkers: what the experiments find out does not depend on the number of workers, not even how many trials
// they say it took; neither where all is well nor where something fails.
func TestExperimentWorkers(t *testing.T) {
	const script = trial.PlainFunctions + `
def send_ticks(rig, n):
    fire(rig.into, ticks=n, steps=0)

def read_ticks(rig):
    return rig.out.width[0] if rig.out.width else None

def slow(f):
    f.wire((0, 0))
    f.delay((1, 0), "+x", ticks=5)
    return struct(into=f.cell((0, 0)), out=probe(f.wire((2, 0))))

def row(f, size):
    for k in range(size):
        f.gate((2 * k, 0), "+x", "buf", pads=[(-1, 0, 0)])
        f.wire((2 * k + 1, 0))
    return struct(input=f.cell((-1, 0)), out=probe(f.part((2 * size - 1, 0))))

def bare(f, size):
    w = f.wire((0, 0), (2 * size, 0))
    return struct(input=w.first, out=probe(w.last))

a = design("line", build, send, read, range(1, 30), version="1")
b = design("delay", slow, send_ticks, read_ticks, range(5, 12), version="1")
c = design("gates", row, send, read, [2, 5], pitch=(2, 0, 0))
d = design("conductor", bare, send, read, lambda size: range(1, size + 2), pitch=(2, 0, 0))
print(recovery(a), recovery(b), expandable(c), expandable(d), sep="\n")
print(compare([a, b]), compare([c, d], size=3, runs=50), sep="\n")
print(datasheet(b).text, datasheet(d, size=2, runs=500).text, sep="\n")
`
	want := ""
	for _, workers := range []int{1, 2, 8} {
		s := stage.New()
		s.Workers = workers
		stage.MustSession(t, s, script)
		got := s.Printed.String()
		if want == "" {
			want = got
		}
		if got != want {
			t.Errorf("with %d workers:\n%s\nwith one:\n%s", workers, got, want)
		}
	}
	for _, part := range []string{"recovery   1 tick ", "fails      11 then 5", "by induction from size", "fails at size 13", "drawn"} {
		if !strings.Contains(want, part) {
			t.Errorf("%q is not in\n%s", part, want)
		}
	}
}

// TestExperimentsStop: an experiment ends when its context does, and says so.
func TestExperimentsStop(t *testing.T) {
	for _, call := range []string{"recovery(line)", "compare([line])", "datasheet(line)", "expandable(row)"} {
		s := stage.New()
		ctx, cancel := context.WithCancel(context.Background())
		s.Ctx = ctx
		if msg := s.Do(trial.PlainFunctions + "line = design(\"l\", build, send, read, range(1, 200))\nrow = design(\"r\", lambda f, size: build(f), send, read, [1], pitch=(1, 0, 0))"); msg != "" {
			t.Fatal(msg)
		}
		cancel()
		if msg := s.Do(call); !strings.Contains(msg, "stopped at") {
			t.Errorf("%s: %q", call, msg)
		}
	}
}

// TestExperimentsProgress: whoever waits for an experiment is told how far it is, never past the end, and when it ends.
func TestExperimentsProgress(t *testing.T) {
	for _, call := range []string{"sweep(line)", "survey(line)", "recovery(line)", "expandable(row, upto=9)", "compare([line])", "datasheet(line)"} {
		s := stage.New()
		open, told := map[string]bool{}, 0
		s.Progress = func(what string, done, total int64) {
			told++
			if what == "" || done < 0 || done > total {
				t.Errorf("%s: %q is at %d of %d", call, what, done, total)
			}
			open[what] = done < total
		}
		stage.MustSession(t, s, trial.PlainFunctions+"line = design(\"l\", build, send, read, [2, 3])\nrow = design(\"r\", lambda f, size: build(f), send, read, [1], pitch=(1, 0, 0))\n"+call)
		for what, still := range open {
			if still {
				t.Errorf("%s: %q never ends", call, what)
			}
		}
		if told == 0 {
			t.Errorf("%s tells nothing", call)
		}
	}
}
