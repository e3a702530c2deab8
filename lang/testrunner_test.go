package lang

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

func TestRunTests(t *testing.T) {
	dir := t.TempDir()
	t.Chdir(dir)
	for name, text := range map[string]string{
		"line_test.star": `load("./rig.star", "build")

def test_width():
    r = build()
    expect_equal(len(parts()), 3, "parts")

def test_alone():
    expect_equal(len(parts()), 0)

def test_fails():
    expect_equal(1 + 1, 3, "a sum")

def test_breaks():
    build()
    build()

def helper(): pass
not_a_test = 1
`,
		"rig.star":            "def build():\n    return wire((0, 0), (2, 0))\n",
		"sub/ok_test.star":    "def test_ok():\n    print('in a test')\n    key((0, 0))\n    press((0, 0))\n    run()\n",
		"sub/wrong_test.star": "def test_x(:\n    pass\n",
		"other.star":          "def test_never(): fail('no')\n",
		".hidden/x_test.star": "def test_never(): fail('no')\n",
	} {
		if err := os.MkdirAll(filepath.Dir(name), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(name, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	var out bytes.Buffer
	passed, failed, err := RunTests(context.Background(), Config{Out: &out, Seed: 5}, nil, TestOptions{Verbose: true})
	if err != nil {
		t.Fatal(err)
	}
	want := `line_test.star: test_width: passed
line_test.star: test_alone: passed
line_test.star:11: test_fails: expect_equal: a sum
    got   2
    want  3
    seed  5
rig.star:2: test_breaks: wire: cell (0, 0) already holds a wire; remove it first
    return wire((0, 0), (2, 0))
    by way of
    line_test.star:15:10 in test_breaks: build()
    rig.star:2:16 in build
    seed  5
in a test
sub/ok_test.star: test_ok: passed
sub/wrong_test.star:1: the file: got ':', want ')'
    def test_x(:
    seed  5
3 passed, 3 failed
`
	if out.String() != want || passed != 3 || failed != 3 {
		t.Errorf("%d passed, %d failed; got:\n%s\nwant:\n%s", passed, failed, out.String(), want)
	}

	out.Reset()
	passed, failed, err = RunTests(context.Background(), Config{Out: &out}, []string{"line_test.star"}, TestOptions{Run: regexp.MustCompile("width$")})
	if passed != 1 || failed != 0 || err != nil || out.String() != "1 passed, 0 failed\n" {
		t.Errorf("%d passed, %d failed, %v: %q", passed, failed, err, out.String())
	}
	out.Reset()
	if passed, failed, err = RunTests(context.Background(), Config{Out: &out}, []string{"sub"}, TestOptions{Run: regexp.MustCompile("nothing")}); passed+failed != 1 || err != nil {
		t.Errorf("%d passed, %d failed, %v", passed, failed, err)
	}
	if _, _, err := RunTests(context.Background(), Config{Out: &out}, []string{"none"}, TestOptions{}); err == nil || !strings.Contains(err.Error(), "none: no such file or folder") {
		t.Errorf("error: %v", err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, _, err := RunTests(ctx, Config{Out: &out}, []string{"line_test.star"}, TestOptions{}); !Interrupted(err) {
		t.Errorf("error: %v", err)
	}
}
