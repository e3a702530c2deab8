package picture

import (
	"cmp"
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"pulsewright/builtins"
	"pulsewright/builtins/stage"
	"pulsewright/engine"

	gocmp "github.com/google/go-cmp/cmp"
	"go.starlark.net/starlark"
)

// numbered gives the parts of a bench numbers that are the same on two benches of the same parts: those on the lattice by their
// cells, then those of the shelf in the order in which they were placed.
func numbered(b *engine.Bench) map[engine.ID]int {
	ids := slices.Collect(b.Parts())
	key := func(id engine.ID) engine.Cell { c, _ := b.CellOf(id); return c }
	slices.SortFunc(ids, func(x, y engine.ID) int {
		_, onX := b.CellOf(x)
		_, onY := b.CellOf(y)
		p, q := key(x), key(y)
		switch {
		case onX != onY:
			return map[bool]int{true: -1, false: 1}[onX]
		case !onX:
			return int(x) - int(y)
		}
		return cmp.Or(cmp.Compare(p.Z, q.Z), cmp.Compare(p.Y, q.Y), cmp.Compare(p.X, q.X))
	})
	of := map[engine.ID]int{}
	for i, id := range ids {
		of[id] = i
	}
	return of
}

// describe writes all that can be known of a bench by looking at its parts and cords.
func describe(b *engine.Bench) []string {
	of := numbered(b)
	lines := make([]string, len(of))
	for id, i := range of {
		t := b.Thing(id)
		if t.ID = 0; t.Shelf || !t.Kind.Trait().Faces {
			t.Facing = 0
		}
		lines[i] = fmt.Sprintf("%v: %+v | %+v | pads nil: %v", t.Cell, t, b.State(id), t.Pads == nil)
	}
	for _, c := range b.Cords() {
		lines = append(lines, fmt.Sprintf("cord %d to %d %+v", of[c.From], of[c.To], c.Cord))
	}
	return strings.Split(strings.Join(lines, "\n"), "\n")
}

// story runs a bench under some stimuli and writes what happens.
func story(b *engine.Bench, r *rand.Rand) string {
	of := numbered(b)
	ids := make([]engine.ID, len(of))
	for id, i := range of {
		ids[i] = id
	}
	for range 10 {
		now := b.Now().Tick
		for range 2 {
			id := ids[r.IntN(len(ids))]
			switch at := now + 1 + r.Int64N(2); r.IntN(3) {
			case 0:
				b.Press(id, at)
			case 1:
				b.Nudge(engine.Target{ID: id}, false, at)
			default:
				b.Fire(engine.Target{ID: id}, engine.Firing{At: at, Steps: 1 + r.IntN(3)})
			}
		}
		b.RunTicks(context.Background(), 3, engine.Budget{Turns: 60})
	}
	var s strings.Builder
	for n, e := range b.Events(0) {
		if n > 3000 {
			break
		}
		part := -1
		if i, ok := of[e.ID]; ok {
			part = i
		}
		cell, _ := b.CellOf(e.ID)
		fmt.Fprintln(&s, e.Tick, e.Step, e.Turn, part, cell, e.What, e.Arg)
	}
	return s.String()
}

// posedScene is a scene with a random bench, some parts of which frames have named by themselves.
func posedScene(t *testing.T, seed uint64) (*stage.Scene, *rand.Rand) {
	r := rand.New(rand.NewPCG(seed, 12))
	rules := engine.DefaultRules()
	rules.Reach, rules.Travel = 1+r.IntN(30), 1+r.IntN(3)
	s := stage.New()
	s.Bench = stage.PosedBench(r, rules)
	s.ASCII, s.Width = r.IntN(2) == 0, []int{80, 30, 200}[r.IntN(3)]
	for i := range r.IntN(3) {
		f := aFrame(r)
		fn := fmt.Sprintf("f = frame(at=(%d, %d, %d), x=%q, y=%q, mirror=%s, name=\"r%d\")\n", f.At.X, f.At.Y, f.At.Z, f.Axes[0], f.Axes[1], map[bool]string{true: "True", false: "False"}[f.Mirror], i)
		for range 2 + r.IntN(5) {
			s.Do(fn + fmt.Sprintf("f.%s((%d, %d, %d))", []string{"lamp", "wire", "key"}[r.IntN(3)], r.IntN(4), r.IntN(4), r.IntN(2))) // if the cell is free
		}
	}
	return s, r
}

