package lang

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"pulsewright/lang/steplog"
)

// A saved session repeats the log of the session, whatever was undone, failed or looked at on the way.
func TestSavedSessionRepeats(t *testing.T) {
	dir := t.TempDir()
	var typed, run bytes.Buffer
	s := newSession(t, Config{Out: &typed, Dir: dir})
	for _, src := range []string{
		"k = key((0, 0), name=\"quay\")",
		"wire((1, 0), (4, 0))",
		"link((2, 1), \"+y\", name=\"E1\")",
		"lamp((2, 1))", // fails
		"def send():\n    press(k)\n    run()\n    release(k)\n    run()\n",
		"send()",
		"lamp((5, 0)); send()",
		"undo()",
		"now()",
		"_.tick + 1",
		"ticks = _",
		"print(ticks)",
		"press?",
		"log(what=[\"on\", \"off\"])",
		"send()",
	} {
		err := s.Command(context.Background(), src)
		if failed := src == "lamp((2, 1))"; (err != nil) != failed {
			t.Fatalf("%s: %v", src, err)
		}
	}
	if err := s.Command(context.Background(), `save("again.star")`); err != nil {
		t.Fatal(err)
	}
	f := newSession(t, Config{Out: &run, Dir: dir})
	if err := f.ExecFile(context.Background(), filepath.Join(dir, "again.star"), nil); err != nil {
		t.Fatal(err)
	}
	if a, b := s.env.Bench.Fingerprint(), f.env.Bench.Fingerprint(); a != b {
		t.Error("the bench is another")
	}
	if a, b := events(s), events(f); a != b {
		t.Errorf("events of the session:\n%sof the script:\n%s", a, b)
	}
	body, err := os.ReadFile(filepath.Join(dir, "again.star"))
	if err != nil {
		t.Fatal(err)
	}
	want := `# A pulsewright session.
k = key((0, 0), name="quay")
_ = wire((1, 0), (4, 0))
_ = link((2, 1), "+y", name="E1")
def send():
    press(k)
    run()
    release(k)
    run()
_ = send()
_ = now()
_ = _.tick + 1
ticks = _
print(ticks)
log(what=["on", "off"])
send()
`
	if string(body) != want {
		t.Errorf("saved:\n%s\nwant:\n%s", body, want)
	}
}

// A saved session runs where it was saved, though the files that it writes are there; it writes over no others.
func TestSavedSessionWrites(t *testing.T) {
	dir := t.TempDir()
	writeFiles(t, dir, "theirs.csv", "mine")
	var said bytes.Buffer
	s := newSession(t, Config{Out: &said, Dir: dir})
	for _, src := range []string{
		"k = key((0, 0), name=\"quay\"); press(k); run()",
		"export(\"e.csv\")",
		"def again(path):\n    export(path)\n    export(since=0, path=\"./e.csv\",)\n    export(\n        \"e.csv\",\n    )\n",
		"again(\"f.csv\")",
		"t = table([[1], [2]])",
		"t.save(\"t.csv\"), t.save(\"u.csv\", over=True)",
		"struct(save=lambda path: path).save(\"quay.csv\")",
		"if False: export(\"theirs.csv\")",
		"save(\"mine.star\")",
	} {
		if err := s.Command(context.Background(), src); err != nil {
			t.Fatalf("%s: %v", src, err)
		}
	}
	if want := "wrote mine.star: a script of 8 commands; it writes over e.csv, t.csv\n"; !strings.HasSuffix(said.String(), want) {
		t.Errorf("it said %s\nwant %s", said.String(), want)
	}
	os.Remove(filepath.Join(dir, "f.csv")) // its path does not stand there
	f := newSession(t, Config{Dir: dir})
	if err := f.ExecFile(context.Background(), filepath.Join(dir, "mine.star"), nil); err != nil {
		body, _ := os.ReadFile(filepath.Join(dir, "mine.star"))
		t.Errorf("%v\n%s", err, body)
	}
	if text, _ := os.ReadFile(filepath.Join(dir, "theirs.csv")); string(text) != "mine" {
		t.Errorf("theirs.csv has %q", text)
	}
}

