package join_test

import (
	"context"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"pulsewright/builtins"
	"pulsewright/builtins/stage"
	"pulsewright/engine"
)

// A course is a bench full of obstacles with two ends between which a row is to be laid.
type course struct {
	scene      *stage.Scene
	start, end engine.ID
	from, to   engine.Cell
}

// randomCourse places obstacles by lot, and two ends with nothing beside them that would take part.
func randomCourse(t *testing.T, r *rand.Rand, flat bool) *course {
	t.Helper()
	s := stage.New()
	rules := engine.DefaultRules()
	rules.Reach = []int{6, 10, 16, 24}[r.IntN(4)]
	b := stage.PosedBench(r, rules)
	if r.IntN(2) == 0 { // and one that is thick with wires, links and shuttles
		b = engine.New(rules)
		size := engine.Cell{X: 6 + r.Int32N(12), Y: 6 + r.Int32N(12), Z: 1}
		if !flat {
			size = engine.Cell{X: 4 + r.Int32N(6), Y: 4 + r.Int32N(6), Z: 2 + r.Int32N(4)}
		}
		kinds := engine.Kinds()
		for range int(size.X*size.Y*size.Z) / (4 + r.IntN(16)) {
			at := engine.Cell{X: r.Int32N(size.X), Y: r.Int32N(size.Y), Z: r.Int32N(size.Z)}
			p := engine.Part{Kind: kinds[r.IntN(len(kinds))], Facing: engine.Dir(r.IntN(6)), Slug: engine.Slug(r.IntN(4)), Out: r.IntN(2) == 0}
			if flat && r.IntN(3) > 0 { // lids above and below keep the way in the plane
				p.Kind = engine.Wire
			}
			b.Place(at, p)
		}
		if flat {
			for x := range size.X + 4 {
				for y := range size.Y + 4 {
					for _, z := range []int32{-2, 2} {
						b.Place(engine.Cell{X: x - 2, Y: y - 2, Z: z}, engine.Part{Kind: engine.Battery})
					}
				}
			}
		}
	}
	s.Bench = b
	var low, up engine.Cell
	for i, at := range partsAt(b) {
		if i == 0 {
			low, up = at, at
		}
		low = engine.Cell{X: min(low.X, at.X), Y: min(low.Y, at.Y), Z: min(low.Z, at.Z)}
		up = engine.Cell{X: max(up.X, at.X), Y: max(up.Y, at.Y), Z: max(up.Z, at.Z)}
	}
	if up.X > low.X+30 { // a bench with parts far apart
		up.X = low.X + 30
	}
	c := &course{scene: s}
	place := func(p engine.Part) (engine.ID, engine.Cell) {
		for range 500 {
			at := engine.Cell{X: low.X - 1 + r.Int32N(up.X-low.X+3), Y: low.Y - 1 + r.Int32N(min(up.Y-low.Y, 30)+3), Z: low.Z + r.Int32N(up.Z-low.Z+1)}
			if !clear(obstacles(b), at, 0, 0) {
				continue
			}
			if id, err := b.Place(at, p); err == nil {
				return id, at
			}
		}
		return 0, engine.Cell{}
	}
	ends := []engine.Kind{engine.Lamp, engine.Wire, engine.Lamp}
	c.start, c.from = place(engine.Part{Kind: engine.Wire, Name: "start"})
	c.end, c.to = place(engine.Part{Kind: ends[r.IntN(3)], Name: "end"})
	if c.start == 0 || c.end == 0 {
		return nil
	}
	return c
}

func partsAt(b *engine.Bench) (cells []engine.Cell) {
	for id := range b.Parts() {
		if at, ok := b.CellOf(id); ok {
			cells = append(cells, at)
		}
	}
	return cells
}

// obstacle is a part with what matters of it to a wire nearby.
type obstacle struct {
	engine.Thing
	pads []engine.Cell
}

func obstacles(b *engine.Bench) (all []obstacle) {
	for id := range b.Parts() {
		if t := b.Thing(id); !t.Shelf {
			all = append(all, obstacle{t, b.PadCells(id)})
		}
	}
	return all
}

