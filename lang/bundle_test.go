package lang

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// bundled runs a script in work, with the library beside it, and then its bundle in an empty folder, and gives what both printed, and the
// text of the bundle.
func bundledRuns(t *testing.T, files ...string) (printed, alone, text string) {
	t.Helper()
	top := t.TempDir()
	writeFiles(t, top, files...)
	os.MkdirAll(filepath.Join(top, "mine"), 0o755)
	os.MkdirAll(filepath.Join(top, "empty"), 0o755)
	run := func(dir, file string, library ...string) string {
		t.Chdir(filepath.Join(top, dir))
		var out bytes.Buffer
		s := newSession(t, Config{Out: &out, Err: &out, Library: library, Seed: 1, Dir: "."})
		s.Report(s.ExecFile(context.Background(), file, nil))
		return out.String()
	}
	printed = run("work", "mine.star", "../mine")
	b, err := os.ReadFile(filepath.Join(top, "work", "friend.star"))
	if err != nil {
		t.Fatalf("no bundle: %v\n%s", err, printed)
	}
	writeFiles(t, top, "empty/friend.star", string(b))
	alone = run("empty", "friend.star")
	return printed, alone, string(b)
}

// sameButReport compares what a script printed with what its bundle did, which makes no bundle.
func sameButReport(t *testing.T, printed, alone, text string) {
	t.Helper()
	var kept []string
	for line := range strings.SplitAfterSeq(printed, "\n") {
		if !strings.HasPrefix(line, "wrote friend.star: ") {
			kept = append(kept, line)
		}
	}
	if d := cmp.Diff(strings.Join(kept, ""), alone); d != "" {
		t.Errorf("the bundle does something else:\n%s\n%s", d, text)
	}
	if strings.Contains(text, `load("./`) || strings.Contains(text, `load("own/`) {
		t.Errorf("the bundle loads files:\n%s", text)
	}
}

// A script with all ways of loading does the same when it is bundled, in a folder in which there is nothing else.
func TestBundleRunsAlone(t *testing.T) {
	printed, alone, text := bundledRuns(t,
		"work/mine.star", `"""A quay of beacons."""
load("./parts/quay.star", "berths", "twice", berth = "lamp_at")  # the quay
load("own/beacons.star", "beacon", "countdown", glow = "shine", lamp = "bright")
load("lib/repeaters.star", "chain", "pull_repeater")
load("./parts/sums.star", scale = "measure")

def helper(n):
    return "mine %d" % n

pad = 7
scale += 1 # of the script from here on
beacon((0, 0), "+x", name = "pad")
battery((0, 2))
berth((1, 2))
line = chain(frame(at = (0, 10)), pull_repeater, 2)
outs = [probe(s.output) for s in line]
fire(line[0].input, steps = 5)
nudge("pad")
run(ticks = 12)
bundle("friend.star")
print([p.width for p in outs], berths, twice(pad), helper(1), scale, countdown(5), lamp("pad"), glow(pad = 2))
`+"load(\"./late.star\", \"late\"); print(late); load('./late.star', 'late')\n",
		"work/late.star", "print('late is read')\nload('./parts/sums.star', scale='measure')\nlate = ['late', scale]\n",
		"work/parts/quay.star", `"""Berths.

A pad is a pad: _pad, helper.
"""
load("./sums.star", "double", triple = "thrice")
print("the quay is read")
_pad = 10

def _helper(pad, double = double):
    _pad = pad + 1  # its own _pad
    return struct(_pad = _pad, double = double(_pad))

helper = _helper(_pad)
berths = [triple(1), helper._pad, helper.double, _pad]
for i in range(2):
    _pad += i

def twice(n):
    """Says _pad, double and helper."""
    return [double(n), _pad, "_pad", i] + [_pad for _pad in range(2)]

def lamp_at(at):
    return lamp(at)
`,
		"work/parts/sums.star", `load("own/deep/scale.star", "scale", scale_of = "scale")
scale = scale + 0
measure = scale
_pad = 100
def double(n): return 2 * n * scale_of
def thrice(n): return (lambda double: double + _pad)(double(n))
def helper(): return None
`,
		"mine/deep/scale.star", "load('../beacons.star', 'countdown')\nscale = countdown(3)[0]\n",
		"mine/beacons.star", `# Kinds of one's own.
_pad = {"rest": 1}
def _wants(state, live, told):
    if told == "nudge":
        return "shining"
    return "dark" if told == "due" and _pad["rest"] else None
beacon = kind("beacon", ["dark", "shining"], _wants, when = {"dark": "now", "shining": "step"}, then = {"shining": 3}, feeds = {"shining": "around"})
def _maker():
    def down(n):
        return [n] + down(n - 1) if n else []
    return down
countdown = _maker()
def shine(pad):
    lamp((pad, 30), name = "glow")
    return [p.name for p in parts("lamp") if p.name == "glow"]
def bright(name):
    return "bright " + name
`)
	sameButReport(t, printed, alone, text)
	for _, want := range []string{"# A bundle: mine.star and 5 files it loads (own/beacons.star, own/deep/scale.star, ./parts/sums.star, ./parts/quay.star, ./late.star), which runs alone.",
		"# Berths.\n#\n# A pad is a pad: _pad, helper.\n", "lamp_word = lamp\n", "  # its own _pad\n", `load("lib/repeaters.star", "chain", "pull_repeater")`,
		`"""Says _pad, double and helper."""`} {
		if !strings.Contains(strings.ReplaceAll(text, "star,\n# ", "star, "), want) {
			t.Errorf("the bundle says nowhere %q:\n%s", want, text)
		}
	}
}

