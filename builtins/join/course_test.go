package join_test

import (
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
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
	alone      bool // nothing but the row has to do with the ends
	low, up    engine.Cell
	sort       [2]string
}

// told is a kind of a script's own that is on while anything it reads is live; it may feed at any level, conduct, and hear only some cells.
func told(r *rand.Rand, conducts bool, feeds engine.Feeds) *engine.Spec {
	all := engine.Groups(engine.BackCell | engine.FrontCell | engine.SideCells | engine.FarBackCell | engine.FarFrontCell)
	d := engine.SpecDef{Name: "sensor", Letter: 's', Faces: true, States: []string{"off", "on"}, When: []int{r.IntN(4) - 1, r.IntN(4) - 1},
		Then: make([]int, 2), Feeds: []engine.Feeds{{}, feeds}, Conducts: []bool{false, conducts}, Says: []string{"off", "on"}, Active: []bool{false, true},
		Pads: engine.Groups(r.IntN(32)) & all, Hears: engine.Groups(r.IntN(8)) & all}
	if feeds.What != engine.FeedsFront && r.IntN(3) == 0 {
		d.Faces, d.Pads, d.Hears = false, engine.AroundCells, engine.AroundCells*engine.Groups(r.IntN(2))
	}
	s, err := engine.NewSpec(d, func(l engine.Look) (int, error) {
		return builtins.BoolInt(l.Back || l.Front || l.FarBack || l.FarFront || l.Forced || l.Sides+l.Around+l.Cords > 0), nil
	})
	if err != nil {
		panic(err)
	}
	return s
}

func anyTold(r *rand.Rand) *engine.Spec {
	return told(r, r.IntN(3) == 0, []engine.Feeds{{}, {What: engine.FeedsAround}, {What: engine.FeedsFront}, {What: engine.FeedsFront, Level: 1 + r.IntN(8)}}[r.IntN(4)])
}

// randomCourse places obstacles by lot, and two ends.
func randomCourse(r *rand.Rand) *course {
	c := &course{scene: stage.New()}
	rules := engine.DefaultRules()
	rules.Reach = []int{6, 10, 16, 24, 60}[r.IntN(5)]
	var b *engine.Bench
	switch r.IntN(4) {
	case 0:
		b = stage.PosedBench(r, rules)
	case 1:
		b = corridors(r, rules)
	default:
		b = thicket(r, rules, r.IntN(2) == 0)
	}
	c.scene.Bench = b
	c.bound(r)
	strew(r, b, c.cell)
	if !c.place(r) {
		return nil
	}
	if b.RunTicks(context.Background(), 1, engine.Budget{Turns: 20_000}) != nil {
		return nil // one of those that never come to an end
	}
	return c
}

// thicket is thick with parts of all kinds; in a flat one, lids above and below keep the way in the plane.
func thicket(r *rand.Rand, rules engine.Rules, flat bool) *engine.Bench {
	b := engine.New(rules)
	size := engine.Cell{X: 6 + r.Int32N(12), Y: 6 + r.Int32N(12), Z: 1}
	if !flat {
		size = engine.Cell{X: 4 + r.Int32N(6), Y: 4 + r.Int32N(6), Z: 2 + r.Int32N(4)}
	}
	kinds := append(engine.Kinds(), engine.Told)
	var ids []engine.ID
	for range int(size.X*size.Y*size.Z) / (4 + r.IntN(16)) {
		at := engine.Cell{X: r.Int32N(size.X), Y: r.Int32N(size.Y), Z: r.Int32N(size.Z)}
		p := engine.Part{Kind: kinds[r.IntN(len(kinds))], Facing: engine.Dir(r.IntN(6)), Slug: engine.Slug(r.IntN(4)), Out: r.IntN(2) == 0}
		switch {
		case flat && r.IntN(3) > 0:
			p.Kind = engine.Wire
		case p.Kind == engine.Told:
			if p.Spec = anyTold(r); !p.Spec.Faces {
				p.Facing = 0
			}
		case p.Kind == engine.Shuttle && r.IntN(3) == 0:
			p.Slug, p.Grip = engine.NoSlug, engine.Grip(1+r.IntN(2))
		}
		if id, err := b.Place(at, p); err == nil {
			ids = append(ids, id)
		}
	}
	for range r.IntN(4) {
		b.Patch(ids[r.IntN(len(ids))], ids[r.IntN(len(ids))], engine.Cord{Power: r.IntN(4) > 0, News: r.IntN(4) > 0})
	}
	for x := int32(-2); flat && x < size.X+2; x++ {
		for y := int32(-2); y < size.Y+2; y++ {
			for _, z := range []int32{-2, 2} {
				b.Place(engine.Cell{X: x, Y: y, Z: z}, engine.Part{Kind: engine.Battery})
			}
		}
	}
	return b
}

