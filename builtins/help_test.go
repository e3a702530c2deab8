package builtins

import (
	"strings"
	"testing"

	"go.starlark.net/starlark"
)

// TestPaint: colours dress text and change nothing else.
func TestPaint(t *testing.T) {
	var p Paint
	p[Word] = "\x1b[1m"
	if got := p.Apply(Word, "a") + p.Apply(Dim, "b") + p.Apply(Word, ""); got != "\x1b[1ma\x1b[0mb" {
		t.Errorf("%q", got)
	}
	plain, dressed := &Env{}, &Env{}
	for s := range dressed.Paint {
		dressed.Paint[s] = "\x1b[35m"
	}
	strip := strings.NewReplacer("\x1b[35m", "", "\x1b[0m", "")
	for _, e := range Entries() {
		a, _ := plain.Help(starlark.String(e.Name))
		b, _ := dressed.Help(starlark.String(e.Name))
		if a == b || a != strip.Replace(b) {
			t.Errorf("help of %s differs in more than colour", e.Name)
		}
	}
}

// TestHelp holds help's text for one word of each sort.
func TestHelp(t *testing.T) {
	s := newScene()
	s.Width = 72
	msg := s.do(`
def mast(f, n=3, *rest, step, **more):
    """Builds a mast.

    It is n cells high.
    """
    return n
def bare():
    pass
for x in [None, "frame.cell", delay, wire, "time", mast, bare, json, len, frame().lamp, 3]:
    help(x)
    print("=" * 72)
lamp((0, 0), name="l")
help(now())
`)
	if msg != "" {
		t.Fatal(msg)
	}
	golden(t, "testdata/help.txt", s.out.Bytes())
	for i, line := range strings.Split(s.out.String(), "\n") {
		if Columns(line) > 72 {
			t.Errorf("line %d is %d columns wide: %s", i+1, Columns(line), line)
		}
	}
}

func TestNearest(t *testing.T) {
	among := []string{"delay", "lamp", "link", "wire", "reed", "expect_equal"}
	for word, want := range map[string]string{"dealy": "delay", "lmap": "lamp", "wires": "wire", "xyz": "", "": "", "li": "", "expectequal": "expect_equal", "delay": "", "read": "reed", "z": ""} {
		if got := Nearest(word, among); got != want {
			t.Errorf("Nearest(%q) = %q, want %q", word, got, want)
		}
	}
}

// TestHelpSaysHowThingsStand: what another word can change is shown as it is now.
func TestHelpSaysHowThingsStand(t *testing.T) {
	s := newScene()
	for _, how := range []string{"early", "late", "early"} {
		s.out.Reset()
		if msg := s.do("falls(\"" + how + "\")\nhelp(fire)"); msg != "" {
			t.Fatal(msg)
		}
		if text := strings.Join(strings.Fields(s.out.String()), " "); !strings.Contains(text, "at present "+how) {
			t.Errorf("after falls(%q):\n%s", how, s.out)
		}
	}
}

// TestHelpOfWordAndTopic: where a word and a topic have one name, both are shown.
func TestHelpOfWordAndTopic(t *testing.T) {
	both := 0
	for _, topic := range Topics() {
		if _, ok := Lookup(topic); !ok {
			continue
		}
		both++
		text, err := (&Env{Width: 500}).Help(starlark.String(topic))
		if err != nil {
			t.Fatal(err)
		}
		for _, e := range Entries() {
			if e.Topic == topic && !strings.Contains(text, e.Usage()) {
				t.Errorf("help(%q) does not show %s", topic, e.Name)
			}
		}
		if e, _ := Lookup(topic); !strings.Contains(text, e.Sentence) || !strings.Contains(text, "topic "+topic) {
			t.Errorf("help(%q):\n%s", topic, text)
		}
	}
	if both < 2 {
		t.Errorf("%d names of both sorts, want rules and help", both)
	}
}
