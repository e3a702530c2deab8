package builtins_test

import (
	"pulsewright/builtins/stage"

	"os"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// TestErrors runs testdata/errors.txt: every message a user of the words can cause. A script is one line, flush left; the
// lines below it, indented, are the error it must fail with on an empty bench. A failed word leaves the bench as it was:
// what the script had done before its last statement, and nothing else.
func TestErrors(t *testing.T) {
	const file = "testdata/errors.txt"
	data, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	var out strings.Builder
	for block := range strings.SplitSeq(strings.TrimSpace(string(data)), "\n\n") {
		if strings.HasPrefix(block, "#") {
			out.WriteString(block + "\n\n")
			continue
		}
		script, want, _ := strings.Cut(block, "\n")
		before, last := script, ""
		if i := strings.LastIndex(script, "; "); i >= 0 {
			before, last = script[:i], script[i+2:]
		} else {
			before, last = "", script
		}
		s := stage.New()
		if msg := s.Do(before); msg != "" {
			t.Errorf("%s\nfails too early: %s", script, msg)
			continue
		}
		was, parts := s.Bench.Fingerprint(), s.Bench.Len()
		msg := s.Do(last)
		if msg == "" {
			t.Errorf("%s\nworks; it should fail", script)
		}
		if !strings.HasPrefix(last, "run(") && (s.Bench.Fingerprint() != was || s.Bench.Len() != parts) {
			t.Errorf("%s\nleft something behind", script)
		}
		got := "    " + strings.ReplaceAll(msg, "\n", "\n    ")
		if !*stage.Update && got != want {
			t.Errorf("%s\n%s", script, cmp.Diff(want, got))
		}
		out.WriteString(script + "\n" + got + "\n\n")
	}
	if *stage.Update {
		if err := os.WriteFile(file, []byte(strings.TrimSpace(out.String())+"\n"), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}
