package main

import (
	"os"
	"path/filepath"
	"testing"
	"unicode/utf8"
)

// FuzzHistory reads any bytes as the file of earlier commands: what is added then is there the next time, and nothing of it is lost.
func FuzzHistory(f *testing.F) {
	for _, text := range []string{"", "\"x = 1\"\n", "\"x = 1\"", "\"x", "null\n7\n\"\"\n", "\x00\xff\n", "\"a\\nb\"\n\"\\u001b\"\n"} {
		f.Add([]byte(text), "press(\"quay\")")
	}
	f.Fuzz(func(t *testing.T, data []byte, chunk string) {
		if len(data) > 1<<16 || chunk == "" || !utf8.ValidString(chunk) {
			t.Skip() // what is typed comes in letters
		}
		path := filepath.Join(t.TempDir(), "history")
		if err := os.WriteFile(path, data, 0o600); err != nil {
			t.Fatal(err)
		}
		h := openHistory(path, nil, func(text string) { t.Error(text) })
		before := len(h.chunks)
		h.add(chunk)
		again := openHistory(path, nil, func(text string) { t.Error(text) })
		if len(again.chunks) < min(before, historyLimit) || len(h.chunks) > before && again.chunks[len(again.chunks)-1] != h.chunks[len(h.chunks)-1] {
			t.Errorf("%q and %q: %d, then %d chunks: %q", data, chunk, before, len(again.chunks), again.chunks)
		}
	})
}
