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
print(compare([ring]))
`)
	text := s.Printed.String()
	if !strings.Contains(text, "0 of 829440, 829440 stopped") {
		t.Errorf("not said how many cases were stopped:\n%s", text)
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
