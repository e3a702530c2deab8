package whole

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"
)

// folder is a folder with an old file.
func folder(t *testing.T) (dir string, root *os.Root) {
	dir = t.TempDir()
	root, err := os.OpenRoot(dir)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { root.Close() })
	if err := os.WriteFile(filepath.Join(dir, "quay.csv"), []byte("old"), 0o600); err != nil {
		t.Fatal(err)
	}
	return dir, root
}

// holds fails if a folder holds anything but the file, with this text.
func holds(t *testing.T, dir, text string) {
	t.Helper()
	entries, err := os.ReadDir(dir)
	if err != nil || len(entries) != 1 {
		t.Errorf("there are %v, %v", entries, err)
	}
	if got, err := os.ReadFile(filepath.Join(dir, "quay.csv")); err != nil || string(got) != text {
		t.Errorf("the file holds %q, %v, want %q", got, err, text)
	}
}

// named are systems on which files have names, and the usual one, with a note of what was asked of each.
func systems(asked *[]string) map[string]system {
	note := func(s system) system {
		sync, rename := s.sync, s.rename
		s.sync = func(f *os.File) error {
			info, _ := f.Stat()
			*asked = append(*asked, fmt.Sprint("sync ", info.Size()))
			return sync(f)
		}
		s.rename = func(dir *os.Root, from, to string) error {
			*asked = append(*asked, "rename")
			return rename(dir, from, to)
		}
		return s
	}
	named := usual
	named.nameless = func(*os.Root, string, fs.FileMode) (*os.File, error) { return nil, errors.ErrUnsupported }
	return map[string]system{"usual": note(usual), "named": note(named)}
}

func says(text string) func(io.Writer) error {
	return func(w io.Writer) error {
		for _, r := range text {
			if _, err := io.WriteString(w, string(r)); err != nil {
				return err
			}
		}
		return nil
	}
}

// TestSynced: all of a file is synced before it is renamed; and to sync is to ask the system.
func TestSynced(t *testing.T) {
	var asked []string
	for name, s := range systems(&asked) {
		dir, root := folder(t)
		asked = nil
		if err := s.replace(root, "quay.csv", says("new text")); err != nil {
			t.Fatal(err)
		}
		if !slices.Equal(asked, []string{"sync 8", "rename"}) {
			t.Errorf("%s: %q", name, asked)
		}
		holds(t, dir, "new text")
	}
	f, err := os.Create(filepath.Join(t.TempDir(), "closed"))
	if err != nil {
		t.Fatal(err)
	}
	f.Close()
	var p *fs.PathError
	if err := usual.sync(f); !errors.As(err, &p) || p.Op != "sync" {
		t.Errorf("syncing a closed file: %v", err)
	}
}

// TestOldStays: whatever fails, the old file is there as it was, and nothing beside it.
func TestOldStays(t *testing.T) {
	var asked []string
	wrong := errors.New("no room")
	for name, s := range systems(&asked) {
		noSync, noRename := s, s
		noSync.sync = func(*os.File) error { return wrong }
		noRename.rename = func(*os.Root, string, string) error { return wrong }
		for what, s := range map[string]system{"sync": noSync, "rename": noRename} {
			dir, root := folder(t)
			if err := s.replace(root, "quay.csv", says("new")); !errors.Is(err, wrong) {
				t.Errorf("%s, %s: %v", name, what, err)
			}
			holds(t, dir, "old")
		}
		dir, root := folder(t)
		if err := s.replace(root, "quay.csv", func(w io.Writer) error { io.WriteString(w, "ne"); return wrong }); err != wrong {
			t.Errorf("%s: %v", name, err)
		}
		holds(t, dir, "old")
		func() {
			defer func() { recover() }()
			s.replace(root, "quay.csv", func(w io.Writer) error { io.WriteString(w, "ne"); panic("the crane fell") })
		}()
		holds(t, dir, "old")
	}
	if len(named.in) != 0 {
		t.Errorf("kept in mind: %v", named.in)
	}
}

// TestSweep: what a process left that was killed is removed by the next that writes the file, after a day; nothing else is.
func TestSweep(t *testing.T) {
	var asked []string
	s := systems(&asked)["named"]
	dir, root := folder(t)
	left := besideName("quay.csv")
	stay := []string{besideName("quay.csv"), besideName("pier.csv"), ".quay.csv.mine.part", "quay.csv.part", ".quay.csv." + strings.Repeat("a", 26) + ".part"}
	yesterday := time.Now().Add(-25 * time.Hour)
	for i, name := range append(stay, left) {
		path := filepath.Join(dir, name)
		if err := os.WriteFile(path, nil, 0o600); err != nil {
			t.Fatal(err)
		}
		if i > 0 {
			os.Chtimes(path, yesterday, yesterday)
		}
	}
	if err := s.replace(root, "quay.csv", says("new")); err != nil {
		t.Fatal(err)
	}
	for i, name := range append(stay, left) {
		if _, err := root.Lstat(name); (err == nil) != (i < len(stay)) {
			t.Errorf("%s: %v", name, err)
		}
	}
}
