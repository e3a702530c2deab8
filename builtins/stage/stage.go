// Package stage is a scene for scripts, and for benches at random, in tests; the command does not hold it. It may use builtins,
// scripts and the engine.
package stage

import (
	"bytes"
	"context"
	"flag"
	"fmt"
	"math/rand/v2"
	"os"
	"path"
	"path/filepath"
	"pulsewright/builtins"
	"pulsewright/engine"
	"pulsewright/scripts"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
	"go.starlark.net/starlark"
	"go.starlark.net/syntax"
)

var Update = flag.Bool("update", false, "rewrite the golden files")

// Options are the dialect the language uses.
var Options = &syntax.FileOptions{Set: true, While: true, TopLevelControl: true, GlobalReassign: true, Recursion: true}

// Host is a session that only remembers what it was asked.
type Host struct{ Asked []string }

func (h *Host) Undo() (string, error) { h.Asked = append(h.Asked, "undo"); return "undone: it", nil }

func (h *Host) Redo() (string, error) {
	h.Asked = append(h.Asked, "redo")
	return "done again: it", nil
}

func (h *Host) Bundle(path string, over builtins.Over) (string, error) {
	h.Asked = append(h.Asked, "bundle "+path)
	return "wrote " + path, nil
}

func (h *Host) Save(path string, over builtins.Over, sketch bool) (string, error) {
	h.Asked = append(h.Asked, "save "+path)
	return "saved", nil
}

// Scene is one script's world, and what it printed.
type Scene struct {
	*builtins.Env
	Printed *bytes.Buffer
	Thread  *starlark.Thread
	Names   starlark.StringDict
}

func New() *Scene {
	out := new(bytes.Buffer)
	env := &builtins.Env{Bench: engine.New(engine.DefaultRules()), Out: out, Seed: 1, History: true, Try: TryAlone}
	env.Bench.KeepHistory(true)
	s := &Scene{env, out, &starlark.Thread{Name: "test"}, builtins.Predeclared()}
	s.Thread.Print = func(_ *starlark.Thread, msg string) { out.WriteString(msg + "\n") }
	env.Attach(s.Thread)
	return s
}

// TryAlone runs a script in a scene of its own.
func TryAlone(_ context.Context, script string) error {
	s := New()
	_, err := starlark.ExecFileOptions(Options, s.Thread, "alone.star", script, s.Names)
	return err
}

// Do runs a script in the scene and returns the message of its error, "" if it worked. Its names stay.
func (s *Scene) Do(script string) string {
	globals, err := starlark.ExecFileOptions(Options, s.Thread, "test.star", script, s.Names)
	for k, v := range globals {
		s.Names[k] = v
	}
	if err != nil {
		return builtins.Message(err)
	}
	return ""
}

// Collect has the scene keep every report that a word gives.
func (s *Scene) Collect(word string) *[]*builtins.Report {
	var all []*builtins.Report
	does := s.Names[word]
	s.Names[word] = starlark.NewBuiltin(word, func(thread *starlark.Thread, _ *starlark.Builtin, args starlark.Tuple, kwargs []starlark.Tuple) (starlark.Value, error) {
		v, err := starlark.Call(thread, does, args, kwargs)
		if r, ok := v.(*builtins.Report); ok {
			all = append(all, r)
		}
		return v, err
	})
	return &all
}

func MustDo(t *testing.T, script string) *Scene {
	t.Helper()
	s := New()
	if msg := s.Do(script); msg != "" {
		t.Fatalf("%s\n%s", script, msg)
	}
	return s
}

// Session runs a script statement by statement on one map of names, as the language does, so that nothing is frozen when it ends.
func Session(t testing.TB, s *Scene, script string) error {
	t.Helper()
	f, err := Options.Parse("test.star", script, 0)
	if err != nil {
		t.Fatal(err)
	}
	for _, stmt := range f.Stmts {
		prog, err := starlark.FileProgram(&syntax.File{Path: "test.star", Options: Options, Stmts: []syntax.Stmt{stmt}}, s.Names.Has)
		if err != nil {
			t.Fatal(err)
		}
		globals, err := prog.Init(s.Thread, s.Names)
		for k, v := range globals {
			s.Names[k] = v
		}
		if err != nil {
			return err
		}
	}
	return nil
}

