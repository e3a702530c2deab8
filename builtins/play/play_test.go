package play

import (
	"context"
	"encoding/json"
	"fmt"
	"regexp"
	"slices"
	"strings"
	"testing"

	"pulsewright/builtins"
	"pulsewright/builtins/picture"
	"pulsewright/builtins/say"
	"pulsewright/builtins/stage"
	"pulsewright/engine"
)

// pier is a machine in which slugs move, lamps light up, reeds flip together and one act comes to nothing.
const pier = `
k = key((0, 0), hold=1, name="quay")
wire((1, 0), (5, 0))
jack((3, 1))
shuttle((3, 3), "-y", slug="plug", name="cut")
link((1, 1), "+y", name="pull")
wire((4, 1), (4, 3))
reed((6, 0), (9, 0), "+x")
lamp((6, 1), name="office")
press(k)
`

// caught plays scripts as a terminal would, and keeps the films.
func caught(t *testing.T, s *stage.Scene, script string) []*film {
	t.Helper()
	var films []*film
	s.Player = func(_ context.Context, f builtins.Film, _ float64) error {
		films = append(films, f.(*film))
		return nil
	}
	defer func() { s.Player = nil }()
	if msg := s.Do(script); msg != "" {
		t.Fatalf("%s\n%s", script, msg)
	}
	return films
}

// TestPlain holds what play prints where there is no terminal, and that nothing of it goes beyond the width.
func TestPlain(t *testing.T) {
	var out strings.Builder
	for _, script := range []string{pier + "play()", pier + "play(what=\"scope\")", pier + "run()\nplay(since=3, z=0, box=((0, 0), (6, 4)))", "play()"} {
		for _, ascii := range []bool{false, true} {
			s := stage.New()
			s.ASCII = ascii
			if msg := s.Do(script); msg != "" {
				t.Fatalf("%s\n%s", script, msg)
			}
			last := script[strings.LastIndexByte(script, '\n')+1:]
			fmt.Fprintf(&out, "# %s\n\n%s\n", last, s.Printed)
			for line := range strings.SplitSeq(s.Printed.String(), "\n") {
				if n := say.Columns(line); n > 80 {
					t.Errorf("%d columns: %s", n, line)
				}
				for _, r := range line {
					if ascii && r > '~' {
						t.Errorf("not ASCII: %s", line)
					}
				}
			}
		}
	}
	stage.Golden(t, "testdata/play.txt", []byte(out.String()))
}

// TestSameAsRun: play lets time pass exactly as run does.
func TestSameAsRun(t *testing.T) {
	for _, args := range []string{"", "ticks=0", "ticks=2", "2"} {
		a, b := stage.MustDo(t, pier+"run("+args+")"), stage.MustDo(t, pier+"play("+args+")")
		if a.Bench.Now() != b.Bench.Now() || !slices.Equal(eventsOf(a.Bench), eventsOf(b.Bench)) {
			t.Errorf("play(%s) ends at %v with %d events, run at %v with %d", args, b.Bench.Now(), b.Bench.EventCount(), a.Bench.Now(), a.Bench.EventCount())
		}
		if b.Log != nil {
			t.Error("the step log is silent from then on")
		}
	}
}

func eventsOf(b *engine.Bench) (es []engine.Event) {
	for _, e := range b.Events(1) {
		es = append(es, e)
	}
	return es
}

