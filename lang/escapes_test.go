package lang

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
	"unicode"
	"unicode/utf8"
)

// evil is what a terminal would obey: a title, a cleared screen, a colour without ESC, text from right to left, backspaces.
const evil = `\x1b]0;x\x07\x1b[2J\u009b31m\u202e\x08\r`

// driving finds what would drive a terminal, or be hidden by it, in what was written.
func driving(text string) string {
	i := strings.IndexFunc(text, func(r rune) bool {
		return r != '\n' && r != '\t' && unicode.In(r, unicode.Cc, unicode.Cf, unicode.Zl, unicode.Zp)
	})
	if i < 0 && !utf8.ValidString(text) {
		i = strings.Index(strings.ToValidUTF8(text, "\x00"), "\x00")
	}
	if i < 0 {
		return ""
	}
	return text[max(0, i-60):min(len(text), i+30)]
}

func showsNoEscapes(t *testing.T, name, src string) {
	t.Helper()
	var out bytes.Buffer
	s := newSession(t, Config{Out: &out, Err: &out, Dir: t.TempDir(), Workers: 1})
	ctx, cancel := context.WithTimeout(context.Background(), 2*time.Second)
	defer cancel()
	for _, script := range []string{src, "_"} { // a bare value is shown, too
		if err := s.Command(ctx, script); err != nil {
			s.Report(err)
			out.WriteString(FormatError(err, s.cfg.OutPalette) + failureText("tests.star", "test", err, s.cfg))
		}
	}
	if found := driving(out.String()); found != "" {
		t.Errorf("%s: %q in what this shows:\n%s", name, found, src)
	}
}

