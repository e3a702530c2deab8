package lang

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"pulsewright/builtins"
	"pulsewright/builtins/say"
	"pulsewright/engine"
	"pulsewright/lang/steplog"
)

// harbourRig is a small rig in which most words of the log occur. The first two of its reeds are fed, by their back and by
// their far pad; the second holds six more.
const harbourRig = `
k = key((0, 0), name="quay")
wire((1, 0), (20, 0))
for i in range(3):
    lamp((2 * i + 2, -1), name="berth%d" % i)
link((3, 1), "+y", name="E1")
link((3, 2), "+y", name="E2")
reed((21, 0), (30, 0), "+x")
f = frame(at=(0, 10), name="r1")
f.key((0, 0), name="pull")
f.wire((1, 0), (9, 0))
shuttle((10, 2), "+x", slug="feed", name="feeder")
lamp((12, 3))
wire((10, 1))
`

func logOf(t *testing.T, cfg Config, src string) string {
	t.Helper()
	var out bytes.Buffer
	cfg.Out = &out
	s := newSession(t, cfg)
	if err := s.Exec(context.Background(), "rig.star", src); err != nil {
		t.Fatal(err)
	}
	return out.String()
}

func TestStepLog(t *testing.T) {
	for _, c := range []struct{ name, src, want string }{
		{"columns", `press(k); run(); press("r1.pull"); run(); run(ticks=3)`, `
   tick step  who                          what      because of
»     1    0  quay                       ⇡ on        press
      1    0  21 wires (1, 0)⋯(20, 0)    ⇡ live      quay on
      1    0  3 lamps berth0⋯berth2      ⇡ lit       wire (2, 0) live
      1    0  8 reeds (21, 0)⋯(28, 0)    ⇡ on        wire (20, 0) live
      1    1  E1                         ⇡ out       wire (3, 0) live
      1    1  feeder                     ⇡ out       wire (10, 1) live
      1    2  E2                         ⇡ out       E1 out
     ~ 1 quiet tick
»     3    0  feeder                     ⇢ lands     feeder out, at 1.1
      3    0  lamp (12, 3)               ⇡ lit       feeder lands
»     4    0  r1.pull                    ⇡ on        press
      4    0  9 wires r1(1,0)⋯(9,0)      ⇡ live      r1.pull on
     ~ 3 quiet ticks
`},
		{"filters", `log(kind="link"); press(k); run(); log(False); release(k); run(); log(what="on"); press(k); run(ticks=8)`, `
   tick step  who                          what      because of
»     1    1  E1                         ⇡ out       wire (3, 0) live
      1    2  E2                         ⇡ out       E1 out
»     7    0  quay                       ⇡ on        press
      7    0  8 reeds (21, 0)⋯(28, 0)    ⇡ on        wire (20, 0) live
`},
		{"story", `log(story=True); press(k); run(); nudge("E1"); run()`, `
»     1    0    0  quay goes on, because it was pressed.
      1    0    0  21 wires (1, 0)⋯(20, 0) go live, because quay was pressed.
      1    0    0  3 lamps berth0⋯berth2 light up, because wire (2, 0) went live.
      1    0    0  8 reeds (21, 0)⋯(28, 0) go on, because wire (20, 0) went live.
      1    1    0  E1 goes out, because wire (3, 0) went live.
      1    1    1  feeder goes out, because wire (10, 1) went live.
      1    2    0  E2 goes out, because E1 went out.
     ~ 1 quiet tick
»     3    0    0  feeder sets down its slug, because feeder went out 2 ticks ago.
      3    0    0  lamp (12, 3) lights up, because feeder set down its slug.
»     4    0    0  E1 is nudged by hand.
`},
		{"turns", `log(what="out"); press(k); run(); log(kind="link", turns=True); release(k); run(); log(kind="link")
press(k); run()`, `
   tick step  who                          what      because of
»     1    1  E1                         ⇡ out       wire (3, 0) live
      1    1  feeder                     ⇡ out       wire (10, 1) live
      1    2  E2                         ⇡ out       E1 out
   tick step turn  who                          what      because of
»     4    1    0  E1                         ⇣ home      wire (3, 0) dead
      4    2    0  E2                         ⇣ home      E1 home
   tick step  who                          what      because of
»     7    1  E1                         ⇡ out       wire (3, 0) live
      7    2  E2                         ⇡ out       E1 out
`},
		{"firing", `log(what=["forced", "freed", "nudged"]); fire((100, 0), steps=2); nudge("E1"); run()`, `
   tick step  who                          what      because of
»     1    0  cell (100, 0)              ⇡ forced    fire
      1    0  E1                         * nudged    nudge
      1    2  cell (100, 0)              ⇣ freed     end of fire
`},
	} {
		t.Run(c.name, func(t *testing.T) {
			if got := "\n" + logOf(t, Config{}, harbourRig+c.src); got != c.want {
				t.Errorf("got:%swant:%s", got, c.want)
			}
		})
	}
}