// Trials see of a bundle what they see of the files: what a loaded file holds is frozen, even where a function holds it.
func TestBundleInTrials(t *testing.T) {
	printed, alone, text := bundledRuns(t,
		"work/mine.star", `load("own/line.star", "build", "send", "read", "cells")
frozen = 3
print(survey(design("line", build, send, read, range(1, 4)), rules = dict(travel = 2)))
expect_error(lambda: cells.append(1), "frozen")
bundle("friend.star")
`,
		"mine/line.star", `load("./inner.star", "put")
cells = [1]
def _maker(n):
    cells = [(i, 0) for i in range(n)]
    return lambda f: [f.wire(c) for c in cells]
_lay3 = _maker(3)
def build(f):
    ws = _lay3(f)
    put(f)
    return struct(input = ws[0], output = ws[2], probe = probe(ws[2]))
def send(rig, n):
    fire(rig.input, steps = n)
def read(rig):
    return rig.probe.width + (0 if rig.probe.width < 3 else 1)
`, "mine/inner.star", "_maker = [1]\ndef put(f, at = [5]):\n    f.lamp((at[0], 5 + len(_maker)))\n")
	sameButReport(t, printed, alone, text)
	if !strings.Contains(printed, "smallest counterexample: 3 is sent") {
		t.Errorf("the survey found something else:\n%s", printed)
	}
}

// What cannot be in a bundle is named, and nothing is written where it must not be.
func TestBundleRefuses(t *testing.T) {
	top := t.TempDir()
	writeFiles(t, top, "mine.star", "x = 1", "foreign.star", "y = 2", "loop.star", "load('./mine.star', 'x')\nload('./loop.star', 'z')\nz = 1",
		"wrong.star", "def x(n):\n    return n +\n", "self.star", "load('./mine.star', 'x')\nbundle('self.star', over=True)", "inner.star", "bundle('out.star')\nx = 1")
	t.Chdir(top)
	for _, test := range []struct{ src, want string }{
		{`bundle("out.txt")`, "bundle: out.txt: a script's name ends in .star"},
		{`bundle("foreign.star")`, `"foreign.star" is there already, and this session did not write it; take another name, or replace it with over=True`},
		{`bundle("../out.star")`, "is outside the working folder"},
		{"load('./mine.star', 'x')\nbundle('mine.star', over=True)", "mine.star is one of the files that are bundled; take another name"},
		{"bundle('out.star')\nload('./mine.star', 'w')", "name w not found in ./mine.star"},
		{"bundle('out.star')\nload('./main.star', 'x')", "there is no such file beside the script; there are: ./foreign.star"},
		{"bundle('out.star')\nload('./loop.star', 'z')", "load cycle"},
		{"bundle('out.star')\nload('./wrong.star', 'x')", "the line ends, want an expression"},
		{"load('./inner.star', 'x')", "a file that is being loaded cannot do this; do it in the script itself"},
	} {
		var out bytes.Buffer
		s := newSession(t, Config{Out: &out, Err: &out, Dir: top})
		s.Report(s.Exec(context.Background(), "<stdin>", test.src))
		if !strings.Contains(out.String(), test.want) {
			t.Errorf("%s\n%s\nwant %s", test.src, out.String(), test.want)
		}
		if _, err := os.Stat("out.star"); err == nil {
			t.Errorf("%s: something was written", test.src)
			os.Remove("out.star")
		}
	}
	var out bytes.Buffer
	s := newSession(t, Config{Out: &out, Err: &out, Dir: top})
	s.Report(s.ExecFile(context.Background(), "self.star", nil))
	if !strings.Contains(out.String(), "self.star is one of the files that are bundled") {
		t.Error(out.String())
	}
}

