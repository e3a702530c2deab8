package scripts_test

import (
	"bytes"
	"context"
	"io/fs"
	"path/filepath"
	"strings"
	"testing"

	"pulsewright/lang"
	"pulsewright/scripts"
)

// Every test of the library runs here as `pulsewright test scripts` runs it, a file at a time.
func TestLibrary(t *testing.T) {
	files := 0
	err := filepath.WalkDir(".", func(path string, d fs.DirEntry, err error) error {
		if err != nil || !strings.HasSuffix(path, "_test.star") {
			return err
		}
		files++
		t.Run(strings.TrimSuffix(filepath.ToSlash(path), "_test.star"), func(t *testing.T) {
			t.Parallel()
			var out bytes.Buffer
			cfg := lang.Config{Out: &out, Err: &out, Seed: 1, Dir: t.TempDir()}
			passed, failed, err := lang.RunTests(context.Background(), cfg, []string{path}, lang.TestOptions{})
			if err != nil || failed > 0 || passed == 0 {
				t.Errorf("%d passed, %d failed, %v\n%s", passed, failed, err, out.String())
			}
		})
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if files == 0 {
		t.Error("no tests found")
	}
}

// Every example script runs to its end without an error.
func TestScripts(t *testing.T) {
	names, err := fs.Glob(scripts.FS, "*.star")
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range names {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			var out, errs bytes.Buffer
			s, err := lang.New(lang.Config{Out: &out, Err: &errs, Seed: 1, Dir: t.TempDir()})
			if err != nil {
				t.Fatal(err)
			}
			defer s.Close()
			if err := s.ExecEmbedded(context.Background(), name, nil); err != nil {
				s.Report(err)
				t.Error(errs.String())
			}
			if out.Len() == 0 {
				t.Error("it says nothing")
			}
		})
	}
}
