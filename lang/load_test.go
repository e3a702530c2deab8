package lang

import (
	"bytes"
	"context"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/txtar"

	"pulsewright/lang/source"
	"pulsewright/scripts"
)

// TestLoading runs testdata/load.txtar: files *.star at the top are scripts, and NAME.want is what NAME.star
// shows, errors included.
func TestLoading(t *testing.T) {
	golden, err := filepath.Abs("testdata/load.txtar")
	if err != nil {
		t.Fatal(err)
	}
	ar, err := txtar.ParseFile(golden)
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	for _, f := range ar.Files {
		path := filepath.Join(dir, filepath.FromSlash(f.Name))
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, f.Data, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.WriteFile(filepath.Join(dir, "..", "outside.star"), []byte("x = 1\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink("../outside.star", filepath.Join(dir, "link.star")); err != nil {
		t.Log("no links here:", err)
	}
	t.Chdir(dir)
	for i, f := range ar.Files {
		name, ok := strings.CutSuffix(f.Name, ".want")
		if !ok {
			continue
		}
		t.Run(name, func(t *testing.T) {
			var screen bytes.Buffer
			s := newSession(t, Config{Out: &screen, Err: &screen})
			s.Report(s.ExecFile(context.Background(), name+".star", nil))
			if *update {
				ar.Files[i].Data = screen.Bytes()
			} else if got := screen.String(); got != string(f.Data) {
				t.Errorf("got:\n%s\nwant:\n%s", got, f.Data)
			}
		})
	}
	if *update {
		if err := os.WriteFile(golden, txtar.Format(ar), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

// A module that has been loaded is frozen, run once in a script, and read again by a later command only if its text has changed.
func TestLoadedAgain(t *testing.T) {
	dir := t.TempDir()
	file := filepath.Join(dir, "mine.star")
	write := func(text string) {
		t.Helper()
		if err := os.WriteFile(file, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	var out bytes.Buffer
	s := newSession(t, Config{Out: &out, Dir: dir})
	run := func(src, want string) {
		t.Helper()
		out.Reset()
		if err := s.Command(context.Background(), src); err != nil {
			t.Fatal(err)
		}
		if out.String() != want {
			t.Errorf("%s: %q, want %q", src, out.String(), want)
		}
	}
	write("print('running')\nn = 1\n")
	run(`load("./mine.star", "n")`, "running\n")
	run(`load("./mine.star", "n")`, "")
	write("print('running')\nn = 2\n")
	run(`load("./mine.star", "n")`, "running\n")
	run("n", "2\n")
}

// Every file of the embedded library can be loaded, by any name it gives.
func TestLibraryLoads(t *testing.T) {
	files, err := fs.Glob(scripts.FS, "lib/*.star")
	if err != nil || len(files) == 0 {
		t.Fatal("no library", err)
	}
	for _, file := range files {
		src, err := fs.ReadFile(scripts.FS, file)
		if err != nil {
			t.Fatal(err)
		}
		f, err := source.ModuleDialect.Parse(file, src, 0)
		if err != nil {
			t.Errorf("%s: %v", file, err)
			continue
		}
		if strings.HasSuffix(file, "_test.star") {
			continue
		}
		for _, name := range given(f) {
			s := newSession(t, Config{})
			if err := s.Command(context.Background(), `load("`+file+`", "`+name+`")`); err != nil {
				t.Error(err)
			}
		}
	}
}
