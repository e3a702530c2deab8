package engine_test

import (
	"context"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"pulsewright/engine"
)

// twins are built-in kinds told as kinds of one's own.
type twin struct {
	spec  *engine.Spec
	state func(engine.Part) int
	kind  engine.Kind
	mine  func(engine.Part) bool
}

func says(words ...string) []string { return words }

const rearCells = engine.BackCell | engine.SideCells

func anyLive(l engine.Look) bool {
	return l.Back || l.Front || l.FarBack || l.FarFront || l.Sides+l.Around+l.Cords > 0 || l.Forced
}

func tell(d engine.SpecDef, wants func(engine.Look) int) *engine.Spec {
	s, err := engine.NewSpec(d, func(l engine.Look) (int, error) { return wants(l), nil })
	if err != nil {
		panic(err)
	}
	return s
}

func when(on bool) int {
	if on {
		return 1
	}
	return 0
}

const hearsRear = engine.BackCell | engine.FrontCell | engine.SideCells

func twoStates(name string, words []string) engine.SpecDef {
	return engine.SpecDef{Name: name, Letter: 'K', Faces: true, States: words, Says: words, Pads: rearCells, Hears: hearsRear, When: []int{engine.NextStep, engine.NextStep},
		Then: make([]int, 2), Feeds: make([]engine.Feeds, 2), Conducts: make([]bool, 2), Active: []bool{false, true}}
}

func plainTwins() (ts []twin) {
	link := twoStates("link", says("home", "out"))
	link.Pads |= engine.FarBackCell
	ts = append(ts, twin{tell(link, func(l engine.Look) int { return when(anyLive(l)) }), func(p engine.Part) int { return when(p.Out) }, engine.Link,
		func(p engine.Part) bool { return p.Pads == nil && !p.FarSet }})
	lamp := twoStates("lamp", says("dark", "lit"))
	lamp.Faces, lamp.Pads, lamp.Hears, lamp.When, lamp.Tells = false, engine.AroundCells, engine.AroundCells, []int{0, 0}, engine.TellsNone
	ts = append(ts, twin{tell(lamp, func(l engine.Look) int { return when(anyLive(l)) }), func(p engine.Part) int { return when(p.On) }, engine.Lamp,
		func(p engine.Part) bool { return p.Pads == nil }})
	for _, ticks := range []int{1, 2, 3} {
		shot := engine.SpecDef{Name: "oneshot", Letter: 'O', Faces: true, States: says("ready", "on", "spent", "ready again"), Says: says("off", "on", "off", ""), Pads: engine.BackCell, Hears: hearsRear,
			When: make([]int, 4), Then: []int{0, ticks, 0, 0}, Feeds: []engine.Feeds{{}, {What: engine.FeedsFront}, {}, {}}, Conducts: make([]bool, 4), Active: []bool{false, true, false, false}}
		ts = append(ts, twin{tell(shot, func(l engine.Look) int {
			switch {
			case (l.State == 0 || l.State == 3) && anyLive(l):
				return 1
			case l.State == 1 && l.Told == engine.ByDue && anyLive(l):
				return 2
			case l.State == 1 && l.Told == engine.ByDue:
				return 0
			case l.State == 2 && !anyLive(l):
				return 3
			}
			return -1
		}), func(p engine.Part) int { return when(p.On) }, engine.Oneshot, func(p engine.Part) bool { return p.Pads == nil && max(p.Ticks, 1) == ticks }})
	}
	echo := engine.SpecDef{Name: "echo", Letter: 'E', Faces: true, States: says("off", "on"), Says: says("off", "on"), Pads: 0, Hears: engine.BackCell,
		When: []int{1, 1}, Then: []int{0, 1}, Feeds: []engine.Feeds{{}, {What: engine.FeedsFront}}, Conducts: make([]bool, 2), Active: []bool{false, true}}
	ts = append(ts, twin{tell(echo, func(l engine.Look) int {
		switch {
		case l.State == 0:
			return 1
		case l.Told == engine.ByDue:
			return 0
		}
		return -1
	}), func(p engine.Part) int { return when(p.On) }, engine.Echo, func(p engine.Part) bool { return p.Pads == nil }})
	for op := engine.Buf; op <= engine.Xnor; op++ {
		if op == engine.And || op == engine.Nand {
			continue // what counts as an input no kind of one's own can see
		}
		gate := twoStates("gate", says("off", "on"))
		gate.Feeds = []engine.Feeds{{}, {What: engine.FeedsFront}}
		ts = append(ts, twin{tell(gate, func(l engine.Look) int {
			n := l.Sides + l.Cords + when(l.Back)
			switch {
			case l.Forced:
				return 1
			case op == engine.Buf || op == engine.Or:
				return when(n > 0)
			case op == engine.Not || op == engine.Nor:
				return when(n == 0)
			case op == engine.Xor:
				return n % 2
			}
			return 1 - n%2
		}), func(p engine.Part) int { return when(p.On) }, engine.Gate, func(p engine.Part) bool { return p.Pads == nil && p.Op == op && p.Ticks == 0 }})
	}
	for _, ticks := range []int{1, 2, 3} {
		// Its timer is that of a state: on its way up or down. Due, it goes, and is on its way back if its input calls for that.
		front := engine.Feeds{What: engine.FeedsFront}
		delay := engine.SpecDef{Name: "delay", Letter: 'D', Faces: true, States: says("off", "up", "on", "down", "on and down", "off and up"),
			Says: says("off", "", "on", "", "on", "off"), Pads: engine.BackCell, Hears: hearsRear, When: make([]int, 6), Then: []int{0, ticks, 0, ticks, ticks, ticks},
			Feeds: []engine.Feeds{{}, {}, front, front, front, {}}, Conducts: make([]bool, 6), Active: []bool{false, false, true, true, true, false}}
		ts = append(ts, twin{tell(delay, func(l engine.Look) int {
			due, live := l.Told == engine.ByDue, anyLive(l)
			switch on := delay.Active[l.State]; {
			case l.State == 0 && live:
				return 1
			case l.State == 2 && !live:
				return 3
			case !due || l.State == 0 || l.State == 2:
				return -1
			case on && live:
				return 5
			case on:
				return 0
			case live:
				return 2
			}
			return 4
		}), func(p engine.Part) int { return 2 * when(p.On) }, engine.Delay,
			func(p engine.Part) bool { return p.Pads == nil && p.Mode == engine.Stretch && max(p.Ticks, 1) == ticks }})
	}
	return ts
}

