package survey

import (
	"fmt"
	"strings"
	"testing"

	"pulsewright/builtins"
	"pulsewright/builtins/stage"
	"pulsewright/builtins/trial"
	"pulsewright/engine"

	"go.starlark.net/starlark"
)

// shareOf is the share of the cases tried that hold, in percent.
func shareOf(r *builtins.Report) int {
	hold, cases := 0, 0
	table := r.Fields["table"].(*builtins.Table)
	at := map[string]int{}
	for i, h := range table.Head {
		at[h] = i
	}
	for _, row := range table.Rows {
		hold, cases = hold+int64Of(row[at["holds"]]), cases+int64Of(row[at["cases"]])
	}
	return 100 * hold / cases
}

// adaptive designs are duds under half of all orders, though no cell of them can tell these apart: build, send or read looks.
const adaptive = `
def up(f):
    return rules().order.index("+z") < rules().order.index("-z")
def build(f):
    f.wire((0, 0))
    f.gate((1, 0), "+x", "buf" if WHERE != "build" or up(f) else "not", pads=[(-1, 0, 0)])
    f.wire((2, 0))
    return struct(into=f.part((0, 0)), out=probe(f.part((2, 0))))
def send(rig, n):
    fire(rig.into, n if WHERE != "send" or up(None) else n + 1)
def read(rig):
    if WHERE == "late" and (rules().reads != "step" or rules().news == "fifo"):
        return rig.out.width
    return rig.out.width if WHERE not in ["read", "late"] or up(None) else None
`

// TestSurveyOfTheOrder: what a function asks for makes orders differ that no cell can tell apart; so all are run, also if it asks in
// some cases only.
func TestSurveyOfTheOrder(t *testing.T) {
	for where, share := range map[string][2]int{"build": {47, 53}, "send": {47, 53}, "read": {47, 53}, "late": {85, 90}} {
		_, r := surveyed(t, "WHERE = \""+where+"\"\n"+adaptive+`d = design("adaptive", build, send, read, [2])
s = survey(d, travel=[2], runs=20000)
`)
		if got := shareOf(r); got < share[0] || got > share[1] {
			t.Errorf("%s: %d %% hold, want %d to %d", where, got, share[0], share[1])
		}
		wantText(t, r, "no case follows from another: build, send or read asks for the neighbour order", "not tried: ")
		if strings.Contains(r.Text, "covers") || fieldOf(t, r, "everywhere") != "False" {
			t.Error(r.Text)
		}
	}
}

// TestSurveyOfTravel: a design that asks for another rule is looked at under each: here another arrangement is built for each travel time,
// of which one has a part above that makes orders differ.
func TestSurveyOfTravel(t *testing.T) {
	_, r := surveyed(t, `
def build(f):
    w = f.wire((0, 0))
    a, b = ((0, 1), (0, -1)) if rules().travel != 3 else ((0, 0, 1), (0, 0, -1))
    return struct(input=w, a=f.link(a, "+x"), b=f.link(b, "+x"))
def send(rig, n):
    fire(rig.input, 2)
def read(rig):
    return 1 if events(target=[rig.a, rig.b], what="out")[-2].part == rig.a else 0
s = survey(design("a before b", build, send, read, [1]))
`)
	for _, row := range r.Fields["table"].(*builtins.Table).Rows {
		if hold, n := int64Of(row[4]), int64Of(row[5]); n != cases || hold != cases/2 {
			t.Errorf("%v: %d of %d hold", row[3], hold, n)
		}
	}
}

// TestSurveyOfThePlace: if read asks where something lies no orientation follows from another; if build does, and what it builds is the same
// turned, they do.
func TestSurveyOfThePlace(t *testing.T) {
	const line = `
def build(f):
    f.cell((1, 0))
    w = f.wire((0, 0), (3, 0))
    return struct(input=w.first, out=probe(w.last), end=w.last, at=f.cell((9, 9)))
def send(rig, n):
    fire(rig.input, n)
def read(rig):
    ASKS
    return rig.out.width
s = survey(design("asks", build, send, read, [2]), travel=[2])
`
	for _, asks := range []string{"rig.end.at", "rig.end.facing", "str(rig.end)", "str(events())", "state(rig.end).at", "events(target=(3, 0))"} {
		_, r := surveyed(t, strings.Replace(line, "ASKS", asks, 1))
		if fieldOf(t, r, "holds") != "True" {
			t.Errorf("%s: %s", asks, r.Text)
		}
		wantText(t, r, "no orientation follows from another, since send or read asks where something lies")
	}
	for _, asks := range []string{"rig.end.state; now()", "events()[0].what", "rules().travel"} {
		_, r := surveyed(t, strings.Replace(line, "ASKS", asks, 1))
		wantText(t, r, "1 of 48 orientations, which the others were found to follow by rotations and mirror images")
	}
	for _, asks := range []string{"map()", "why(rig.end)"} { // these show all there is
		_, r := surveyed(t, strings.Replace(strings.Replace(line, "ASKS", asks, 1), "travel=[2]", "travel=[2], runs=500", 1))
		wantText(t, r, "no case follows from another")
	}
}

