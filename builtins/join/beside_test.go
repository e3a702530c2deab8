package join_test

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"pulsewright/builtins/stage"
	"pulsewright/engine"
)

// offset gives an offset of a frame as it lies on the bench, by the columns of its turn.
func offset(axes [3]engine.Cell, c engine.Cell) (o engine.Cell) {
	for i, n := range []int32{c.X, c.Y, c.Z} {
		o.X, o.Y, o.Z = o.X+n*axes[i].X, o.Y+n*axes[i].Y, o.Z+n*axes[i].Z
	}
	return o
}

// TestBesideByHand: designs by lot that are joined by beside, in all orientations, stand where hand arithmetic puts them and do the same, event
// for event; where beside refuses, the bench is as it was, and where the parts could not be placed by hand, it does refuse.
func TestBesideByHand(t *testing.T) {
	joined, refused, touching, apart := 0, 0, 0, 0
	for seed := range uint64(400) {
		r := rand.New(rand.NewPCG(seed, 12))
		cell := func(n int32) engine.Cell {
			return engine.Cell{X: r.Int32N(2*n+1) - n, Y: r.Int32N(2*n+1) - n, Z: r.Int32N(n+1) - n/2}
		}
		write := func(c engine.Cell) string { return fmt.Sprintf("(%d, %d, %d)", c.X, c.Y, c.Z) }
		dir := func() engine.Dir { return engine.Dir(r.IntN(6)) }
		var design strings.Builder
		into := cell(3)
		design.WriteString("def design(f):\n    print('built')\n    f.wire(" + write(into) + ", name='in')\n")
		seen := map[engine.Cell]bool{into: true}
		for range 2 + r.IntN(8) {
			c := cell(3)
			if !seen[c] {
				kind := []string{"wire(%s)", "lamp(%s)", "link(%s, %q)", "gate(%s, %q, 'or')", "delay(%s, %q, 2)"}[r.IntN(5)]
				args := []any{write(c)}
				if strings.Contains(kind, "%q") {
					args = append(args, dir().String())
				}
				fmt.Fprintf(&design, "    f."+kind+"\n", args...)
			}
			seen[c] = true
		}
		design.WriteString("    return f.ports(start=" + write(into) + ")\n")

		// The bench: a row that ends in the port, and something in the way.
		way, end := dir(), cell(9)
		back := way.Opposite().Cell()
		from := end.Add(back).Add(back)
		bench := fmt.Sprintf("quay = wire(%s, %s, name='quay')\n", write(from), write(end))
		for i := range r.IntN(80) {
			if at := end.Add(cell(3)); at != end && at != end.Add(back) && at != from && at != end.Add(way.Cell()) {
				bench += fmt.Sprintf("gate(%s, '+x', 'and', name='rock%d') if state(%[1]s).kind == 'cell' else None\n", write(at), i)
			}
		}
		port := end.Add(way.Cell())
		said := "quay.last"
		if r.IntN(4) == 0 { // a free cell is the place itself
			said = write(port)
		}
		x := dir()
		y := engine.Dir((int(x/2)+1+r.IntN(2))%3*2 + r.IntN(2))
		mirror := r.IntN(2) == 0
		p, q := x.Cell(), y.Cell()
		z := engine.Cell{X: p.Y*q.Z - p.Z*q.Y, Y: p.Z*q.X - p.X*q.Z, Z: p.X*q.Y - p.Y*q.X}
		lies := fmt.Sprintf("x=%q, y=%q, name='d'", x, y)
		if mirror {
			z, lies = engine.Cell{X: -z.X, Y: -z.Y, Z: -z.Z}, lies+", mirror=True"
		}
		at := port.Sub(offset([3]engine.Cell{p, q, z}, into))
		after := "design(f)\nfire(quay.first, 4)\nrun(20)\nlogged = [str(e) for e in events()]\n"

		hand := stage.New()
		byHand := hand.Do(design.String() + bench + fmt.Sprintf("f = frame(at=%s, %s)\n", write(at), lies) + after)
		s := stage.New()
		if msg := s.Do(design.String() + bench); msg != "" {
			t.Fatalf("seed %d: %s", seed, msg)
		}
		was, parts, said2 := s.Bench.Fingerprint(), s.Bench.Len(), s.Printed.String()
		msg := s.Do(fmt.Sprintf("f = beside(%s, design, 'start', %s)\n", said, lies))
		if touch := "they would touch elsewhere"; byHand == "" {
			// The quay, of the bench, was fed by hand; nothing here is longer than reach.
			if want := touches(hand.Bench, said == "quay.last"); want != strings.Contains(msg, touch) || !want && msg != "" {
				t.Fatalf("seed %d: %q, and that they touch is %v\n%s%s", seed, msg, want, bench, design.String())
			} else if want {
				touching++
				msg = s.Do(fmt.Sprintf("f = beside(%s, design, 'start', touch=True, %s)\n", said, lies))
			} else {
				apart++
			}
		}
		if s.Bench.Fingerprint() != was || s.Bench.Len() != parts || s.Bench.EventCount() != 0 || s.Printed.String() != said2 {
			t.Fatalf("seed %d: beside left something behind: %q", seed, s.Printed)
		}
		if msg != "" {
			refused++
			if byHand == "" || !strings.Contains(msg, "rock") && !strings.Contains(msg, "quay") {
				t.Fatalf("seed %d: %s\nby hand: %q", seed, msg, byHand)
			}
			continue
		}
		joined++
		if msg := s.Do(after); msg != "" || byHand != "" {
			t.Fatalf("seed %d: %q; by hand %q", seed, msg, byHand)
		}
		if a, b := s.Names["logged"].String(), hand.Names["logged"].String(); a != b || !strings.Contains(a, " live") || s.Bench.Fingerprint() != hand.Bench.Fingerprint() {
			t.Fatalf("seed %d:\n%s\nby hand\n%s", seed, a, b)
		}
	}
	if joined < 150 || refused < 50 || touching < 50 || apart < 30 {
		t.Errorf("%d joined, %d refused; %d touch elsewhere, %d do not", joined, refused, touching, apart)
	}
}

