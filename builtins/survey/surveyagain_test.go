package survey

import (
	"slices"
	"strings"
	"testing"

	"pulsewright/builtins"
	"pulsewright/builtins/say"
	"pulsewright/builtins/stage"
	"pulsewright/engine"
)

// field reads a field of a report.
func fieldOf(t *testing.T, r *builtins.Report, name string) string {
	t.Helper()
	v, err := r.Attr(name)
	if err != nil || v == nil {
		t.Fatalf("no field %s", name)
	}
	return v.String()
}

func wantText(t *testing.T, r *builtins.Report, wants ...string) {
	t.Helper()
	for _, want := range wants {
		if !strings.Contains(r.Text, want) {
			t.Errorf("not said: %s\nbut:\n%s", want, r.Text)
		}
	}
}

// onceDesign answers its first sending and no other: a latch that nobody resets.
const onceDesign = `
def build(f):
    w = f.wire((0, 0))
    return struct(input=w, out=probe(f.gate((1, 0), "+x", "latch", pads=[(-1, 0, 0)])))
def send(rig, n):
    fire(rig.input, 3)
def read(rig):
    return len(rig.out.edges)
d = design("once", build, send, read, [1])
`

// thirdDesign swallows every sending from the third on.
const thirdDesign = `
def build(f):
    w = f.wire((0, 0))
    one, two = gate(op="latch"), gate(op="latch")
    a, b = delay(), delay()
    both, out = gate(op="and"), gate(op="and")
    patch(w, one)
    patch(one, a)
    patch(w, both)
    patch(a, both)
    patch(both, two)
    patch(two, b)
    patch(w, out)
    patch(b, out, invert=True)
    return struct(input=w, out=probe(out))
def send(rig, n):
    fire(rig.input, n)
def read(rig):
    return rig.out.width
`

// TestSendings: every number is sent, some twice in a row, all if they are few, and the first again at the end.
func TestSendings(t *testing.T) {
	for numbers, want := range map[int][]int{1: {0, 0, 0}, 2: {0, 0, 1, 1, 0}, 3: {0, 0, 1, 1, 2, 2, 0}} {
		if got := sendings(numbers); !slices.Equal(got, want) {
			t.Errorf("%d numbers: %v, want %v", numbers, got, want)
		}
	}
	for numbers := 1; numbers < 100; numbers++ {
		seq := sendings(numbers)
		if len(seq) != numbers+min(numbers, mostTwice)+1 || seq[len(seq)-1] != 0 || seq[0] != 0 || !slices.Contains(seq, numbers-1) {
			t.Errorf("%d numbers: %v", numbers, seq)
		}
	}
}

// TestSurveyAgain: a machine that works once, or twice, does not hold: the sending is named, and as short a sequence as shows it.
func TestSurveyAgain(t *testing.T) {
	_, r := surveyed(t, onceDesign+"s = survey(d)\n")
	if fieldOf(t, r, "holds") != "False" || fieldOf(t, r, "sending") != "2" || fieldOf(t, r, "sent") != `["1", "1"]` {
		t.Error(r.Text)
	}
	wantText(t, r, "2nd: 1 after 1", "1, 1 are sent, and the last does not arrive: 1 is read, but of an earlier sending")
	// The script shows both: the number is read, and it would be if it were not sent.
	if script := fieldOf(t, r, "script"); !strings.Contains(script, "without = read(rig)") || !strings.Contains(script, "expect(without == 1,") {
		t.Error(script)
	}

	_, r = surveyed(t, thirdDesign+"d = design(\"third\", build, send, read, [2])\ns = survey(d)\n")
	if fieldOf(t, r, "sending") != "3" || fieldOf(t, r, "sent") != `["2", "2", "2"]` {
		t.Error(r.Text)
	}
	// Of two numbers the second sending of 5 is the third to come: but any third will do, so the shortest is what was sent.
	_, r = surveyed(t, thirdDesign+"d = design(\"third\", build, send, read, [2, 5])\ns = survey(d)\n")
	if fieldOf(t, r, "sending") != "3" || fieldOf(t, r, "sent") != `["2", "2", "5"]` || fieldOf(t, r, "n") != `"5"` {
		t.Error(r.Text)
	}
	wantText(t, r, "3rd: 5 after 2", "2, 2, 5 are sent, and the last is read as ")
}

// TestSurveyShortens: a number that fails by itself is shown by itself, though others were sent before it in its case; one
// that fails after itself only is shown so. The scripts send these sequences.
func TestSurveyShortens(t *testing.T) {
	_, r := surveyed(t, brokenSize+"s = survey(d)\n")
	if fieldOf(t, r, "sending") != "7" || fieldOf(t, r, "sent") != `["4"]` {
		t.Error(r.Text)
	}
	wantText(t, r, "in its case it is the 7th sending: 4 after 3", "4 is sent and 3 is read")

	_, r = surveyed(t, thirdDesign+"d = design(\"third\", build, send, read, [2, 5])\ns = survey(d)\n")
	script := builtins.Text(r.Fields["script"])
	if strings.Count(script, "send(rig, ") != 4 { // one of them in its definition
		t.Error(script)
	}
	stage.MustSession(t, stage.New(), script)
}