// TestTrueToTheMoment: each picture shows what a map drawn at that turn shows, also where somebody acted in between.
func TestTrueToTheMoment(t *testing.T) {
	s, w := stage.MustDo(t, pier), stage.MustDo(t, pier)
	films := caught(t, s, "run()\nfire((1, 0), 2)\nrun()\nplay(since=0)")
	f := films[0]
	then := map[engine.Instant]picture.Tiles{}
	note := func() {
		for w.Bench.EventCount() >= 0 {
			ok, err := w.Bench.Turn()
			if err != nil {
				t.Fatal(err)
			}
			if !ok {
				return
			}
			m, err := f.chart.On(w.Bench)
			if err != nil {
				t.Fatal(err)
			}
			then[w.Bench.Now()] = m.Tiles()
		}
	}
	note()
	if msg := w.Do("fire((1, 0), 2)"); msg != "" {
		t.Fatal(msg)
	}
	note()
	for n := 1; n < f.Len(); n++ {
		m, err := f.picture(n)
		if err != nil {
			t.Fatal(err)
		}
		if changed := m.Changed(then[f.At(n)], m.Tiles()); then[f.At(n)] == nil || len(changed) > 0 {
			t.Errorf("after %v %d tiles look otherwise", f.At(n), len(changed))
		}
	}
	if f.Len() < 12 {
		t.Errorf("only %d pictures", f.Len())
	}
}

// TestScreen: every picture of every film fits the screen and tells the present turn; what happens lies in the piece that is shown.
func TestScreen(t *testing.T) {
	long := "k = key((0, 0), name=\"quay\")\nfor i in range(60):\n    link((i, 1), \"+x\", name=\"l%d\" % i)\n    wire((i + 1, 0, i % 3))\nfor y in range(2, 40):\n    lamp((3, y))\nlink((0, 2), \"+y\")\npress(k)\n"
	for _, script := range []string{pier + "play()", pier + "play(what=\"scope\")", long + "play()", long + "play(side=True)", long + "play(what=\"scope\")"} {
		for _, size := range [][2]int{{80, 22}, {132, 40}, {40, 12}} {
			s := stage.New()
			f := caught(t, s, script)[0]
			for n := range f.Len() {
				lines, err := f.Screen(n, size[0], size[1])
				if err != nil {
					t.Fatal(err)
				}
				text := strings.Join(lines, "\n")
				if len(lines) > size[1] {
					t.Errorf("%d lines of %d\n%s", len(lines), size[1], text)
				}
				for _, line := range lines {
					if say.Columns(line) > size[0] {
						t.Errorf("%d columns of %d: %s", say.Columns(line), size[0], line)
					}
				}
				if n == 0 {
					continue
				}
				at := f.At(n)
				if !regexp.MustCompile(fmt.Sprintf(`(?m)^» +%d +%d +%d  `, at.Tick, at.Step, at.Turn)).MatchString(text) {
					t.Fatalf("turn %d, %v, is not told:\n%s", n, at, text)
				}
				if f.scope == nil && !strings.Contains(lines[0], fmt.Sprintf("at %v", at)) {
					t.Errorf("the map does not say when: %s", lines[0])
				}
			}
		}
	}
	s := stage.New()
	f := caught(t, s, long+"play()")[0]
	for n := 2; n < f.Len(); n++ {
		if lines, _ := f.Screen(n, 80, 22); !regexp.MustCompile(`N.[ :q!]`).MatchString(strings.Join(lines, "\n")) {
			t.Errorf("turn %d: no link that is out is in the piece:\n%s", n, strings.Join(lines, "\n"))
		}
	}
}

// TestScreenExplained: where there is room, the signs and the names of the parts stand below the map, and the story never rises.
func TestScreenExplained(t *testing.T) {
	s := stage.New()
	for i := range s.Paint {
		s.Paint[i] = "\x1b[1m"
	}
	f := caught(t, s, pier+"play()")[0]
	row := 0
	for n := 1; n < f.Len(); n++ {
		lines, err := f.Screen(n, 80, 40)
		text := strings.Join(lines, "\n")
		if err != nil || !strings.Contains(text, "k key off, K on") || !strings.Contains(text, "office (6, 1)") {
			t.Fatalf("turn %d: %v\n%s", n, err, text)
		}
		at := slices.IndexFunc(lines, func(line string) bool { return strings.Contains(line, "quay goes on, because it was pressed.") })
		if at >= 0 && at < row {
			t.Errorf("turn %d: the story rises from line %d to %d", n, row, at)
		}
		row = max(at, row)
		if lines, _ := f.Screen(n, 80, 14); strings.Contains(strings.Join(lines, "\n"), "office (6, 1)") {
			t.Errorf("turn %d: names where there is no room", n)
		}
	}
}

