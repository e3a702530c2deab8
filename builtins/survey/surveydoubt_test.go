package survey

import (
	"strings"
	"testing"

	"pulsewright/builtins/stage"
)

// rareAsk is a design whose read asks for the neighbour order, but only under the one order of all in which every latch is set: none that is run
// to plan.
const rareAsk = `
pairs = [("-y", "+x"), ("+x", "-z"), ("-z", "+y"), ("+y", "+z"), ("+z", "-x")]
way = {"+x": (1, 0, 0), "-x": (-1, 0, 0), "+y": (0, 1, 0), "-y": (0, -1, 0), "+z": (0, 0, 1), "-z": (0, 0, -1)}

def build(f):
    sets, latches = [], []
    for k, (a, b) in enumerate(pairs):
        o = f.frame(at=(9 * k, 0))
        facing = [d for d in way if d not in (a, b)][0]
        latches.append(o.gate((0, 0), facing, "latch"))
        sets.append(o.wire(way[a]))
        o.wire(way[b])
    w = f.wire((0, 9))
    return struct(sets=sets, latches=latches, input=w, out=probe(w))

def send(rig, n):
    for s in rig.sets:
        fire(s, 2)
    fire(rig.input, n)

def read(rig):
    if all([l.state == "on" for l in rig.latches]):
        rules().order
    return rig.out.width
d = design("rare", build, send, read, [2])
s = survey(d, travel=[1], runs=4000)
`

// TestGatherDoubt: where a case of a portion asks for what no case asked for as the survey was planned, what was gathered says that nothing
// follows. In one run it is planned again.
func TestGatherDoubt(t *testing.T) {
	files, err := portionsOf(t, rareAsk, 1)
	if err != nil {
		t.Fatal(err)
	}
	text, counterexample, err := GatherSurvey(t.Context(), files, stage.TryAlone)
	if err != nil {
		t.Fatal(err)
	}
	const doubt = "a case asked for something that none had asked for as the survey was planned (order), so that nothing is known of the cases that were not run; survey it in one run"
	if !strings.HasSuffix(text, "\n"+doubt) || strings.Contains(text, "it holds everywhere") || strings.Contains(text, "covers") || counterexample != "" {
		t.Error(text)
	}
	_, r := surveyed(t, rareAsk)
	if !strings.Contains(r.Text, "no case follows from another: build, send or read asks for the neighbour order") || strings.Contains(r.Text, "none had asked") {
		t.Error(r.Text)
	}
}
