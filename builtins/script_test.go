package builtins

import (
	"bytes"
	"context"
	"strings"
	"testing"

	"pulsewright/engine"

	"go.starlark.net/starlark"
	"go.starlark.net/syntax"
)

// options are the dialect the language uses.
var options = &syntax.FileOptions{Set: true, While: true, TopLevelControl: true, GlobalReassign: true, Recursion: true}

// host is a session that only remembers what it was asked.
type host struct{ asked []string }

func (h *host) Undo() (string, error) { h.asked = append(h.asked, "undo"); return "undone: it", nil }
func (h *host) Redo() (string, error) {
	h.asked = append(h.asked, "redo")
	return "done again: it", nil
}
func (h *host) Save(path string, over Over) (string, error) {
	h.asked = append(h.asked, "save "+path)
	return "saved", nil
}

// scene is one script's world, and what it printed.
type scene struct {
	*Env
	out    *bytes.Buffer
	thread *starlark.Thread
	names  starlark.StringDict
}

func newScene() *scene {
	out := new(bytes.Buffer)
	env := &Env{Bench: engine.New(engine.DefaultRules()), Out: out, Seed: 1, History: true, Try: tryAlone}
	env.Bench.KeepHistory(true)
	s := &scene{env, out, &starlark.Thread{Name: "test"}, Predeclared()}
	s.thread.Print = func(_ *starlark.Thread, msg string) { out.WriteString(msg + "\n") }
	env.Attach(s.thread)
	return s
}

// tryAlone runs a script in a scene of its own.
func tryAlone(_ context.Context, script string) error {
	s := newScene()
	_, err := starlark.ExecFileOptions(options, s.thread, "alone.star", script, s.names)
	return err
}

// do runs a script in the scene and returns the message of its error, "" if it worked. Its names stay.
func (s *scene) do(script string) string {
	globals, err := starlark.ExecFileOptions(options, s.thread, "test.star", script, s.names)
	for k, v := range globals {
		s.names[k] = v
	}
	if err != nil {
		return message(err)
	}
	return ""
}

func mustDo(t *testing.T, script string) *scene {
	t.Helper()
	s := newScene()
	if msg := s.do(script); msg != "" {
		t.Fatalf("%s\n%s", script, msg)
	}
	return s
}

// TestExamples runs the example of every word.
func TestExamples(t *testing.T) {
	for _, e := range Entries() {
		t.Run(e.Name, func(t *testing.T) {
			if e.Example == "" {
				t.Fatal("no example")
			}
			s := newScene()
			s.Host = &host{}
			inFolder(t, s)
			if msg := s.do(e.Example); msg != "" {
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
	for _, topic := range Topics() {
		known[topic] = true
	}
	words := Predeclared()
	for _, e := range Entries() {
		if !known[e.Topic] {
			t.Errorf("%s: unknown topic %q", e.Name, e.Topic)
		}
		if !strings.HasSuffix(e.Sentence, ".") {
			t.Errorf("%s: the sentence has no end: %q", e.Name, e.Sentence)
		}
		if len(e.Params) > maxParams {
			t.Errorf("%s: %d parameters, at most %d fit", e.Name, len(e.Params), maxParams)
		}
		for _, see := range e.See {
			if _, ok := Lookup(see); !ok || see == e.Name {
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
	if rows := strings.Count(Markdown(), "\n| `"); rows != len(Entries()) {
		t.Errorf("the table has %d rows for %d words", rows, len(Entries()))
	}
	for _, r := range Markdown() + strings.Join(Topics(), "") {
		if r > 0x7e {
			t.Fatalf("the table is not plain ASCII: %q", r)
		}
	}
	for name, v := range words {
		switch name {
		case "json", "math", "struct":
		default:
			if _, ok := Lookup(name); !ok {
				t.Errorf("%s (%s) is not in the table", name, v.Type())
			}
		}
	}
}
