package trial

import (
	"testing"

	"pulsewright/builtins"
	"pulsewright/builtins/stage"
	"pulsewright/engine"

	"go.starlark.net/starlark"
)

// TestAnswers: numbers are sent to one machine, one after the other, each at rest. A letter tells what the answer to each is
// worth: right, wrong, stale, unsure.
func TestAnswers(t *testing.T) {
	// Pieces that the machines share.
	const (
		row   = "    row = f.wire((0, 0), (9, 0))\n"
		fires = "def send(rig, n): fire(rig.input, n)\n"
		width = "def read(rig): return rig.out.width\n"
		older = "def read(rig): return rig.out.pulses[-1].width if rig.out.pulses else None\n" // also one of a sending before
		// Only the first pulse comes through: once out has been on, the lock is on for good.
		once = `    w = f.wire((0, 0))
    lock = gate(op="latch")
    out = gate(op="and"); patch(w, out); patch(lock, out, invert=True)
    soon = oneshot(ticks=5); patch(out, soon)
    late = delay(ticks=1); patch(soon, late); patch(late, lock)
`
		// Key k lights lamp k, which stays lit until another is.
		held = `def build(f):
    keys = [f.key((0, 4 * k), hold=2) for k in range(3)]
    lamps = [gate(op="latch") for k in range(3)]
    shown = [lamp() for k in range(3)]
    for k in range(3):
        others = gate(op="or")
        patch(keys[k], lamps[k])
        patch(lamps[k], shown[k])
        for j in range(3):
            if j != k: patch(keys[j], others)
        patch(others, lamps[k])
    return struct(keys=keys, lamps=shown, probes=[probe(l) for l in shown])
def send(rig, n): press(rig.keys[n])
`
		states = `def read(rig):
    lit = [k for k in range(3) if rig.lamps[k].state == "lit"]
    return lit[0] if len(lit) == 1 else lit
`
		lastLit = `def read(rig):
    rises = [(p.pulses[-1].rise, k) for k, p in enumerate(rig.probes) if p.pulses]
    return max(rises)[1] if rises else None
`
	)
	for _, c := range []struct{ name, script, numbers, want string }{
		{"a wire", "def build(f):\n" + row + "    return struct(input=row.first, out=probe(row.last))\n" + fires + width, "[5, 5, 2, 5, 0, 0, 5]", "RRRRRRR"},
		{"a wire of which little is recorded", "def build(f):\n    record(\"some\")\n" + row + "    return struct(input=row.first, out=probe(row.last))\n" + fires + width, "[5, 5, 2, 0, 0, 5]", "RRRRRR"},
		{"the probe is made by read", "def build(f):\n" + row + "    return struct(input=row.first, out=row.last)\n" + fires + "def read(rig): return probe(rig.out).width\n", "[5, 5, 0]", "RRR"},
		{"read clears its probe", "def build(f):\n" + row + "    return struct(input=row.first, out=probe(row.last))\n" + fires + "def read(rig):\n    w = rig.out.width\n    rig.out.clear()\n    return w\n", "[5, 5, 2, 2]", "RRRR"},
		{"pulses are counted, so that none is 0", "def build(f):\n" + row + "    return struct(input=row.first, out=probe(row.last))\ndef send(rig, n):\n    for k in range(n): fire(rig.input, 1, at=now().tick + 1 + k)\ndef read(rig):\n    k = len(rig.out.pulses)\n    rig.out.clear()\n    return k\n", "[0, 2, 0, 2, 2, 0]", "URURRU"},
		{"the count goes on", "def build(f):\n" + row + "    return struct(input=row.first, out=probe(row.last))\ndef send(rig, n):\n    for k in range(n): fire(rig.input, 1, at=now().tick + 1 + k)\ndef read(rig): return len(rig.out.pulses)\n", "[2, 2, 0]", "RWW"},
		{"only the first comes through, read by the width of the last shot", "def build(f):\n" + once + "    return struct(input=w, out=probe(out))\n" + fires + width, "[5, 5, 4, 5]", "RWWW"},
		{"only the first comes through", "def build(f):\n" + once + "    return struct(input=w, out=probe(out))\n" + fires + older, "[5, 5, 4, 5]", "RSWS"},
		{"only the first, found by events", "def build(f):\n" + once + "    return struct(input=w, out=out)\n" + fires + "def read(rig):\n    e = events(rig.out, what=[\"on\", \"off\"])\n    return e[-1].step - e[-2].step if len(e) > 1 else None\n", "[5, 5, 4, 5]", "RSWS"},
		{"read looks at what comes in, too", "def build(f):\n" + once + "    return struct(input=w, into=probe(w), out=probe(out))\n" + fires + "def read(rig): return rig.out.pulses[-1].width if rig.into.pulses and rig.out.pulses else None\n", "[5, 5]", "RS"},
		{"read looks for what is new in a list of its own", "def build(f):\n    seen = [0]\n    w = f.wire((0, 0))\n    p = probe(w)\n    def new():\n        ps = p.pulses[seen[0]:]\n        seen[0] = len(p.pulses)\n        return ps\n    return struct(input=w, new=new)\n" + fires + "def read(rig):\n    ps = rig.new()\n    return ps[-1].width if ps else None\n", "[5, 5, 2, 5]", "RRRR"},
		{"send keeps a list, only the first comes through", "def build(f):\n" + once + "    l = []\n    return struct(input=w, out=probe(out), add=lambda n: l.append(n))\ndef send(rig, n):\n    rig.add(n)\n    fire(rig.input, n)\n" + older, "[5, 5, 4]", "RSW"},
		{"lamps stay lit", held + states, "[1, 1, 2, 2, 1]", "RURUR"},
		{"lamps stay lit and read asks for their pulses", held + lastLit, "[1, 2, 2, 1]", "RRSR"},
		{"tokens", "def build(f):\n    w = f.wire((0, 1))\n    f.bucket((0, 0), \"+x\", tokens=1)\n    return struct(input=w, out=f.tray((1, 0)))\n" + "def send(rig, n): fire(rig.input, 3)\ndef read(rig): return rig.out.tokens\n", "[1, 1]", "RU"},
		{"send lets time pass", "def build(f):\n" + row + "    return struct(input=row.first, out=probe(row.last))\ndef send(rig, n):\n    fire(rig.input, n)\n    run()\n" + width, "[5, 5, 2]", "RRR"},
		{"build lets time pass", "def build(f):\n" + once + "    fire(w, 5)\n    run()\n    return struct(input=w, out=probe(out))\n" + fires + older, "[5, 4]", "SW"},
		{"read fails without events", "def build(f):\n" + once + "    return struct(input=w, out=probe(out))\n" + fires + "def read(rig): return rig.out.widths[-1]\n", "[5, 5]", "RS"},
	} {
		s := stage.New()
		stage.MustSession(t, s, c.script+"d = design(\"d\", build, send, read, "+c.numbers+")")
		d := s.Names["d"].(*Design)
		crew := NewCrew(s.Env)
		r := crew.Runner(0)
		machine, err := r.Rigged(d, PlainSetting(engine.DefaultRules()), 1)
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		machine.Begin(0)
		said, got := "", ""
		for _, n := range d.Over.(starlark.Tuple) {
			a, err := machine.sendAndRead(n)
			if err != nil {
				t.Errorf("%s: number %v: %s", c.name, n, builtins.Message(err))
				break
			}
			got += string("WSUR"[a.Verdict])
			said += "\n" + n.String() + ": " + a.String()
		}
		crew.Close()
		if got != c.want {
			t.Errorf("%s: %s, want %s%s", c.name, got, c.want, said)
		}
	}
}

