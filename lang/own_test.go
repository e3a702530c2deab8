package lang

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// writeFiles writes files below a folder: name, text, name, text.
func writeFiles(t *testing.T, dir string, pairs ...string) {
	t.Helper()
	for i := 0; i < len(pairs); i += 2 {
		path := filepath.Join(dir, filepath.FromSlash(pairs[i]))
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(pairs[i+1]), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

// Scripts of one's own are found in the first folder that has them, and nothing outside of it.
func TestOwnFolders(t *testing.T) {
	top := t.TempDir()
	t.Chdir(top)
	writeFiles(t, top,
		"outside.star", "x = 'outside'",
		"work/quay.star", "x = 'beside'",
		"first/quay.star", "x = 'first'",
		"second/quay.star", "x = 'second'",
		"second/mole.star", "load('./parts/stone.star', 'y')\nload('own/quay.star', 'x')\nz = y + x",
		"second/parts/stone.star", "load('../sand.star', 's')\ny = s",
		"second/sand.star", "s = 'sand of '",
		"second/away.star", "load('../outside.star', 'x')",
		"second/lib.star", "load('lib/lines.star', 'chain')\nx = 'line'",
		"usual/quay.star", "x = 'usual'",
		"usual/pier.star", "x = 'pier'",
	)
	if err := os.Symlink("../outside.star", filepath.Join(top, "second", "link.star")); err != nil {
		t.Log("no links here:", err)
	}
	os.Mkdir(filepath.Join(top, "second", "folder.star"), 0o755)
	os.Symlink("nowhere.star", filepath.Join(top, "first", "pier.star"))
	for _, test := range []struct{ load, want string }{
		{`load("own/quay.star", "x")`, "first"},
		{`load("./quay.star", "x")`, "beside"},
		{`load("own/mole.star", x="z")`, "sand of first"},
		{`load("own/parts/../sand.star", x="s")`, "sand of "},
		{`load("own/lib.star", "x")`, "line"},
		{`load("own/away.star", "x")`, "leads out of the folder of your own"},
		{`load("own/../outside.star", "x")`, "leads out of the folder of your own"},
		{`load("own/link.star", "x")`, "leads out of the folder"},
		{`load("own//quay.star", "x")`, "leads out of the folder of your own"},
		{`load("own/./../quay.star", "x")`, "leads out of the folder of your own"},
		{`load("own/", "x")`, "this is a folder"},
		{`load("own/folder.star", "x")`, "this is a folder; want a script"},
		{`load("own/pier.star", "x")`, "there is no such file in the folder of your own"}, // a link to nothing is not passed over
		{`load("own/quai.star", "x")`, `looked in ` + filepath.FromSlash("../first") + `, then in ` + filepath.FromSlash("../second") + `, then in ` + filepath.FromSlash("../usual") + `; did you mean "own/quay.star"?`},
		{`load("mole.star", "x")`, `did you mean "own/mole.star"?`},
	} {
		t.Chdir(filepath.Join(top, "work"))
		var out bytes.Buffer
		s := newSession(t, Config{Out: &out, Err: &out, Library: []string{"../first", "../second"}, Own: "../usual"})
		err := s.Command(context.Background(), test.load+"\nprint(x)")
		s.Report(err)
		if !strings.Contains(out.String(), test.want) || (err == nil) != (strings.TrimSpace(out.String()) == strings.TrimSpace(test.want)) {
			t.Errorf("%s: %s\nwant %s", test.load, out.String(), test.want)
		}
	}
}

// The usual folder need not be there, and is named; one that was asked for must be.
func TestOwnFolderMissing(t *testing.T) {
	var out bytes.Buffer
	s := newSession(t, Config{Out: &out, Err: &out, Own: "nowhere"})
	s.Report(s.Command(context.Background(), `load("own/quay.star", "x")`))
	if want := "looked in nowhere (which is not there)"; !strings.Contains(out.String(), want) {
		t.Errorf("%s\nwant %s", out.String(), want)
	}
	out.Reset()
	s = newSession(t, Config{Out: &out, Err: &out})
	s.Report(s.Command(context.Background(), `load("own/quay.star", "x")`))
	if want := "there is no folder of your own here; --library DIR names one"; !strings.Contains(out.String(), want) {
		t.Errorf("%s\nwant %s", out.String(), want)
	}
	if _, err := New(Config{Library: []string{"nowhere"}}); err == nil || !strings.Contains(err.Error(), "nowhere") {
		t.Errorf("a folder that is not there: %v", err)
	}
}

// A file of one's own is read again by a later command if it has changed, and one that comes before it in the search wins then.
func TestOwnAgain(t *testing.T) {
	top := t.TempDir()
	writeFiles(t, top, "b/quay.star", "x = 1", "a/other.star", "")
	var out bytes.Buffer
	s := newSession(t, Config{Out: &out, Err: &out, Library: []string{filepath.Join(top, "a"), filepath.Join(top, "b")}})
	for i, want := range []string{"1", "2", "3"} {
		switch i {
		case 1:
			writeFiles(t, top, "b/quay.star", "x = 2")
		case 2:
			writeFiles(t, top, "a/quay.star", "x = 3")
		}
		out.Reset()
		s.Report(s.Command(context.Background(), "load('own/quay.star', 'x')\nprint(x)"))
		if strings.TrimSpace(out.String()) != want {
			t.Errorf("got %s, want %s", out.String(), want)
		}
	}
	if c := s.Complete(`load("own/q`, 11, ""); c.Insert != `own/quay.star"` {
		t.Errorf("completes as %q", c.Insert)
	}
	if c := s.Complete(`load("own/quay.star", "`, 23, ""); c.Insert != `x"` {
		t.Errorf("completes as %q", c.Insert)
	}
	if got := s.again().Where; !strings.Contains(got, "--library DIR for the folder with own/quay.star") {
		t.Errorf("how to do it again does not name the file: %s", got)
	}
}
