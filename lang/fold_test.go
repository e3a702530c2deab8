package lang

import (
	"bytes"
	"context"
	"strings"
	"testing"

	"pulsewright/builtins/say"
)

// TestPrintedFolds: on a terminal what is printed is broken at blanks; elsewhere it stays as it is.
func TestPrintedFolds(t *testing.T) {
	const script = `
def build(f):
    return f.ports(start=f.wire((0, 0), (3, 0)).first)
def send(rig, n):
    fire(rig.start, n)
def read(rig):
    return probe(rig.start).width
r = recovery(design("quay", build, send, read, [2, 3]))
print(r)
`
	out := map[bool]string{}
	for _, fold := range []bool{false, true} {
		var buf bytes.Buffer
		s, err := New(Config{Out: &buf, Width: func() int { return 40 }, Fold: fold})
		if err != nil {
			t.Fatal(err)
		}
		if err := s.Command(context.Background(), script); err != nil {
			t.Fatal(err)
		}
		printed := buf.String()
		if err := s.Command(context.Background(), "r"); err != nil {
			t.Fatal(err)
		}
		if again := strings.TrimPrefix(buf.String(), printed); again != printed {
			t.Errorf("print(r) writes\n%s\nand r\n%s", printed, again)
		}
		s.Close()
		out[fold] = printed
		wide := 0
		for line := range strings.Lines(printed) {
			if say.Columns(strings.TrimSuffix(line, "\n")) > 40 {
				wide++
			}
		}
		if (wide > 0) == fold {
			t.Errorf("Fold %v: %d lines are wider than 40 columns:\n%s", fold, wide, printed)
		}
	}
	if strings.Join(strings.Fields(out[true]), " ") != strings.Join(strings.Fields(out[false]), " ") {
		t.Errorf("\n%s\n%s", out[true], out[false])
	}
}