// solo plays deeds on one bench. What asks for a part that is not there is left out.
type solo struct {
	b  *engine.Bench
	id map[int]engine.ID
}

func (p *solo) do(t testing.TB, d deed) (over bool) {
	b := p.b
	id := p.id[d.part]
	if d.part != 0 && d.do != doPlace && d.do != doShelve && id == 0 || d.to != 0 && p.id[d.to] == 0 {
		return false
	}
	target := engine.Target{Cell: d.cell}
	if id != 0 {
		target = engine.Target{ID: id}
	}
	tick := func(n int64) int64 {
		if n == 0 {
			return 0
		}
		return b.Now().Tick + n
	}
	ctx, budget := context.Background(), engine.Budget{Turns: 60, Ticks: 600}
	switch d.do {
	case doPlace:
		if n, err := b.Place(d.cell, d.spec); err == nil {
			p.id[d.part] = n
		}
	case doShelve:
		if n, err := b.Shelve(d.spec); err == nil {
			p.id[d.part] = n
		}
	case doRemove:
		if b.Remove(id) == nil {
			p.id[d.part] = 0
		}
	case doPatch:
		b.Patch(id, p.id[d.to], d.cord)
	case doUnpatch:
		b.Unpatch(id, p.id[d.to])
	case doFill:
		b.Fill(id, d.n)
	case doSlug:
		b.PutSlug(d.cell, d.spec.Slug)
	case doNumber:
		b.Number()
	case doRules:
		b.SetRules(d.rules)
	case doPress:
		b.Press(id, tick(d.at))
	case doRelease:
		b.Release(id, tick(d.at))
	case doFire:
		f := d.firing
		f.At = tick(d.at)
		b.Fire(target, f)
	case doNudge:
		b.Nudge(target, d.around, tick(d.at))
	case doTurns:
		for range d.n {
			if _, err := b.Turn(); err != nil {
				return true
			}
		}
	case doSteps:
		for range d.n {
			if _, err := b.Step(ctx, budget); err != nil {
				return true
			}
		}
	case doTicks:
		return b.RunTicks(ctx, int64(d.n), budget) != nil
	case doRun:
		return b.Run(ctx, budget) != nil
	}
	if err := b.Check(); err != nil {
		t.Fatal(err)
	}
	return false
}