// corridors is a block of loose plugs, which only take up room, with ways of width one in it.
func corridors(r *rand.Rand, rules engine.Rules) *engine.Bench {
	b := engine.New(rules)
	free := map[engine.Cell]bool{}
	for range 1 + r.IntN(3) {
		at := engine.Cell{X: 1 + r.Int32N(9), Y: 1 + r.Int32N(9)}
		for range 3 + r.IntN(12) {
			d := round[r.IntN(4)]
			for range 1 + r.IntN(4) {
				free[at] = true
				if n := sum(at, d); n.X > 0 && n.X < 10 && n.Y > 0 && n.Y < 10 {
					at = n
				}
			}
		}
	}
	for x := range int32(11) {
		for y := range int32(11) {
			for z := range int32(3) {
				if at := (engine.Cell{X: x, Y: y, Z: z - 1}); !free[at] {
					b.PutSlug(at, engine.Plug)
				}
			}
		}
	}
	return b
}

// bound finds the box in which the ends come to lie.
func (c *course) bound(r *rand.Rand) {
	first := true
	for _, ids := range []func(func(engine.ID) bool){c.scene.Bench.Parts(), c.scene.Bench.BareCells()} {
		for id := range ids {
			at, on := c.scene.Bench.CellOf(id)
			if !on {
				continue
			}
			if first {
				c.low, c.up, first = at, at, false
			}
			c.low = engine.Cell{X: min(c.low.X, at.X), Y: min(c.low.Y, at.Y), Z: min(c.low.Z, at.Z)}
			c.up = engine.Cell{X: max(c.up.X, at.X), Y: max(c.up.Y, at.Y), Z: max(c.up.Z, at.Z)}
		}
	}
	one := engine.Cell{X: 1, Y: 1}
	c.low, c.up = c.low.Sub(one), sum(c.up, one)
}

// cell is one where an end or an obstacle may come to lie; benches with parts far apart are left at one end.
func (c *course) cell(r *rand.Rand) engine.Cell {
	d := c.up.Sub(c.low)
	return sum(c.low, engine.Cell{X: r.Int32N(min(d.X, 30) + 1), Y: r.Int32N(min(d.Y, 30) + 1), Z: r.Int32N(min(d.Z, 30) + 1)})
}

// strew puts loose slugs about and forces some cells.
func strew(r *rand.Rand, b *engine.Bench, cell func(*rand.Rand) engine.Cell) {
	for range r.IntN(5) {
		b.PutSlug(cell(r), engine.Slug(1+r.IntN(3)))
	}
	for n := r.IntN(4) - 1; n > 0; n-- {
		at := cell(r)
		if id, ok := b.PartAt(at); ok {
			b.Fire(engine.Target{ID: id}, engine.Firing{Ticks: 40})
		} else {
			b.Fire(engine.Target{Cell: at}, engine.Firing{Ticks: 40})
		}
	}
}