// The conversation is bundled as it would be saved, and tables that it reads are named.
func TestBundleConversation(t *testing.T) {
	top := t.TempDir()
	writeFiles(t, top, "quay.star", "def lay_all(n):\n    return [lamp((i, 0)) for i in range(n)]\ndef last(): return read_table(path=\"old.csv\")\ndef held(): return differ('log.json')\n")
	t.Chdir(top)
	var out bytes.Buffer
	s := newSession(t, Config{Out: &out, Err: &out, Dir: top})
	for _, src := range []string{"load('./quay.star', all='lay_all')", "all(3)", "nonsense", "1; bundle('x.star')", "t = table([[1]]); t.save('monday.csv')",
		"old = [read_table('monday.csv'), read_table('mon' + 'day.csv')]", "bundle('friend.star')", "bundle('friend.star')"} {
		s.Report(s.Command(context.Background(), src))
	}
	b, err := os.ReadFile("friend.star")
	want := `# A bundle: the conversation and 1 file it loads (./quay.star), which runs alone.
# Not in it, and read from files: log.json, monday.csv, old.csv, tables whose paths are worked out.

# From ./quay.star:
def lay_all(n):
    return [lamp((i, 0)) for i in range(n)]
def last(): return read_table(path="old.csv")
def held(): return differ('log.json')

# From the conversation:
# A pulsewright session.
all = lay_all
all(3)
t = table([[1]]); t.save('monday.csv')
old = [read_table('monday.csv'), read_table('mon' + 'day.csv')]
`
	if d := cmp.Diff(want, string(b)); err != nil || d != "" {
		t.Errorf("%v\n%s\n%s", err, d, out.String())
	}
	for _, want := range []string{"bundle: stands alone: bundle(path) is a command of its own",
		"wrote friend.star: the conversation and 1 file it loads (./quay.star), ", "; not in it, for they are read from files: log.json, monday.csv, old.csv, tables whose paths are worked out"} {
		if !strings.Contains(out.String(), want) {
			t.Errorf("%s\nwant %s", out.String(), want)
		}
	}
}

// Wherever a script says bundle, what it writes runs alone, in a folder in which there is nothing else, and does the same.
func TestBundleAnywhere(t *testing.T) {
	for _, body := range []string{
		"x = bundle('friend.star')\nprint(x)",
		"if arg('send', True):\n    bundle('friend.star')\nprint('sent')",
		"def pack(): bundle('friend.star')\npack()",
		"def pack(to):\n    for name in [to]:\n        print('packs', bundle(path=name))\npack('friend.star')",
		"[bundle(name) for name in ['friend.star']]",
		"write = bundle\nwrite('friend.star', over=True)",
		"bundle('friend.star') if arg('send', True) else None",
		"send = True\nsend and bundle('friend.star'); print(send)",
		"bundle('friend.star'); y = (1, bundle('friend.star'))\nprint(y)",
		"load('own/pack.star', 'pack')\nprint(pack('friend.star'))",
		"load('own/pack.star', 'pack')\nbundle = [1]\npack('friend.star')\nprint(bundle)",
	} {
		printed, alone, text := bundledRuns(t, "work/mine.star", "lamp((0, 0), name='berth')\n"+body+"\nprint(len(parts()))\n",
			"mine/pack.star", "def pack(to):\n    return bundle(to)\n")
		if !strings.Contains(printed, "wrote friend.star: ") || !strings.HasSuffix(alone, "1\n") {
			t.Errorf("%s\nprints\n%s\nand alone\n%s", body, printed, alone)
		}
		sameButReport(t, printed, alone, text)
	}
}
