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
	joined, refused := 0, 0
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
	if joined < 150 || refused < 50 {
		t.Errorf("%d joined, %d refused", joined, refused)
	}
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
		msg := s.Do("wire((0, 0), name='quay')\n" + c.bench + "\ndef build(f):\n    " + c.design + "\n    return f.ports(input=f.wire((0, 0)))\nf = beside('quay', build, way='+x')\nbuild(f)")
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
