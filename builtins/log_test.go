package builtins_test

import (
	"strings"
	"testing"

	"pulsewright/builtins"
	"pulsewright/builtins/stage"
	"pulsewright/engine"
)

// TestLogShows: each filter of the step log.
func TestLogShows(t *testing.T) {
	const rig = "f = frame(name=\"r1\")\nk = key((0, 0), name=\"k\")\nl = f.link((1, 0), \"+y\", name=\"l\")\npress(k)\nfire((9, 9), 3)\nrelease(k, at=2)\nrun()\n"
	for _, c := range []struct{ log, want string }{
		{"log()", "1.0.0 k on, 1.0.1 cell (9, 9) forced, 1.1.0 r1.l out, 1.3.0 cell (9, 9) freed, 2.0.0 k off, 2.1.0 r1.l home"},
		{"log(False)", ""},
		{"log(False)\nlog(True, what=\"out\")", "1.1.0 r1.l out"},
		{"log(target=k)", "1.0.0 k on, 2.0.0 k off"},
		{"log(target=[\"k\", (9, 9)])", "1.0.0 k on, 1.0.1 cell (9, 9) forced, 1.3.0 cell (9, 9) freed, 2.0.0 k off"},
		{"log(kind=\"link\")", "1.1.0 r1.l out, 2.1.0 r1.l home"},
		{"log(kind=[\"link\", \"key\"], what=[\"off\", \"home\"])", "2.0.0 k off, 2.1.0 r1.l home"},
		{"log(frame=f)", "1.1.0 r1.l out, 2.1.0 r1.l home"},
		{"log(frame=[\"r1\", \"r\"], steps=(0, 1))", "1.1.0 r1.l out, 2.1.0 r1.l home"},
		{"log(steps=(2, 9))", "1.3.0 cell (9, 9) freed"},
	} {
		s := stage.MustDo(t, rig+c.log)
		var shown []string
		for id, e := range s.Bench.Events(1) {
			if s.Log.Shows(s.Bench, e) {
				shown = append(shown, builtins.NewEvent(s.Bench, id).String())
			}
		}
		if got := strings.Join(shown, ", "); got != c.want {
			t.Errorf("%s\ngot  %s\nwant %s", c.log, got, c.want)
		}
	}
	if s := stage.MustDo(t, "log(story=True)"); !s.Log.Story {
		t.Error("story is not remembered")
	}
	if !(*builtins.LogOptions)(nil).Shows(engine.New(engine.DefaultRules()), engine.Event{}) {
		t.Error("without options nothing is shown")
	}
}
