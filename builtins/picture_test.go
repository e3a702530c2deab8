package builtins

import (
	"fmt"
	"os"
	"strings"
	"testing"

	"github.com/mattn/go-runewidth"
)

// TestPictures holds what scope and map draw in the terminal, with all glyphs and in ASCII.
func TestPictures(t *testing.T) {
	for _, file := range []string{"scope", "map"} {
		script, err := os.ReadFile("testdata/" + file + ".star")
		if err != nil {
			t.Fatal(err)
		}
		var out strings.Builder
		for piece := range strings.SplitSeq(string(script), "\n---\n") {
			about, _, _ := strings.Cut(piece, "\n")
			out.WriteString(about + "\n\n")
			plain := ""
			for _, ascii := range []bool{false, true} {
				s := newScene()
				s.ASCII = ascii
				if msg := s.do(piece); msg != "" {
					t.Fatalf("%s\n%s", about, msg)
				}
				text := s.out.String()
				for line := range strings.SplitSeq(text, "\n") {
					if n := Columns(line); n > 80 {
						t.Errorf("%s\n%d columns wide: %s", about, n, line)
					}
					for _, r := range line {
						if ascii && (r < ' ' || r > '~') {
							t.Errorf("%s\nnot ASCII: %q", about, line)
						}
					}
				}
				out.WriteString(text + "\n")
				if ascii && strings.Count(plain, "\n") != strings.Count(text, "\n") {
					t.Errorf("%s\nASCII has another number of lines", about)
				}
				plain = text
				// Colours dress the picture and change nothing else.
				c := newScene()
				c.ASCII = ascii
				for i := range c.Paint {
					c.Paint[i] = "\x1b[35m"
				}
				c.do(piece)
				if got := strings.NewReplacer("\x1b[35m", "", "\x1b[0m", "").Replace(c.out.String()); got != text {
					t.Errorf("%s\ncolours change more than colour:\n%s", about, got)
				}
			}
		}
		golden(t, "testdata/"+file+".txt", []byte(out.String()))
	}
}

// TestGlyphs: each sign is one column wide in every terminal, also in those that draw ambiguous ones in two; each has
// one in ASCII.
func TestGlyphs(t *testing.T) {
	wide := &runewidth.Condition{EastAsianWidth: true}
	for i, pair := range glyphTable {
		if n := wide.RuneWidth(pair[0]); n != 1 {
			t.Errorf("%q is %d columns wide in some terminals", pair[0], n)
		}
		if pair[1] <= ' ' || pair[1] > '~' {
			t.Errorf("glyph %d has no sign in ASCII: %q", i, pair[1])
		}
	}
}

// TestHostileNames: no name can command the terminal or break a picture.
func TestHostileNames(t *testing.T) {
	s := newScene()
	s.do(`
k = key((0, 0), name="<b>&\"'quay")
w = wire((0, 5), name="a very long name that goes on and on without any end in sight whatsoever")
u = wire((2, 5), name="Hafen \u00fc\u4e2d\u6587")
press(k)
fire(w, 3)
fire(u, 3)
run()
`)
	// A program may give names that no script can.
	if err := nameEvil(s.Bench); err != nil {
		t.Fatal(err)
	}
	for _, ascii := range []bool{false, true} {
		s.ASCII = ascii
		s.out.Reset()
		if msg := s.do("fire((4, 5), 3)\nrun()\nscope(*parts())\nscope()\nmap()"); msg != "" {
			t.Fatal(msg)
		}
		for _, r := range s.out.String() {
			if r != '\n' && (r < ' ' || r == 0x7f || r >= 0x80 && r < 0xa0 || r == 0x202e) {
				t.Fatalf("%q goes to the terminal", r)
			}
		}
		for line := range strings.SplitSeq(s.out.String(), "\n") {
			if n := Columns(line); n > 80 {
				t.Errorf("%d columns wide: %s", n, line)
			}
		}
	}
}

// BenchmarkScope draws eight lanes out of a million events; the aim is less than a second.
func BenchmarkScope(b *testing.B) {
	s := longRun(b, 1_000_000)
	for _, call := range []string{"scope(*gates[:8])", "scope()"} {
		b.Run(strings.Trim(call, "()"), func(b *testing.B) {
			for b.Loop() {
				s.out.Reset()
				if msg := s.do(call); msg != "" {
					b.Fatal(msg)
				}
			}
			b.ReportMetric(float64(s.Bench.EventCount()), "events")
		})
	}
}

// longRun is a bench with a log of n events: a ring of 31 gates that never rests.
func longRun(t testing.TB, n int) *scene {
	s := newScene()
	s.Bench.KeepHistory(false)
	if msg := s.do(fmt.Sprintf(`
gates = [gate(op="not" if i == 0 else "buf", name="quay.g%%d" %% i) for i in range(31)]
for i in range(31):
    patch(gates[i - 1], gates[i])
nudge(gates[0])
turn(%d)
`, n)); msg != "" {
		t.Fatal(msg)
	}
	if s.Bench.EventCount() < n {
		t.Fatalf("%d events, want %d", s.Bench.EventCount(), n)
	}
	return s
}
