package builtins_test

import (
	"pulsewright/builtins"
	"pulsewright/builtins/stage"

	"strings"
	"testing"
)

// TestHelpSaysTold: buckets and chutes act only when they were told, and help says so.
func TestHelpSaysTold(t *testing.T) {
	stage.MustDo(t, `
b = bucket((0, 0, 1), "+x", tokens=1)
under = tray((0, 0))
run(ticks=50)
expect_equal((b.tokens, under.tokens), (1, 0))
nudge(b)
run()
expect_equal((b.tokens, under.tokens), (0, 1))
fresh()
tray((0, 0), tokens=3, room=3)
c = chute((1, 0), "+x")
front = tray((2, 0), room=3)
run(ticks=50)
expect_equal(front.tokens, 0)
nudge(c)
run()
expect_equal(front.tokens, 3)
`)
	for word, want := range map[string]string{
		"bucket": "drops it to the one below when it was told while unfed",
		"chute":  "told while unfed, it moves one token",
	} {
		if e, _ := builtins.Lookup(word); !strings.Contains(e.Sentence, want) {
			t.Errorf("%s: %q does not say %q", word, e.Sentence, want)
		}
	}
}

// TestFrameDefaults: what help gives as the default of y is what a frame without y has.
func TestFrameDefaults(t *testing.T) {
	e, _ := builtins.Lookup("frame")
	for _, p := range e.Params {
		if p.Name != "y" {
			continue
		}
		stage.MustDo(t, `
axes = lambda f: (f.x, f.y, f.z)
for x in ["+x", "-x", "+y", "-y", "+z", "-z"]:
    for m in [False, True]:
        expect_equal(axes(frame(x=x, mirror=m)), axes(frame(x=x, mirror=m, y=`+p.Default+`)))
        if x[1] != "z":
            expect_equal(frame(x=x, mirror=m).z, "+z")
        else:
            expect_equal(frame(x=x, mirror=m).y, "+y")
`)
	}
}
