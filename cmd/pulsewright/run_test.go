package main

import (
	"bytes"
	"errors"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"pulsewright/builtins/whole"

	"github.com/rogpeppe/go-internal/testscript"
)

var update = flag.Bool("update", false, "rewrite the expected output in testdata")

// TestMain makes the command available to scripts and to the terminal tests: as the test binary under another name.
func TestMain(m *testing.M) {
	if in := os.Getenv("PULSEWRIGHT_CONFINED"); in != "" {
		main() // this command once more
	}
	if os.Getenv("NAMED_FILES") != "" { // as on systems that have no others
		whole.WithNames()
	}
	testscript.Main(m, map[string]func(){"pulsewright": main})
}

func TestScript(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir:                 filepath.Join("testdata", "script"),
		UpdateScripts:       *update,
		RequireExplicitExec: true,
		RequireUniqueNames:  true,
		Cmds:                map[string]func(*testscript.TestScript, bool, []string){"exits": exits},
		Setup: func(env *testscript.Env) error {
			env.Setenv("LANG", "C.UTF-8")
			env.Setenv("NO_COLOR", "")
			env.Setenv("FORCE_COLOR", "")
			env.Setenv("TERM", "xterm")
			return nil
		},
	})
}

// exits CODE COMMAND… runs a command that must end with this exit code.
func exits(ts *testscript.TestScript, not bool, args []string) {
	if not || len(args) < 2 {
		ts.Fatalf("usage: exits CODE COMMAND…")
	}
	err := ts.Exec(args[1], args[2:]...)
	code := 0
	var exit *exec.ExitError
	if errors.As(err, &exit) {
		code = exit.ExitCode()
	} else if err != nil {
		ts.Fatalf("%v", err)
	}
	if fmt.Sprint(code) != args[0] {
		ts.Fatalf("exit code %d, want %s", code, args[0])
	}
}

func TestColored(t *testing.T) {
	for _, test := range []struct {
		mode     string
		env      string
		terminal bool
		want     bool
	}{
		{"auto", "", true, true},
		{"auto", "", false, false},
		{"always", "NO_COLOR=1", false, true},
		{"never", "FORCE_COLOR=1", true, false},
		{"auto", "NO_COLOR=1", true, false},
		{"auto", "NO_COLOR=", true, true},
		{"auto", "NO_COLOR=1 FORCE_COLOR=1", true, false},
		{"auto", "FORCE_COLOR=1", false, true},
		{"auto", "FORCE_COLOR=1 TERM=dumb", false, true},
		{"auto", "FORCE_COLOR=0", false, false},
		{"auto", "FORCE_COLOR=", false, false},
		{"auto", "TERM=dumb", true, false},
		{"auto", "TERM=xterm", true, true},
	} {
		if got := colored(test.mode, environment(test.env), test.terminal); got != test.want {
			t.Errorf("%+v: got %v", test, got)
		}
	}
}

// environment looks names up in "A=1 B=2".
func environment(pairs string) func(string) string {
	return func(name string) string {
		for _, pair := range strings.Fields(pairs) {
			if value, ok := strings.CutPrefix(pair, name+"="); ok {
				return value
			}
		}
		return ""
	}
}

func TestASCIIOnly(t *testing.T) {
	for _, test := range []struct {
		env  string
		want bool
	}{
		{"", true},
		{"LANG=C", true},
		{"LANG=C.UTF-8", false},
		{"LANG=de_CH.utf8", false},
		{"LANG=C.UTF-8 LC_ALL=C", true},
		{"LANG=C LC_CTYPE=en_GB.UTF-8", false},
		{"LANG=en_GB.UTF-8 LC_CTYPE=POSIX", true},
		{"LC_ALL=en_GB.UTF-8 LC_CTYPE=C LANG=C", false},
	} {
		if got := asciiOnly(environment(test.env)); got != test.want {
			t.Errorf("%q: got %v", test.env, got)
		}
	}
}

func TestPagerCommand(t *testing.T) {
	for _, test := range []struct {
		value string
		set   bool
		want  string
	}{
		{"", false, usualPager},
		{"", true, ""},
		{"cat", true, ""},
		{" cat ", true, ""},
		{"more -s", true, "more -s"},
	} {
		if got := pagerCommand(func(string) (string, bool) { return test.value, test.set }); got != test.want {
			t.Errorf("%+v: got %q", test, got)
		}
	}
}

// TestRowsOf: a text takes as many rows as a terminal gives it, with the one for the prompt; colours take none.
func TestRowsOf(t *testing.T) {
	for text, want := range map[string]int{"": 1, "quay\n": 2, "the quay\n": 2, "the quays\n\n": 4, "\x1b[1mthe quay\x1b[0m\n": 2, "語語語語語\n": 3} {
		if got := rowsOf(text, 8); got != want {
			t.Errorf("%q takes %d rows, want %d", text, got, want)
		}
	}
}

// The manual page is kept beside the tests, so that a change of the command table is a change that somebody reads.
func TestManual(t *testing.T) {
	var page bytes.Buffer
	a := newApp(strings.NewReader(""), &page, &page)
	manual(&page, a.root())
	golden := filepath.Join("testdata", "pulsewright.1")
	if *update {
		if err := os.WriteFile(golden, page.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(golden)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(page.Bytes(), want) {
		t.Errorf("%s is stale: go test ./cmd/pulsewright -run TestManual -update, then read the difference", golden)
	}
	if strings.Contains(page.String(), "`") {
		t.Error("the page has backticks: marks for the command's own help, not for a reader")
	}
	for _, c := range a.root().Commands() {
		if !strings.Contains(page.String(), troff(c.Short)) {
			t.Errorf("the page does not tell of %s", c.Name())
		}
	}
}

// BenchmarkStart is the time from nothing to the end of an empty script, as a process of its own. (The command made for
// the other tests would not do: it carries the tests.)
func BenchmarkStart(b *testing.B) {
	path := filepath.Join(b.TempDir(), "pulsewright")
	if out, err := exec.Command("go", "build", "-o", path, ".").CombinedOutput(); err != nil {
		b.Fatalf("%v: %s", err, out)
	}
	for b.Loop() {
		if out, err := exec.Command(path, "-c", "").CombinedOutput(); err != nil || len(out) > 0 {
			b.Fatalf("%v: %s", err, out)
		}
	}
}
