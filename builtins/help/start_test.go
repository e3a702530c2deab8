package help

import (
	"slices"
	"strings"
	"testing"

	"pulsewright/builtins"
	"pulsewright/builtins/say"

	"go.starlark.net/starlark"
)

// TestFirstTerms: what the first page names can be looked up.
func TestFirstTerms(t *testing.T) {
	e := &builtins.Env{Width: 80}
	for _, word := range append(slices.Clone(firstTerms), builtins.Topics()...) {
		if _, err := On(e, starlark.String(word)); err != nil {
			t.Errorf("the first page sends to %q: %v", word, err)
		}
	}
	for topic := range topicTasks {
		if !slices.Contains(builtins.WordTopics(), topic) {
			t.Errorf("there is no topic %q", topic)
		}
	}
}

// TestFirstPage: it fits on a small terminal, names every topic, and is no list of words.
func TestFirstPage(t *testing.T) {
	text := startHelp(&builtins.Env{Width: 80})
	lines := strings.Split(text, "\n")
	for _, line := range lines {
		if say.Columns(line) > 80 {
			t.Errorf("wider than 80: %q", line)
		}
	}
	for _, topic := range builtins.WordTopics() {
		if topic != "help" && (topicTasks[topic] == "" || !strings.Contains(text, "\n  "+topic)) {
			t.Errorf("no topic %s, or not what one finds there:\n%s", topic, text)
		}
	}
	if !strings.Contains(text, "pulsewright guide") || !strings.Contains(text, "pulsewright lesson") {
		t.Errorf("no guide, or no lessons:\n%s", text)
	}
	if len(lines) > 21 { // of 24 the prompts take two, and a status line may take one
		t.Errorf("%d lines:\n%s", len(lines), text)
	}
}
