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

func (h *Host) Save(path string, over builtins.Over) (string, error) {
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

func MustDo(t *testing.T, script string) *Scene {
	t.Helper()
	s := New()
	if msg := s.Do(script); msg != "" {
		t.Fatalf("%s\n%s", script, msg)
	}
	return s
}

// Session runs a script statement by statement on one map of names, as the language does, so that nothing is frozen when it ends.
func Session(t *testing.T, s *Scene, script string) error {
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
	cell := func() engine.Cell { return engine.Cell{X: r.Int32N(6), Y: r.Int32N(5), Z: r.Int32N(2)} }
	kinds := engine.Kinds()
	var ids []engine.ID
	for i := range 30 {
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
		if id, err := b.Place(cell(), p); err == nil {
			ids = append(ids, id)
		}
	}
	for range 6 {
		from, to := ids[r.IntN(len(ids))], ids[r.IntN(len(ids))]
		switch b.KindOf(to) {
		case engine.Lamp, engine.Reed:
			continue // a lamp that puts itself out never comes to an end
		}
		b.Patch(from, to, engine.Cord{Power: true, News: true, Invert: r.IntN(3) == 0})
	}
	for range 12 {
		now := b.Now().Tick
		switch at := now + 1 + r.Int64N(3); r.IntN(4) {
		case 0:
			b.Press(ids[r.IntN(len(ids))], at)
		case 1:
			b.Nudge(engine.Target{Cell: cell()}, r.IntN(2) == 0, at)
		default:
			b.Fire(engine.Target{Cell: cell()}, engine.Firing{At: at, Steps: r.IntN(5), Ticks: r.IntN(2)})
		}
		b.RunTicks(context.Background(), 4, engine.Budget{Turns: 60})
	}
	return b
}
