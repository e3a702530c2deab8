package builtins

import (
	"slices"
	"testing"

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
	s := newScene()
	mustSession(t, s, script)
	for _, c := range []struct {
		name   string
		copies bool
	}{{"a", true}, {"b", false}, {"c", false}} {
		call := &Call{Env: s.Env, Thread: s.thread, entry: table.byName["sweep"]}
		m := call.machineOf(0, s.names[c.name])
		if call.Err != nil {
			t.Fatal(call.Err)
		}
		crew := s.crew()
		built, err := crew.runner(0).rigged(m, plainSetting(engine.DefaultRules()), 1)
		if err != nil {
			t.Fatal(err)
		}
		second := &rigged{runner: crew.runner(1), recipe: built.recipe}
		if got := second.copy(built); got != c.copies {
			t.Errorf("%s: copied: %t, want %t", c.name, got, c.copies)
		}
		if !c.copies {
			continue
		}
		if second.bench == built.bench || second.bench.Fingerprint() != built.bench.Fingerprint() {
			t.Errorf("%s: the copy of the bench is the same, or not alike", c.name)
		}
		for i, n := range []int{4, 1, 4} {
			var logs [2][]engine.Event
			for k, r := range []*rigged{built, second} {
				got, fault, err := r.once(i, starlark.MakeInt(n))
				if err != nil || fault != "" || got != starlark.Value(starlark.MakeInt(n)) {
					t.Errorf("%s, rig %d: sent %d, read %v, %s %v", c.name, k, n, got, fault, err)
				}
				for _, e := range r.bench.Events(1) {
					logs[k] = append(logs[k], e)
				}
			}
			if !slices.Equal(logs[0], logs[1]) || len(logs[0]) == 0 {
				t.Errorf("%s: the logs differ, or there is none", c.name)
			}
		}
		d := second.rig.(*starlark.Dict)
		outs, _, _ := d.Get(starlark.String("outs"))
		again, _, _ := d.Get(starlark.String("again"))
		if outs.(*starlark.List).Index(0) != again {
			t.Errorf("%s: a probe that stands twice in the rig has become two", c.name)
		}
		crew.close()
	}
}