// touches reports whether parts of the frame d and others on a bench have to do with one another, in the words of the medium, but for the pair of
// ports; where the port is a free cell, but for what stands in it.
func touches(b *engine.Bench, parts bool) bool {
	p := plainly(b)
	in, _ := b.Lookup("d.in")
	quay, _ := b.Lookup("quay.2")
	does := func(a, o engine.Thing) bool {
		other := map[engine.ID]engine.ID{in: quay, quay: in}[a.ID] // who reads both ports, one of them from afar, reads one net
		if at, ok := b.CellOf(other); parts && other != 0 && ok && reads(o, a.Cell) && reads(o, at) && o.Kind != engine.Gate && !hears(o, a.Cell) {
			return false
		}
		gives := conducts(a) || p.feeds(a, o.Cell) > 0
		return conducts(o) && gives && beside(a.Cell, o.Cell) || gives && reads(o, a.Cell) || a.Kind != engine.Lamp && hears(o, a.Cell)
	}
	for _, a := range p.things {
		for _, o := range p.things {
			ours := strings.HasPrefix(b.Name(a.ID), "d.")
			meant := a.ID == in && (!parts || o.ID == quay)
			if ours && !strings.HasPrefix(b.Name(o.ID), "d.") && !meant && (does(a, o) || does(o, a)) {
				return true
			}
		}
	}
	return false
}

