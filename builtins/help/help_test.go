package help_test

import (
	"pulsewright/builtins"
	"pulsewright/builtins/help"
	"pulsewright/builtins/say"
	"pulsewright/builtins/stage"

	"strings"
	"testing"

	"go.starlark.net/starlark"
)

// TestPaint: colours dress text and change nothing else.
func TestPaint(t *testing.T) {
	var p say.Paint
	p[say.Word] = "\x1b[1m"
	if got := p.Apply(say.Word, "a") + p.Apply(say.Dim, "b") + p.Apply(say.Word, ""); got != "\x1b[1ma\x1b[0mb" {
		t.Errorf("%q", got)
	}
	plain, dressed := &builtins.Env{}, &builtins.Env{}
	for s := range dressed.Paint {
		dressed.Paint[s] = "\x1b[35m"
	}
	strip := strings.NewReplacer("\x1b[35m", "", "\x1b[0m", "")
	for _, e := range builtins.Entries() {
		a, _ := help.On(plain, starlark.String(e.Name))
		b, _ := help.On(dressed, starlark.String(e.Name))
		if a == b || a != strip.Replace(b) {
			t.Errorf("help of %s differs in more than colour", e.Name)
		}
	}
}

// TestHelp holds help's text for one word of each sort.
func TestHelp(t *testing.T) {
	s := stage.New()
	s.Width = 72
	msg := s.Do(`
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
	stage.Golden(t, "testdata/help.txt", s.Printed.Bytes())
	for i, line := range strings.Split(s.Printed.String(), "\n") {
		if say.Columns(line) > 72 {
			t.Errorf("line %d is %d columns wide: %s", i+1, say.Columns(line), line)
		}
	}
}

func TestNearest(t *testing.T) {
	among := []string{"delay", "lamp", "link", "wire", "reed", "expect_equal"}
	for word, want := range map[string]string{"dealy": "delay", "lmap": "lamp", "wires": "wire", "xyz": "", "": "", "li": "", "expectequal": "expect_equal", "delay": "", "read": "reed", "z": ""} {
		if got := say.Nearest(word, among); got != want {
			t.Errorf("Nearest(%q) = %q, want %q", word, got, want)
		}
	}
}

// TestHelpSaysHowThingsStand: what another word can change is shown as it is now.
func TestHelpSaysHowThingsStand(t *testing.T) {
	s := stage.New()
	for _, how := range []string{"early", "late", "early"} {
		s.Printed.Reset()
		if msg := s.Do("falls(\"" + how + "\")\nhelp(fire)"); msg != "" {
			t.Fatal(msg)
		}
		if text := strings.Join(strings.Fields(s.Printed.String()), " "); !strings.Contains(text, "at present "+how) {
			t.Errorf("after falls(%q):\n%s", how, s.Printed)
		}
	}
}

// TestHelpOfWordAndTopic: where a word and a topic have one name, both are shown.
func TestHelpOfWordAndTopic(t *testing.T) {
	both := 0
	for _, topic := range builtins.Topics() {
		if _, ok := builtins.Lookup(topic); !ok {
			continue
		}
		both++
		text, err := help.On((&builtins.Env{Width: 500}), starlark.String(topic))
		if err != nil {
			t.Fatal(err)
		}
		for _, e := range builtins.Entries() {
			if e.Topic == topic && !strings.Contains(text, e.Usage()) {
				t.Errorf("help(%q) does not show %s", topic, e.Name)
			}
		}
		if e, _ := builtins.Lookup(topic); !strings.Contains(text, e.Sentence) || !strings.Contains(text, "topic "+topic) {
			t.Errorf("help(%q):\n%s", topic, text)
		}
	}
	if both < 2 {
		t.Errorf("%d names of both sorts, want rules and help", both)
	}
}
