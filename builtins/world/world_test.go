package world_test

import (
	"strings"
	"testing"

	"pulsewright/builtins/stage"
)

const sensor = `def falls(state, live, told):
    return "on" if live.back else "off"
sensor = kind("sensor", ["off", "on"], falls, letter="y")
`

// TestWorld: a world is a value, equal to one with the same rules and kinds, and its text makes it again.
func TestWorld(t *testing.T) {
	s := stage.MustDo(t, sensor+`
w = world("north quay", travel=1, order="-x +x +y -y +z -z", kinds=[sensor], note="guessed")
expect_equal((w.name, w.note, w.travel, w.reach, w.order), ("north quay", "guessed", 1, 24, "-x +x +y -y +z -z"))
expect_equal(w.kinds, (sensor,))
expect_equal(w, world(order="-x +x +y -y +z -z", travel=1, kinds=[sensor]))
expect(w != world(order="-x +x +y -y +z -z", travel=1), "the kinds count")
expect(w != world(travel=1, kinds=[sensor]), "the rules count")
again = kind("sensor", ["off", "on"], falls, letter="y")
other = kind("sensor", ["off", "on"], lambda state, live, told: "on" if told == "nudge" else state, letter="y")
expect_equal(w, world(order="-x +x +y -y +z -z", travel=1, kinds=[again]))
expect(w != world(order="-x +x +y -y +z -z", travel=1, kinds=[other]), "what the kinds do counts")
expect_equal({world(): 1}[world("other")], 1)
text = str(w)
fresh(w)
expect_equal((rules().travel, rules().order), (1, "-x +x +y -y +z -z"))
fresh(w, travel=5)
expect_equal((rules().travel, rules().order), (5, "-x +x +y -y +z -z"))
fresh()
expect_equal(rules().travel, 2)
`)
	text := s.Names["text"].String()
	stage.MustDo(t, sensor+"w = "+strings.ReplaceAll(strings.Trim(text, `"`), `\"`, `"`)+"\nexpect_equal((w.name, w.travel, w.kinds), (\"north quay\", 1, (sensor,)))")
}

// TestWorldIsNamed: a design and its data sheet name the world.
func TestWorldIsNamed(t *testing.T) {
	const line = `
def build(f):
    line = f.wire((0, 0), (9, 0))
    return struct(input=line.first, out=probe(line.last))
def send(rig, n):
    fire(rig.input, n)
def read(rig):
    return rig.out.width
`
	for _, c := range []struct{ script, want string }{
		{`fresh(world("north quay", travel=1)); d = design("line", build, send, read, [1])`, `run=6), those of the world "north quay"`},
		{`fresh(travel=1); d = design("line", build, send, read, [1], world=world("north quay", travel=1, note="found"))`, `those of the world "north quay" (found)`},
		{`
def falls(state, live, told): return "on" if live.back else "off"
w = world("north quay", travel=1, kinds=[kind("sensor", ["off", "on"], falls)], note="found")
fresh(w)
d = design("line", build, send, read, [1], world=w)`, `those of the world "north quay", which has the kinds sensor beside the built-in ones (found)`},
		{`d = design("line", build, send, read, [1], world=world("north quay", travel=1))`, `it was made for another world, world("north quay"`},
	} {
		s := stage.MustDo(t, line+c.script+"\ntext = datasheet(d).text")
		if text := s.Names["text"].String(); !strings.Contains(strings.ReplaceAll(text, `\"`, `"`), c.want) {
			t.Errorf("%s\nthe sheet does not say %s:\n%s", c.script, c.want, text)
		}
	}
}

// TestWorldErrors: what is wrong is said, and what is allowed.
func TestWorldErrors(t *testing.T) {
	for _, c := range [][2]string{
		{`world(travel=0)`, "at least 1"},
		{`world(kinds=[lamp])`, "want kinds, as kind() gives them"},
		{`world(kinds=[sensor, kind("sensor", ["a", "b"], falls2)])`, "two of its kinds are called sensor"},
		{`world(kinds=[kind("travel", ["a", "b"], falls2)])`, "for parameter kinds: a world has a .travel of its own, want another name for the kind travel"},
		{`world(kinds=[kind("save", ["a", "b"], falls2)])`, "a world has a .save of its own"},
		{`fresh("north quay")`, "want a world, as world() gives it"},
		{`world() < world()`, "no order"},
	} {
		s := stage.New()
		if msg := s.Do(sensor + "def falls2(state, live, told): return None\n" + c[0]); !strings.Contains(msg, c[1]) {
			t.Errorf("%s: %q, want %q", c[0], msg, c[1])
		}
	}
}