// TestAnswerLeavesTheMachine: whatever it took to judge an answer, the machine goes on as if it had only been read.
func TestAnswerLeavesTheMachine(t *testing.T) {
	s := stage.New()
	stage.MustSession(t, s, `
def build(f):
    w = f.wire((0, 0))
    a = oneshot(ticks=4); patch(w, a)
    b = delay(ticks=3); patch(a, b)
    return struct(input=w, out=probe(b))
def send(rig, n):
    fire(rig.input, n)
    rand(100)
def read(rig):
    print("read", rand(1000))
    return 4 if rig.out.pulses else None
d = design("d", build, send, read, [4])`)
	d := s.Names["d"].(*Design)
	crew := NewCrew(s.Env)
	defer crew.Close()
	a, err := crew.Runner(0).Rigged(d, PlainSetting(engine.DefaultRules()), 1)
	if err != nil {
		t.Fatal(err)
	}
	b, err := crew.Runner(1).Rigged(d, PlainSetting(engine.DefaultRules()), 1)
	if err != nil {
		t.Fatal(err)
	}
	a.Begin(3)
	b.Begin(3)
	n := starlark.MakeInt(4)
	for range 5 {
		got, err := a.sendAndRead(n)
		if err != nil || got.Verdict != Right {
			t.Fatal(got, err)
		}
		if fault, err := b.sendToQuiet(n); err != nil || fault != "" {
			t.Fatal(fault, err)
		}
		if _, fault, err := b.ReadOnce(); err != nil || fault != "" {
			t.Fatal(fault, err)
		}
		if a.Bench.Fingerprint() != b.Bench.Fingerprint() || a.Bench.Now() != b.Bench.Now() || a.Bench.EventCount() != b.Bench.EventCount() {
			t.Error("the machine is not as it would be")
		}
		if a.out.String() != b.out.String() {
			t.Errorf("printed %q, want %q", a.out.String(), b.out.String())
		}
	}
}
