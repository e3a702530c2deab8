package expand

import (
	"pulsewright/builtins/stage"

	"fmt"
	"math/rand/v2"
	"os"
	"strconv"
	"strings"
	"testing"
)

// machines are designs as a script: %d are the numbers drawn for each. Each but the first few has one thing in it that is not the same
// in all slices or at all sizes. at is a size at which that may show.
var machines = []struct {
	name   string
	plain  bool // nothing is planted
	draw   func(r *rand.Rand) (numbers []any, at int)
	script string
}{
	{"row", true, drawn(1, 3), `
def build(f, size):
    for k in range(size):
        gates(f, k, %d)
    return ends(f, size)
d = design("d", build, send, read, [2, 5], pitch=(2, 0, 0))`},
	{"row with a feed every few slices", true, drawn(2, 9), `
def build(f, size):
    for k in range(size):
        gates(f, k)
        if k %% %d == 1: f.battery((2 * k, 3))
    return ends(f, size)
d = design("d", build, send, read, [2, 5], pitch=(2, 0, 0))`},
	{"row from the slice", true, drawn(1, 3), `
def build(f, size):
    for k in range(size):
        f.gate((2 * k, 0), "-x", "buf", pads=[(1, 0, 0)])
        f.wire((2 * k + 1, 0))
        f.battery((2 * k, 2 + %d))
    f.wire((-1, 0))
    return struct(f=f, out=probe(f.part((-1, 0))))
def send(rig, n): fire(rig.f.cell((2 * n - 1, 0)), 3)
def read(rig): return rig.out.pulses[0].rise.step
d = design("d", build, send, read, lambda size: range(1, size + 1), pitch=(2, 0, 0))`},
	{"a dud", false, drawn(4, 400), `
def build(f, size):
    for k in range(size):
        if k == %d: f.gate((2 * k, 0), "+x", "buf", pads=[(-1, 1, 0)]); f.wire((2 * k + 1, 0))
        else: gates(f, k)
    return ends(f, size)
d = design("d", build, send, read, [2, 5], pitch=(2, 0, 0))`},
	{"a dud every so many", false, drawn(5, 300), `
def build(f, size):
    for k in range(size):
        if k %% %d == 3: f.gate((2 * k, 0), "+x", "buf", pads=[(-1, 1, 0)]); f.wire((2 * k + 1, 0))
        else: gates(f, k)
    return ends(f, size)
d = design("d", build, send, read, [2, 5], pitch=(2, 0, 0))`},
	{"one posed on", false, drawn(4, 400), `
def build(f, size):
    for k in range(size):
        if k == %d: f.gate((2 * k, 0), "+x", "latch", on=True, pads=[(-1, 0, 0)]); f.wire((2 * k + 1, 0))
        else: gates(f, k)
    return ends(f, size)
d = design("d", build, send, read, [2, 5], pitch=(2, 0, 0))`},
	{"a cord too many", false, drawn(4, 400), `
def build(f, size):
    for k in range(size):
        g = f.gate((2 * k, 0), "+x", "xor", pads=[(-1, 0, 0)])
        f.wire((2 * k + 1, 0))
        if k == %d: patch(f.battery((2 * k, 5)), g)
    return ends(f, size)
d = design("d", build, send, read, [2, 5], pitch=(2, 0, 0))`},
	{"a size that is built wrong", false, drawn(4, 64), `
def build(f, size):
    for k in range(size):
        if k == size // 2 and size == %d: f.lamp((2 * k, 0)); f.wire((2 * k + 1, 0))
        else: gates(f, k)
    return ends(f, size)
d = design("d", build, send, read, [2, 5], pitch=(2, 0, 0))`},
	{"reaching back at the end", false, drawn(3, 250), `
def build(f, size):
    for k in range(size):
        gates(f, k)
    f.gate((2 * size, 0), "+x", "and", pads=[(-1, 0, 0), (-2 * %d - 1, 0, 0)])
    f.wire((2 * size + 1, 0))
    return struct(out=probe(f.part((2 * size + 1, 0))), into=f.cell((-1, 0)))
d = design("d", build, send, read, [2, 5], pitch=(2, 0, 0))`},
	{"reaching on at the beginning", false, drawn(3, 250), `
def build(f, size):
    f.gate((-2, 0), "+x", "and", pads=[(-1, 0, 0), (2 * %d + 1, 0, 0)])
    for k in range(size):
        gates(f, k)
    return struct(out=probe(f.part((2 * size - 1, 0))), into=f.cell((-1, 0)))
d = design("d", build, send, read, [2, 5], pitch=(2, 0, 0))`},
	{"drifting steps", false, drawn(20, 200), `
def build(f, size):
    for k in range(size):
        f.wire((2 * k, 0)); f.wire((2 * k + 1, 1))
        f.gate((2 * k, 1), "+x", "buf", pads=[(0, -1, 0)])
        f.gate((2 * k + 1, 0), "+x", "or", pads=[(-1, 0, 0), (0, 1, 0)])
    f.wire((2 * size, 0))
    return struct(out=probe(f.part((2 * size, 0))), into=f.part((0, 0)))
def send(rig, n): fire(rig.into, 2 * Z * n)
def read(rig): return (rig.out.width + Z) // (2 * Z)
Z = %d
d = design("d", build, send, read, [1, 2], pitch=(2, 0, 0))`},
	{"drifting ticks", false, drawn(5, 90), `
def build(f, size):
    f.wire((-1, 0))
    for k in range(size):
        f.delay((2 * k, 0), "+x", ticks=1 + k %% 2); f.wire((2 * k + 1, 0))
    return ends(f, size)
def send(rig, n): fire(rig.into, ticks=n, steps=0)
def read(rig): return rig.out.width[0] if rig.out.pulses[0].rise.tick < Z else None
Z = %d
d = design("d", build, send, read, [5, 9], pitch=(2, 0, 0))`},
	{"widening by ticks, until it is no longer swallowed", false, drawn(5, 150), `
def build(f, size):
    for k in range(size):
        f.wire((2 * k, 0)); f.wire((2 * k + 1, 1))
        f.delay((2 * k, 1), "+x", mode="transport", pads=[(0, -1, 0)])
        f.gate((2 * k + 1, 0), "+x", "or", pads=[(-1, 0, 0), (0, 1, 0)])
    f.wire((2 * size, 0))
    f.delay((2 * size + 1, 0), "+x", ticks=%d, mode="inertial")
    f.gate((2 * size + 2, 0), "+x", "latch", pads=[(-1, 0, 0)])
    return struct(into=f.part((0, 0)), lamp=f.lamp((2 * size + 3, 0)))
def send(rig, n): fire(rig.into, ticks=1, steps=0)
def read(rig): return 1 if rig.lamp.state == "dark" else 0
d = design("d", build, send, read, [1], pitch=(2, 0, 0))`},
	{"racing steps", false, drawn(5, 120), `
def build(f, size):
    lead = %d
    for k in range(lead): f.gate((k - lead, 2), "+x", "buf", pads=[(-1, 0, 0)])
    for k in range(size):
        f.gate((2 * k, 0), "+x", "buf", pads=[(-1, 0, 0)])
        f.gate((2 * k + 1, 0), "+x", "buf", pads=[(-1, 0, 0)])
        f.gate((2 * k, 2), "+x", "buf", pads=[(-1, 0, 0)])
        f.wire((2 * k + 1, 2))
    return struct(slow=f.cell((-1, 0)), fast=f.cell((-lead - 1, 2)), first=probe(f.part((2 * size - 1, 0))), second=probe(f.part((2 * size - 1, 2))))
def send(rig, n):
    fire(rig.slow, n)
    fire(rig.fast, n)
def read(rig): return rig.first.width if rig.first.pulses[0].rise.step <= rig.second.pulses[0].rise.step else None
d = design("d", build, send, read, [3], pitch=(2, 0, 0))`},
	{"racing in one turn", false, drawn(20, 140), `
def armed_reed(f, x, y):
    f.battery((x, y, 1))
    f.reed((x, y, 0), "-z", pads=[(0, 0, 1)])
def build(f, size):
    top = %d
    f.wire((-5, 0, 0))
    for x in range(-4, 0): armed_reed(f, x, 0)
    for k in range(size):
        for dx, y in [(0, 0), (0, 1), (0, 2), (1, 2), (2, 2), (2, 1), (2, 0), (3, 0)]: armed_reed(f, 4 * k + dx, y)
    for y in range(1, top + 1): armed_reed(f, -5, y)
    armed_reed(f, -4, top)
    for y in range(top, 7, -1): armed_reed(f, -3, y)
    for x in range(-2, 4 * size): armed_reed(f, x, 8)
    e = 4 * size
    f.gate((e, 8, 0), "+y", "buf", pads=[(0, 0, 1)]); f.battery((e, 8, 1))
    f.wire((e, 9, 0))
    f.gate((e, 0, 0), "-y", "not", pads=[(0, 9, 0)])
    return struct(into=f.cell((-5, 0, 0)), lamp=f.lamp((e, -1, 0)))
def send(rig, n): fire(rig.into, 5)
def read(rig): return 1 if rig.lamp.state == "lit" else 0
d = design("d", build, send, read, [1], pitch=(4, 0, 0))`},
	{"read by the size", false, drawn(4, 400), `
def build(f, size):
    for k in range(size): gates(f, k)
    return struct(into=f.cell((-1, 0)), out=probe(f.part((2 * size - 1, 0))), size=size)
def read(rig): return rig.out.width if rig.size < %d else None
d = design("d", build, send, read, [2, 5], pitch=(2, 0, 0))`},
	{"sent by the size", false, drawn(4, 400), `
def build(f, size):
    for k in range(size): gates(f, k)
    return struct(into=f.cell((-1, 0)), out=probe(f.part((2 * size - 1, 0))), size=size)
def send(rig, n): fire(rig.into, n + (1 if rig.size %% Z == Z - 1 else 0))
Z = %d
d = design("d", build, send, read, [2, 5], pitch=(2, 0, 0))`},
	{"read by the log", false, drawn(20, 400), `
def build(f, size):
    for k in range(size): gates(f, k)
    return ends(f, size)
def read(rig): return rig.out.width if len(events(what="on")) < %d else None
d = design("d", build, send, read, [2, 5], pitch=(2, 0, 0))`},
}