func MustSession(t *testing.T, s *Scene, script string) {
	t.Helper()
	if err := Session(t, s, script); err != nil {
		t.Fatalf("%s\n%v", script, builtins.Message(err))
	}
}

// Golden compares with a file, or with -update rewrites it.
func Golden(t *testing.T, file string, got []byte) {
	t.Helper()
	if *Update {
		if err := os.WriteFile(file, got, 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(string(want), string(got)); diff != "" {
		t.Errorf("%s (-want +got):\n%s", file, diff)
	}
}

// InFolder gives a scene a working folder.
func InFolder(t testing.TB, s *Scene) string {
	t.Helper()
	dir := t.TempDir()
	root, err := os.OpenRoot(dir)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { root.Close() })
	s.Dir = root
	s.ReadFile = func(path string) (string, string, error) {
		b, err := root.ReadFile(path)
		return string(b), path, err
	}
	return dir
}

func Read(t testing.TB, path ...string) string {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(path...))
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}

// LongRun is a bench with a log of n events: a ring of 31 gates that never rests.
func LongRun(t testing.TB, n int) *Scene {
	s := New()
	s.Bench.KeepHistory(false)
	if msg := s.Do(fmt.Sprintf(`
gates = [gate(op="not" if i == 0 else "buf", name="quay.g%%d" %% i) for i in range(31)]
for i in range(31):
    patch(gates[i - 1], gates[i])
nudge(gates[0])
turn(%d)
`, n)); msg != "" {
		t.Fatal(msg)
	}
	if s.Bench.EventCount() < n {
		t.Fatalf("%d events, want %d", s.Bench.EventCount(), n)
	}
	return s
}

// NameEvil places a wire whose name would clear a screen.
func NameEvil(b *engine.Bench) error {
	_, err := b.Place(engine.Cell{X: 4, Y: 5}, engine.Part{Kind: engine.Wire, Name: "\x1b[2J\u202e\x00\x9b]]>.\n</svg>"})
	return err
}

// Harbour runs the demo with one berth.
func Harbour(t testing.TB, berth int) *Scene {
	t.Helper()
	s := New()
	names := s.Names
	names["arg"] = starlark.NewBuiltin("arg", func(_ *starlark.Thread, _ *starlark.Builtin, args starlark.Tuple, _ []starlark.Tuple) (starlark.Value, error) {
		if args[0] == starlark.String("berth") {
			return starlark.MakeInt(berth), nil
		}
		return args[1], nil
	})
	loaded := map[string]starlark.StringDict{}
	s.Thread.Load = func(thread *starlark.Thread, module string) (starlark.StringDict, error) {
		module = path.Clean(module)
		if loaded[module] == nil {
			src, err := scripts.FS.ReadFile(module)
			if err != nil {
				return nil, err
			}
			if loaded[module], err = starlark.ExecFileOptions(Options, thread, module, src, names); err != nil {
				return nil, err
			}
		}
		return loaded[module], nil
	}
	src, err := scripts.FS.ReadFile("harbour.star")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := starlark.ExecFileOptions(Options, s.Thread, "harbour.star", src, names); err != nil {
		t.Fatal(err)
	}
	if n := s.Bench.EventCount(); n < 100 {
		t.Fatalf("only %d events in the harbour", n)
	}
	return s
}

// RandomBench is a small box full of random parts after some random stimuli.
func RandomBench(r *rand.Rand) *engine.Bench {
	b := engine.New(engine.DefaultRules())
	RandomPlan(r).Play(b)
	return b
}

// Plan is what is placed and done on a random bench. It can be changed and played again.
type Plan struct {
	Cells []engine.Cell
	Parts []engine.Part
	cords []planCord
	deeds []planDeed
}