// TestSurveyGuard: arithmetic with a cell of the rig, in an outcome that comes about under some rules only, cannot be traced. The cases that
// are run to check find it, and then nothing follows from anything.
func TestSurveyGuard(t *testing.T) {
	_, r := surveyed(t, `
def build(f):
    w = f.wire((0, 0))
    f.reed((1, 0), "+y")
    a = f.gate((-1, 0), "-y", "or")
    b = f.gate((2, 0), "+y", "xor")
    patch(w, b, news=False)
    patch(a, b, news=False)
    return struct(input=w, out=probe(b), cell=f.cell((7, 0)))
def send(rig, n):
    fire(rig.input, 5, fall="late")
def read(rig):
    if rig.out.pulses:
        return 1 if rig.cell[0] == 7 else 0
    return 1
s = survey(design("sly", build, send, read, [1]), travel=[2], runs=3000)
`)
	wantText(t, r, "no case follows from another: a case that was run to check did not do what it should do if it followed from another")
	if got := shareOf(r); got == 100 {
		t.Error(r.Text)
	}
}

// TestSurveyOfAllSendings: orientations are compared with all that a case sends, however much that is: the 41st number of 60 is another thing
// in one orientation.
func TestSurveyOfAllSendings(t *testing.T) {
	_, r := surveyed(t, `
def build(f):
    w = f.wire((0, 0))
    return struct(input=w, out=probe(w), off=f.cell((1, 0)))
def send(rig, n):
    fire(rig.input, n + (1 if n == 41 and rig.off == (0, -1) else 0))
def read(rig):
    return rig.out.width
s = survey(design("one in sixty", build, send, read, range(1, 61)), travel=[2])
`)
	if fieldOf(t, r, "holds") != "False" || fieldOf(t, r, "n") != `"41"` {
		t.Error(r.Text)
	}
	for _, row := range r.Fields["table"].(*builtins.Table).Rows {
		if hold := int64Of(row[4]); hold != cases*5/6 {
			t.Errorf("%d hold, want those of which x does not point to -y: %d", hold, cases*5/6)
		}
	}
}

// TestSurveyOfTheReach: a design that sets how far its wires carry has its own reach in every case, not that of the bench.
func TestSurveyOfTheReach(t *testing.T) {
	_, r := surveyed(t, `
def build(f):
    rules(reach = 60)
    w = f.wire((0, 0), (39, 0))
    return struct(input = w.first, out = probe(w.last))
def send(rig, n):
    fire(rig.input, n)
def read(rig):
    return rig.out.width
s = survey(design("far", build, send, read, [1, 2]), travel=[2])
`)
	if fieldOf(t, r, "holds") != "True" {
		t.Error(r.String())
	}
}

// TestSurveySets: a design that changes under what it is tried is refused, wherever it does.
func TestSurveySets(t *testing.T) {
	for _, c := range []struct{ build, send, read string }{
		{`rules(news="lifo")`, "pass", "pass"}, {"pass", `rules(travel=9)`, "pass"}, {"pass", "pass", `rules(reads="step")`}, {"pass", `falls("late")`, "pass"},
	} {
		err := stage.Session(t, stage.New(), strings.NewReplacer("BUILD", c.build, "SEND", c.send, "READ", c.read).Replace(`
def build(f):
    BUILD
    w = f.wire((0, 0))
    return struct(input=w, out=probe(w))
def send(rig, n):
    SEND
    fire(rig.input, n)
def read(rig):
    READ
    return rig.out.width
s = survey(design("sets", build, send, read, [1]))
`))
		if err == nil || !strings.Contains(err.Error(), "so that it cannot be tried under others; leave them to the bench") {
			t.Errorf("%v: %v", c, err)
		}
	}
}

