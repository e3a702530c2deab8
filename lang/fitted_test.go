package lang

import (
	"bytes"
	"context"
	"strings"
	"testing"

	"pulsewright/builtins/say"
)

// TestTablesFit: on a terminal a table goes to the pager, whole, and folded to the width; elsewhere it is as wide as it is.
func TestTablesFit(t *testing.T) {
	const wide = `table([["row %d" % i] + [1000 * i + k for k in range(20)] for i in range(300)], head=["row"] + ["column %d" % k for k in range(20)])`
	for _, fold := range []bool{false, true} {
		var out, paged bytes.Buffer
		cfg := Config{Out: &out, Width: func() int { return 60 }, Fold: fold}
		if fold {
			cfg.Page = func(text string) { paged.WriteString(text) }
		}
		s, err := New(cfg)
		if err != nil {
			t.Fatal(err)
		}
		if err := s.Command(context.Background(), wide); err != nil {
			t.Fatal(err)
		}
		widest := 0
		for line := range strings.Lines(out.String() + paged.String()) {
			widest = max(widest, len(strings.TrimRight(line, "\n")))
		}
		if fold && (out.Len() > 0 || widest > 60 || strings.Count(paged.String(), "\nrow 299") < 3 || !strings.Contains(paged.String(), " 299019\n")) {
			t.Errorf("printed %q; the pager has %d columns and ends in %q", out.String(), widest, paged.String()[max(0, paged.Len()-100):])
		}
		if !fold && (paged.Len() > 0 || widest < 200) {
			t.Errorf("paged %q; %d columns", paged.String(), widest)
		}
	}
}

// TestComparisonFits: the table in a report is folded with it, and its notes stand below.
func TestComparisonFits(t *testing.T) {
	var out bytes.Buffer
	s, err := New(Config{Out: &out, Width: func() int { return 60 }, Fold: true})
	if err != nil {
		t.Fatal(err)
	}
	err = s.Command(context.Background(), `
def build(f):
    return f.ports(start=f.wire((0, 0), (3, 0)).first)
def send(rig, n):
    fire(rig.start, n)
def read(rig):
    return probe(rig.start).width
compare([design("breakwater " + name, build, send, read, [2, 3]) for name in ["north", "east", "south", "west"]])
`)
	if err != nil {
		t.Fatal(err)
	}
	widest := 0
	for line := range strings.Lines(out.String()) {
		widest = max(widest, say.Columns(strings.TrimRight(line, "\n")))
	}
	if widest > 60 || strings.Count(out.String(), "\nparts ") < 2 || strings.Count(out.String(), "breakwater west") < 1 {
		t.Errorf("%d columns:\n%s", widest, out.String())
	}
}

// TestPrintFits: print writes a table, and a report that holds one, on a terminal as the shell shows it, on lines of its own; elsewhere as wide as it is.
func TestPrintFits(t *testing.T) {
	const wide = "t = table([[\"berth %d\" % i] + [1000 * i + k for k in range(9)] for i in range(5)], head=[\"the berth\"] + [\"column %d\" % k for k in range(9)])\n"
	said := func(fold bool, src string) string {
		t.Helper()
		var out bytes.Buffer
		s, err := New(Config{Out: &out, Width: func() int { return 60 }, Fold: fold})
		if err != nil {
			t.Fatal(err)
		}
		defer s.Close()
		if err := s.Command(context.Background(), wide+src); err != nil {
			t.Fatal(err)
		}
		return out.String()
	}
	shown := said(true, "t")
	if n := strings.Count(shown, "the berth  "); n != 2 {
		t.Errorf("the table is in %d blocks:\n%s", n, shown)
	}
	for src, want := range map[string]string{
		"print(t)":                        shown,
		"print(\"quay\", t)":              "quay\n" + shown,
		"print(1, 2, t, 3, t, sep=\"-\")": "1-2\n" + shown + "3\n" + shown,
		"print(table([[1]]), 2)":          "1 2\n", // nothing stands below it
		"sweep(lambda n: print(t), [1]);": said(false, "sweep(lambda n: print(t), [1]);"),
	} {
		if got := said(true, src); got != want {
			t.Errorf("%s\n%s\nwant\n%s", src, got, want)
		}
	}
	var out, paged bytes.Buffer
	s, err := New(Config{Out: &out, Width: func() int { return 60 }, Fold: true, Page: func(text string) { paged.WriteString(text) }})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	for _, src := range []string{wide, "print(t)", "print(\"quay\", t)"} {
		if err := s.Command(context.Background(), src); err != nil {
			t.Fatal(err)
		}
	}
	if paged.String() != shown || out.String() != "quay\n"+shown {
		t.Errorf("where print is all that was typed, its table is to be paged:\n%s\nand else:\n%s", &paged, &out)
	}
	whole := strings.TrimSuffix(said(false, "t"), "\n")
	if got := said(false, "print(\"quay\", t, 3)"); got != "quay "+whole+" 3\n" {
		t.Errorf("on a pipe:\n%s", got)
	}
}