// Plain ASCII says the same in the same columns; colour adds nothing but escapes.
func TestStepLogLooks(t *testing.T) {
	src := harbourRig + "press(k); run(); release(k); run()"
	plain, ascii := logOf(t, Config{}, src), logOf(t, Config{ASCII: true}, src)
	for _, r := range ascii {
		if r >= 0x80 {
			t.Fatalf("%q in ASCII", r)
		}
	}
	p, a := strings.Split(plain, "\n"), strings.Split(ascii, "\n")
	for i := range p {
		if len(p) != len(a) || say.Columns(p[i]) != say.Columns(a[i]) && !strings.Contains(p[i], "⋯") {
			t.Errorf("%q and %q", p[i], a[i])
		}
	}
	coloured := logOf(t, Config{OutPalette: steplog.Colours()}, src)
	if !strings.Contains(coloured, "\x1b[38;5;63m") {
		t.Error("no colour")
	}
	if got := stripSGR(coloured); got != plain {
		t.Errorf("without its escapes the coloured log is %q, want %q", got, plain)
	}
}

// What nobody did is not said to be somebody's doing.
func TestStepLogCauseless(t *testing.T) {
	for _, c := range []struct{ src, want string }{
		{`echo((0, 0), "+x", on=True, name="call"); run()`, "call                       ⇣ off       posed"},
		{`log(story=True); echo((0, 0), "+x", on=True, name="call"); run()`, "call goes off, because so it was posed."},
		{`key((0, 0), on=True, hold=2, name="quay"); run()`, "quay                       ⇣ off       release, or posed"},
		{`record("none"); w = wire((0, 0)); l = link((1, 0), "+y", name="pull"); probe(l); record("some"); fire(w, 2); run()`, "pull                       ⇡ out       not recorded"},
	} {
		if got := logOf(t, Config{}, c.src); !strings.Contains(got, c.want) {
			t.Errorf("%s\n%s", c.src, got)
		}
	}
}

// TestHues: what is live has one hue in the terminal and in pictures, what is armed another.
func TestHues(t *testing.T) {
	dir := t.TempDir()
	logOf(t, Config{Dir: dir}, harbourRig+`export("map.svg", what="map")`)
	svg, err := os.ReadFile(filepath.Join(dir, "map.svg"))
	if err != nil {
		t.Fatal(err)
	}
	picture := func(class string) (r, g, b int) {
		rule := regexp.MustCompile(`\.` + class + `\{[^}]*#([0-9a-f]{2})([0-9a-f]{2})([0-9a-f]{2})`).FindSubmatch(svg)
		if rule == nil {
			t.Fatalf("no colour of %s", class)
		}
		var v [3]int
		for i := range v {
			n, _ := strconv.ParseInt(string(rule[i+1]), 16, 32)
			v[i] = int(n)
		}
		return v[0], v[1], v[2]
	}
	terminal := func(sgr string) (r, g, b int) {
		n, err := strconv.Atoi(sgr[strings.LastIndex(sgr, ";")+1 : len(sgr)-1])
		if err != nil || n < 16 || n > 231 {
			t.Fatalf("%q is no colour of the cube", sgr)
		}
		levels := [6]int{0, 95, 135, 175, 215, 255}
		return levels[(n-16)/36], levels[(n-16)/6%6], levels[(n-16)%6]
	}
	bluish := func(r, g, b int) bool { return b > g && g >= r }
	orange := func(r, g, b int) bool { return r > g && g >= b }
	p := steplog.Colours()
	if !bluish(terminal(p.On)) || !bluish(picture("live")) || !bluish(picture("on")) || !bluish(picture("wave")) {
		t.Error("what is live is not blue everywhere")
	}
	if !orange(terminal(p.Armed)) || !orange(picture("armed")) || !orange(picture("armedbadge")) {
		t.Error("what is armed is not orange everywhere")
	}
}