// TestSurveyUntold: a design that shows by state cannot tell whether the same number came again; that is said, and not claimed.
func TestSurveyUntold(t *testing.T) {
	_, r := surveyed(t, `
def build(f):
    return struct(input=f.wire((0, 0)), out=f.gate((1, 0), "+x", "latch", pads=[(-1, 0, 0)]))
def send(rig, n):
    fire(rig.input, 3)
def read(rig):
    return 1 if rig.out.state == "on" else 0
s = survey(design("shows", build, send, read, [1]))
`)
	if fieldOf(t, r, "holds") != "True" || fieldOf(t, r, "everywhere") != "False" {
		t.Error(r.Text)
	}
	wantText(t, r, "it holds in all that was tried; not tried: whether a number arrives that read says already before it is sent, which no reading can tell")
}

// awayDesign is a ring that never comes to rest once a 3 has come; a 2 passes.
const awayDesign = `
def build(f):
    w = f.wire((0, 0))
    out, go = gate(op="buf"), gate(op="buf")
    kept, ring = gate(op="latch"), gate(op="and", ticks=%s)
    patch(w, out)
    patch(go, kept)
    patch(kept, ring)
    patch(ring, ring, invert=True)
    return struct(input=w, go=go, out=probe(out))
def send(rig, n):
    fire(rig.input, n)
    if n == 3:
        fire(rig.go, 9)
def read(rig):
    return rig.out.width
d = design("away", build, send, read, [%s])
`

// TestSurveyStopped: a case that does not come to rest within the limits is stopped, which is neither right nor wrong; where all
// are, the rest of the row is not tried, and it says how many.
func TestSurveyStopped(t *testing.T) {
	for _, c := range []struct{ name, ticks, how string }{
		{"in ticks", "1", "2nd"}, {"in one tick", "0", "tick 1 was not over"},
	} {
		script := strings.Replace(awayDesign, "%s", c.ticks, 1)
		_, r := surveyed(t, strings.Replace(script, "%s", "2, 3", 1)+"s = survey(d, turns=5000)\n")
		if fieldOf(t, r, "holds") != "False" || fieldOf(t, r, "n") != "None" {
			t.Errorf("%s: %s", c.name, r.Text)
		}
		wantText(t, r, "stopped  cases", "nothing was read wrongly, but not all came to rest", "stopped: at the sending 3rd: 3 after 2", "5000 turns")
		if strings.Contains(r.Text, "is read") {
			t.Errorf("%s: a case that was stopped is told as one that was read wrongly:\n%s", c.name, r.Text)
		}
		// With 2 alone it holds.
		_, r = surveyed(t, strings.Replace(script, "%s", "2", 1)+"s = survey(d)\n")
		if fieldOf(t, r, "everywhere") != "True" {
			t.Errorf("%s: %s", c.name, r.Text)
		}
	}
}

// TestSurveyRunsAway: what runs away to the usual limit is compared a short way only, and it says so; a tick that would have ended is not said
// not to end.
func TestSurveyRunsAway(t *testing.T) {
	script := strings.Replace(strings.Replace(awayDesign, "%s", "1", 1), "%s", "2, 3", 1)
	_, r := surveyed(t, script+"s = survey(d, travel=[2])\n")
	wantText(t, r, "1 of 48 orientations", "of a sending that is stopped, or takes longer, the first 10000 turns were compared", "200000 turns")
	_, r = surveyed(t, script+"s = survey(d, travel=[2], turns=2000)\n")
	if strings.Contains(r.Text, "were compared") {
		t.Error(r.Text)
	}
	_, r = surveyed(t, script+"s = survey(d, over=[2], travel=[2], turns=3)\n")
	wantText(t, r, "not quiet after 3 turns: tick 1 was not over")
	if strings.Contains(r.Text, "does not end") {
		t.Error(r.Text)
	}
}

// TestSurveyTravelTwice: a travel time that is named twice is one.
func TestSurveyTravelTwice(t *testing.T) {
	script := strings.Replace(strings.Replace(awayDesign, "%s", "1", 1), "%s", "2", 1)
	_, once := surveyed(t, script+"s = survey(d, travel=[2])\n")
	_, twice := surveyed(t, script+"s = survey(d, travel=[2, 2])\n")
	if once.Text != twice.Text {
		t.Error(twice.Text)
	}
}

