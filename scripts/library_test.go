package scripts_test

import (
	"bytes"
	"context"
	"io/fs"
	"maps"
	"path/filepath"
	"regexp"
	"slices"
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
			if name == "mixed.star" {
				asDocumented(t, out.String())
			}
		})
	}
}

// asDocumented compares what scripts/mixed.star shows of each repeater with what its docstring says.
func asDocumented(t *testing.T, shown string) {
	docs := map[string]string{}
	for _, d := range documentation(t) {
		docs[d.name] = d.doc
	}
	const holds, but = "Mixed orders: it holds in all that scripts/mixed.star tries.\n", "Mixed orders: it holds in all that scripts/mixed.star tries, but in a line a pulse of no steps wants reads=\"turn\".\n"
	checked := 0
	for line := range strings.Lines(shown) {
		m := mixedRow.FindStringSubmatch(strings.TrimSpace(line))
		if m == nil {
			continue
		}
		checked++
		want := holds
		if m[2] != m[3] || m[4] != m[5] || m[6] != m[7] || m[8] != m[9] {
			want = but // which numbers these are, mixed.star itself sees to
			if m[2] != m[3] || m[6] != m[7] {
				t.Errorf("%s does not hold with reads=\"turn\"", m[1])
			}
		}
		name := strings.NewReplacer(" ", "_", "-", "_").Replace(m[1])
		if name == "flat_repeater" {
			name = "pull_repeater"
		}
		if !strings.Contains(docs[name], want) {
			t.Errorf("the docstring of %s does not say %q, as it is", name, want)
		}
	}
	if checked != 9 || strings.Count(strings.Join(slices.Collect(maps.Values(docs)), ""), "Mixed orders: ") != checked {
		t.Errorf("%d repeaters are shown, and as many docstrings are to say what they do under mixed orders", checked)
	}
}

// mixedRow is a line on a repeater: how many cases hold, of how many, with each news and reads.
var mixedRow = regexp.MustCompile(`^(\w+ repeater|two-reed station) +(\d+) of (\d+) +(\d+) of (\d+) +(\d+) of (\d+) +(\d+) of (\d+)$`)