// TestSurveyEverywhere: what was not tried is said, each thing in its words, and then it does not hold everywhere.
func TestSurveyEverywhere(t *testing.T) {
	const line = trial.PlainFunctions + `d = design("plain line", build, send, read, range(1, 6))
def sized(f, size):
    w = f.wire((0, 0), (size, 0))
    return struct(input=w.first, out=probe(w.last))
z = design("sized", sized, send, read, range(1, 3))
def piece(f):
    w = f.wire((0, 0), (1, 0))
    return f.ports(input=(0, 0), output=(1, 0))
p = design("pieces", build, send, read, [2, 3], slice=piece, pitch=(2, 0, 0))
no = design("no pitch", build, send, read, [2, 3], slice=piece)
odd = design("odd", build, send, read, [2, 3], slice=lambda f: f.wire((0, 0)), pitch=(2, 0, 0))
`
	for _, c := range []struct{ call, says string }{
		{"survey(d)", "it holds everywhere"},
		{"survey(p)", "it holds everywhere"},
		{"survey(d, [1, 2, 3, 4, 5, 9], travel=[1, 2, 3, 5])", "it holds everywhere"},
		{"survey(d, travel=[2])", "it holds in all that was tried; not tried: travel 1, 3"},
		{"survey(d, [1, 5])", "it holds in all that was tried; not tried: 3 other numbers of the design"},
		{"survey(d, runs=300)", "it holds in all that was tried; not tried: the cases that were not drawn"},
		{"survey(z, size=4)", "it holds in all that was tried; not tried: sizes other than 4"},
		{"survey(no)", "it holds in all that was tried; not tried: a chain of 4 slices: the design names no pitch"},
		{"survey(odd)", "it holds in all that was tried; not tried: a chain of 4 slices: it gives no port .input that is a part or a cell"},
	} {
		_, r := surveyed(t, line+"s = "+c.call+"\n")
		if !strings.HasSuffix(r.Text, "\n"+c.says) || fieldOf(t, r, "holds") != "True" || (fieldOf(t, r, "everywhere") == "True") != strings.HasSuffix(c.says, "everywhere") {
			t.Errorf("%s:\n%s", c.call, r.Text)
		}
	}
}

// TestSurveyOfErrors: an error of read is told as one, not as a number; that of the run is a case that was stopped.
func TestSurveyOfErrors(t *testing.T) {
	_, r := surveyed(t, `
def build(f):
    w = f.wire((0, 0))
    return struct(input=w, out=probe(w))
def send(rig, n):
    fire(rig.input, n)
def read(rig):
    return [0, 1][rig.out.width]
s = survey(design("out of range", build, send, read, [1, 2]), travel=[2])
`)
	if strings.Contains(r.Text, "is read") {
		t.Error(r.Text)
	}
	wantText(t, r, "2 is sent; read ends in an error: list index 2 out of range")
}

// TestAskedCopies: what leads to an inquiry leads, in a copy, to that of the copy.
func TestAskedCopies(t *testing.T) {
	s := stage.New()
	stage.MustSession(t, s, `
def build(f):
    w = f.wire((0, 0))
    return struct(frame=f, inner=f.frame((1, 0)), wire=f.wire, w=w)
d = design("frames", build, lambda rig, n: None, lambda rig: rig.inner.x, [1])
`)
	d := s.Names["d"].(*trial.Design)
	crew := trial.NewCrew(s.Env)
	defer crew.Close()
	first, err := crew.Runner(0).Rigged(d, trial.PlainSetting(engine.DefaultRules()), 1)
	if err != nil {
		t.Fatal(err)
	}
	second := &trial.Rigged{Runner: crew.Runner(1), Recipe: first.Recipe}
	if !second.Copy(first) {
		t.Fatal("not copied")
	}
	if _, err := second.Reads(); err != nil {
		t.Fatal(err)
	}
	if first.Told != 0 || second.Told != builtins.AskedPlace || crew.Runner(0).Env.Inquiry.Asked&builtins.AskedPlace != 0 {
		t.Errorf("the first was asked %v, the second %v", first.Told, second.Told)
	}
	inner, _ := second.Rig.(starlark.HasAttrs).Attr("inner")
	if inner.(*builtins.Frame).By != &crew.Runner(1).Env.Inquiry {
		t.Error("a frame of the copy leads to another inquiry")
	}
}

// TestSurveyNamesWhatIsAsked: a word that looks at all there is is named, not the neighbour order, which nobody asked for; and what a survey cannot
// see is said.
func TestSurveyNamesWhatIsAsked(t *testing.T) {
	const line = `
def build(f):
    w = f.wire((0, 0))
    return struct(input=w, out=probe(w))
def send(rig, n):
    fire(rig.input, n)
def read(rig):
    return rig.out.width if %s else None
s = survey(design("line", build, send, read, [2]), travel=[2], runs=100)
`
	_, r := surveyed(t, fmt.Sprintf(line, "cost().acts < 500"))
	wantText(t, r, "no case follows from another: build, send or read asks for cost(...), which may go by the neighbour order",
		"what send or read does only after more of these, or at a later tick, is not seen")
	_, r = surveyed(t, fmt.Sprintf(line, "rules().order"))
	wantText(t, r, "no case follows from another: build, send or read asks for the neighbour order\n")
}