// TestToldTwins: kinds of one's own that are told as built-in ones are do the same, event for event.
func TestToldTwins(t *testing.T) {
	twins := plainTwins()
	const benches = 10_000
	same := 0
	for seed := uint64(0); same < benches; seed++ {
		if seed > 2*benches {
			t.Fatalf("only %d benches had any", same)
		}
		r, deeds := randomBench(rand.New(rand.NewPCG(seed, 77)))
		a, z := &solo{b: engine.New(r), id: map[int]engine.ID{}}, &solo{b: engine.New(r), id: map[int]engine.ID{}}
		used, lamps := map[engine.Kind]int{}, map[int]bool{}
		rearmed := false // a oneshot was told dead while on: it rearms and goes off when it would have, which no table can say
		a.b.OnHearing(func(id engine.ID, calls bool) {
			rearmed = rearmed || !calls && a.b.KindOf(id) == engine.Oneshot && a.b.State(id).On
		})
		compared := false
		for i, d := range deeds {
			e := d
			if d.do == doPlace || d.do == doShelve {
				for _, tw := range twins {
					if d.spec.Kind == tw.kind && tw.mine(d.spec) {
						e.spec = engine.Part{Kind: engine.Told, Facing: d.spec.Facing, Spec: tw.spec, State: tw.state(d.spec)}
						if !tw.spec.Faces {
							e.spec.Facing = engine.PosX
						}
						used[tw.kind]++
						lamps[d.part] = tw.kind == engine.Lamp
					}
				}
			}
			if d.do == doPatch && d.cord.News && lamps[d.part] { // a lamp tells its cords alone
				break
			}
			if d.do >= doTurns && loops(a.b) {
				break
			}
			overA, overZ := a.do(t, d), z.do(t, e)
			if rearmed || overA && overZ {
				break
			}
			if err := sameLogs(a.b, z.b); err != nil {
				t.Fatalf("seed %d, deed %d: %v\n%s", seed, i, err, goBench(r, deeds[:i+1]))
			}
			compared = compared || a.b.EventCount() > 0
		}
		if len(used) > 0 && compared {
			same++
		}
	}
}

// TestToldOneshotRearms: where a oneshot and its twin part, told dead while on. Both go off when they would have; then the built-in one is ready, and the
// told one, which has no state to note it in but by a new timer, is not.
func TestToldOneshotRearms(t *testing.T) {
	for _, c := range []struct {
		dies bool // its input, while it is on, for a step
		kind engine.Kind
		want string
	}{{false, engine.Oneshot, "on 1, off 4"}, {false, engine.Told, "on 1, off 4"}, {true, engine.Oneshot, "on 1, off 4, on 6, off 9"}, {true, engine.Told, "on 1, off 4"}} {
		b := engine.New(engine.DefaultRules())
		key := must(b.Place(engine.Cell{}, engine.Part{Kind: engine.Key}))
		p := engine.Part{Kind: c.kind, Facing: engine.PosX, Ticks: 3}
		for _, tw := range plainTwins() {
			if c.kind == engine.Told && tw.mine(engine.Part{Kind: engine.Oneshot, Ticks: 3}) && tw.kind == engine.Oneshot {
				p.Spec = tw.spec
			}
		}
		shot := must(b.Place(engine.Cell{X: 1}, p))
		check(b.Press(key, 1))
		if c.dies {
			check(b.Release(key, 2))
			check(b.Press(key, 3))
		}
		check(b.Nudge(engine.Target{ID: shot}, false, 6))
		check(b.RunTicks(t.Context(), 12, engine.Budget{}))
		var did []string
		for _, e := range b.Events(1) {
			if e.ID == shot && e.What != engine.Nudged {
				did = append(did, fmt.Sprint(b.Word(e), " ", e.Tick))
			}
		}
		if got := strings.Join(did, ", "); got != c.want {
			t.Errorf("%v, its input dies: %v: %s, want %s", c.kind, c.dies, got, c.want)
		}
	}
}

