//go:build linux

package main

import (
	"maps"
	"slices"
	"strings"
	"testing"
)

// What users of a shell and of a command expect, one after another, each on a terminal of its own.

// expected is what it is about, by the names of its tests: "history", "history: at home".
var expected = []string{
	"history", "search", "completion", "blocks", "paste", "Ctrl-C at the prompt", "Ctrl-C while running", "Ctrl-D", "results", "help", "undo", "keeping",
	"script, then shell", "pipe", "exit codes", "--help, version", "streams", "colour", "glyphs", "width", "pager", "progress", "machine output", "repeatable", "tests", "errors", "completion scripts, manual",
}

// TestTerminalExpected: all that is expected has a test, and every test is of something that is.
func TestTerminalExpected(t *testing.T) {
	names := slices.Collect(maps.Keys(typingTests))
	names = slices.AppendSeq(names, maps.Keys(runningTests))
	for _, c := range lineTests {
		names = append(names, c.name)
	}
	held := map[string]bool{}
	for _, name := range names {
		about, _, _ := strings.Cut(name, ": ")
		if held[about] = true; !slices.Contains(expected, about) {
			t.Errorf("%s: nobody expects that", name)
		}
	}
	for _, about := range expected {
		if !held[about] {
			t.Errorf("%s has no test", about)
		}
	}
}
