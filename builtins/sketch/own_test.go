package sketch_test

import (
	"strings"
	"testing"

	"pulsewright/builtins/stage"
)

const ownKinds = `
def follows(state, live, told): return "out" if live.back else "home"
slider = kind("slider", ["home", "out"], follows, letter="i")
silo = kind("silo", ["home", "half", "out"], lambda state, live, told: None, letter="i")
mast = kind("mast", ["home", "half", "out"], lambda state, live, told: None, letter="a")
lens = kind("lens", ["dim", "bright", "blind"], lambda state, live, told: None, facing=False, then={"bright": 2}, letter="p")
always = kind("always", ["a", "b"], lambda state, live, told: None, active=["a", "b"], letter="z")
never = kind("never", ["a", "b"], lambda state, live, told: None, active=[], letter="y")
`

// TestOwnKinds: parts of a script's own kinds are drawn by letter, facing and capital; what several kinds or states share the legend says; marks, kinds
// and letters find them; a world lends its kinds.
func TestOwnKinds(t *testing.T) {
	stage.MustDo(t, ownKinds+`
s = sketch("k  i>1P  Z^ yv\n   P @\nlegend\n1: kind=\"slider\"\n(2, 1): state=\"blind\"\nshelf: A state=\"out\", name=\"far\"; Z\ncords: (0, 1) to #1\n", kinds=[slider, silo, mast, lens, always, never])
expect_equal([(p.kind, p.state) for p in s.parts], [("key", "off"), ("slider", "home"), ("lens", "blind"), ("always", "a"), ("never", "a"), ("lens", "bright"), ("mast", "out"), ("always", "a")])
expect_equal(([p.kind for p in s["lens"]], [p.kind for p in s["z"]], s["far"].state, [p.kind for p in s["1"]]), (["lens"] * 2, ["always"] * 2, "out", ["slider"]))
run()
expect_equal([str(e.at) for e in events(kind="lens")], [])
m, were = map(), str(s.parts)
fresh()
expect_equal(str(sketch(m).parts), were)
fresh(world(kinds=[never]))
expect_equal(sketch("y>").parts[0].kind, "never")
text = "y>\n\ny never a/b   > faces +x\n"
expect_equal(len(sketch(text, at=(5, 0)).parts), 1)
fresh()
expect_error(lambda: sketch(text), "line 1, column 1: 'y' is no part")
expect_error(lambda: sketch(text), "the kind of one's own that has this letter is named by kinds=[...]")
`)
	for _, c := range []struct{ call, want string }{
		{`sketch("i>", kinds=[slider, silo])`, `line 1, column 1: the letter of slider and of silo, want the legend to say which: kind="slider"`},
		{`sketch("i>\nlegend\ni: kind=\"slide\"", kinds=[slider, silo])`, `line 3, column 4: for kind: got "slide", want one of slider silo; did you mean slider?`},
		{`sketch("i>\nlegend\ni: kind=\"slider\", state=\"out\"", kinds=[slider, silo])`, `line 3, column 19: for state: got "out" of a slider drawn i, want one of home`},
		{`sketch("I>\nlegend\nslider: state=\"ot\"", kinds=[slider])`, `line 3, column 9: for state: got "ot" of a slider drawn I, want one of out; did you mean out?`},
		{`sketch("I>\nlegend\nslider: state=3", kinds=[slider])`, `for state: got 3, want one of home out`},
		{`sketch("I>\nlegend\nslider: ticks=3", kinds=[slider])`, `no setting "ticks" of a slider, want one of kind state name`},
		{`sketch("I ", kinds=[slider])`, `line 1, column 2: a blank does not say which way a slider faces`},
		{`sketch("P>", kinds=[lens])`, `line 1, column 2: '>' behind a lens, which has no facing; want a blank`},
		{`sketch("z>", kinds=[always])`, `a small letter, but all states of a always are active; want Z`},
		{`sketch("Y>", kinds=[never])`, `a capital, but no state of a never is active; want y`},
		{`sketch("I>@", kinds=[slider])`, `line 1, column 3: '@': a timer is set; a sketch places a bench at rest, and cannot place this`},
		{`sketch("I>q", kinds=[slider])`, `an act is queued`},
		{`sketch("k i\nlegend\ni: hold=2", kinds=[slider])`, `line 1, column 3: 'i' behind a key, want a blank, or a mark`},
		{`sketch("I>", kinds=[slider, "silo"])`, `want kinds, as kind() gives them`},
		{`sketch("I>", kinds=[slider, kind("slider", ["home", "b"], lambda state, live, told: None)])`, `two are called slider, want each under its own name`},
	} {
		s := stage.New()
		if msg := s.Do(ownKinds); msg != "" {
			t.Fatal(msg)
		}
		was := s.Bench.Fingerprint()
		if msg := s.Do(c.call); !strings.Contains(msg, c.want) || s.Bench.Fingerprint() != was {
			t.Errorf("%s\nsays %s\nwant %s", c.call, msg, c.want)
		}
	}
}