// loops reports whether what some delay or oneshot feeds leads back to it by conductors and cords alone: then its own edge changes what it reads at once,
// and the built-in one looks after that, before anybody hears, which no table can say.
func loops(b *engine.Bench) bool {
	cords := b.Cords()
	for id := range b.Parts() {
		if k := b.KindOf(id); k != engine.Delay && k != engine.Oneshot {
			continue
		}
		seen := map[engine.ID]bool{}
		var queue []engine.ID
		reach := func(at engine.ID) {
			if !seen[at] {
				seen[at] = true
				queue = append(queue, at)
			}
		}
		beside := func(at engine.ID, dirs ...engine.Dir) {
			c, onLattice := b.CellOf(at)
			for _, d := range dirs {
				if n, ok := b.IDAt(c.Add(d.Cell())); ok && onLattice {
					reach(n)
				}
			}
		}
		follow := func(at engine.ID) {
			for _, c := range cords {
				if c.From == at && c.Power {
					reach(c.To)
				}
			}
		}
		beside(id, b.Thing(id).Facing)
		follow(id)
		for len(queue) > 0 {
			at := queue[0]
			queue = queue[1:]
			if at == id {
				return true
			}
			if b.TraitOf(at).Conducts || b.KindOf(at) == engine.Bare {
				if c, onLattice := b.CellOf(at); onLattice && slices.Contains(b.PadCells(id), c) {
					return true
				}
				beside(at, engine.PosX, engine.NegX, engine.PosY, engine.NegY, engine.PosZ, engine.NegZ)
				follow(at)
			}
		}
	}
	return false
}

func sameLogs(a, z *engine.Bench) error {
	for id := engine.EventID(1); int(id) <= max(a.EventCount(), z.EventCount()); id++ {
		one, other := "none", "none"
		if int(id) <= a.EventCount() {
			e := a.Event(id)
			one = fmt.Sprint(e.Tick, e.Step, e.Turn, e.ID, e.Cause, " ", a.Word(e))
		}
		if int(id) <= z.EventCount() {
			e := z.Event(id)
			other = fmt.Sprint(e.Tick, e.Step, e.Turn, e.ID, e.Cause, " ", z.Word(e))
		}
		if one != other {
			return fmt.Errorf("event %d: built-in %s, told %s", id, one, other)
		}
	}
	return nil
}

// TestRandomKindsOfEachSort: among the kinds that random benches are made of are those that the hot loop treats shortly, and others.
func TestRandomKindsOfEachSort(t *testing.T) {
	count := map[string]int{}
	for n := range 400 {
		k := randomKind(n)
		if k.Combinations() > 1<<11 {
			continue
		}
		s := k.spec()
		count[fmt.Sprint("mute ", s.Mute(), ", lazy ", s.Lazy(), ", as a link ", s.Truth() != 0)]++
	}
	for _, mute := range []bool{false, true} {
		for _, lazy := range []bool{false, true} {
			if sort := fmt.Sprint("mute ", mute, ", lazy ", lazy, ", as a link false"); count[sort] < 3 {
				t.Errorf("%d kinds are %s: %v", count[sort], sort, count)
			}
		}
	}
}
