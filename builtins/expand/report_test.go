package expand

import (
	"pulsewright/builtins"
	"pulsewright/builtins/stage"

	"strings"
	"testing"
)

// gateRow is a row of gates, with what the rig holds more, and what is placed more.
const gateRow = `
def row_with(more, place=lambda f, size: None):
    def build(f, size):
        for k in range(size):
            f.gate((2 * k, 0), "+x", "buf", pads=[(-1, 0, 0)])
            f.wire((2 * k + 1, 0))
        place(f, size)
        return struct(into=f.cell((-1, 0)), out=probe(f.part((2 * size - 1, 0))), more=more(size))
    return build

def send(rig, n):
    fire(rig.into, n)

def read(rig):
    return rig.out.width

def tried(build, send=send, read=read, upto=64, pitch=(2, 0, 0)):
    return expandable(design("row", build, send, read, [2, 3], pitch=pitch), upto=upto)
`

// TestExpandableRigValues: values that the rig holds are compared over all sizes that were built, and with the one far out, not between
// neighbours only.
func TestExpandableRigValues(t *testing.T) {
	s := stage.New()
	stage.MustSession(t, s, gateRow+`
def large(rig, n):
    more = rig.more
    big = more if type(more) in ["bool", "NoneType"] else more.v if type(more) == "struct" else more[0]
    fire(rig.into, n + 1 if n == 3 and big else n)

for more in [lambda size: size > 20, lambda size: struct(v=size > 20), lambda size: (size > 20,), lambda size: [size > 20],
             lambda size: size > 100, lambda size: True if size > 20 else None, lambda size: size == 40]:
    r = tried(row_with(more), large)
    expect(r.verdict != "any size", str(r))
    expect("not the same at every size" in r.why, str(r))
def has(rig, n):
    fire(rig.into, n + 1 if hasattr(rig.more, "v") else n)
r = tried(row_with(lambda size: struct(v=1) if size > 20 else struct()), has)
expect_equal(r.why, "send or read goes by .more.v of the rig, which is not the same at every size")
r = tried(row_with(lambda size: struct() if size > 20 else struct(v=1)), lambda rig, n: fire(rig.into, n if hasattr(rig.more, "v") else n + 1))
expect_equal(r.why, "send or read goes by .more.v of the rig, which is not the same at every size")

# What nobody looks at, and what comes again with each period, shows nothing against it.
expect_equal(tried(row_with(lambda size: size)).verdict, "any size")
def lamps(f, size):
    for k in range(1, size, 2):
        f.battery((2 * k, 3))
def odd(rig, n):
    fire(rig.into, n if rig.more in [0, 1] else n + 1)
r = tried(row_with(lambda size: size % 2, lamps), odd)
expect_equal((r.verdict, r.period), ("any size", 2))
`)
}

// TestExpandableHolds: how much a rig holds, where that lies and what it is called is named with the claim; all else in it that goes by the
// size, however it is held, is not looked at or nothing is claimed.
func TestExpandableHolds(t *testing.T) {
	s := stage.New()
	stage.MustSession(t, s, gateRow+`
def cells(size):
    return [(2 * k, 0) for k in range(size)]
def looking(rig):
    return rig.out.width if rig.more != 77 else None

r = tried(row_with(cells), read=looking)
expect_equal(r.verdict, "any size")
expect("do the same at every size, however much .more holds, wherever parts stand" in r.assumes, r.assumes)
r = tried(row_with(lambda size: [(2 * k, 0) for k in range(3)]), read=looking)
expect("do the same at every size, wherever parts stand and whatever they are called;" in r.assumes, r.assumes)
r = tried(row_with(lambda size: (2 * size, 0)), read=looking)
expect("do the same at every size, wherever .more lies, wherever parts stand" in r.assumes, r.assumes)

for more in [lambda size: (size, 0), lambda size: frame((0, 30 + size)), lambda size: {"a": {"b": size}}.get, lambda size: {"a": {"b": (size, 0)}},
             lambda size: lambda x=size: x, lambda size: (1, 1) if size > 40 else struct(), lambda size: sorted if size > 40 else len,
             lambda size: [1] * size, lambda size: [frame((0, size))]]:
    r = tried(row_with(more), read=looking)
    expect_equal(r.verdict, "tested", str(r))
    expect("not the same at every size" in r.why, str(r))

r = tried(row_with(lambda size: struct(**{"s%d" % size: 1})), read=lambda rig: rig.out.width if "s77" not in dir(rig.more) else None)
expect_equal(r.verdict, "tested", str(r))

# One that cannot be built far out works at no size that cannot be built.
r = tried(row_with(lambda size: frame(name="q" * size)), read=looking)
expect_equal(r.verdict, "tested")
expect("it cannot be built at any size: size 512: frame:" in r.why, r.why)
`)
}

