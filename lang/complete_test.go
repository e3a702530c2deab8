package lang

import (
	"context"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

func TestComplete(t *testing.T) {
	dir := t.TempDir()
	for name, text := range map[string]string{"mine.star": "def lay(f): pass\n_hidden = 1\nlength = 2\n", "mine.txt": "", "sub/quay.star": "x = 1\n"} {
		path := filepath.Join(dir, name)
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	s := newSession(t, Config{Dir: dir})
	for _, src := range []string{
		`quay = key((0, 0), name="north.quay")`,
		`lamp((3, 0), name="north.lamp")`,
		"def send(berth, steps=2): return berth",
		`r1 = frame(name="r1")`,
		`cargo = struct(crates=3, crane=struct(weight=1))`,
		`größe = 1`,
		`belfry = kind("belfry", ["still", "rings"], lambda state, live, told: "rings" if live.back else "still", letter="z")`,
		`bell = belfry((7, 0), "+x")`,
	} {
		if err := s.Command(context.Background(), src); err != nil {
			t.Fatal(err)
		}
	}
	for _, c := range []struct {
		line   string // | is the cursor
		more   string
		insert string // what stands before the cursor afterwards, on this line
		list   string // names offered, joined; "" none; "..." any
	}{
		{line: "quay|", insert: "quay"},
		{line: "pres|", insert: "press"},
		{line: "sen|", insert: "send"},
		{line: "grö|", insert: "größe"},
		{line: "x = berth + qua|y", insert: "x = berth + quay"},
		{line: "nothing_like_it|", insert: "nothing_like_it"},
		{line: "quay.na|", insert: "quay.name"},
		{line: "quay.a|", insert: "quay.a", list: "armed at"},
		{line: "cargo.crane.w|", insert: "cargo.crane.weight"},
		{line: "cargo.cra|", insert: "cargo.cra", list: "crane crates"},
		{line: "send(1).na|", insert: "send(1).na"},
		{line: "send(1).upp|", insert: "send(1).upp"},
		{line: "delay((0, 5), t|", insert: "delay((0, 5), ticks="},
		{line: "delay((0, 5), tic|", insert: "delay((0, 5), ticks="},
		{line: "belf|", insert: "belfry"},
		{line: "belfry.sta|", insert: "belfry.states"},
		{line: "belfry((9, 9), fac|", insert: "belfry((9, 9), facing="},
		{line: "belfry((9, 9), \"+x\", sta|", insert: "belfry((9, 9), \"+x\", state="},
		{line: "bell.arm|", insert: "bell.armed"},
		{line: "send(st|", insert: "send(steps="},
		{line: "send(|", insert: "send(", list: "berth= steps="},
		{line: "send(berth=1, |", insert: "send(berth=1, steps="},
		{line: `help("laps|`, insert: `help("lapse"`},
		{line: `help("stim|`, insert: `help("stimulus"`},
		{line: `help("glos|`, insert: `help("glossary"`},
		{line: `link((0, 5), "|`, insert: `link((0, 5), "`, list: "+x +y +z -x -y -z"},
		{line: `link((0, 5), facing="+|`, insert: `link((0, 5), facing="+`, list: "+x +y +z"},
		{line: `link((0, 5), facing="-z|`, insert: `link((0, 5), facing="-z"`},
		{line: `link((0, 5), facing="-z|")`, insert: `link((0, 5), facing="-z`},
		{line: `gate((0, 5), "+x", "ma|`, insert: `gate((0, 5), "+x", "maj"`},
		{line: `r1.link((0, 5), facing="-z|`, insert: `r1.link((0, 5), facing="-z"`},
		{line: `r1.shu|`, insert: `r1.shuttle`},
		{line: `r1.shuttle((1, 1), sl|`, insert: `r1.shuttle((1, 1), slug=`},
		{line: `fire("n|`, insert: `fire("north.`, list: "north.lamp north.quay"},
		{line: `press("north.q|`, insert: `press("north.quay"`},
		{line: `load("|`, insert: `load("`, list: "./ lib/"},
		{line: `load("li|`, insert: `load("lib/`},
		{line: `load("lib/repe|`, insert: `load("lib/repeaters.star"`},
		{line: `load("./m|`, insert: `load("./mine.star"`},
		{line: `load("./s|`, insert: `load("./sub/`},
		{line: `load("./sub/|`, insert: `load("./sub/quay.star"`},
		{line: `load("./mine.star", "|`, insert: `load("./mine.star", "l`, list: "lay length"},
		{line: `save("mine|`, insert: `save("mine.`, list: "mine.star mine.txt"},
		{line: `# a comment qua|`, insert: `# a comment qua`},
		{line: `"qua|`, insert: `"qua`},
		{line: `x = 12|`, insert: `x = 12`},
		{line: "    quarte|", more: "def f(quarter):", insert: "    quarter"},
		{line: "    ticks=|", more: "delay((0, 5),", insert: "    ticks=", list: "..."},
		{line: `    facing="+x|`, more: "delay((0, 5),", insert: `    facing="+x"`},
		{line: "r1.sub.li|", insert: "r1.sub.li"},
		{line: "def lay(f):\n    f.lin|", insert: "def lay(f):\n    f.lin"},
		{line: `f.link((0, 0), facing="-y|`, insert: `f.link((0, 0), facing="-y"`},
	} {
		before, after, _ := strings.Cut(c.line, "|")
		got := s.Complete(before+after, len([]rune(before)), c.more)
		runes := []rune(before)
		text := string(runes[:len(runes)-got.Replace]) + got.Insert
		var names []string
		for _, x := range got.List {
			names = append(names, x.Name)
		}
		if text != c.insert {
			t.Errorf("%s: %q, want %q", c.line, text, c.insert)
		}
		if list := strings.Join(names, " "); c.list != "..." && list != c.list {
			t.Errorf("%s: offers %q, want %q", c.line, list, c.list)
		}
	}
	for _, name := range []string{"a|", "p|", "d|"} {
		for _, x := range s.Complete(name, 1, "").List {
			if e, ok := entry(x.Name); ok && x.Note != e.Usage() {
				t.Errorf("%s is noted %q, want %q", x.Name, x.Note, e.Usage())
			}
		}
	}
}

// Completion never calls anything, not even where a call would tell more.
func TestCompleteCallsNothing(t *testing.T) {
	s := newSession(t, Config{})
	if err := s.Command(context.Background(), "calls = []\ndef f():\n    calls.append(1)\n    return struct(x=1)\n"); err != nil {
		t.Fatal(err)
	}
	for _, line := range []string{"f().", "f()", "[f()][0].", "f", "press(f().", "{f(): f()}."} {
		s.Complete(line, len(line), "")
	}
	if err := s.Command(context.Background(), "expect_equal(calls, [])"); err != nil {
		t.Error(err)
	}
}

func FuzzComplete(f *testing.F) {
	for _, line := range []string{"press(\"", "x.", "load(\"./", "f(a, b=", "'''", "((((", "\"\\", "grö", "a.b.c.d(", "delay((0, 5), \"+x\", mode=\"", "#", "\x00", "é\u0301."} {
		f.Add(line, len(line), "def f(x):")
	}
	s := newSession(f, Config{})
	f.Fuzz(func(t *testing.T, line string, pos int, more string) {
		c := s.Complete(line, pos, more)
		if n := max(0, min(pos, len([]rune(line)))); c.Replace < 0 || c.Replace > n {
			t.Errorf("replaces %d runes of %d", c.Replace, n)
		}
	})
}

// TestCompletePartsOfRows: one of a row has the attributes of a part; inside press only keys are offered.
func TestCompletePartsOfRows(t *testing.T) {
	s := newSession(t, Config{})
	if err := s.Command(context.Background(), `line = wire((0, 0), (3, 0), name="line"); key((0, 1), name="lark"); lamp((0, 2), name="last");`); err != nil {
		t.Fatal(err)
	}
	for typed, want := range map[string]string{
		`line[0].pow`: "powered", `x = line[3].pow`: "powered", `line[4].pow`: "", `line[n].pow`: "", `nope[0].pow`: "",
		`press("l`: `lark"`, `press(key="l`: `lark"`, `release("`: `lark"`, `fire("las`: `last"`,
	} {
		if got := s.Complete(typed, len(typed), ""); got.Insert != want {
			t.Errorf("%s completes to %q, want %q", typed, got.Insert, want)
		}
	}
}

// TestCompleteAllowed goes through the table of words: every string with a closed list of values completes to it, whichever way it is written.
func TestCompleteAllowed(t *testing.T) {
	s := newSession(t, Config{Dir: t.TempDir()})
	if err := s.Command(context.Background(), `corner = frame((5, 5))`); err != nil {
		t.Fatal(err)
	}
	offers := func(typed string, want []string, quote string) {
		t.Helper()
		c := s.Complete(typed, len([]rune(typed)), "")
		got := []string{}
		for _, x := range c.List {
			got = append(got, strings.Trim(x.Name, quote))
		}
		if len(want) == 1 && len(got) == 0 {
			got = append(got, strings.Trim(c.Insert, `"`))
		}
		want = slices.Sorted(slices.Values(want))
		if !slices.Equal(got, want) {
			t.Errorf("%s offers %q, want %q", typed, got, want)
		}
	}
	open := strings.Fields("author default fill into msg name note order path resume text time version x y z letter") // any text, or the table's own heads
	for _, e := range Entries() {
		name := strings.Replace(e.Name, "frame.", "corner.", 1)
		for i, p := range e.Params {
			if len(p.Allowed) == 0 {
				if p.Type == "string" && !slices.Contains(open, p.Name) {
					t.Errorf("%s: which strings does %s take?", e.Name, p.Name)
				}
				continue
			}
			calls := []string{name + "(" + p.Name + "=", name + "(" + p.Name + "=["}
			if !p.Keyword {
				calls = append(calls, name+"("+strings.Repeat("0, ", i))
			}
			if e.Framed {
				calls = append(calls, "corner."+name+"("+p.Name+"=")
			}
			for n, call := range calls {
				offers(call+`"`, p.Allowed, "")
				if n < 2 { // by position the parameters are offered
					offers(call, p.Allowed, `"`)
				}
			}
		}
	}
}

// TestCompleteOwnKinds: kinds of one's own and what they say are offered with the built-in ones, in lists too; parts() takes what placing words take.
func TestCompleteOwnKinds(t *testing.T) {
	s := newSession(t, Config{Dir: t.TempDir()})
	err := s.Command(context.Background(), `sensor = kind("sensor", ["waits", "sees"], lambda state, live, told: "sees" if live.back else "waits", says={"sees": "glimpses", "waits": None}, letter="y")
s = sensor((1, 0), "+x");`)
	if err != nil {
		t.Fatal(err)
	}
	for typed, want := range map[string]string{
		`parts(kind="se`: `sensor"`, `events(kind=["lamp", "se`: `sensor"`, `events(what="gl`: `glimpses"`, `log(what=["lit", "gl`: `glimpses"`, `export("a.svg", what="gl`: "",
		`parts(op="ma`: `maj"`, `sensor((0, 0), "+x", state="w`: `waits"`, `kind("x", [], None, pads=["back", "far_b`: `far_back"`,
	} {
		if got := s.Complete(typed, len(typed), ""); got.Insert != want {
			t.Errorf("%s completes to %q, want %q", typed, got.Insert, want)
		}
	}
}

// TestCompleteBehindIndexes: a path may lead through rows, lists and dicts, to attributes, words and parameters.
func TestCompleteBehindIndexes(t *testing.T) {
	s := newSession(t, Config{})
	if err := s.Command(context.Background(), `line = [struct(output=lamp((0, 0)), at=frame((2, 2)))]; by = {"west": line};`); err != nil {
		t.Fatal(err)
	}
	for typed, want := range map[string]string{
		`line[0].output.pow`: "powered", `line[-1].output.pow`: "powered", `by["west"][0].output.pow`: "powered", `press(line[0].out`: "output",
		`line[0].at.li`: "link", `line[0].at.link((0, 0), facing="-z`: `-z"`, `line[1].out`: "", `by["east"][0].out`: "", `[line[0]][0].out`: "", `x = [line[0].out`: "output",
	} {
		if got := s.Complete(typed, len(typed), ""); got.Insert != want {
			t.Errorf("%s completes to %q, want %q", typed, got.Insert, want)
		}
	}
}