// drawn draws one number, which is about where the fault shows.
func drawn(from, to int) func(r *rand.Rand) ([]any, int) {
	return func(r *rand.Rand) ([]any, int) {
		n := from + r.IntN(to-from+1)
		return []any{n}, n
	}
}

const randomMachine = `
def gates(f, k, far=1):
    f.gate((2 * k, 0), "+x", "buf", pads=[(-1, 0, 0)])
    f.wire((2 * k + 1, 0), (2 * k + 1, far - 1))
def ends(f, size):
    return struct(into=f.cell((-1, 0)), out=probe(f.part((2 * size - 1, 0))))
def send(rig, n): fire(rig.into, n)
def read(rig): return rig.out.width
`

// TestRandomMachines makes designs in which one slice, one size, a drift, a race or a reach is not like the rest, and some that are
// alike throughout, and holds each claim that one works at any size to plain sweeps at larger ones. PULSEWRIGHT_BENCHES says how many,
// PULSEWRIGHT_SEED with which seed.
func TestRandomMachines(t *testing.T) {
	many, first := 2*len(machines), uint64(1)
	if n, err := strconv.Atoi(os.Getenv("PULSEWRIGHT_BENCHES")); err == nil {
		many = n
	}
	if n, err := strconv.ParseUint(os.Getenv("PULSEWRIGHT_SEED"), 10, 64); err == nil {
		first = n
	}
	claims, wrong, plain, shown := 0, 0, 0, 0
	verdicts := map[string]int{}
	for i := range many {
		r := rand.New(rand.NewPCG(first, uint64(i)))
		m := machines[i%len(machines)]
		numbers, at := m.draw(r)
		script := randomMachine + fmt.Sprintf(m.script, numbers...)
		s := stage.New()
		if msg := s.Do(script + "\nr = expandable(d)\nprint(r.verdict)"); msg != "" {
			t.Fatalf("seed %d, machine %d: %s\n%s", first, i, msg, script)
		}
		verdict := strings.TrimSpace(s.Printed.String())
		verdicts[m.name+": "+verdict]++
		if m.plain {
			plain++
		}
		if verdict != "any size" {
			continue
		}
		claims++
		if m.plain {
			shown++
		}
		s.Printed.Reset()
		check := fmt.Sprintf("for s in [%d, %d, %d, %d, %d, %d, %d]:\n    if not all(sweep(d, size=s, over=[1, s] if type(d.over) != \"tuple\" else d.over).column(\"right\")): print(\"wrong at\", s)",
			max(at, 1), at+1, at+2, 2*at+3, 65+r.IntN(100), 130+r.IntN(300), 700+r.IntN(100))
		if msg := s.Do(check); msg != "" {
			t.Fatalf("seed %d, machine %d: %s", first, i, msg)
		}
		if out := s.Printed.String(); out != "" {
			wrong++
			t.Errorf("seed %d, machine %d (%s, %v) is said to work at any size:\n%s%s", first, i, m.name, numbers, out, script)
		}
	}
	t.Logf("seed %d: %d machines, %d claims of any size, %d of them wrong; %d of %d regular ones shown; %v", first, many, claims, wrong, shown, plain, verdicts)
	if shown < plain*9/10 {
		t.Errorf("only %d of %d regular machines are shown to work at any size", shown, plain)
	}
}
