package main

import (
	"context"
	"fmt"
	"os"
	"strings"
	"testing"

	"pulsewright/builtins"
	"pulsewright/lang"
)

// The README's table of words is made from the table that the words themselves are made from.
func TestREADMEWords(t *testing.T) {
	const path = "../../README.md"
	const from, to = "-update -->\n", "<!-- end of words -->"
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	head, rest, ok1 := strings.Cut(string(text), from)
	_, tail, ok2 := strings.Cut(rest, to)
	if !ok1 || !ok2 {
		t.Fatal("the README has no place for the words")
	}
	want := head + from + strings.TrimSpace(builtins.Markdown()) + "\n" + to + tail
	if want == string(text) {
		return
	}
	if !*update {
		t.Fatal("the README's table of words is stale; go test ./cmd/pulsewright -run README -update")
	}
	if err := os.WriteFile(path, []byte(want), 0o644); err != nil {
		t.Fatal(err)
	}
}

// What the README shows of a conversation or of a script is what comes out.
func TestREADMESessions(t *testing.T) {
	const path = "../../README.md"
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	parts := strings.Split(string(text), "```\n") // every second one stands between fences
	for i := 1; i < len(parts); i += 2 {
		switch block := parts[i]; {
		case strings.HasPrefix(block, "0.0 » "):
			parts[i] = conversation(t, block)
		case strings.HasPrefix(block, "$ go run ./cmd/pulsewright run "):
			parts[i] = endOfScript(t, block)
		}
	}
	want := strings.Join(parts, "```\n")
	if want == string(text) {
		return
	}
	if !*update {
		for i, line := range strings.Split(want, "\n") {
			if old := strings.Split(string(text), "\n"); i >= len(old) || old[i] != line {
				t.Fatalf("a session in the README is stale, at line %d: %q; go test ./cmd/pulsewright -run README -update", i+1, line)
			}
		}
	}
	if err := os.WriteFile(path, []byte(want), 0o644); err != nil {
		t.Fatal(err)
	}
}

// conversation says again what the user says in a block and returns the whole of it.
func conversation(t *testing.T, block string) string {
	t.Helper()
	var out strings.Builder
	s, err := lang.New(lang.Config{Out: &out, Dir: t.TempDir()})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	for line := range strings.Lines(block) {
		if _, said, ok := strings.Cut(line, " » "); ok && !strings.HasPrefix(line, " ") {
			now := s.Now()
			fmt.Fprintf(&out, "%d.%d » %s", now.Tick, now.Step, said)
			if err := s.Command(context.Background(), said); err != nil {
				t.Fatalf("%s: %v", said, err)
			}
		}
	}
	return out.String()
}

// endOfScript runs the script of a block and returns the block with as many lines of the end of its output.
func endOfScript(t *testing.T, block string) string {
	t.Helper()
	head, tail, ok := strings.Cut(block, "…\n")
	if !ok {
		t.Fatalf("no … in %q", block)
	}
	file := strings.TrimSpace(strings.TrimPrefix(head, "$ go run ./cmd/pulsewright run "))
	src, err := os.ReadFile("../../" + file)
	if err != nil {
		t.Fatal(err)
	}
	var out strings.Builder
	s, err := lang.New(lang.Config{Out: &out, Dir: t.TempDir()})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	if err := s.Exec(context.Background(), file, string(src)); err != nil {
		t.Fatal(err)
	}
	lines := strings.SplitAfter(out.String(), "\n")
	n := strings.Count(tail, "\n") + 1 // what follows the last line break is empty
	return head + "…\n" + strings.Join(lines[max(0, len(lines)-n):], "")
}