// TestBesidePairs: which two parts beside each other are joined; the first leads along +x.
func TestBesidePairs(t *testing.T) {
	for _, c := range []struct {
		port, into string
		fits       bool
	}{
		{`f.wire((0, 0))`, `f.wire((0, 0))`, true},
		{`f.battery((0, 0))`, `f.lamp((0, 0))`, true},
		{`f.battery((0, 0))`, `f.battery((0, 0))`, false},
		{`f.lamp((0, 0))`, `f.battery((0, 0))`, true}, // the design feeds the port
		{`f.lamp((0, 0))`, `f.lamp((0, 0))`, false},
		{`f.lamp((0, 0))`, `f.delay((0, 0), "-x")`, true},
		{`f.lamp((0, 0))`, `f.delay((0, 0), "+x")`, false},
		{`f.delay((0, 0), "+x")`, `f.wire((0, 0))`, true},
		{`f.delay((0, 0), "+y")`, `f.lamp((0, 0))`, false},
		{`f.delay((0, 0), "-x")`, `f.wire((0, 0))`, true}, // which reads it
		{`f.wire((0, 0))`, `f.delay((0, 0), "+x")`, true},
		{`f.wire((0, 0))`, `f.delay((0, 0), "+y")`, false},
		{`f.wire((0, 0))`, `f.meter((0, 0), "+x")`, false}, // it counts tokens
		{`f.wire((0, 0))`, `f.link((0, 0), "-x")`, false},
		{`f.wire((0, 0))`, `f.link((0, 0), "+y")`, true},
		{`f.wire((0, 0))`, `f.link((0, 0), "+y", pads=[(1, 0)])`, false},
		{`f.wire((0, 0))`, `f.reed((0, 0), "+y")`, true},
		{`f.reed((0, 0), "+y")`, `f.reed((0, 0), "+y")`, true},
		{`f.reed((0, 0), "+y")`, `f.reed((0, 0), "+z")`, false},
		{`f.reed((0, 0), "+y")`, `f.link((0, 0), "+y")`, true}, // it hears it
		{`f.reed((0, 0), "+y")`, `f.echo((0, 0), "+x")`, true},
		{`f.reed((0, 0), "+y")`, `f.echo((0, 0), "-x")`, true}, // which feeds it
		{`f.reed((0, 0), "+y")`, `f.echo((0, 0), "+y")`, false},
		{`f.reed((0, 0), "+y")`, `f.battery((0, 0))`, true},
		{`f.reed((0, 0), "-x")`, `f.battery((0, 0))`, true},
		{`f.reed((0, 0), "+x")`, `f.battery((0, 0))`, false}, // it does not read its front
		{`f.reed((0, 0), "+z")`, `f.tray((0, 0))`, true},
	} {
		for _, x := range []string{"+x", "-y", "+z"} {
			s := stage.New()
			msg := s.Do(fmt.Sprintf("def build(f): return f.ports(input=%s)\nf = frame(at=(3, 4, 5), x=%q)\ng = f.beside(%s, build, way=\"+x\")\nbuild(g)", c.into, x, c.port))
			if (msg == "") != c.fits || msg != "" && !strings.Contains(msg, "neither gives what the other takes; the ports of the design: input (") {
				t.Errorf("%s and %s, x=%s: %q", c.port, c.into, x, msg)
			}
		}
	}
}

// TestBesideSeats: a design has no room where a slug sits or comes to sit, nor where one of its own slugs would meet a part.
func TestBesideSeats(t *testing.T) {
	for _, c := range []struct{ bench, design, want string }{
		{`shuttle((3, 2), "-y", "plug")`, `f.lamp((2, 0))`, "lamp of the design would stand at (3, 0), a seat of shuttle at (3, 2)"},
		{`shuttle((3, 2), "-y", "plug")`, `f.jack((2, 0))`, ""},
		{`link((3, 2), "-y")`, `f.lamp((2, 0))`, ""},
		{`lamp((3, 0))`, `f.shuttle((2, 2), "-y", "feed", out=True)`, "(3, 0) would be a seat of shuttle of the design, and lamp at (3, 0) stands there"},
		{`jack((3, 0))`, `f.shuttle((2, 2), "-y", "plug")`, ""},
		{`lamp((3, 0))`, `f.shuttle((2, 2), "-y")`, ""},
		{`shuttle((5, 0), "-x", "plug")`, `f.shuttle((2, 2), "-y", "plug")`, "(3, 0) would be a seat of shuttle of the design, and is one of shuttle at (5, 0)"},
	} {
		s := stage.New()
		msg := s.Do("wire((0, 0), name='quay')\n" + c.bench + "\ndef build(f):\n    " + c.design + "\n    return f.ports(input=f.wire((0, 0)))\nf = beside('quay', build, way='+x', touch=True)\nbuild(f)")
		if c.want == "" && msg != "" || c.want != "" && !strings.Contains(msg, c.want+"; want room for all of it") {
			t.Errorf("%s, %s: %q, want %q", c.bench, c.design, msg, c.want)
		}
	}
}

