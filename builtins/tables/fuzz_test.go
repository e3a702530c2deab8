package tables_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// FuzzReadTable reads any text as a table: it is one, or the error tells the place. What is read, saved and read again is the same.
func FuzzReadTable(f *testing.F) {
	forms := []string{".csv", ".json", ".jsonl"}
	for i, texts := range [][]string{
		{"a,b\n1,2\n", "a\n\"x\"\"y\"\n", "a,b\r\n'=1,\"two\nlines\"\r\n", "\ufeffa\nTrue\n", "a,a\n1,2\n", "a\n1,2\n", "\"a", "a\n1e400\n", "a\n" + strings.Repeat("9", 400) + "\n"},
		{`[{"a":1},{"a":null}]`, `[]`, `[{"a":[1,{"b":2}]}]`, `[{"a":1,"a":2}]`, `[[`, `[{"a":1e999}]`, `{"a":1}`, `[{"":""}]`},
		{"{\"a\":1}\n{\"a\":true}\n", "{}", "{\"a\":1}\n{\"b\":1}\n", "\n\n", "{\"a\":\"\\ud800\"}\n", "{\"a\":\"\\u0000\"}\n"},
	} {
		for _, text := range texts {
			f.Add(byte(i), text)
		}
	}
	f.Fuzz(func(t *testing.T, form byte, text string) {
		dir, end := t.TempDir(), forms[int(form)%len(forms)]
		if err := os.WriteFile(filepath.Join(dir, "a"+end), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		_, err := run(t, dir, "read_table('a"+end+"')")
		if err != nil {
			if strings.Contains(err.Error(), "internal error") || !strings.Contains(err.Error(), "a"+end) {
				t.Fatal(err)
			}
			return
		}
		if _, err := run(t, dir, "read_table('a"+end+"').save('b"+end+"')\nread_table('b"+end+"').save('c"+end+"')"); err != nil {
			t.Fatal(err)
		}
		b, err := os.ReadFile(filepath.Join(dir, "b"+end))
		if err != nil {
			t.Fatal(err)
		}
		if c, err := os.ReadFile(filepath.Join(dir, "c"+end)); err != nil || string(c) != string(b) {
			t.Errorf("saved %q, read and saved again %q, %v", b, c, err)
		}
	})
}
