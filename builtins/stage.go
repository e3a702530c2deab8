package builtins

import (
	"bytes"
	"context"
	"flag"
	"fmt"
	"math/rand/v2"
	"os"
	"path"
	"path/filepath"
	"pulsewright/engine"
	"pulsewright/scripts"
	"testing"

	"github.com/google/go-cmp/cmp"
	"go.starlark.net/starlark"
	"go.starlark.net/syntax"
)

var update = flag.Bool("update", false, "rewrite the golden files")

// options are the dialect the language uses.
var options = &syntax.FileOptions{Set: true, While: true, TopLevelControl: true, GlobalReassign: true, Recursion: true}

// host is a session that only remembers what it was asked.
type host struct{ asked []string }

func (h *host) Undo() (string, error) { h.asked = append(h.asked, "undo"); return "undone: it", nil }

func (h *host) Redo() (string, error) {
	h.asked = append(h.asked, "redo")
	return "done again: it", nil
}

func (h *host) Save(path string, over Over) (string, error) {
	h.asked = append(h.asked, "save "+path)
	return "saved", nil
}

// scene is one script's world, and what it printed.
type scene struct {
	*Env
	out    *bytes.Buffer
	thread *starlark.Thread
	names  starlark.StringDict
}

func newScene() *scene {
	out := new(bytes.Buffer)
	env := &Env{Bench: engine.New(engine.DefaultRules()), Out: out, Seed: 1, History: true, Try: tryAlone}
	env.Bench.KeepHistory(true)
	s := &scene{env, out, &starlark.Thread{Name: "test"}, Predeclared()}
	s.thread.Print = func(_ *starlark.Thread, msg string) { out.WriteString(msg + "\n") }
	env.Attach(s.thread)
	return s
}

// tryAlone runs a script in a scene of its own.
func tryAlone(_ context.Context, script string) error {
	s := newScene()
	_, err := starlark.ExecFileOptions(options, s.thread, "alone.star", script, s.names)
	return err
}

// do runs a script in the scene and returns the message of its error, "" if it worked. Its names stay.
func (s *scene) do(script string) string {
	globals, err := starlark.ExecFileOptions(options, s.thread, "test.star", script, s.names)
	for k, v := range globals {
		s.names[k] = v
	}
	if err != nil {
		return message(err)
	}
	return ""
}

func mustDo(t *testing.T, script string) *scene {
	t.Helper()
	s := newScene()
	if msg := s.do(script); msg != "" {
		t.Fatalf("%s\n%s", script, msg)
	}
	return s
}

// session runs a script statement by statement on one map of names, as the language does, so that nothing is frozen when it ends.
func session(t *testing.T, s *scene, script string) error {
	t.Helper()
	f, err := options.Parse("test.star", script, 0)
	if err != nil {
		t.Fatal(err)
	}
	for _, stmt := range f.Stmts {
		prog, err := starlark.FileProgram(&syntax.File{Path: "test.star", Options: options, Stmts: []syntax.Stmt{stmt}}, s.names.Has)
		if err != nil {
			t.Fatal(err)
		}
		globals, err := prog.Init(s.thread, s.names)
		for k, v := range globals {
			s.names[k] = v
		}
		if err != nil {
			return err
		}
	}
	return nil
}

func mustSession(t *testing.T, s *scene, script string) {
	t.Helper()
	if err := session(t, s, script); err != nil {
		t.Fatalf("%s\n%v", script, message(err))
	}
}

// golden compares with a file, or with -update rewrites it.
func golden(t *testing.T, file string, got []byte) {
	t.Helper()
	if *update {
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

// inFolder gives a scene a working folder.
func inFolder(t testing.TB, s *scene) string {
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

func read(t testing.TB, path ...string) string {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(path...))
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}

// longRun is a bench with a log of n events: a ring of 31 gates that never rests.
func longRun(t testing.TB, n int) *scene {
	s := newScene()
	s.Bench.KeepHistory(false)
	if msg := s.do(fmt.Sprintf(`
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

// nameEvil places a wire whose name would clear a screen.
func nameEvil(b *engine.Bench) error {
	_, err := b.Place(engine.Cell{X: 4, Y: 5}, engine.Part{Kind: engine.Wire, Name: "\x1b[2J\u202e\x00\x9b]]>.\n</svg>"})
	return err
}

// harbour runs the demo with one berth.
func harbour(t testing.TB, berth int) *scene {
	t.Helper()
	s := newScene()
	names := s.names
	names["arg"] = starlark.NewBuiltin("arg", func(_ *starlark.Thread, _ *starlark.Builtin, args starlark.Tuple, _ []starlark.Tuple) (starlark.Value, error) {
		if args[0] == starlark.String("berth") {
			return starlark.MakeInt(berth), nil
		}
		return args[1], nil
	})
	loaded := map[string]starlark.StringDict{}
	s.thread.Load = func(thread *starlark.Thread, module string) (starlark.StringDict, error) {
		module = path.Clean(module)
		if loaded[module] == nil {
			src, err := scripts.FS.ReadFile(module)
			if err != nil {
				return nil, err
			}
			if loaded[module], err = starlark.ExecFileOptions(options, thread, module, src, names); err != nil {
				return nil, err
			}
		}
		return loaded[module], nil
	}
	src, err := scripts.FS.ReadFile("harbour.star")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := starlark.ExecFileOptions(options, s.thread, "harbour.star", src, names); err != nil {
		t.Fatal(err)
	}
	if n := s.Bench.EventCount(); n < 100 {
		t.Fatalf("only %d events in the harbour", n)
	}
	return s
}

// randomBench is a small box full of random parts after some random stimuli.
func randomBench(r *rand.Rand) *engine.Bench {
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
