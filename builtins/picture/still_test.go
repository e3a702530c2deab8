package picture

import (
	"fmt"
	"regexp"
	"strings"
	"testing"

	"pulsewright/builtins/stage"
	"pulsewright/engine"
)

// pier is a machine with slugs that move, rows of names and two layers; it is taller than deep.
const pier = `
k = key((0, 0), name="quay")
wire((1, 0), (5, 0), name="line")
jack((3, 1))
shuttle((3, 3), "-y", slug="plug", name="cut")
link((2, 1), "+y", name="pull")
lamp((6, 0), name="office")
for z in range(1, 7):
    wire((1, 0, z))
lamp((1, 0, 7), name="berth")
`

// TestMapAt: the map of a moment shows what a map drawn at that moment shows, and says which it is.
func TestMapAt(t *testing.T) {
	s := stage.New()
	if msg := s.Do(pier + "press(k)"); msg != "" {
		t.Fatal(msg)
	}
	var then []string
	for range 6 {
		s.Printed.Reset()
		if msg := s.Do("turn()\nprint(map(at=now()))"); msg != "" {
			t.Fatal(msg)
		}
		then = append(then, s.Printed.String())
	}
	if msg := s.Do("run()"); msg != "" {
		t.Fatal(msg)
	}
	for i, want := range then {
		head, _, _ := strings.Cut(want, "\n")
		at := regexp.MustCompile(`at (\d+)\.(\d+)\.(\d+)$`).FindStringSubmatch(head)
		if at == nil {
			t.Fatalf("the heading is %q", head)
		}
		s.Printed.Reset()
		script := fmt.Sprintf("for e in events():\n    if (e.tick, e.step, e.turn) == (%s, %s, %s):\n        print(map(at=e))\n        break\n", at[1], at[2], at[3])
		if msg := s.Do(script); msg != "" {
			t.Fatal(msg)
		}
		if got := s.Printed.String(); got != want {
			t.Errorf("turn %d, later:\n%s\nthen:\n%s", i, got, want)
		}
	}
	for call, want := range map[string]string{
		`map(at=99)`:     `map: for parameter at: got 99, want a moment that has been: it is `,
		`map(at="noon")`: `map: for parameter at: got "noon", want an instant such as now(), an event, a pair (tick, step) or a tick`,
	} {
		if msg := s.Do(call); !strings.HasPrefix(msg, want) {
			t.Errorf("%s: got %q, want %q", call, msg, want)
		}
	}
}

// TestMapAtExplainsWhatIsDrawn: the map of a moment is as large as a still of it, and its legend is that of what it shows.
func TestMapAtExplainsWhatIsDrawn(t *testing.T) {
	s := stage.New()
	if msg := s.Do(pier + "press(k)\nrun()\nprint(map(at=now()))"); msg != "" {
		t.Fatal(msg)
	}
	drawing, legend, _ := strings.Cut(s.Printed.String(), "\n\n")
	for sign, means := range map[string]string{"q": "its act is queued", ":": "a slug is in transit", "*": "forced", "@": "its timer is set", "( )": "a slug is on its way here"} {
		_, rows, _ := strings.Cut(drawing, "\n")
		if strings.Contains(legend, means) && !strings.Contains(rows, sign) {
			t.Errorf("%s is explained, and is not drawn:\n%s", sign, s.Printed)
		}
	}
}

// TestSeries: the stills of a run have one size and one legend.
func TestSeries(t *testing.T) {
	s := stage.New()
	dir := stage.InFolder(t, s)
	if msg := s.Do(pier + "press(k)\nrun()\nexport(\"a.svg\", what=\"map\", at=(1, 0))\nexport(\"b.svg\", what=\"map\", at=(1, 1))\nexport(\"c.svg\", what=\"map\")\nexport(\"d.svg\", what=\"map\", at=0)"); msg != "" {
		t.Fatal(msg)
	}
	size, legend := "", ""
	drawings := map[string]bool{}
	for _, file := range []string{"a.svg", "b.svg", "c.svg", "d.svg"} {
		text := stage.Read(t, dir, file)
		parseSVG(t, text)
		drawings[regexp.MustCompile(` at \d+\.\d+\.\d+`).ReplaceAllString(text, "")] = true
		head := regexp.MustCompile(`viewBox="[^"]*"`).FindString(text)
		notes := strings.Join(regexp.MustCompile(`class="dim"[^>]*>[^<]*`).FindAllString(text, -1), "\n")
		if size == "" {
			size, legend = head, notes
		}
		if head != size || notes != legend {
			t.Errorf("%s: %s\n%s\nwant %s\n%s", file, head, notes, size, legend)
		}
		if !strings.Contains(legend, "plug") || !strings.Contains(legend, "in transit") {
			t.Errorf("the legend does not explain what is seen at other moments: %s", legend)
		}
	}
	if len(drawings) < 3 {
		t.Errorf("only %d of the stills differ", len(drawings))
	}
	for _, want := range []string{">1</text>", ">1 quay · 2 line.0⋯line.4 · 3 cut · 4 pull · 5 office"} {
		if text := stage.Read(t, dir, "a.svg"); !strings.Contains(text, want) {
			t.Errorf("the picture does not say %q", want)
		}
	}
}

