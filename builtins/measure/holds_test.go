package measure_test

import (
	"strings"
	"testing"

	"pulsewright/builtins"
	"pulsewright/builtins/stage"
	"pulsewright/builtins/survey"
)

// TestHoldsStopped: a case that was stopped is none that fails; compare and the data sheet say how many were, as the survey does.
func TestHoldsStopped(t *testing.T) {
	s := stage.New()
	stage.MustSession(t, s, `
def build(f):
    f.wire((0, 0))
    d = f.delay((1, 0), "+x", ticks=1)
    g = f.gate((2, 0), "+x", "not")
    patch(d, g)
    patch(g, d)
    return struct(into=f.part((0, 0)), out=probe(f.part((0, 0))))
ring = design("ring", build, lambda rig, n: fire(rig.into, n), lambda rig: rig.out.width, [2])
def wire(f):
    into = f.wire((0, 0))
    return struct(into=into, out=probe(into))
print(compare([ring, design("wire", wire, ring.send, ring.read, [2])]))
`)
	text := s.Printed.String()
	if !strings.Contains(text, "0 of 829440, 829440 stopped") {
		t.Errorf("not said how many cases were stopped:\n%s", text)
	}
	if !strings.Contains(text, "\nno * in holds, cases: some cases were stopped, which is neither right nor wrong\n") {
		t.Errorf("not said why nothing is best:\n%s", text)
	}
}

// TestRunsDoc: what runs means is said in the same words wherever a survey is made.
func TestRunsDoc(t *testing.T) {
	for _, word := range []string{"survey", "compare", "datasheet"} {
		e, _ := builtins.Lookup(word)
		found := false
		for _, p := range e.Params {
			found = found || p.Name == "runs" && strings.HasSuffix(p.Doc, survey.RunsDoc)
		}
		if !found {
			t.Errorf("%s: runs is not what a survey makes of it", word)
		}
	}
	if !strings.Contains(survey.RunsDoc, "at least one case for each row") {
		t.Error(survey.RunsDoc)
	}
}

// TestHoldsMixed: in a world where each cell has an order of its own a data sheet tells where a design holds under those orders too, and a design that
// holds under all others is not said to hold everywhere; fewer cases are drawn where runs are few.
func TestHoldsMixed(t *testing.T) {
	s := stage.New()
	stage.MustSession(t, s, `
def build(f):
    a, b = f.gate((0, 0), "+z", "latch", name="a"), f.gate((9, 0), "+z", "latch", name="b")
    f.wire((0, -1)); f.wire((9, -1))
    return struct(ins=[f.wire((1, 0)), f.wire((10, 0))], a=a, b=b, seen=probe(f.part((1, 0))))
def send(rig, n):
    for w in rig.ins:
        fire(w, n)
def read(rig):
    return rig.seen.width if rig.a.state == rig.b.state else 0
d = design("twin", build, send, read, [2])
rules(order="mixed 7")
print(datasheet(d, runs=7200).text)
print("<<<")
print(compare([d]))
rules(order="+x -x +y -y +z -z")
print("<<<")
print(datasheet(d).text)
`)
	parts := strings.Split(s.Printed.String(), "<<<")
	for _, want := range []string{`829440 of 829440, and `, ` drawn under "mixed 7"`, `and under "mixed 7", where each cell has an order of its own, 50 cases for each of the other rules`, "mixed        fifo  turn   early       1", "one for all  fifo  turn   early       1  34560  34560",
		"by lot: 50 cases for each row under mixed orders"} {
		if !strings.Contains(parts[0], want) {
			t.Errorf("no %q in\n%s", want, parts[0])
		}
	}
	if !strings.Contains(parts[1], `drawn under "mixed 7"`) {
		t.Error(parts[1])
	}
	if strings.Contains(parts[0], "it holds everywhere") || strings.Contains(parts[2], `"mixed 7"`) || !strings.Contains(parts[2], "it holds everywhere") {
		t.Errorf("%s\n%s", parts[0], parts[2])
	}
}
