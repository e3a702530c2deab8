package main

import (
	"os"
	"strings"
	"testing"

	"pulsewright/builtins"
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