// place draws both ends: a new part with nothing about it, one that stands there, or a free cell, near or far.
func (c *course) place(r *rand.Rand) bool {
	b := c.scene.Bench
	c.alone = true
	for i, kinds := range [][]engine.Kind{
		{engine.Wire, engine.Wire, engine.Jack, engine.Battery, engine.Key, engine.Tray, engine.Delay, engine.Oneshot, engine.Echo, engine.Gate, engine.Meter, engine.Told, engine.Told},
		{engine.Lamp, engine.Lamp, engine.Wire, engine.Jack, engine.Link, engine.Reed, engine.Shuttle, engine.Bucket, engine.Chute, engine.Delay, engine.Oneshot, engine.Echo, engine.Gate, engine.Told},
	} {
		id, at, sort := engine.ID(0), engine.Cell{}, ""
		switch r.IntN(8) {
		case 0:
			for range 20 {
				if at = c.cell(r); r.IntN(12) == 0 {
					at.X += 1 << r.IntN(20)
				}
				if _, taken := b.PartAt(at); !taken {
					break
				}
			}
			sort = "free cell"
		case 1, 2:
			var all []engine.ID
			for p := range b.Parts() {
				if _, on := b.CellOf(p); on && (i == 0 || p != c.start) {
					all = append(all, p)
				}
			}
			if len(all) == 0 {
				return false
			}
			id = all[r.IntN(len(all))]
			at, _ = b.CellOf(id)
			sort = "standing " + b.KindOf(id).String()
			c.alone = false
		default:
			p := engine.Part{Kind: kinds[r.IntN(len(kinds))], Facing: engine.Dir(r.IntN(6))}
			switch p.Kind {
			case engine.Tray:
				p.Room, p.Tokens = 1+r.IntN(4), 1
			case engine.Gate:
				p.Op = engine.Op(r.IntN(len(engine.Ops())))
			case engine.Told:
				if p.Spec = anyTold(r); !p.Spec.Faces {
					p.Facing = 0
				}
			}
			around := plainly(b)
			for range 300 {
				if at = c.cell(r); !around.clear(at) || i == 1 && at == c.from {
					continue
				}
				if got, err := b.Place(at, p); err == nil {
					id = got
					break
				}
			}
			if id == 0 {
				return false
			}
			if p.Kind == engine.Meter && r.IntN(3) > 0 {
				room := 1 + r.IntN(9)
				b.Place(back(b.Thing(id)), engine.Part{Kind: engine.Tray, Room: room, Tokens: room})
				c.alone = false
			}
			sort = p.Kind.String()
		}
		c.sort[i] = sort
		if i == 0 {
			c.start, c.from = id, at
		} else {
			c.end, c.to = id, at
		}
	}
	return true
}

// script lays the row.
func (c *course) script() string {
	end := func(id engine.ID, at engine.Cell) string { return fmt.Sprintf("(%d, %d, %d)", at.X, at.Y, at.Z) }
	return fmt.Sprintf("row = lay(%s, %s, name=\"way\")", end(c.start, c.from), end(c.end, c.to))
}

// fired fires the start and gives what happens in the ticks after, but for the cells left out.
func (c *course) fired(t *testing.T, without map[engine.Cell]bool) (lines []string, ok bool) {
	t.Helper()
	b := c.scene.Bench
	from := b.EventCount()
	target := engine.Target{ID: c.start, Cell: c.from}
	if err := b.Fire(target, engine.Firing{Steps: 3, Ticks: r3(c.from)}); err != nil {
		t.Fatal(err)
	}
	b.Nudge(target, false, 0)
	if err := b.RunTicks(context.Background(), 8, engine.Budget{Turns: 20_000}); err != nil {
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
			lines = append(lines, fmt.Sprintf("%d.%d %v %d %s", e.Tick, e.Step, e.What, e.Arg, who)) // turns are shared with the row's end
		}
	}
	return lines, true
}

// r3 is 0 or 6 ticks, by the cell.
func r3(c engine.Cell) int { return 6 * int((c.X+c.Y)&1) }