// TestLastRun: with nothing left to do the last run is played again, and nothing else.
func TestLastRun(t *testing.T) {
	s := stage.MustDo(t, pier+"run()\nbegan = now()\nfire((1, 0), 3)\nrun()")
	n, now := s.Bench.EventCount(), s.Bench.Now()
	f := caught(t, s, "play()")[0]
	if s.Bench.EventCount() != n || s.Bench.Now() != now {
		t.Error("time has passed")
	}
	began := s.Names["began"].(builtins.Instant)
	if f.Len() < 3 || !began.Before(f.At(1)) || f.At(f.Len()-1) != s.Bench.Event(engine.EventID(n)).At() {
		t.Errorf("%d pictures from %v to %v, want from behind %v to %v", f.Len(), f.At(1), f.At(f.Len()-1), began, now)
	}
}

func TestErrors(t *testing.T) {
	s := stage.MustDo(t, pier)
	stage.InFolder(t, s)
	for call, want := range map[string]string{
		`play(pace=4)`:                 `play: for parameter pace: got 4, want a number of turns a second from 0.1 to 3`,
		`play(pace="slow")`:            `play: for parameter pace: got "slow", want a number of turns a second from 0.1 to 3`,
		`play(what="movie")`:           `play: for parameter what: got "movie", want one of map scope`,
		`play(of=[k])`:                 `play: parameter of goes with what="scope" only`,
		`play(z=(0, 1))`:               `play: for parameter z: got (0, 1), want a whole number, or None`,
		`play(what="scope", z=1)`:      `play: parameter z goes with what="map" only`,
		`play(3, since=1)`:             `play: parameter ticks goes with what is still to come; since and until play the past`,
		`export("x.html")`:             `export: nothing has happened that could be played`,
		`export("x.html", what="map")`: `export: for parameter what: got "map", want "play": a picture goes with the ending .svg`,
		`export("x.svg", what="play")`: `export: for parameter what: got "play", want "scope" or "map": a film goes with the ending .html`,
		`export("x.html", of=[k])`:     `export: parameter of goes with events, a scope and a map only`,
	} {
		before := s.Bench.Now()
		if msg := s.Do(call); msg != want {
			t.Errorf("%s\n got %s\nwant %s", call, msg, want)
		}
		if s.Bench.Now() != before {
			t.Errorf("%s failed, and let time pass", call)
		}
	}
	msg := s.Do("delay((0, 9), \"+x\", ticks=100000, name=\"d\")\npatch(\"d\", \"d\", invert=True)\nnudge(\"d\")\nplay()")
	if !strings.HasPrefix(msg, "play: not quiet within") || !strings.HasSuffix(msg, "give a number of ticks to play") {
		t.Errorf("what never comes to rest: %s", msg)
	}
}

// TestPage: what the page's script does with the changes gives, after every turn, the picture of that moment; the page stands alone and the same
// run gives the same bytes.
func TestPage(t *testing.T) {
	was := ""
	for range 2 {
		s := stage.New()
		dir := stage.InFolder(t, s)
		script := strings.Replace(pier, `"office"`, `"</script><img src=x>office"`, 1)
		if msg := s.Do(script + "run()\nfire((1, 0), 2)\nrun()\nexport(\"play.html\", what=\"play\", since=0)"); msg != "" {
			t.Fatal(msg)
		}
		page := stage.Read(t, dir, "play.html")
		if was != "" && page != was {
			t.Error("another page of the same run")
		}
		was = page
		alone(t, page)
		f := caught(t, s, "play(since=0)")[0]
		follows(t, page, f)
		for n := 1; n < f.Len(); n++ {
			if !strings.Contains(page, fmt.Sprintf(`data-turn="%d">%v</a>`, n, f.At(n))) {
				t.Errorf("without its script the page does not tell turn %d", n)
			}
		}
		if n := strings.Count(page, "<figcaption>"); n < 4 || n > mostStill {
			t.Errorf("the strip has %d stills", n)
		}
		if !strings.Contains(page, "&lt;/script&gt;&lt;img src=x&gt;office") {
			t.Error("the name of a lamp is not on the page")
		}
	}
}

