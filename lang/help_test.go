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