// Calm is the plan without the cords from reeds and lamps: what puts itself out by a cord, in no time, never comes to an end.
func (p *Plan) Calm() *Plan {
	p.cords = slices.DeleteFunc(p.cords, func(c planCord) bool {
		k := p.Parts[c.from].Kind
		return k == engine.Reed || k == engine.Lamp
	})
	return p
}

// planCord goes from one part to another, by number.
type planCord struct {
	from, to int
	invert   bool
}

// planDeed is a stimulus so many ticks on: to a part, by number, or to a cell.
type planDeed struct {
	what   int
	after  int64
	part   int
	cell   engine.Cell
	around bool
	firing engine.Firing
}

// RandomPlan is a plan whose parts all find room.
func RandomPlan(r *rand.Rand) *Plan {
	p := &Plan{}
	b := engine.New(engine.DefaultRules())
	cell := func() engine.Cell { return engine.Cell{X: r.Int32N(6), Y: r.Int32N(5), Z: r.Int32N(2)} }
	for i := range 30 {
		part := randomPart(r, i)
		if at := cell(); placed(b, at, part) {
			p.Cells, p.Parts = append(p.Cells, at), append(p.Parts, part)
		}
	}
	for range 6 {
		from, to := r.IntN(len(p.Parts)), r.IntN(len(p.Parts))
		switch p.Parts[to].Kind {
		case engine.Lamp, engine.Reed:
			continue // a lamp that puts itself out never comes to an end
		}
		p.cords = append(p.cords, planCord{from, to, r.IntN(3) == 0})
	}
	for range 12 {
		d := planDeed{after: 1 + r.Int64N(3)}
		switch d.what = r.IntN(4); d.what {
		case 0:
			d.part = r.IntN(len(p.Parts))
		case 1:
			d.cell, d.around = cell(), r.IntN(2) == 0
		default:
			d.cell, d.firing = cell(), engine.Firing{Steps: r.IntN(5), Ticks: r.IntN(2)}
		}
		p.deeds = append(p.deeds, d)
	}
	return p
}

func placed(b *engine.Bench, at engine.Cell, p engine.Part) bool {
	_, err := b.Place(at, p)
	return err == nil
}

func randomPart(r *rand.Rand, i int) engine.Part {
	kinds := engine.Kinds()
	p := engine.Part{Kind: kinds[r.IntN(len(kinds))], Facing: engine.Dir(r.IntN(6)), Slug: engine.Slug(r.IntN(4)), Op: engine.Op(r.IntN(11)), Ticks: r.IntN(3)}
	if p.Kind == engine.Delay {
		p.Mode = engine.Mode(r.IntN(3))
	}
	switch p.Kind {
	case engine.Tray:
		p.Room, p.Tokens, p.Keep = 5, r.IntN(4), r.IntN(3)
	case engine.Bucket:
		p.Tokens = r.IntN(2)
	case engine.Meter:
		p.Ticks = 0
	}
	if r.IntN(2) == 0 {
		p.Name = fmt.Sprintf("%s.p%d", []string{"quay", "quay.r1", "line"}[r.IntN(3)], i)
	}
	return p
}

// Play does on a bench what the plan says. What finds no room is left out, with its cords.
func (p *Plan) Play(b *engine.Bench) {
	ids := make([]engine.ID, len(p.Parts))
	for i, part := range p.Parts {
		ids[i], _ = b.Place(p.Cells[i], part)
	}
	for _, c := range p.cords {
		b.Patch(ids[c.from], ids[c.to], engine.Cord{Power: true, News: true, Invert: c.invert})
	}
	for _, d := range p.deeds {
		at := b.Now().Tick + d.after
		switch d.what {
		case 0:
			b.Press(ids[d.part], at)
		case 1:
			b.Nudge(engine.Target{Cell: d.cell}, d.around, at)
		default:
			d.firing.At = at
			b.Fire(engine.Target{Cell: d.cell}, d.firing)
		}
		b.RunTicks(context.Background(), 4, engine.Budget{Turns: 60})
	}
}