// alone checks that a page loads nothing, runs no other script than its own two, and has no element twice.
func alone(t *testing.T, page string) {
	t.Helper()
	if n := strings.Count(page, "<script"); n != 2 || strings.Contains(page, "<img") {
		t.Errorf("%d script elements, or what is in a name is taken for markup", n)
	}
	if regexp.MustCompile(`(src|href|action)="[^#]|url\(|@import|fetch\(|XMLHttpRequest|https?://`).MatchString(strings.ReplaceAll(page, "http://www.w3.org/2000/svg", "")) {
		t.Error("the page may load something")
	}
	if !strings.Contains(page, `content="default-src 'none'; style-src 'unsafe-inline'; script-src 'unsafe-inline'"`) {
		t.Error("the page does not forbid to load anything")
	}
	ids := map[string]bool{}
	markup, _, _ := strings.Cut(page, "<script")
	for _, m := range regexp.MustCompile(` id="([^"]*)"`).FindAllStringSubmatch(markup, -1) {
		if ids[m[1]] {
			t.Errorf("two elements %s", m[1])
		}
		ids[m[1]] = true
	}
	for _, m := range regexp.MustCompile(`getElementById\("(\w+)"\)`).FindAllStringSubmatch(pageScript, -1) {
		if !ids[m[1]] && m[1] != "film" {
			t.Errorf("the script looks for %s, which is not there", m[1])
		}
	}
	for _, m := range regexp.MustCompile(`data-do="(\w+)"`).FindAllStringSubmatch(markup, -1) {
		if !regexp.MustCompile(`(?m)^    ` + m[1] + `: function`).MatchString(pageScript) {
			t.Errorf("a button does %s, which the script cannot", m[1])
		}
	}
}

// follows does in Go what the page's script does, and compares it with the pictures of a film.
func follows(t *testing.T, page string, f *film) {
	t.Helper()
	_, data, _ := strings.Cut(page, `<script type="application/json" id="film">`)
	data, _, _ = strings.Cut(data, "</script>")
	var got pageFilm
	if err := json.Unmarshal([]byte(data), &got); err != nil {
		t.Fatal(err)
	}
	if len(got.Turns) != f.Len()-1 {
		t.Fatalf("%d turns, want %d", len(got.Turns), f.Len()-1)
	}
	_, first, _ := strings.Cut(page, `<section id="player"`)
	first, _, _ = strings.Cut(first, "</section>")
	f.chart.Slotted(true)
	f.last.chart = nil
	start, err := f.picture(0)
	if err != nil {
		t.Fatal(err)
	}
	shown := start.Changed(nil, start.Tiles())
	if !strings.Contains(strings.ReplaceAll(first, "\n", ""), strings.ReplaceAll(start.SvgAlone()[strings.Index(start.SvgAlone(), "<rect"):], "\n", "")) {
		t.Error("the page does not begin with the picture before the first turn")
	}
	for n, turn := range got.Turns {
		for slot, look := range turn.Draw {
			shown[slot] = got.Looks[look]
		}
		m, err := f.picture(n + 1)
		if err != nil {
			t.Fatal(err)
		}
		for slot, want := range m.Changed(nil, m.Tiles()) {
			if shown[slot] != want {
				t.Errorf("after turn %d slot %s shows\n%s\nwant\n%s", n+1, slot, shown[slot], want)
			}
		}
		if turn.At != f.At(n+1).String() || !slices.Equal(turn.Story, f.frames[n+1].story) || len(turn.Story) == 0 {
			t.Errorf("turn %d at %s tells %q", n+1, turn.At, turn.Story)
		}
	}
}
