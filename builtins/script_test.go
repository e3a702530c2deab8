package builtins_test

import (
	"pulsewright/builtins"
	"pulsewright/builtins/stage"

	"strings"
	"testing"
)

// TestExamples runs the example of every word.
func TestExamples(t *testing.T) {
	for _, e := range builtins.Entries() {
		t.Run(e.Name, func(t *testing.T) {
			if e.Example == "" {
				t.Fatal("no example")
			}
			s := stage.New()
			s.Host = &stage.Host{}
			stage.InFolder(t, s)
			if msg := s.Do(e.Example); msg != "" {
				t.Errorf("%s\n%s", e.Example, msg)
			}
			if err := s.Bench.Check(); err != nil {
				t.Error(err)
			}
		})
	}
}

// TestTable holds the table of words to its own rules.
func TestTable(t *testing.T) {
	known := map[string]bool{}
	for _, topic := range builtins.Topics() {
		known[topic] = true
	}
	words := builtins.Predeclared()
	for _, e := range builtins.Entries() {
		if !known[e.Topic] {
			t.Errorf("%s: unknown topic %q", e.Name, e.Topic)
		}
		if !strings.HasSuffix(e.Sentence, ".") {
			t.Errorf("%s: the sentence has no end: %q", e.Name, e.Sentence)
		}
		if len(e.Params) > builtins.MaxParams {
			t.Errorf("%s: %d parameters, at most %d fit", e.Name, len(e.Params), builtins.MaxParams)
		}
		for _, see := range e.See {
			if _, ok := builtins.Lookup(see); !ok || see == e.Name {
				t.Errorf("%s: see also %q, which is no other word", e.Name, see)
			}
		}
		if _, ok := words[e.Name]; !ok && !strings.HasPrefix(e.Name, "frame.") {
			t.Errorf("%s is not predeclared", e.Name)
		}
		named := map[string]bool{}
		byName := false
		for _, p := range e.Params {
			if named[p.Name] {
				t.Errorf("%s: two parameters %s", e.Name, p.Name)
			}
			named[p.Name] = true
			if p.Doc == "" || p.Type == "" {
				t.Errorf("%s: parameter %s is not explained", e.Name, p.Name)
			}
			if !p.Optional && p.Default != "" {
				t.Errorf("%s: parameter %s has a default but is not optional", e.Name, p.Name)
			}
			if byName && !p.Keyword {
				t.Errorf("%s: parameter %s by position after one by name", e.Name, p.Name)
			}
			byName = p.Keyword
		}
	}
	if rows := strings.Count(builtins.Markdown(), "\n| `"); rows != len(builtins.Entries()) {
		t.Errorf("the table has %d rows for %d words", rows, len(builtins.Entries()))
	}
	for _, r := range builtins.Markdown() + strings.Join(builtins.Topics(), "") {
		if r > 0x7e {
			t.Fatalf("the table is not plain ASCII: %q", r)
		}
	}
	for name, v := range words {
		switch name {
		case "json", "math", "struct":
		default:
			if _, ok := builtins.Lookup(name); !ok {
				t.Errorf("%s (%s) is not in the table", name, v.Type())
			}
		}
	}
}