// TestExpandableSays holds sentences of the report to what is so.
func TestExpandableSays(t *testing.T) {
	s := stage.New()
	stage.MustSession(t, s, gateRow)
	for name, c := range map[string]struct{ script, want, not string }{
		"read ends in an error": {`tried(row_with(lambda size: 0), read=lambda rig: [0, 1, 2][rig.out.width])`,
			"verdict    fails at size 1: for number 3 read ended in an error (list index 3 out of range [-3:2])\n", "is read as"},
		"the size that fails was run": {`tried(row_with(lambda size: 0), read=lambda rig: None)`,
			"fails at size 1: number 2 is read as None\nbreaks     neither reach nor run: with more of either it fails as well\nran        size 1; 3 trials", ""},
		"those before it, too": {`tried(row_with(lambda size: 0, lambda f, size: remove(f.part((12, 0))) if size > 6 else None))`,
			"ran        all sizes from 1 to 6, and 7;", ""},
		"a slice counts from the frame": {`tried(row_with(lambda size: 0, lambda f, size: (f.wire((-9, 0), (-3, 0)), remove(f.part((8, 0))) if size > 6 else None)))`,
			"first      slice 5, from cell (8, 0) on, is the first that is not made as it is in a machine one smaller\n", ""},
		"a slice that the smaller one has not": {`tried(row_with(lambda size: 0, lambda f, size: (f.wire((-9, 0), (-3, 0)), remove(f.part((12, 0))) if size > 6 else None)))`,
			"fails at size 7", "\nfirst "},
		"one size breaks the row": {`tried(row_with(lambda size: 0, lambda f, size: f.battery((0, 5)) if size > 48 else None), upto=50)`,
			"as built, size 49 is not size 48 with 1 slice more, made like those before; from size 3 up to there it was so", ""},
		"a far one breaks it": {`tried(row_with(lambda size: 0, lambda f, size: f.battery((0, 5)) if size > 100 else None))`,
			"built larger, its slices do not go on as they do up to size 64: those of size 512 are not made so", "size 64 is not size 63"},
	} {
		stage.MustSession(t, s, "r = "+c.script)
		r := s.Names["r"].(*builtins.Report).String()
		if !strings.Contains(r, c.want) {
			t.Errorf("%s: %q is not in\n%s", name, c.want, r)
		}
		if c.not != "" && strings.Contains(r, c.not) {
			t.Errorf("%s: %q is in\n%s", name, c.not, r)
		}
	}
}

// TestExpandableMixedOrders: where each cell has an order of its own, no slice is like another, and nothing is shown.
func TestExpandableMixedOrders(t *testing.T) {
	s := stage.New()
	stage.MustSession(t, s, gateRow+`
expect_equal(tried(row_with(lambda size: None)).verdict, "any size")
rules(order="mixed 5")
r = tried(row_with(lambda size: None), upto=9)
expect_equal((r.verdict, r.tested), ("tested", 9))
expect_equal(r.why, "each cell has a neighbour order of its own, so that no slice is told as another is")
`)
}

// TestExpandableOneOrder: what is shown under one order is said of orders that are the same in all cells, and is false of others: here every slice has a latch,
// whose first input is the same in all slices then.
func TestExpandableOneOrder(t *testing.T) {
	s := stage.New()
	stage.MustSession(t, s, `
def build(f, size):
    latches, ins = [], []
    for k in range(size):
        latches.append(f.gate((2 * k, 0), "+z", "latch"))
        f.wire((2 * k, -1))
        ins.append(f.wire((2 * k, 1)))
    return struct(latches=latches, ins=ins, seen=probe(ins[0]))
def send(rig, n):
    for w in rig.ins:
        fire(w, n)
def read(rig):
    return rig.seen.width if len(set([p.state for p in rig.latches])) == 1 else 0
d = design("latches", build, send, read, [2, 3], pitch=(2, 0, 0))
one = expandable(d)
rules(order="mixed 5")
r = expandable(d)
expect_equal((one.verdict, r.verdict), ("any size", "fails"))
expect(r.fails < 12)
`)
	if r := s.Names["one"].(*builtins.Report).String(); !strings.Contains(r, "the rules are those in force, the neighbour order the same in all cells") {
		t.Error(r)
	}
}