// TestSide: from the side z goes up the page, and what faces up points up.
func TestSide(t *testing.T) {
	s := stage.MustDo(t, pier+"link((4, 0, 3), \"+z\", name=\"lift\")\nlink((5, 0, 3), \"-y\")\nprint(map(side=True, box=((0, 0, 0), (9, 0, 9))))")
	got := s.Printed.String()
	for _, want := range []string{"y = 0   x to the right, z up   at 0.0.0\n", "7  ⋅ l", "3  ⋅  ⠶  ⋅  ⋅ n▴ n⊚", "▴ faces +z", "⊚ faces -y", "lift (4, 0, 3)"} {
		if !strings.Contains(got, want) {
			t.Errorf("no %q in\n%s", want, got)
		}
	}
	m := &chart{Env: s.Env, side: true}
	for d := engine.PosX; d <= engine.NegZ; d++ {
		back := [...]engine.Dir{engine.NegX, engine.PosX, engine.NegY, engine.PosY, engine.NegZ, engine.PosZ}
		if m.onPage(back[d]) != back[m.onPage(d)] {
			t.Errorf("what faces %v lies %v, and what faces away from it lies %v", d, m.onPage(d), m.onPage(back[d]))
		}
	}
}

// TestTall: a tower is drawn from the side, a breakwater from above.
func TestTall(t *testing.T) {
	for script, want := range map[string]bool{pier: true, "wire((0, 0), (9, 0))\nwire((0, 0, 1), (0, 0, 2))": false, "for z in range(8):\n    for y in range(9):\n        wire((0, y, z))": false, "": false} {
		s := stage.MustDo(t, script)
		m, err := WholeChart(s.Env)
		if err != nil {
			t.Fatal(err)
		}
		if m.Tall() != want {
			t.Errorf("%s\ntall: %v", script, m.Tall())
		}
		side, err := SideChart(s.Env)
		if err != nil {
			t.Fatal(err)
		}
		if want && len(side.layers) >= len(m.layers) || side.Parts() != m.Parts() {
			t.Errorf("%d layers from above, %d from the side; %d and %d parts", len(m.layers), len(side.layers), m.Parts(), side.Parts())
		}
	}
}

// TestFirstAbove: what goes in stands above what comes of it, also within one turn; what never moves comes last.
func TestFirstAbove(t *testing.T) {
	s := stage.MustDo(t, "out = lamp((3, 0), name=\"out\")\nidle = lamp((9, 9), name=\"idle\")\nw = wire((1, 0), (2, 0), name=\"w\")\nk = key((0, 0), name=\"k\")\npress(k)\nrun()")
	var lanes []*Lane
	for _, name := range []string{"out", "idle", "w.1", "k"} {
		id, ok := s.Bench.Lookup(name)
		if !ok {
			t.Fatalf("no part %s", name)
		}
		lanes = append(lanes, LaneFor(s.Bench, engine.Target{ID: id}))
	}
	lanes, _, _, err := Collect(s.Env, lanes, 1, engine.EventID(s.Bench.EventCount()))
	if err != nil {
		t.Fatal(err)
	}
	FirstAbove(lanes)
	var got []string
	for _, l := range lanes {
		got = append(got, l.Name)
	}
	if want := "[k w.1 out idle]"; fmt.Sprint(got) != want {
		t.Errorf("from above: %v, want %s", got, want)
	}
}
