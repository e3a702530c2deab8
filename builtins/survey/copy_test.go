package survey

import (
	"fmt"
	"slices"
	"testing"

	"pulsewright/builtins/stage"
	"pulsewright/builtins/trial"
	"pulsewright/engine"

	"go.starlark.net/starlark"
)

// TestCopy: a rig copied for another worker does, event for event, what the one that was built does, whatever it is made
// of; one that cannot be copied says so.
func TestCopy(t *testing.T) {
	const script = `
def send(rig, n):
    fire(rig["ports"].input, n)

def read(rig):
    return rig["outs"][0].width

def plain(f):
    k, line = f.key((-1, 5)), f.wire((0, 0), (9, 0))
    out = probe(line.last)
    return {"ports": struct(input=line.first, row=line, keys=(k, k)), "outs": [out], k: 1, "again": out, "help": read, "at": f.cell, "n": range(3)}

def closure(f):
    rig = plain(f)
    extra = [0]
    rig["more"] = lambda: extra
    return rig

def ran(f):
    rig = plain(f)
    fire(rig["ports"].input, 3)
    run()
    return rig

a, b, c = [design(str(g), g, send, read, [1, 4]) for g in (plain, closure, ran)]
`
	s := stage.New()
	stage.MustSession(t, s, script)
	for _, c := range []struct {
		name   string
		copies bool
	}{{"a", true}, {"b", false}, {"c", false}} {
		d := s.Names[c.name].(*trial.Design)
		crew := trial.NewCrew(s.Env)
		built, err := crew.Runner(0).Rigged(d, trial.PlainSetting(engine.DefaultRules()), 1)
		if err != nil {
			t.Fatal(err)
		}
		second := &trial.Rigged{Runner: crew.Runner(1), Recipe: built.Recipe}
		if got := second.Copy(built); got != c.copies {
			t.Errorf("%s: copied: %t, want %t", c.name, got, c.copies)
		}
		if !c.copies {
			continue
		}
		if second.Bench == built.Bench || second.Bench.Fingerprint() != built.Bench.Fingerprint() {
			t.Errorf("%s: the copy of the bench is the same, or not alike", c.name)
		}
		for i, n := range []int{4, 1, 4} {
			var logs [2][]engine.Event
			for k, r := range []*trial.Rigged{built, second} {
				got, fault, err := r.Once(i, starlark.MakeInt(n))
				if err != nil || fault != "" || got != starlark.Value(starlark.MakeInt(n)) {
					t.Errorf("%s, rig %d: sent %d, read %v, %s %v", c.name, k, n, got, fault, err)
				}
				for _, e := range r.Bench.Events(1) {
					logs[k] = append(logs[k], e)
				}
			}
			if !slices.Equal(logs[0], logs[1]) || len(logs[0]) == 0 {
				t.Errorf("%s: the logs differ, or there is none", c.name)
			}
		}
		rig := second.Rig.(*starlark.Dict)
		outs, _, _ := rig.Get(starlark.String("outs"))
		again, _, _ := rig.Get(starlark.String("again"))
		if outs.(*starlark.List).Index(0) != again {
			t.Errorf("%s: a probe that stands twice in the rig has become two", c.name)
		}
		crew.Close()
	}
}

