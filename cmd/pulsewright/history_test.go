package main

import (
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"testing"
)

func open(t *testing.T, path string) *history {
	t.Helper()
	return openHistory(path, nil, func(text string) { t.Errorf("warned: %s", text) })
}

func TestHistory(t *testing.T) {
	path := filepath.Join(t.TempDir(), "state", "pulsewright", "history")
	h := open(t, path)
	for _, chunk := range []string{"a = 1", "a = 1", "", "\n", "def f():\n    return \"<ü>\"\n\n", "a = 1", "  \n"} {
		h.add(chunk)
	}
	want := []string{"a = 1", "def f():\n    return \"<ü>\"", "a = 1"}
	if !reflect.DeepEqual(h.chunks, want) {
		t.Errorf("got %q, want %q", h.chunks, want)
	}
	if again := open(t, path); !reflect.DeepEqual(again.chunks, want) {
		t.Errorf("read again: got %q, want %q", again.chunks, want)
	}
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if want := "\"a = 1\"\n\"def f():\\n    return \\\"<ü>\\\"\"\n\"a = 1\"\n"; string(text) != want {
		t.Errorf("file: got %s, want %s", text, want)
	}
	for name, want := range map[string]os.FileMode{path: 0o600, filepath.Dir(path): 0o700} {
		if info, err := os.Stat(name); err != nil || info.Mode().Perm() != want {
			t.Errorf("%s: got mode %v, want %v", name, info.Mode().Perm(), want)
		}
	}
}

func TestHistoryKeepsTheNewest(t *testing.T) {
	path := filepath.Join(t.TempDir(), "history")
	if err := os.WriteFile(path, []byte("not JSON\n\"\"\n{}\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	h := open(t, path)
	total := historyLimit + historySlack + 1
	for i := range total {
		h.add(fmt.Sprint(i))
	}
	if len(h.chunks) != historyLimit || h.chunks[0] != fmt.Sprint(total-historyLimit) {
		t.Errorf("%d chunks from %s", len(h.chunks), h.chunks[0])
	}
	again := open(t, path) // writes the file anew
	if !reflect.DeepEqual(again.chunks, h.chunks) {
		t.Errorf("read again: %d chunks from %s", len(again.chunks), again.chunks[0])
	}
	text, _ := os.ReadFile(path)
	if lines := len(splitLines(string(text))); lines != historyLimit {
		t.Errorf("%d lines in the file, want %d", lines, historyLimit)
	}
	if info, err := os.Stat(path); err != nil || info.Mode().Perm() != 0o600 {
		t.Errorf("mode %v", info.Mode().Perm())
	}
}

func splitLines(text string) []string {
	var out []string
	for i := 0; i < len(text); {
		j := i
		for j < len(text) && text[j] != '\n' {
			j++
		}
		out = append(out, text[i:j])
		i = j + 1
	}
	return out
}

// A history that cannot be written is one warning, and the session still has it.
func TestHistoryUnwritable(t *testing.T) {
	file := filepath.Join(t.TempDir(), "file")
	if err := os.WriteFile(file, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	var warnings []string
	h := openHistory(filepath.Join(file, "pulsewright", "history"), nil, func(text string) { warnings = append(warnings, text) })
	h.add("a = 1")
	h.add("b = 2")
	if len(warnings) != 1 {
		t.Errorf("warned %q, want one warning", warnings)
	}
	if want := []string{"a = 1", "b = 2"}; !reflect.DeepEqual(h.chunks, want) {
		t.Errorf("got %q, want %q", h.chunks, want)
	}
}

// A line that was cut off, by a full disk or a crash, takes nothing with it that comes after it.
func TestHistoryCutOff(t *testing.T) {
	path := filepath.Join(t.TempDir(), "history")
	if err := os.WriteFile(path, []byte("\"a = 1\"\n\"b = "), 0o600); err != nil {
		t.Fatal(err)
	}
	open(t, path).add("c = 3")
	if h := open(t, path); !reflect.DeepEqual(h.chunks, []string{"a = 1", "c = 3"}) {
		t.Errorf("got %q", h.chunks)
	}
}

func TestHistoryPath(t *testing.T) {
	for _, test := range []struct {
		state, home, want string
	}{
		{"/s", "/h", "/s/pulsewright/history"},
		{"", "/h", "/h/.local/state/pulsewright/history"},
		{"relative", "/h", "/h/.local/state/pulsewright/history"},
	} {
		getenv := func(name string) string {
			return map[string]string{"XDG_STATE_HOME": test.state, "HOME": test.home}[name]
		}
		if got, err := historyPath(getenv); err != nil || got != filepath.FromSlash(test.want) {
			t.Errorf("%+v: got %s, %v", test, got, err)
		}
	}
}
