package lang

import (
	"bytes"
	"context"
	"slices"
	"strings"
	"testing"

	"pulsewright/builtins"
)

// Help is paged, and every word and topic has some.
func TestHelp(t *testing.T) {
	var out bytes.Buffer
	var pages []string
	s := newSession(t, Config{Out: &out, Page: func(text string) { pages = append(pages, text) }})
	ask := func(src, want string) {
		t.Helper()
		pages = nil
		if err := s.Command(context.Background(), src); err != nil {
			t.Fatalf("%s: %v", src, err)
		}
		if len(pages) != 1 || !strings.Contains(pages[0], want) {
			t.Errorf("%s shows %q, want %q in it", src, pages, want)
		}
	}
	for _, e := range Entries() {
		first := strings.Join(strings.Fields(e.Sentence)[:3], " ")
		ask(e.Name+"?", first)
		ask("help(\""+e.Name+"\")", first)
	}
	for _, topic := range builtins.Topics() {
		if !slices.ContainsFunc(Entries(), func(e builtins.Entry) bool { return e.Topic == topic }) {
			continue
		}
		ask("help(\""+topic+"\")", topic)
		ask(topic+"?", topic)
		ask("?", topic)
	}
	if out.Len() > 0 {
		t.Errorf("also shown: %q", out.String())
	}
}

// TestHelpOnOwn: in a script, too, help explains functions and kinds of the script's own by their names, and knows those when a name is wrong.
func TestHelpOnOwn(t *testing.T) {
	const script = `
def ships(berth, n = 3):
    """Counts the ships of a berth."""
    return n

def press(k):
    """Presses softly."""

watcher = kind("mast", ["waits", "saw"], lambda state, live, told: None, letter = "y")
watcher((0, 0), "+x")
armed = 3
`
	for about, want := range map[string]string{
		"ships":   "ships(berth, n=3)\nCounts the ships of a berth.\n",
		"press":   "press(k)\nPresses softly.\n",
		"watcher": "mast(at, facing, state=\"waits\", name=None)\nor without",
		"mast":    "mast(at, facing, state=\"waits\", name=None)\nor without",
		"armed":   "armed()\n",
		"shisp":   "help: no word, topic or term \"shisp\"; did you mean ships?",
		"watchr":  "help: no word, topic or term \"watchr\"; did you mean watcher?",
	} {
		var out bytes.Buffer
		s := newSession(t, Config{Out: &out})
		err := s.Exec(context.Background(), "quay.star", script+"help(\""+about+"\")\n")
		got := out.String()
		if err != nil {
			got = err.Error()
		}
		if !strings.Contains(got, want) || strings.Count(got, "or without") > 1 {
			t.Errorf("help(%q) says %q, want %q", about, got, want)
		}
	}
}