// TestBesideTraceless: what building says, draws or changes on the way to the frame stays apart.
func TestBesideTraceless(t *testing.T) {
	s := stage.MustDo(t, `
k = wire((0, 0), name="quay")
def build(f):
    print("loud", rand(100))
    log(False)
    row = f.wire((0, 0), (1 + rand(5), 0), name="row")
    design("made", lambda f: None, lambda rig, n: None, lambda rig: 0, [1])
    nudge(row.first)
    run(3)
    return f.ports(input=row.first, output=row.last)
f = beside(k, build, way="+x", name="pier")
expect_equal((now().tick, designs(), len(events()), len(parts())), (0, [], 0, 1))
end = build(f).output.at
`)
	if got := strings.Count(s.Printed.String(), "loud"); got != 1 {
		t.Errorf("printed %d times: %s", got, s.Printed)
	}
	if s.Names["end"].String() == "None" || s.Bench.Len() < 3 {
		t.Error(s.Names["end"])
	}
}

// TestBesideTrials: a survey of a design that is joined by beside is the same, in every line, as of the one joined by hand: it is tried in as
// many orientations, and as much of it follows by symmetry.
func TestBesideTrials(t *testing.T) {
	survey := func(joint string) string {
		s := stage.MustDo(t, `
def stage(f):
    row = f.wire((0, 0), (2, 0))
    return f.ports(input=row.first, output=row.last)
def build(f):
    a = stage(f)
    g = `+joint+`
    b = stage(g)
    return struct(input=a.input, out=probe(b.output))
text = str(survey(design("two rows", build, lambda rig, n: fire(rig.input, n), lambda rig: rig.out.width, range(1, 4))))
`)
		return s.Names["text"].String()
	}
	want := survey(`f.frame(at=(3, 1), x="+y", mirror=True)`)
	if strings.Contains(want, "error") || len(want) < 200 {
		t.Fatal(want)
	}
	if got := survey(`f.beside(f.wire((3, 0)), stage, x="+y", mirror=True, way="+y", name="")`); got == want {
		t.Error("a wire more, and nothing is said of it")
	}
	if got, want := survey(`f.beside(a.output, stage, mirror=True)`), survey(`f.frame(at=(3, 0), mirror=True)`); got != want {
		t.Errorf("%s\nby hand\n%s", got, want)
	}
}

