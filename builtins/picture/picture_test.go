package picture

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/mattn/go-runewidth"
	"go.starlark.net/starlark"

	"pulsewright/builtins/say"
	"pulsewright/builtins/stage"
	"pulsewright/engine"
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
				s := stage.New()
				s.ASCII = ascii
				if msg := s.Do(piece); msg != "" {
					t.Fatalf("%s\n%s", about, msg)
				}
				text := s.Printed.String()
				for line := range strings.SplitSeq(text, "\n") {
					if n := say.Columns(line); n > 80 {
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
				c := stage.New()
				c.ASCII = ascii
				for i := range c.Paint {
					c.Paint[i] = "\x1b[35m"
				}
				c.Do(piece)
				if got := strings.NewReplacer("\x1b[35m", "", "\x1b[0m", "").Replace(c.Printed.String()); got != text {
					t.Errorf("%s\ncolours change more than colour:\n%s", about, got)
				}
			}
		}
		stage.Golden(t, "testdata/"+file+".txt", []byte(out.String()))
	}
}

// TestGlyphs: each sign is one column wide in every terminal, also in those that draw ambiguous ones in two; each has
// one in ASCII.
func TestGlyphs(t *testing.T) {
	wide := &runewidth.Condition{EastAsianWidth: true}
	for i, pair := range say.GlyphTable {
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
	s := stage.New()
	s.Do(`
k = key((0, 0), name="<b>&\"'quay")
w = wire((0, 5), name="a very long name that goes on and on without any end in sight whatsoever")
u = wire((2, 5), name="Hafen \u00fc\u4e2d\u6587")
press(k)
fire(w, 3)
fire(u, 3)
run()
`)
	// A program may give names that no script can.
	if err := stage.NameEvil(s.Bench); err != nil {
		t.Fatal(err)
	}
	for _, ascii := range []bool{false, true} {
		s.ASCII = ascii
		s.Printed.Reset()
		if msg := s.Do("fire((4, 5), 3)\nrun()\nprint(scope(*parts()))\nprint(scope())\nprint(map())"); msg != "" {
			t.Fatal(msg)
		}
		for _, r := range s.Printed.String() {
			if r != '\n' && (r < ' ' || r == 0x7f || r >= 0x80 && r < 0xa0 || r == 0x202e) {
				t.Fatalf("%q goes to the terminal", r)
			}
		}
		for line := range strings.SplitSeq(s.Printed.String(), "\n") {
			if n := say.Columns(line); n > 80 && !strings.HasPrefix(line, "names: ") { // a name that sketch reads is never cut
				t.Errorf("%d columns wide: %s", n, line)
			}
		}
	}
}

// BenchmarkScope draws eight lanes out of a million events; the aim is less than a second.
func BenchmarkScope(b *testing.B) {
	s := stage.LongRun(b, 1_000_000)
	for _, call := range []string{"scope(*gates[:8])", "scope()"} {
		b.Run(strings.Trim(call, "()"), func(b *testing.B) {
			for b.Loop() {
				s.Printed.Reset()
				if msg := s.Do(call); msg != "" {
					b.Fatal(msg)
				}
			}
			b.ReportMetric(float64(s.Bench.EventCount()), "events")
		})
	}
}

// TestPictureErrors holds the messages of scope and map.
func TestPictureErrors(t *testing.T) {
	for call, want := range map[string]string{
		`scope(3)`:                                `scope: for parameter targets: got 3, want a part, its name or its cell`,
		`scope("k")`:                              `scope: for parameter targets: no part named "k"; no part has a name`,
		`scope([])`:                               `scope: for parameter targets: got an empty list, want at least one part`,
		`scope((0, 0), at="noon")`:                `scope: for parameter at: got "noon", want an instant such as now(), a pair (tick, step), an event or a tick`,
		`scope((0, 0), at=(1, -1))`:               `scope: for parameter at: got (1, -1), want an instant such as now(), a pair (tick, step), an event or a tick`,
		`scope((0, 0), between=(1, 0, 2))`:        `scope: for parameter between: got (1, 0, 2), want a pair of instants`,
		`scope((0, 0), width=5)`:                  `scope: for parameter width: got 5, want a number of columns, at least 20`,
		`scope((0, 0), at=[now()] * 30)`:          `scope: for parameter at: got 30 instants, want at most 26`,
		`scope((0, 0), tick=3)`:                   `scope: no parameter "tick", want one of at between since until width`,
		`map(z="up")`:                             `map: for parameter z: got "up", want a whole number, or None`,
		`map(box=(0, 0))`:                         `map: for parameter box: got 0, want a cell (x, y) or (x, y, z)`,
		`map(frame=frame())`:                      `map: for parameter frame: got a frame without a name, want frames that have one: their parts are known by it`,
		`map(frame="r1")`:                         `map: for parameter frame: no part lies in that frame`,
		`map(box=((0, 0), (1, 1)), frame="r1")`:   `map: for parameter frame: no part lies in that frame`,
		`map(1, 2, 3)`:                            `map: got 3 arguments by position, want at most 1; by name only: box, frame, of, side, at; usage: map(z=None, box=None, frame=None, of=None, side=False, at=None)`,
		"p = probe((0, 0))\nfresh()\nscope(p)":    `scope: for parameter targets: the probe looks at another bench than this one`,
		"w = wire((0, 0))\nremove(w)\nscope([w])": `scope: for parameter targets: that part is no longer there; it was removed or undone`,
	} {
		if msg := stage.New().Do(call); msg != want {
			t.Errorf("%s\ngot  %s\nwant %s", call, msg, want)
		}
	}
}

// TestPicturesStop: a context that ends stops them.
func TestPicturesStop(t *testing.T) {
	s := stage.LongRun(t, 200_000)
	stage.InFolder(t, s)
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	s.Ctx = ctx
	for _, call := range []string{"scope()", "scope(gates[0])", "export(\"x.vcd\")", "export(\"x.csv\")", "export(\"x.json\")", "export(\"x.svg\")"} {
		_, err := starlark.ExecFileOptions(stage.Options, s.Thread, "test.star", call, s.Names)
		var stopped *engine.Stopped
		if !errors.As(err, &stopped) {
			t.Errorf("%s: got %v, want it stopped", call, err)
		}
	}
	if entries, err := fs.ReadDir(s.Dir.FS(), "."); err != nil || len(entries) > 0 {
		t.Errorf("left behind: %v, %v", entries, err)
	}
}

// BenchmarkMap draws a piece of a bench of a hundred thousand links.
func BenchmarkMap(b *testing.B) {
	s := stage.New()
	if msg := s.Do("for y in range(250):\n    for x in range(400):\n        link((2 * x, 2 * y), \"+y\")"); msg != "" {
		b.Fatal(msg)
	}
	for _, call := range []string{"map()", "map(box=((0, 0), (20, 20)))"} {
		b.Run(call, func(b *testing.B) {
			for b.Loop() {
				s.Printed.Reset()
				if msg := s.Do(call); msg != "" {
					b.Fatal(msg)
				}
			}
		})
	}
}

// TestPlotGlyphs: no sign of a plot is two columns wide in some terminals.
func TestPlotGlyphs(t *testing.T) {
	s := stage.New()
	if msg := s.Do("plot(sweep(lambda x: x * x, range(9)))\nplot(sweep(lambda a, b: a * b, dict(a=range(9), b=range(5))))"); msg != "" {
		t.Fatal(msg)
	}
	wide := &runewidth.Condition{EastAsianWidth: true}
	for _, r := range s.Printed.String() {
		if r != '\n' && wide.RuneWidth(r) != 1 {
			t.Fatalf("%q is %d columns wide in some terminals:\n%s", r, wide.RuneWidth(r), s.Printed)
		}
	}
}

// TestSignsMeanOneThing: in one picture no sign has two meanings, with all glyphs and in ASCII; '~' is left for what was left out.
func TestSignsMeanOneThing(t *testing.T) {
	for _, ascii := range []bool{false, true} {
		e := stage.New().Env
		e.ASCII = ascii
		for _, picture := range []struct {
			name  string
			signs []say.Glyph
			more  string
		}{
			{"map", []say.Glyph{say.GEast, say.GWest, say.GNorth, say.GSouth, say.GUp, say.GDown, say.GEmpty, say.GWire, say.GWireArm, say.GLive, say.GLiveArm, say.GDots, say.GMany}, "~()0123456789" + mapLetters()},
			{"scope", []say.Glyph{say.GLow, say.GHigh, say.GRise, say.GFall, say.GZero, say.GQuietLow, say.GQuietHigh, say.GValue, say.GHold, say.GTick, say.GRuler, say.GDot, say.GMoment, say.GLapse, say.GBlock, say.GNudge, say.GLand, say.GDots}, "~0123456789ABCD"},
		} {
			of := map[rune]string{}
			put := func(r rune, what string) {
				if was, ok := of[r]; ok && was != what {
					t.Errorf("%s, ASCII %v: %q is %s and %s", picture.name, ascii, r, was, what)
				}
				of[r] = what
			}
			for _, r := range picture.more {
				put(r, "a letter, digit or fold")
			}
			for _, g := range picture.signs {
				put(e.Glyph(g), fmt.Sprint("glyph ", int(g)))
			}
			if picture.name == "map" {
				for _, m := range markTexts {
					put(rune(m[0][0]), "the mark: "+m[1])
				}
			}
		}
	}
}

// mapLetters are the letters of the kinds as a map may show them, without capitals for kinds that are never on, and those of slugs.
func mapLetters() (letters string) {
	for _, k := range engine.Kinds() {
		if k != engine.Bare && k != engine.Wire {
			letters += strings.ToLower(string(say.Kinds[k].Letter)) + strings.ToUpper(string(say.Kinds[k].Letter))
		}
	}
	return letters + "pfb"
}

// TestMapLayersShareAxes: the columns and rows of all layers stand in the same places, in the terminal and as SVG.
func TestMapLayersShareAxes(t *testing.T) {
	const rig = "lamp((3, 0))\nlamp((4, 5, 1))\nlink((20, 5, 1), \"+x\")\nlink((20, 2, 3), \"+x\")\nlamp((70, -3, -1))\n"
	s := stage.MustDo(t, rig+"print(map())")
	var heads []string
	for piece := range strings.SplitSeq(s.Printed.String(), "z = ") {
		if _, axis, ok := strings.Cut(piece, "\n"); ok && strings.Contains(axis, "~") {
			axis, _, _ = strings.Cut(axis, "\n")
			heads = append(heads, axis)
		}
	}
	for _, h := range heads {
		if len(heads) != 4 || h != heads[0] {
			t.Fatalf("the columns of the layers: %q", heads)
		}
	}
	m, err := WholeChart(s.Env)
	if err != nil {
		t.Fatal(err)
	}
	layers := strings.Split(m.Svg(), ">z = ")[1:]
	for _, l := range layers {
		columns := func(s string) (at []string) {
			for _, text := range regexp.MustCompile(`<text class="small mid" x="(\S+)" y="\S+">(-?\d+)<`).FindAllStringSubmatch(s, -1) {
				at = append(at, text[1]+" "+text[2])
			}
			return at
		}
		if got, want := fmt.Sprint(columns(l)), fmt.Sprint(columns(layers[0])); len(layers) != 4 || got != want || got == "[]" {
			t.Fatalf("the columns of a layer as SVG: %s, want %s", got, want)
		}
	}
}

// TestLabelsAreWhole: whole numbers are written out in a plot, and in a map the numbers of columns and rows are never cut.
func TestLabelsAreWhole(t *testing.T) {
	for _, far := range []int{0, -1_000_000, 1_234_567, -268_000_000} {
		s := stage.New()
		src := fmt.Sprintf("far = %d\nplot(table([[far + i, far - i] for i in range(10)], head=[\"a\", \"b\"]))\nplot(table([[far + i, far - i, i * i] for i in range(10)], head=[\"a\", \"b\", \"c\"]), z=\"c\")\n"+
			"for i in range(10): battery((far + 3 * i, far - i))\nmap()\n", far)
		if msg := s.Do(src); msg != "" {
			t.Fatal(msg)
		}
		for _, number := range regexp.MustCompile(`-?\d+(e\+\d+)?`).FindAllString(strings.ReplaceAll(s.Printed.String(), "z = 0", ""), -1) {
			n, err := strconv.Atoi(number)
			if err != nil || !(n >= far-9 && n <= far+27 || n >= 0 && n <= 81) {
				t.Errorf("far = %d: %q is no number of these pictures:\n%s", far, number, s.Printed)
			}
		}
	}
}