// laidSorts are the ends that rows must have been laid between, each some times.
var laidSorts = [2]string{"wire jack battery key tray delay oneshot echo gate meter kind", "lamp wire jack link reed shuttle bucket chute delay oneshot echo gate kind"}

// TestLayCourses: on courses by lot a row is laid whenever a plain search over the cells that plainly are clear finds a way, as short as that, and
// on such cells alone; what is said of one that is not laid is so; all of the net at its end is live when its beginning is; and firing the
// start changes nothing but the row and its ends.
func TestLayCourses(t *testing.T) {
	courses := uint64(600)
	if n, err := strconv.Atoi(os.Getenv("PULSEWRIGHT_COURSES")); err == nil {
		courses = uint64(n)
	}
	count := map[string]int{}
	for seed := range courses {
		r := rand.New(rand.NewPCG(seed, 7))
		if c := randomCourse(r); c != nil {
			c.check(t, seed, count)
		}
		if t.Failed() {
			return
		}
	}
	for i, sorts := range laidSorts {
		for _, sort := range append(strings.Fields(sorts), "free cell") {
			if n := count[fmt.Sprint(i, sort)]; n < 2 {
				t.Errorf("only %d rows have a %s at end %d", n, sort, i)
			}
		}
	}
	for what, least := range map[string]int{"laid": 150, "none": 40, "long": 60, "closed": 25, "unfit": 60, "compared": 100, "live": 30} {
		if count[what] < least {
			t.Errorf("%s: %d, want at least %d", what, count[what], least)
		}
	}
	t.Log(count)
}

// check lays the row of one course and holds it against the plain search.
func (c *course) check(t *testing.T, seed uint64, count map[string]int) {
	b := c.scene.Bench
	p := plainly(b)
	p.start, p.end, p.from, p.to = c.start, c.end, c.from, c.to
	posed, was := b.Snapshot(), b.Fingerprint()
	without := map[engine.Cell]bool{c.from: true, c.to: true}
	before, quiet := c.fired(t, without)
	b.Restore(posed)
	msg := c.scene.Do(c.script())
	bad := func(format string, args ...any) {
		t.Helper()
		t.Errorf("seed %d, from a %s to a %s, %s: %s", seed, c.sort[0], c.sort[1], c.script(), fmt.Sprintf(format, args...))
	}
	if msg != "" {
		if b.Fingerprint() != was {
			bad("what failed left something behind")
		}
		count[c.refused(p, msg, bad)]++
		return
	}
	count["laid"]++
	count["0"+c.sort[0]]++
	count["1"+c.sort[1]]++
	row := c.scene.Names["row"].(*builtins.Row)
	var cells []engine.Cell
	for i := range row.Len() {
		at, _ := b.CellOf(row.Index(i).(builtins.Part).ID)
		cells = append(cells, at)
		without[at] = true
	}
	last := len(cells) - 1
	if want := p.length(p.most(), c.inside(cells...)); want != len(cells) {
		bad("%d cells are laid, a plain search finds a way of %d: %v", len(cells), want, cells)
		return
	}
	if !p.begins(cells[0]) || !p.ends(cells[last]) {
		bad("%v does not join the ends", cells)
	}
	for i, at := range cells {
		if !p.clear(at) || i > 0 && !beside(at, cells[i-1]) {
			bad("%v: %v is not clear, or not beside the one before", cells, at)
		}
	}
	now, still := c.fired(t, without)
	if !c.alone {
		return
	}
	if quiet != still || !slices.Equal(before, now) {
		bad("with the row, which ends: %v\n%s\nwithout, which ends: %v\n%s", still, strings.Join(now, "\n"), quiet, strings.Join(before, "\n"))
	}
	count["compared"] += builtins.BoolInt(quiet)
	both := b.KindOf(c.start) == engine.Told && b.TraitOf(c.start).Conducts && b.TraitOf(c.start).Feeds != engine.FeedsNothing // it can give less than its most
	if first, _ := b.IDAt(cells[0]); b.State(first).On && !both {
		count["live"]++
		if at, _ := b.IDAt(cells[last]); b.State(at).Level < 1 || b.TraitOf(c.end).Conducts && b.KindOf(c.end) != engine.Told && b.State(c.end).Level < 1 {
			bad("the row is live, and not at its end: %v", cells)
		}
	}
}