// aFrame is a frame that lies somehow.
func aFrame(r *rand.Rand) *builtins.Frame {
	x, y := engine.Dir(r.IntN(6)), engine.Dir(r.IntN(6))
	for x/2 == y/2 {
		y = engine.Dir(r.IntN(6))
	}
	f := &builtins.Frame{At: engine.Cell{X: r.Int32N(60) - 30, Y: r.Int32N(60) - 30, Z: r.Int32N(5)}, Mirror: r.IntN(2) == 0}
	f.Axes = [3]engine.Dir{x, y, builtins.Cross(x, y)}
	if f.Mirror {
		f.Axes[2] = f.Axes[2].Opposite()
	}
	return f
}

// withoutNumbers is a map without the numbers of parts on the shelf, which count what was removed, too.
func withoutNumbers(text string) string {
	return regexp.MustCompile(`([a-z]) #\d*[}⋯]?`).ReplaceAllString(strings.Join(strings.Fields(text), " "), "$1")
}

// benches is how many random benches a test tries.
func benches(usual int) uint64 {
	if n, err := strconv.Atoi(os.Getenv("PULSEWRIGHT_BENCHES")); err == nil {
		return uint64(n)
	}
	return uint64(usual)
}

// TestSketchOfMap: a sketch of a map is the same bench, part for part, pose for pose, cords too; it does the same, and its map is the same.
func TestSketchOfMap(t *testing.T) {
	for seed := range benches(150) {
		s, r := posedScene(t, seed)
		text, err := MapText(s.Env)
		if err != nil {
			t.Fatal(err)
		}
		again := stage.New()
		again.Bench = engine.New(s.Bench.Rules())
		again.ASCII, again.Width = s.ASCII, s.Width
		again.Names["text"] = starlark.String(text)
		if msg := again.Do("s = sketch(text)"); msg != "" {
			t.Fatalf("seed %d: %s\n%s", seed, msg, text)
		}
		if diff := gocmp.Diff(describe(s.Bench), describe(again.Bench)); diff != "" {
			t.Fatalf("seed %d (-want +got)\n%s\n%s", seed, text, diff)
		}
		got, _ := MapText(again.Env)
		if diff := gocmp.Diff(withoutNumbers(text), withoutNumbers(got)); diff != "" {
			t.Fatalf("seed %d: the map is drawn otherwise (-want +got)\n%s", seed, diff)
		}
		if s.Bench.Len() == 0 {
			continue
		}
		stimuli := r.Uint64()
		if diff := gocmp.Diff(story(s.Bench, rand.New(rand.NewPCG(stimuli, 1))), story(again.Bench, rand.New(rand.NewPCG(stimuli, 1)))); diff != "" {
			t.Fatalf("seed %d runs otherwise (-want +got)\n%s\n%s", seed, text, diff)
		}
	}
}

// ownKinds tells kinds of a script's own: two of one letter, one of several states with timers, one that conducts and has no facing.
const ownKinds = `
def follows(state, live, told):
    return "out" if live.back or live.sides or live.cords or live.forced else "home"
slider = kind("slider", ["home", "out"], follows, letter="i")
silo = kind("silo", ["home", "half", "out"], follows, when="now", then={"half": 2}, feeds={"out": "front", "half": ("front", 3)}, active=["home", "out"], letter="i")
def counts(state, live, told):
    if told == "due":
        return {"one": "two", "two": "on", "on": "off"}.get(state)
    return "one" if state == "off" and live.around else None
clock = kind("clock", ["off", "one", "two", "on"], counts, facing=False, then={"one": 1, "two": 1, "on": 2}, feeds={"on": "around"}, active=["on"], says={"one": None}, letter="y")
def cuts(state, live, told):
    return "cut" if live.around > 1 else "whole"
fuse = kind("fuse", ["whole", "cut"], cuts, facing=False, conducts=["whole"], active=["whole", "cut"], letter="z")
`