// TestBesideTouch: what touches elsewhere than at the ports is refused, by part and cell; with touch=True it is not.
func TestBesideTouch(t *testing.T) {
	for _, c := range []struct{ bench, design, want string }{
		{`wire((2, 1), name='near')`, `f.wire((1, 0))`, "wire of the design, at (2, 0), would join wire near at (2, 1)"},
		{`battery((2, 1), name='near')`, `f.wire((1, 0))`, "battery near at (2, 1) would feed wire of the design at (2, 0)"},
		{`wire((2, 1), name='near')`, `f.battery((1, 0))`, "battery of the design, at (2, 0), would feed wire near at (2, 1)"},
		{`link((2, 2), '+y', name='near')`, `f.wire((1, 0))`, "link near at (2, 2) would read wire of the design at (2, 0)"}, // by its far pad
		{`link((2, 3), '-y', pads=[(0, -3)], name='near')`, `f.wire((1, 0))`, "link near at (2, 3) would read wire of the design at (2, 0)"},
		{`wire((2, 2), name='near')`, `f.link((1, 0), '-y')`, "link of the design, at (2, 0), would read wire near at (2, 2)"},
		{`echo((2, 1), '+y', name='near')`, `f.key((1, 0))`, "echo near at (2, 1) would read key of the design at (2, 0)"},
		{`link((2, 1), '+y', name='near')`, `f.delay((1, 0), '-y')`, "delay of the design, at (2, 0), would hear link near at (2, 1)"},
		{`echo((2, 1), '+x', name='near')`, `f.wire((1, 0))`, ""},
		{`lamp((2, 1), name='near')`, `f.lamp((1, 0))`, ""},
		{`tray((2, 1), name='near')`, `f.meter((1, 0), '-y')`, "meter of the design, at (2, 0), would share tokens with tray near at (2, 1)"},
		{`bucket((2, 0, 1), '+y', name='near')`, `f.bucket((1, 0), '+x')`, "bucket near at (2, 0, 1) would share tokens with bucket of the design at (2, 0)"},
		{`wire((2, 3), name='near')`, `f.shuttle((1, 0), '+y', slug='bridge')`, "shuttle of the design, at (2, 0), would join wire near at (2, 3)"},
		{`slug((2, 1), 'feed')`, `f.wire((1, 0))`, "would feed wire of the design at (2, 0)"},
		{`link((1, 1), '+x', name='near')`, `pass`, "link near at (1, 1) would read wire in of the design at (1, 0)"}, // the port itself
		{`shuttle((2, 2), '-y', slug='plug', name='near')`, `f.jack((1, 0))`, "shuttle near at (2, 2) would open jack of the design at (2, 0)"},
	} {
		for _, touch := range []string{"", ", touch=True"} {
			s := stage.New()
			msg := s.Do("wire((0, 0), name='quay')\n" + c.bench + "\ndef build(f):\n    " + c.design + "\n    return f.ports(input=f.wire((0, 0), name='in'))\nf = beside('quay', build, way='+x'" + touch + ")\nbuild(f)")
			if refused := c.want != "" && touch == ""; refused && !strings.Contains(msg, c.want) || !refused && msg != "" {
				t.Errorf("%s, %s%s: %q, want %q", c.bench, c.design, touch, msg, c.want)
			}
		}
	}
}