// inside is the box beyond which no way need go: that of all that is there, and two cells more.
func (c *course) inside(more ...engine.Cell) func(engine.Cell) bool {
	low, up := c.low, c.up
	for _, at := range append(more, c.from, c.to) {
		low = engine.Cell{X: min(low.X, at.X), Y: min(low.Y, at.Y), Z: min(low.Z, at.Z)}
		up = engine.Cell{X: max(up.X, at.X), Y: max(up.Y, at.Y), Z: max(up.Z, at.Z)}
	}
	return func(at engine.Cell) bool {
		return at.X >= low.X-4 && at.X <= up.X+4 && at.Y >= low.Y-4 && at.Y <= up.Y+4 && at.Z >= low.Z-4 && at.Z <= up.Z+4
	}
}

// refused checks what is said of a row that is not laid, and gives of what sort that is.
func (c *course) refused(p *plain, msg string, bad func(string, ...any)) string {
	b := c.scene.Bench
	opens := func(can func(engine.Cell) bool, of engine.Cell) bool {
		return slices.ContainsFunc(round, func(d engine.Cell) bool { return can(sum(of, d)) })
	}
	switch {
	case c.start != 0 && c.start == c.end:
		return "same"
	case c.start != 0 && !opens(p.begins, c.from), c.end != 0 && !opens(p.ends, c.to):
		if !strings.Contains(msg, "which feeds no wire") && !strings.Contains(msg, "which reads no wire beside it") {
			bad("%s", msg)
		}
		return "unfit"
	case c.start == 0 && !p.clear(c.from), c.end == 0 && !p.clear(c.to):
		far := steps(c.to.Sub(c.from)) > p.most() // what stands so far off is not looked at
		if !strings.Contains(msg, "no way can begin or end at") && !(far && strings.Contains(msg, "too far")) {
			bad("%s", msg)
		}
		return "closed"
	case c.start != 0 && c.end != 0 && beside(c.from, c.to) && p.begins(c.to) && p.ends(c.from):
		if !strings.Contains(msg, "stand side by side already") {
			bad("%s", msg)
		}
		return "beside"
	}
	inside := c.inside()
	if n := p.length(p.most(), inside); n > 0 {
		bad("%s; but there is a way of %d", msg, n)
	}
	size := c.up.Sub(c.low)
	if size.X > 60 || size.Y > 60 || steps(c.to.Sub(c.from)) > 100 {
		return "far"
	}
	n := p.length(1<<20, inside)
	var said int
	switch none := strings.Contains(msg, "there is no way"); {
	case none && n > 0 && (!strings.Contains(msg, "within reach") || n <= b.Rules().Reach):
		bad("%s; but there is a way of %d", msg, n)
	case none:
		return "none"
	case strings.Contains(msg, "is too far from"):
		if n > 0 && n <= p.most() {
			bad("%s", msg)
		}
		return "long"
	case strings.Contains(msg, "that stays clear"):
		if _, after, limited := strings.Cut(msg, "and within "); limited {
			var within int
			fmt.Sscan(after, &within)
			n = p.length(1<<20, func(at engine.Cell) bool { return inside(at) && steps(at.Sub(c.from)) <= within })
		}
		_, after, _ := strings.Cut(msg, " takes ")
		if fmt.Sscan(after, &said); said != n {
			bad("%s; the shortest takes %d", msg, n)
		}
		return "long"
	}
	bad("%s", msg)
	return ""
}

// steps is how many cells, one beside the other, lead so far.
func steps(off engine.Cell) (n int) {
	for _, x := range []int32{off.X, off.Y, off.Z} {
		n += int(max(x, -x))
	}
	return n
}