// TestSurveyUntriedRows: once a row is known to run away, its other cases are not tried, and are counted.
func TestSurveyUntriedRows(t *testing.T) {
	_, r := surveyed(t, `
def build(f):
    w = f.wire((0, 0))
    for at, face in [((1, 0), "+x"), ((0, 1), "+y"), ((0, 0, 1), "+z")]:
        f.gate(at, face, "buf", pads=[(-at[0], -at[1], -1 if len(at) == 3 else 0)])
    set, ring = gate(op="latch"), gate(op="and")
    patch(w, set)
    patch(set, ring)
    patch(ring, ring, invert=True)
    return struct(input=w, out=probe(w))
def send(rig, n):
    fire(rig.input, n)
def read(rig):
    return rig.out.width
s = survey(design("away", build, send, read, [5]), travel=[2], turns=2000)
`)
	table := r.Fields["table"].(*builtins.Table)
	tried := 0
	for _, row := range table.Rows {
		tried += int64Of(row[6])
		if int64Of(row[4]) != 0 || int64Of(row[5]) != int64Of(row[6]) {
			t.Errorf("%v", row)
		}
	}
	runs := int64Of(r.Fields["runs"])
	if runs != 8*mostScouts {
		t.Errorf("%d sendings, want %d", runs, 8*mostScouts)
	}
	if tried == 0 || tried >= 8*cases {
		t.Errorf("%d cases tried", tried)
	}
	wantText(t, r, say.Count(8*cases-tried, "case")+" in 8 rows, where all that were tried were stopped")
}

// TestSurveySlow: a machine that takes longer than most ends all the same, and holds as sweep has it; with a limit it is stopped.
func TestSurveySlow(t *testing.T) {
	const slow = `
def build(f):
    f.wire((0, 0))
    f.delay((1, 0), "+x", ticks=25000, mode="transport")
    f.wire((2, 0))
    return struct(into=f.part((0, 0)), out=probe(f.part((2, 0))))
def send(rig, n):
    fire(rig.into, n)
def read(rig):
    return 1 if rig.out.width != None else None
d = design("slow line", build, send, read, [1])
`
	_, r := surveyed(t, slow+"s = survey(d)\nexpect_equal(sweep(d).column(\"right\"), [True])\n")
	if fieldOf(t, r, "everywhere") != "True" {
		t.Error(r.Text)
	}
	_, r = surveyed(t, slow+"s = survey(d, ticks=20000)\n")
	if fieldOf(t, r, "holds") != "False" || fieldOf(t, r, "n") != "None" {
		t.Error(r.Text)
	}
	wantText(t, r, "it was not quiet after 20000 ticks; ticks= and turns= allow more")
	_, r = surveyed(t, slow+"s = survey(d, ticks=25001)\n")
	if fieldOf(t, r, "everywhere") != "True" {
		t.Error(r.Text)
	}
}

// TestInMask: two directions are in a set or are not, for all 30 pairs and all sets.
func TestInMask(t *testing.T) {
	pairs := 0
	for a := engine.PosX; a <= engine.NegZ; a++ {
		for b := engine.PosX; b <= engine.NegZ; b++ {
			if a == b {
				continue
			}
			pairs++
			for m := range 64 {
				in := func(d engine.Dir) bool { return m/(1<<d)%2 == 1 }
				p := surveyPose{Told: []int{m}}
				if inMask(m, a, b) != (in(a) && in(b)) || p.tells(a, b) != (in(a) && in(b)) {
					t.Fatalf("%v and %v in %06b", a, b, m)
				}
			}
		}
	}
	if pairs != 30 {
		t.Error(pairs)
	}
}

// TestSurveyPair: a design that needs link a told before link b is explained by exactly that, whichever way they lie.
func TestSurveyPair(t *testing.T) {
	cells := []string{"(1, 0)", "(-1, 0)", "(0, 1)", "(0, -1)", "(0, 0, 1)", "(0, 0, -1)"}
	for _, pair := range [][2]engine.Dir{{engine.PosY, engine.NegY}, {engine.NegZ, engine.PosX}, {engine.NegX, engine.NegY}} {
		a, b := pair[0], pair[1]
		_, r := surveyed(t, `
def build(f):
    w = f.wire((0, 0))
    return struct(input=w, a=f.link(`+cells[a]+`, "`+a.String()+`"), b=f.link(`+cells[b]+`, "`+b.String()+`"))
def send(rig, n):
    fire(rig.input, 2)
def read(rig):
    return 1 if events(target=[rig.a, rig.b], what="out")[-2].part == rig.a else 0
s = survey(design("a before b", build, send, read, [1]), travel=[2])
`)
		if want := `"it fails once ` + b.String() + ` is told before ` + a.String() + `: so in all `; !strings.HasPrefix(fieldOf(t, r, "flip"), want) {
			t.Errorf("%s, want %s", fieldOf(t, r, "flip"), want)
		}
	}
}

// TestSays: how a case ended, in words, one sentence for each ending.
func TestSays(t *testing.T) {
	for kind, want := range map[string]string{
		wrongly: "3", failing: "3", stopped: "stopped: 3", unbuilt: "build ends in an error: 3", unmoved: "3, of an earlier sending",
	} {
		if got := says(kind, "3"); got != want {
			t.Errorf("%s is said as %q, want %q", kind, got, want)
		}
	}
}
