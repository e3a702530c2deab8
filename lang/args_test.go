package lang

import (
	"bytes"
	"context"
	"errors"
	"os"
	"path/filepath"
	"testing"
)

func TestArguments(t *testing.T) {
	file := filepath.Join(t.TempDir(), "send.star")
	src := `berth = arg("berth", 35)
wide = arg("wide", False)
share = arg("share", 0.5)
label = arg("label", "quay")
print(berth, wide, share, label)
`
	if err := os.WriteFile(file, []byte(src), 0o644); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		args  []string
		out   string
		err   string
		hint  string
		usage bool
	}{
		{out: "35 False 0.5 quay\n"},
		{args: []string{"berth=7", "wide=yes", "share=1.25", "label=north pier=2"}, out: "7 True 1.25 north pier=2\n"},
		{args: []string{"berth=0x10", "wide=False"}, out: "16 False 0.5 quay\n"},
		{args: []string{"berth=seven"}, err: "arg: berth=seven, want a whole number"},
		{args: []string{"wide=perhaps"}, err: "arg: wide=perhaps, want True or False"},
		{args: []string{"share=x"}, err: "arg: share=x, want a number"},
		{args: []string{"birth=7"}, out: "35 False 0.5 quay\n", err: "the script does not ask for birth", hint: "did you mean berth? it asks for berth, label, share, wide"},
		{args: []string{"berth"}, err: `argument "berth": want name=value`, usage: true},
		{args: []string{"7=x"}, err: `argument "7=x": want name=value`, usage: true},
		{args: []string{"a=1", "a=2"}, err: "argument a is given twice", usage: true},
	} {
		var out bytes.Buffer
		s := newSession(t, Config{Out: &out})
		err := s.ExecFile(context.Background(), file, c.args)
		if out.String() != c.out {
			t.Errorf("%v: shows %q, want %q", c.args, out.String(), c.out)
		}
		if c.err == "" {
			if err != nil {
				t.Errorf("%v: %v", c.args, err)
			}
			continue
		}
		if err == nil {
			t.Errorf("%v: no error", c.args)
			continue
		}
		if _, msg := Where(err); msg != c.err {
			t.Errorf("%v: error %q, want %q", c.args, msg, c.err)
		}
		var e *Error
		if errors.As(err, &e) && c.hint != "" && e.Hint != c.hint {
			t.Errorf("%v: hint %q, want %q", c.args, e.Hint, c.hint)
		}
		var u *UsageError
		if errors.As(err, &u) != c.usage {
			t.Errorf("%v: a mistake in usage: %v, want %v", c.args, !c.usage, c.usage)
		}
	}
}

func TestFilesThatAreNotThere(t *testing.T) {
	dir := t.TempDir()
	t.Chdir(dir)
	if err := os.WriteFile("harbour.star", []byte("x = 1\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	s := newSession(t, Config{})
	for path, want := range map[string]string{
		"harbor.star":     "harbor.star: no such file or folder",
		"none/x.star":     "none/x.star: no such file or folder",
		".":               ".: this is a folder; want a script",
		"harbour.star/x":  "harbour.star/x: not a directory",
		"embedded:x.star": "embedded:x.star: no such file or folder",
	} {
		if err := s.ExecFile(context.Background(), path, nil); err == nil || err.Error() != want {
			t.Errorf("%s: %v, want %s", path, err, want)
		}
	}
	if _, err := New(Config{Dir: "none"}); err == nil {
		t.Error("no error for a working folder that is not there")
	}
}

// After a script the conversation goes on with its names, also if it failed.
func TestScriptThenConversation(t *testing.T) {
	file := filepath.Join(t.TempDir(), "a.star")
	if err := os.WriteFile(file, []byte("xs = [1]\ndef f(): return g()\ndef g(): return 1\nwire((0, 0))\nnope()\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	var out bytes.Buffer
	s := newSession(t, Config{Out: &out})
	if err := s.ExecFile(context.Background(), file, nil); err == nil {
		t.Fatal("no error")
	}
	if err := os.WriteFile(file, []byte("xs = [1]\ndef f(): return g()\ndef g(): return 1\nwire((0, 0))\nfail('no')\nafter = 1\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	if err := s.ExecFile(context.Background(), file, nil); err == nil {
		t.Fatal("no error")
	}
	for _, c := range []string{"xs.append(2)", "def g(): return 2", "expect_equal([xs, f(), len(parts())], [[1, 2], 2, 1])"} {
		if err := s.Command(context.Background(), c); err != nil {
			t.Errorf("%s: %v", c, err)
		}
	}
	if err := s.Command(context.Background(), "after"); err == nil {
		t.Error("what follows the error was run")
	}
}