// TestTextsShowNoEscapes: texts that words take and others show: heads of tables, docstrings, names of functions' files, what
// functions print, values in lists and dicts, notes and authors.
func TestTextsShowNoEscapes(t *testing.T) {
	const machine = `
def build(f):
    """A line. EVIL"""
    w = f.wire((0, 0))
    return struct(input=w, out=probe(w), note="EVIL")
def send(rig, n):
    """EVIL"""
    fire(rig.input, n)
d = design("line", build, send, lambda rig: rig.out.width, [1, 2], author="EVIL", version="EVIL", note="EVIL")
`
	for name, src := range map[string]string{
		"plot":      `plot(table([[1, 2], [2, 3]], head=["aEVIL", "bEVIL"]))`,
		"heat map":  `plot(table([[1, 2, 3], [2, 3, 4], [1, 3, 4]], head=["aEVIL", "bEVIL", "cEVIL"]), z="cEVIL")`,
		"no column": `plot(table([[1, 2]], head=["aEVIL", "b"]), x="EVIL")`,
		"table":     `print(table([["EVIL", 1]], head=["EVIL", "EVIL"]))`,
		"a value":   `table([["EVIL", 1]], head=["EVIL", "EVIL"])`,
		"a list":    `["EVIL", {"EVIL": "EVIL"}, ("EVIL",), struct(a="EVIL")]`,
		"printed":   `print("EVIL", ["EVIL"])`,
		"failed":    `fail("EVIL", ["EVIL"])`,
		"expected":  `expect_equal("EVIL", ["EVIL"], "EVIL")`,
		"expect":    `expect(False, "EVIL")`,
		"error":     `expect_error(lambda: fail("EVIL"), "xEVIL")`,
		"against":   `print(against(table([[1, "EVIL"]], head=["a", "bEVIL"]), table([[1, "x"]], head=["a", "bEVIL"])))`,
		"sweep":     `print(sweep(lambda x: x + "EVIL", ["EVIL", "b"]))`,
		"sweep two": `print(sweep(lambda **k: "EVIL", {"EVIL": [1, 2]}))`,
		"trial":     `sweep(lambda x: fail("EVIL"), ["EVIL"])`,
		"datasheet": machine + `print(datasheet(d))`,
		"sheet":     machine + `datasheet(d, "sheet.md")`,
		"compare":   machine + `print(compare([d, d]))`,
		"design":    machine + `d`,
		"designs":   machine + `designs()`,
		"help":      machine + `help(d); help(build)`,
		"survey":    machine + `print(survey(d, runs=50))`,
		"recovery":  machine + `print(recovery(d))`,
		"expand":    machine + `print(expandable(d))`,
		"calibrate": `c = calibrate("EVIL", parts=1); print(c); help(c)`,
		"saw":       `calibrate("quay", saw=["EVIL"])`,
		"named":     `design("EVIL", lambda f: None, lambda r, n: None, lambda r: 1, [1])`,
		"kind":      `kind("quay", ["a", "b"], lambda p: "EVIL", says={"a": "EVIL"})`,
		"kind wants": `kind("quay", ["a", "b"], lambda p: fail("EVIL"))
wire((0,0))`,
		"world":   `w = world("EVIL", note="EVIL"); print(w); help(w)`,
		"sketch":  `sketch("EVIL")`,
		"legend":  `sketch("w", legend={"wEVIL": "EVIL"})`,
		"load":    `load("./EVIL.star", "x")`,
		"loads":   `load("EVIL", "xEVIL")`,
		"help of": `help("EVIL")`,
		"attr":    `getattr(struct(a=1), "EVIL")`,
		"key":     `{}["EVIL"]`,
		"arg":     `arg("EVIL", 1)`,
		"frames":  "def f():\n    fail(\"EVIL\")\ndef g():\n    f()\ng()",
		"json":    `json.decode("EVIL")`,
		"int":     `int("EVIL")`,
		"read":    `read_table("EVIL.csv")`,
		"export":  `export("EVIL.csv")`,
		"lag":     `lag_fit([["EVIL", 1]])`,
		"weights": `cost(weights={"EVIL": 1})`,
		"syntax":  "x = \"EVIL",
		"comment": "x = = # EVIL",
	} {
		raw := strings.NewReplacer(`\x1b`, "\x1b", `\x07`, "\x07", `\u009b`, "\u009b", `\u202e`, "\u202e", `\x08`, "\x08", `\r`, "").Replace(evil)
		showsNoEscapes(t, name, strings.ReplaceAll(src, "EVIL", evil))
		showsNoEscapes(t, name+", raw", strings.ReplaceAll(src, "EVIL", raw))
	}
}

// TestFileNamesShowNoEscapes: nor does the name of a file that is refused for it: loaded, run, or as a test.
func TestFileNamesShowNoEscapes(t *testing.T) {
	name := "quay\x1b]0;x\x07\u202e.star"
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, name), []byte("def f(x):\n    fail(\"no\")\ndef test_f():\n    def g(): f(1)\n    g()\ndef test_g(): pass\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	var out bytes.Buffer
	cfg := Config{Out: &out, Err: &out, Dir: dir, Workers: 1}
	s := newSession(t, cfg)
	for _, src := range []string{"load(\"./" + name + "\", \"f\")", "def h(): f(1)\nh()", "sweep(f, [1])", "f", "help(f)", "why(\"" + name + "\")"} {
		s.Report(s.Command(context.Background(), src))
	}
	s.Report(s.ExecFile(context.Background(), filepath.Join(dir, "x"+name), nil))
	if _, failed, err := RunTests(context.Background(), cfg, []string{filepath.Join(dir, name)}, TestOptions{Verbose: true}); failed != 1 || err != nil {
		t.Errorf("%d failed, %v", failed, err)
	}
	if found := driving(out.String()); found != "" {
		t.Errorf("%q in\n%s", found, out.String())
	}
	if n := strings.Count(out.String(), `quay\x1b]0;x\a\u202e.star" has a control character in it`); n != 3 {
		t.Errorf("the name is refused %d times in\n%s", n, out.String())
	}
}