// events are all events of a session, one a line.
func events(s *Session) string {
	var out bytes.Buffer
	l := steplog.NewJSON(&out, 0)
	l.Follow(s.env.Bench)
	return out.String()
}

func TestSaveStaysInside(t *testing.T) {
	dir := t.TempDir()
	if err := os.Symlink(os.TempDir(), filepath.Join(dir, "out")); err != nil {
		t.Skip("no links here")
	}
	s := newSession(t, Config{Dir: dir})
	for _, path := range []string{"../x.star", "/tmp/x.star", "out/x.star", "a/../../x.star", "none/x.star", "x.txt", ""} {
		if err := s.Command(context.Background(), `save("`+path+`")`); err == nil {
			t.Errorf("saved to %q", path)
		}
	}
	if err := s.Command(context.Background(), `save("x.star")`); err != nil {
		t.Error(err)
	}
}

// What could not be repeated is said, in the file and on the screen.
func TestSaveSaysWhatIsMissing(t *testing.T) {
	dir := t.TempDir()
	var out bytes.Buffer
	s := newSession(t, Config{Out: &out, Dir: dir, Seed: 7})
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	s.Command(ctx, "while True: pass")
	s.Command(context.Background(), "x = 1")
	if err := s.Command(context.Background(), `save("x.star")`); err != nil {
		t.Fatal(err)
	}
	body, err := os.ReadFile(filepath.Join(dir, "x.star"))
	if err != nil {
		t.Fatal(err)
	}
	want := "# A pulsewright session.\n# Run it with --seed 7 to repeat it.\n# Interrupted at 0.0.0, which this script does not repeat:\n# while True: pass\nx = 1\n"
	if string(body) != want {
		t.Errorf("saved %q, want %q", body, want)
	}
	if !strings.Contains(out.String(), "1 was interrupted") {
		t.Errorf("said %q", out.String())
	}
}

// save writes over its own files, not over those of others, and says what it wrote.
func TestSaveKeepsFiles(t *testing.T) {
	dir := t.TempDir()
	var out bytes.Buffer
	s := newSession(t, Config{Out: &out, Dir: dir})
	if err := os.WriteFile(filepath.Join(dir, "mine.star"), []byte("x = 1\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	do := func(src string) string {
		if err := s.Command(context.Background(), src); err != nil {
			return err.Error()
		}
		return ""
	}
	do("lamp((0, 0))")
	if msg := do(`save("mine.star")`); !strings.Contains(msg, `"mine.star" is there already, and this session did not write it`) {
		t.Errorf("got %q", msg)
	}
	if body, _ := os.ReadFile(filepath.Join(dir, "mine.star")); string(body) != "x = 1\n" {
		t.Fatal("the file is lost")
	}
	out.Reset()
	for _, src := range []string{`save("mine.star", over=True)`, `save("mine.star")`} {
		if msg := do(src); msg != "" {
			t.Errorf("%s: %s", src, msg)
		}
	}
	if got := out.String(); !strings.HasPrefix(got, "wrote mine.star: a script of 1 command\n") {
		t.Errorf("said %q", got)
	}
}

// TestOneHeader: a script that was saved, run and saved again has one header.
func TestOneHeader(t *testing.T) {
	dir := t.TempDir()
	first := newSession(t, Config{Dir: dir, Seed: 3})
	ctx := context.Background()
	for _, c := range []string{"a = 1", `save("a.star")`} {
		if err := first.Command(ctx, c); err != nil {
			t.Fatal(err)
		}
	}
	src, _ := os.ReadFile(filepath.Join(dir, "a.star"))
	again := newSession(t, Config{Dir: dir, Seed: 3})
	if err := again.Exec(ctx, "a.star", string(src)); err != nil {
		t.Fatal(err)
	}
	for _, c := range []string{"b = 2", `save("b.star")`} {
		if err := again.Command(ctx, c); err != nil {
			t.Fatal(err)
		}
	}
	if got, _ := os.ReadFile(filepath.Join(dir, "b.star")); string(got) != string(src)+"b = 2\n" {
		t.Errorf("%s", got)
	}
}