// clear reports whether a wire at c touches nothing but the two ends: each part is asked in turn, in the words of the medium.
func clear(all []obstacle, c engine.Cell, start, end engine.ID) bool {
	beside := func(a engine.Cell) bool {
		d := c.Sub(a)
		return d.X*d.X+d.Y*d.Y+d.Z*d.Z == 1
	}
	for _, p := range all {
		front, back := p.Cell.Add(p.Facing.Cell()), p.Cell.Sub(p.Facing.Cell())
		second := front.Add(p.Facing.Cell())
		if p.Cell == c || p.ID != end && slices.Contains(p.pads, c) {
			return false // there is no room, or it reads a wire there
		}
		if p.Kind == engine.Shuttle && (p.Slug != engine.NoSlug || p.Grip != engine.NoGrip) && (c == front || c == second || p.Slug != engine.Plug && (beside(front) || beside(second))) {
			return false // a slug needs the room, or feeds or joins a wire there
		}
		mine := false
		switch p.Kind {
		case engine.Wire, engine.Jack:
			mine = beside(p.Cell) && p.ID != start && p.ID != end
		case engine.Battery, engine.Key, engine.Tray:
			mine = beside(p.Cell)
		case engine.Echo:
			mine = c == front || c == back
		default: // all others hear it, and some feed their front
			mine = beside(p.Cell) && p.ID != end
		}
		if mine {
			return false
		}
	}
	return true
}

// plain is the length of the shortest way over clear cells by a breadth-first search as one writes it down, 0 if there is none of at most so many.
func (c *course) plain(most int) int {
	all := obstacles(c.scene.Bench)
	steps := []engine.Cell{{X: 1}, {X: -1}, {Y: 1}, {Y: -1}, {Z: 1}, {Z: -1}}
	seen := map[engine.Cell]bool{}
	now := []engine.Cell{c.from}
	for n := 1; n <= most; n++ {
		var next []engine.Cell
		for _, at := range now {
			for _, step := range steps {
				to := at.Add(step)
				if seen[to] || !clear(all, to, c.start, c.end) {
					continue
				}
				seen[to] = true
				next = append(next, to)
				if d := to.Sub(c.to); d.X*d.X+d.Y*d.Y+d.Z*d.Z == 1 {
					return n
				}
			}
		}
		now = next
	}
	return 0
}

// fired fires the start and gives what happens in the ticks after, but for the cells left out.
func (c *course) fired(t *testing.T, without map[engine.Cell]bool) (lines []string, ok bool) {
	t.Helper()
	b := c.scene.Bench
	from := b.EventCount()
	if err := b.Fire(engine.Target{ID: c.start}, engine.Firing{Steps: 3}); err != nil {
		t.Fatal(err)
	}
	if err := b.RunTicks(context.Background(), 6, engine.Budget{Turns: 20_000}); err != nil {
		return nil, false // one of those that never come to an end
	}
	for i := from; i < b.EventCount(); i++ {
		e := b.Event(engine.EventID(i + 1))
		at, onLattice := b.CellOf(e.ID)
		who := at.String()
		if !onLattice {
			who = fmt.Sprint(e.ID)
		}
		if !onLattice || !without[at] {
			lines = append(lines, fmt.Sprintf("%v %v %d %s", e.At(), e.What, e.Arg, who))
		}
	}
	return lines, true
}

// TestLayCourses: on courses by lot a row is laid whenever a plain search finds a way, as short as that; it lies on clear cells, and
// firing the start then changes nothing but the row and its end.
func TestLayCourses(t *testing.T) {
	laid, refused, compared := 0, 0, 0
	for seed := range uint64(300) {
		r := rand.New(rand.NewPCG(seed, 7))
		c := randomCourse(t, r, seed%2 == 0)
		if c == nil {
			continue
		}
		b := c.scene.Bench
		ends := 1
		if b.KindOf(c.end) == engine.Wire {
			ends = 2
		}
		if d := c.to.Sub(c.from); d.X*d.X+d.Y*d.Y+d.Z*d.Z == 1 {
			continue
		}
		want := c.plain(b.Rules().Reach - ends)
		posed := b.Snapshot()
		without := map[engine.Cell]bool{c.to: true}
		before, ok := c.fired(t, without)
		b.Restore(posed)
		was := b.Fingerprint()
		msg := c.scene.Do(`row = lay("start", "end", name="way")`)
		switch {
		case msg != "" && want > 0:
			t.Fatalf("seed %d: %s; but there is a way of %d cells", seed, msg, want)
		case msg == "" && want == 0:
			t.Fatalf("seed %d: %v is laid, and there is no way", seed, c.scene.Names["row"])
		case msg != "":
			refused++
			if b.Fingerprint() != was {
				t.Fatalf("seed %d: what failed left something behind", seed)
			}
			if !strings.Contains(msg, "in the way: ") && !strings.Contains(msg, "a repeater carries on") {
				t.Fatalf("seed %d: %s", seed, msg)
			}
			continue
		}
		laid++
		row := c.scene.Names["row"].(*builtins.Row)
		if row.Len() != want {
			t.Fatalf("seed %d: %d cells are laid, and there is a way of %d", seed, row.Len(), want)
		}
		var cells []engine.Cell
		for i := range row.Len() {
			at, _ := b.CellOf(row.Index(i).(builtins.Part).ID)
			cells = append(cells, at)
			without[at] = true
		}
		now, ok2 := c.fired(t, without)
		if !b.State(c.end).On {
			lit := false
			for i := range b.EventCount() {
				lit = lit || b.Event(engine.EventID(i+1)).ID == c.end
			}
			if !lit && ok2 {
				t.Fatalf("seed %d: nothing comes to the end of %v", seed, cells)
			}
		}
		if ok != ok2 {
			t.Fatalf("seed %d: with the row it ends: %v, without %v", seed, ok2, ok)
		}
		if ok {
			compared++
			if !slices.Equal(before, now) {
				t.Fatalf("seed %d: with the row\n%s\nwithout\n%s", seed, strings.Join(now, "\n"), strings.Join(before, "\n"))
			}
		}
	}
	if laid < 100 || refused < 20 || compared < 80 {
		t.Errorf("%d laid, %d refused, %d compared", laid, refused, compared)
	}
	t.Logf("%d laid, %d refused, %d compared", laid, refused, compared)
}