// TestCopyUnderOtherRules: a copy brought under other rules is what building under these rules gives, and does the same,
// event for event; unless building asks for the rules.
func TestCopyUnderOtherRules(t *testing.T) {
	const script = `
def send(rig, n):
    fire(rig.into, n)
    press(rig.key)

def read(rig):
    return rig.out.width

def build(f):
    f.wire((0, 0), (6, 0))
    f.jack((2, 2))
    f.shuttle((1, 1), "+y", slug="plug")
    s = f.shuttle((-3, 0), "+x", slug="feed")
    f.reed((0, -1), (5, -1), "-y", pads=[(0, 1, 0)])
    f.link((3, 1), "+y")
    f.link((1, -2), "-y", pads=[(-1, 2, 0), (0, 1, 0)])
    for x, op in [(5, "not"), (6, "latch"), (7, "hold")]:
        f.gate((x, 1), "+z", op, pads=[(-1, -1, 0), (0, -1, 0)])
        f.lamp((x, 1, 1))
    f.delay((4, 1), "+y", ticks=2)
    f.oneshot((0, 1), "+z", ticks=3, pads=[(0, -1, 0)])
    f.echo((4, -2), "-y", pads=[(0, 1, 0)])
    f.tray((8, 0), tokens=1, room=2)
    f.chute((9, 0), "+x")
    f.bucket((10, 0), "+y", drop=2)
    f.meter((8, -1), "-y")
    k = f.key((7, 0), hold=3)
    d = f.delay((12, 0), "+x")
    patch(k, d, invert=True)
    patch(k, s)
    return struct(into=f.cell((0, 0)), key=k, out=probe(f.part((6, 0))), all=[s, d])

def asks(f):
    f.delay((20, 20), "+x", ticks=rules().travel)
    return build(f)

def fires(f):
    rig = build(f)
    fire(rig.into, 4)
    return rig

a, b, c = [design(str(g), g, send, read, [1, 4]) for g in (build, asks, fires)]
`
	s := stage.New()
	stage.MustSession(t, s, script)
	design := func(name string) *trial.Design {
		return s.Names[name].(*trial.Design)
	}
	crew := trial.NewCrew(s.Env)
	defer crew.Close()
	posed := func(d *trial.Design, set trial.Setting) *trial.Rigged {
		r := trial.NewRunner(crew.Env)
		r.Crew = trial.NewCrew(s.Env) // which has built nothing
		g, err := r.Rigged(d, set, 1)
		if err != nil {
			t.Fatal(err)
		}
		return g
	}
	plain := trial.PlainSetting(engine.DefaultRules())
	for _, name := range []string{"b", "c"} {
		d, other := design(name), plain
		other.Late, other.Rules.Travel = true, 3
		if (&trial.Rigged{Runner: crew.Runner(0), Recipe: trial.Recipe{Design: d, Setting: other, Size: 1}}).Copy(posed(d, plain)) {
			t.Errorf("%s is copied under other rules, though building it depends on them", name)
		}
	}
	d := design("a")
	different := map[string]bool{}
	for k, pose := range allPoses() {
		at := plain
		at.X, at.Y, at.Mirror = pose.X, pose.Y, pose.Mirror
		first := posed(d, at)
		for i := range 16 {
			set := at
			set.Rules.News, set.Rules.Reads, set.Late = engine.News(i&1), engine.Reads(i>>1&1), i>>2&1 == 1
			set.Rules.Travel = 1 + i>>3
			set.Rules.Order = allOrders()[(k*97+i*41)%720]
			built, copied := posed(d, set), &trial.Rigged{Runner: crew.Runner(1), Recipe: trial.Recipe{Design: d, Setting: set, Size: 1}}
			if !copied.Copy(first) {
				t.Fatalf("%v: not copied", set)
			}
			if built.Bench.Fingerprint() != copied.Bench.Fingerprint() {
				t.Fatalf("%v: the copy is not what is built", set)
			}
			var logs [2]string
			for n, g := range []*trial.Rigged{built, copied} {
				g.Bench.Record(engine.RecordAll)
				g.Dirty = true
				if err := g.Give(starlark.MakeInt(3)); err != nil {
					t.Fatal(err)
				}
				err := g.Quiet()
				var es []engine.Event
				for _, e := range g.Bench.Events(1) {
					es = append(es, e)
				}
				logs[n] = fmt.Sprint(es, g.Bench.Counters(), err)
			}
			if logs[0] != logs[1] || len(logs[0]) < 500 {
				t.Fatalf("%v: a copy does something else than what is built, or hardly anything", set)
			}
			different[logs[0]] = true
		}
	}
	if len(different) < 20 {
		t.Errorf("only %d logs differ of %d: the rules hardly matter to this bench", len(different), 48*16)
	}
}