// ownScene is a scene with a random bench that holds parts of such kinds, some with cords.
func ownScene(t *testing.T, seed uint64) (*stage.Scene, *rand.Rand) {
	s, r := posedScene(t, seed)
	if msg := s.Do(ownKinds); msg != "" {
		t.Fatal(msg)
	}
	states := map[string][]string{"slider": {"home", "out"}, "silo": {"home", "half", "out"}, "clock": {"off", "one", "two", "on"}, "fuse": {"whole", "cut"}}
	names := []string{"slider", "silo", "clock", "fuse"}
	if r.IntN(3) == 0 {
		names = []string{names[r.IntN(4)]}
	}
	for i := range 3 + r.IntN(8) {
		k := names[r.IntN(len(names))]
		facing := ""
		if k == "slider" || k == "silo" {
			facing = fmt.Sprintf(", facing=%q", engine.Dir(r.IntN(6)))
		}
		name := ""
		if r.IntN(3) == 0 {
			name = fmt.Sprintf(", name=\"n%d\"", i)
		}
		where := fmt.Sprintf("at=(%d, %d, %d)", r.IntN(8), r.IntN(5), r.IntN(2))
		if r.IntN(6) == 0 {
			where, facing = "", ""
		}
		word := k
		if where != "" && name == "" && r.IntN(3) == 0 {
			f := aFrame(r)
			word = fmt.Sprintf("frame(at=(%d, %d, %d), x=%q, y=%q, mirror=%s, name=\"o%d\").put", f.At.X, f.At.Y, f.At.Z, f.Axes[0], f.Axes[1], map[bool]string{true: "True", false: "False"}[f.Mirror], r.IntN(3))
			where = k + ", " + where
		}
		s.Do(strings.ReplaceAll(fmt.Sprintf("part = %s(%s%s, state=%q%s)", word, where, facing, states[k][r.IntN(len(states[k]))], name), "(, ", "(")) // if the cell is free
		if r.IntN(3) == 0 {
			s.Do("patch(part, parts(\"lamp\")[0])")
			s.Do("patch(parts(\"key\")[0], part)")
		}
	}
	return s, r
}

// TestSketchOfOwnKinds: what holds of built-in kinds holds of a script's own: a sketch of a map is the same bench, that does the same.
func TestSketchOfOwnKinds(t *testing.T) {
	own := 0
	for seed := range benches(80) {
		s, r := ownScene(t, 5000+seed)
		own += len(s.Bench.Specs())
		again := stage.New()
		again.Bench = engine.New(s.Bench.Rules())
		again.ASCII, again.Width = s.ASCII, s.Width
		if msg := s.Do("m = map()\nkinds = [slider, silo, clock, fuse]"); msg != "" {
			t.Fatal(msg)
		}
		again.Names["m"], again.Names["kinds"] = s.Names["m"], s.Names["kinds"]
		text, err := MapText(s.Env)
		if err != nil {
			t.Fatal(err)
		}
		again.Names["text"] = starlark.String(text)
		call := "sketch(m)"
		if len(s.Bench.Specs()) == 4 && seed%2 == 0 {
			call = "sketch(text, kinds=kinds)"
		}
		if msg := again.Do(call); msg != "" {
			t.Fatalf("seed %d: %s\n%s", seed, msg, text)
		}
		if diff := gocmp.Diff(describe(s.Bench), describe(again.Bench)); diff != "" {
			t.Fatalf("seed %d (-want +got)\n%s\n%s", seed, text, diff)
		}
		got, _ := MapText(again.Env)
		if diff := gocmp.Diff(withoutNumbers(text), withoutNumbers(got)); diff != "" {
			t.Fatalf("seed %d: the map is drawn otherwise (-want +got)\n%s", seed, diff)
		}
		stimuli := r.Uint64()
		if diff := gocmp.Diff(story(s.Bench, rand.New(rand.NewPCG(stimuli, 1))), story(again.Bench, rand.New(rand.NewPCG(stimuli, 1)))); diff != "" {
			t.Fatalf("seed %d runs otherwise (-want +got)\n%s\n%s", seed, text, diff)
		}
	}
	if own < 80 {
		t.Errorf("only %d kinds of a script's own on all benches", own)
	}
}