// TestLayClear: what a row stays clear of, one by one, and what it may pass; each bench has one part between the ends.
func TestLayClear(t *testing.T) {
	for _, c := range []struct{ script, cells string }{
		{`key((0, 0))`, "(1, 0) (2, 0) (3, 0) (4, 0) (5, 0)"},
		{`key((0, 0)); shuttle((3, 3), "-y", slug="plug")`, "(1, 0) (2, 0) (3, 0) (4, 0) (5, 0)"},
		{`key((0, 0)); shuttle((3, 2), "-y", slug="plug")`, ""},                   //  its far seat lies in the straight row
		{`key((0, 0)); link((3, 2), "+y")`, ""},                                   // its far pad
		{`key((0, 0)); echo((3, 1), "+x")`, "(1, 0) (2, 0) (3, 0) (4, 0) (5, 0)"}, // hears behind only
		{`key((0, 0)); delay((3, 1), "+x")`, ""},                                  // hears
		{`delay((0, 0), "+x")`, "(1, 0) (2, 0) (3, 0) (4, 0) (5, 0)"},             // feeds its front only
	} {
		s := stage.MustDo(t, c.script+"; lamp((6, 0), name=\"l\"); row = lay((0, 0), \"l\"); straight = [x for x in row.cells] == [(x, 0) for x in range(1, 6)]")
		if got, want := s.Names["straight"].String() == "True", strings.HasPrefix(c.cells, "(1, 0) (2"); got != want {
			t.Errorf("%s: straight is %v: %v", c.script, got, s.Names["row"])
		}
	}
}

// TestLayTurns: a row laid through a frame turns and mirrors with it.
func TestLayTurns(t *testing.T) {
	stage.MustDo(t, `
dirs = ["+x", "-x", "+y", "-y", "+z", "-z"]
def cells(f):
    f.wire((0, 0), name="in")
    f.battery((3, 0)); f.link((5, 2), "+y"); f.shuttle((2, 4, 1), "-y", slug="feed")
    return [f.local(c) for c in f.lay("in", f.lamp((7, 5, 2)), name="way").cells]
want = cells(frame(name="a"))
expect(len(want) > 12)
expect_equal(len(parts("wire")), 1 + len(want))
for x in dirs:
    for y in dirs:
        if x[1] != y[1]:
            for mirror in [False, True]:
                fresh()
                expect_equal(cells(frame(at=(9, -4, 30), x=x, y=y, mirror=mirror, name="a")), want)
`)
}

// TestLayNames: unnamed wires are called by their kind, as if wire had placed them.
func TestLayNames(t *testing.T) {
	stage.MustDo(t, `
f = frame(at=(5, 5), name="quay")
row = f.lay(f.wire((0, 0), name="in"), f.lamp((4, 0)))
expect_equal([p.name for p in row], ["quay.wire(%d,0)" % x for x in [1, 2, 3]])
expect_equal([p.name for p in f.lay("in", f.lamp((0, 5)), name="up")], ["quay.up.%d" % i for i in range(4)])
`)
}