// TestBesideReach: ports are not joined where a feed of one side would not reach all that the other adds.
func TestBesideReach(t *testing.T) {
	const row = "def build(f):\n    row = f.wire((0, 0), (%d, 0), name='row')\n    return f.ports(input=row.first, output=row.last)\n"
	for _, c := range []struct{ bench, design, port, want string }{
		{"key((-7, 0), name='far'); key((0, 1)); wire((-6, 0), (0, 0), name='quay')", fmt.Sprintf(row, 2), "'quay.6'", ""},
		{"key((-7, 0), name='far'); key((0, 1)); wire((-6, 0), (0, 0), name='quay')", fmt.Sprintf(row, 5), "'quay.6'", "power of key far at (-7, 0) would end 3 cells short of wire row.5 of the design, at (6, 0) (reach is 10)"},
		{"wire((-6, 0), (0, 0), name='quay')", fmt.Sprintf(row, 8), "'quay.6'", ""}, // nothing feeds it yet
		{"wire((-6, 0), (0, 0), name='quay')", fmt.Sprintf(row, 9), "'quay.6'", "power of wire quay.6 at (0, 0) would end 1 cell short of wire row.9 of the design, at (10, 0)"},
		{"battery((0, 0), name='quay')", fmt.Sprintf(row, 9), "'quay'", ""},
		{"battery((0, 0), name='quay')", fmt.Sprintf(row, 10), "'quay'", "power of battery quay at (0, 0) would end 1 cell short of wire row.10"},
		{"tray((-1, 0), room=3); meter((0, 0), '+x', name='quay')", fmt.Sprintf(row, 3), "'quay'", "power of meter quay at (0, 0) would end 1 cell short of wire row.3"},
		{"key((-11, 0), name='far'); wire((-10, 0), (0, 0), name='quay')", "def build(f): return f.ports(input=f.lamp((0, 0)))\n", "'quay.10'", "power of key far at (-11, 0) would end 1 cell short of wire quay.10 at (0, 0)"},
		{"key((-10, 0), name='far'); wire((-9, 0), (0, 0), name='quay')", "def build(f): return f.ports(input=f.lamp((0, 0)))\n", "'quay.9'", ""},
		{"wire((0, 0), (-9, 0), name='quay')", "def build(f): return f.ports(input=f.delay((0, 0), '-x', name='send'))\n", "'quay.0'", ""}, // the design feeds the port
		{"wire((0, 0), (-10, 0), name='quay')", "def build(f): return f.ports(input=f.delay((0, 0), '-x', name='send'))\n", "'quay.0'", "power of delay send of the design would end 1 cell short of wire quay.10 at (-10, 0)"},
		{"key((-7, 0), name='far'); wire((-6, 0), (0, 0), name='quay')", "def build(f):\n    f.wire((1, 0), (4, 0), name='row')\n    return f.ports(input=(0, 0))\n", "'quay.6'", "power of key far at (-7, 0) would end 1 cell short of wire row.3 of the design, at (4, 0)"},
		{"key((-7, 0), name='far'); wire((-6, 0), (0, 0), name='quay')", fmt.Sprintf(row, 3), "(1, 0)", "power of key far at (-7, 0) would end 1 cell short of wire row.3 of the design, at (4, 0)"},
	} {
		for _, touch := range []string{"", ", touch=True"} {
			s := stage.New()
			msg := s.Do("rules(reach=10)\n" + c.bench + "\n" + c.design + "f = beside(" + c.port + ", build, way='+x'" + touch + ")\nbuild(f)")
			if refused := c.want != "" && touch == ""; refused && !strings.Contains(msg, c.want) || !refused && msg != "" {
				t.Errorf("%s, %s%s: %q, want %q", c.bench, c.design, touch, msg, c.want)
			}
		}
	}
}

// TestBesideThreeDeep: a design in a frame beside one beside another is joined, or refused for the same parts, however the first frame is turned and
// mirrored.
func TestBesideThreeDeep(t *testing.T) {
	stage.MustDo(t, `
dirs = ["+x", "-x", "+y", "-y", "+z", "-z"]
def pier(n):
    def build(f):
        row = f.wire((0, 0), (n - 1, 0), name="row")
        f.link((2, 0, 3), "+z", name="ear")
        return f.ports(input=row.first, output=row.last)
    return build
hook = pier(5)
def deep(x, y, mirror):
    fresh()
    a = frame(at=(9, -4, 30), x=x, y=y, mirror=mirror, name="a")
    a.key((-1, 0), name="far")
    one = hook(a)
    b = a.beside(one.output, hook, x="+y", name="b")
    two = hook(b)
    c = b.beside(two.output, hook, x="+y", mirror=True, name="c")
    three = hook(c)
    touches = expect_error(lambda: c.beside(three.output, hook, x="-y", name="d"), "touch elsewhere than at the ports")
    expect(touches.find("wire a.b.c.d.row.4 of the design") >= 0 and touches.find("would join wire a.row.0 at") >= 0, touches)
    far = expect_error(lambda: c.beside(three.output, pier(10), x="+y", name="d"), "power of key a.far at")
    expect(far.find("would end 1 cell short of wire a.b.c.d.row.9 of the design") >= 0, far)
    d = c.beside(three.output, pier(9), x="+y", name="d")
    last = pier(9)(d).output
    press("a.far"); run(ticks=1)
    expect_equal((last.state, last.level), ("live", 1))
    return [a.local(p.at) for p in parts()]
want = deep("+x", "+y", False)
for x in dirs:
    for y in dirs:
        for mirror in [False, True]:
            if x[1] != y[1]:
                expect_equal(deep(x, y, mirror), want)
`)
}