// TestSketchInFrames: in a frame a sketch places what the placing words place there.
func TestSketchInFrames(t *testing.T) {
	for seed := range benches(100) {
		s, r := posedScene(t, 1000+seed)
		text, err := MapText(s.Env)
		if err != nil {
			t.Fatal(err)
		}
		f := aFrame(r)
		want := engine.New(s.Bench.Rules())
		turned := map[engine.ID]engine.ID{}
		for _, shelf := range []bool{false, true} {
			for id := range s.Bench.Parts() {
				th, st := s.Bench.Thing(id), s.Bench.State(id)
				if th.Shelf != shelf {
					continue
				}
				p := th.Part
				p.On, p.Out, p.Tokens, p.Level = st.On, st.On, st.Tokens, 0
				if p.Kind == engine.Meter {
					p.Level = st.Level
				}
				if p.Name != "" {
					p.Name = "q." + p.Name
				} else if !shelf {
					c := strings.ReplaceAll(th.Cell.String(), " ", "")
					p.Name = "q." + p.Kind.String() + c
				}
				if p.FarSet && p.Kind == engine.Bucket && p.Far == engine.NegZ || p.FarSet && p.Kind != engine.Bucket && p.Far == p.Facing.Opposite() {
					p.FarSet = false
				}
				p.Facing, p.Far = f.Dir(p.Facing), f.Dir(p.Far)
				for i := range p.Pads {
					p.Pads[i] = f.Cell(p.Pads[i]).Sub(f.At)
				}
				var err error
				if shelf {
					p.Facing = th.Facing
					turned[id], err = want.Shelve(p)
				} else {
					turned[id], err = want.Place(f.Cell(th.Cell), p)
				}
				if err != nil {
					t.Fatal(err)
				}
			}
		}
		for _, c := range s.Bench.Cords() {
			if err := want.Patch(turned[c.From], turned[c.To], c.Cord); err != nil {
				t.Fatal(err)
			}
		}
		again := stage.New()
		again.Bench = engine.New(s.Bench.Rules())
		again.Names["text"] = starlark.String(text)
		if msg := again.Do(fmt.Sprintf("s = frame(at=(%d, %d, %d), x=%q, y=%q, mirror=%s, name=\"q\").sketch(text)", f.At.X, f.At.Y, f.At.Z, f.Axes[0], f.Axes[1], map[bool]string{true: "True", false: "False"}[f.Mirror])); msg != "" {
			t.Fatalf("seed %d: %s\n%s", seed, msg, text)
		}
		if diff := gocmp.Diff(describe(want), describe(again.Bench)); diff != "" {
			t.Fatalf("seed %d (-want +got)\n%s\n%s", seed, text, diff)
		}
	}
}

// TestSketchOfLooseSlugs: loose slugs, in empty cells and in jacks, and shuttles with a grip come back from a map as they were.
func TestSketchOfLooseSlugs(t *testing.T) {
	stage.MustDo(t, `
shuttle((0, 0), "+x", grip="both", letgo=True, travel=3)
shuttle((0, 3), "+x", grip="push")
shuttle((4, 3), "-x", slug="plug")
shuttle((8, 0), "+y")
slug((1, 0), "feed")
jack((5, 0))
slug((5, 0), "plug")
slug((8, 1), "bridge")
m = str(map())
for sign in ["[f]", "[jp", "[b]", "(p)", "[f] a loose feed sits here"]:
    expect(sign in m, m)
fresh()
f = frame(at=(20, 0), x="+y")
f.sketch(m)
fresh()
sketch(m)
expect_equal(str(map()), m)
slug((1, 0), None)
expect_error(lambda: sketch("[f]\n", at=(5, 0)), "cell (5, 0) is taken by a loose plug; a loose slug goes into an empty cell or a jack")
`)
}
