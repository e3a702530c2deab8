package scripts_test

import (
	"bytes"
	"context"
	"crypto/sha256"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"pulsewright/lang"
)

var update = flag.Bool("update", false, "rewrite what is expected in testdata")

// digestScript builds a design, sends it its first, middle and last number, and shows what came out and the table of a sweep of these.
const digestScript = `
load("lib/designs.star", "repeaters", "panels", "receivers", "systems")
size, mode = %d, %q
fresh(reads="turn", news="fifo")
d = (repeaters() + panels() + receivers() + systems())[%d]
over = d.over(size) if type(d.over) == "function" else d.over
some = [over[0], over[len(over) // 2], over[-1]]
rig = d.build(frame(), size) if type(d.over) == "function" else d.build(frame())
record(mode)
for n in some:
    d.send(rig, n)
    run()
    print("%%s: %%s came out as %%s, %%s" %% (d.name, n, d.read(rig), now()))
print(sweep(d, over=some, size=size) if type(d.over) == "function" else sweep(d, over=some))
`

// logOfDesign is the event log of a design, as lines of JSON without the head, and what its script prints. There is none: "".
func logOfDesign(t *testing.T, i int, mode string, workers int) (log, printed string) {
	t.Helper()
	var out, errs bytes.Buffer
	s, err := lang.New(lang.Config{Out: &out, Err: &errs, Seed: 1, Workers: workers, JSON: true, Dir: t.TempDir()})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	if err := s.Exec(context.Background(), "digest.star", fmt.Sprintf(digestScript, 5, mode, i)); err != nil {
		if strings.Contains(err.Error(), "out of range") {
			return "", ""
		}
		t.Fatal(err)
	}
	_, log, _ = strings.Cut(out.String(), "\n")
	return log, errs.String()
}

func digest(text string) string { return fmt.Sprintf("%x", sha256.Sum256([]byte(text)))[:16] }

// TestDigests holds what every design of the library does, event for event, to one number a design in testdata: whatever the machine,
// however many workers and processors there are, and whatever is recorded, as far as that shows.
func TestDigests(t *testing.T) {
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(0))
	var b strings.Builder
	designs := 0
	for ; ; designs++ {
		log, printed := logOfDesign(t, designs, "all", 1)
		if printed == "" {
			break
		}
		fmt.Fprintf(&b, "%s %6d events, %s\n", digest(log), strings.Count(log, "\n"), printed[:strings.Index(printed, ":")])
		for _, workers := range []int{2, 8} {
			runtime.GOMAXPROCS(workers)
			if l, p := logOfDesign(t, designs, "all", workers); l != log || p != printed {
				t.Errorf("with %d workers design %d does something else:\n%s, not\n%s", workers, designs, p, printed)
			}
		}
		for _, mode := range []string{"some", "none"} {
			l, p := logOfDesign(t, designs, mode, 1)
			if p != printed || strings.Count(l, "\n") >= strings.Count(log, "\n") {
				t.Errorf("with record(%q) design %d does something else:\n%s, not\n%s", mode, designs, p, printed)
			}
		}
	}
	file := filepath.Join("testdata", "digests.txt")
	if *update {
		if err := os.WriteFile(file, []byte(b.String()), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if b.String() != string(want) || designs < 15 {
		t.Errorf("%d designs; got\n%swant\n%s", designs, b.String(), want)
	}
}