func stripSGR(s string) string {
	var b strings.Builder
	for {
		i := strings.Index(s, "\x1b[")
		if i < 0 {
			return b.String() + s
		}
		b.WriteString(s[:i])
		s = s[i:]
		s = s[strings.IndexByte(s, 'm')+1:]
	}
}

// chainBench has run a chain of n links, one step each, and recorded it.
func chainBench(tb testing.TB, n int) *engine.Bench {
	tb.Helper()
	b := engine.New(engine.DefaultRules())
	key, err := b.Place(engine.Cell{X: 0, Y: -1}, engine.Part{Kind: engine.Key})
	if err != nil {
		tb.Fatal(err)
	}
	for x := range int32(n) {
		if _, err := b.Place(engine.Cell{X: x, Y: -2}, engine.Part{Kind: engine.Battery}); err != nil {
			tb.Fatal(err)
		}
		if _, err := b.Place(engine.Cell{X: x}, engine.Part{Kind: engine.Link, Facing: engine.PosY}); err != nil {
			tb.Fatal(err)
		}
	}
	if err := b.Press(key, 0); err != nil {
		tb.Fatal(err)
	}
	if err := b.Run(context.Background(), engine.Budget{}); err != nil {
		tb.Fatal(err)
	}
	return b
}

// BenchmarkStepLog prints a log of 10^5 events, plain and in colour, and with the log off.
func BenchmarkStepLog(b *testing.B) {
	bench := chainBench(b, 100_000)
	if n := bench.EventCount(); n < 100_000 {
		b.Fatalf("%d events", n)
	}
	for _, c := range []struct {
		name string
		pal  steplog.Palette
		log  *builtins.LogOptions
	}{{"plain", steplog.Palette{}, nil}, {"colour", steplog.Colours(), nil}, {"story", steplog.Palette{}, &builtins.LogOptions{Story: true}}, {"off", steplog.Palette{}, &builtins.LogOptions{Off: true}}} {
		b.Run(c.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				l := steplog.New(io.Discard, c.pal, false, func() *builtins.LogOptions { return c.log })
				l.Follow(bench)
			}
			b.ReportMetric(float64(bench.EventCount())*float64(b.N)/b.Elapsed().Seconds(), "events/s")
		})
	}
	b.Run("json", func(b *testing.B) {
		for b.Loop() {
			steplog.NewJSON(io.Discard, 0).Follow(bench)
		}
		b.ReportMetric(float64(bench.EventCount())*float64(b.N)/b.Elapsed().Seconds(), "events/s")
	})
}

// BenchmarkExec runs a script's loop at the top level and inside a function.
func BenchmarkExec(b *testing.B) {
	for name, src := range map[string]string{
		"top":      "n = 0\nfor i in range(100000):\n    n += i\n",
		"function": "def f():\n    n = 0\n    for i in range(100000):\n        n += i\n    return n\nf()\n",
	} {
		b.Run(name, func(b *testing.B) {
			s := newSession(b, Config{})
			b.ReportAllocs()
			for b.Loop() {
				if err := s.Exec(context.Background(), fmt.Sprintf("%s.star", name), src); err != nil {
					b.Fatal(err)
				}
			}
			b.ReportMetric(100000*float64(b.N)/b.Elapsed().Seconds(), "rounds/s")
		})
	}
}

// TestLogColumnsStayApart: tick and step are two numbers, however large they are.
func TestLogColumnsStayApart(t *testing.T) {
	for steps := 1; steps <= 1_000_000_000; steps *= 10 {
		for _, ticks := range []int{0, 99_998, 999_999_998} {
			log := logOf(t, Config{}, fmt.Sprintf("w = wire((0, 0))\nlog(False)\nrun(ticks=%d)\nlog()\nfire(w, %d)\nrun()\n", ticks, steps))
			if want := regexp.MustCompile(fmt.Sprintf(`(?m)^ +%d +%d  wire`, ticks+1, steps)); !want.MatchString(log) {
				t.Errorf("no row matches %v in\n%s", want, log)
			}
		}
	}
}
