package invent

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"pulsewright/builtins"
	"pulsewright/builtins/stage"
	"pulsewright/builtins/survey"

	"go.starlark.net/starlark"
)

// FuzzSearchFile takes any text for the file of a search, whole or a portion, and any text to which somebody has put the right sums. It is gathered, or gone
// on from: there is a report, or an error that names the file; what has its sums from nobody is taken only as far as it is what a search wrote.
func FuzzSearchFile(f *testing.F) {
	s := stage.New()
	s.Workers = 1
	dir := stage.InFolder(f, s)
	if err := stage.Session(f, s, cutUp); err != nil {
		f.Fatal(err)
	}
	var wrote []string
	for i, call := range cuts {
		s.Portion = builtins.Portion{Index: 1, Count: 1 + i%2}
		if err := stage.Session(f, s, "r = "+call); err != nil {
			f.Fatal(err)
		}
		data, err := os.ReadFile(filepath.Join(dir, string(s.Names["r"].(*builtins.Report).Fields["path"].(starlark.String))))
		if err != nil {
			f.Fatal(err)
		}
		text := string(data)
		wrote = append(wrote, text)
		lines := strings.SplitAfter(text, "\n")
		for _, text := range []string{text, strings.Join(lines[:min(3, len(lines))], ""), text[:len(text)-9], strings.Join(append(lines[1:], lines[0]), ""),
			strings.Replace(text, `"most":`, `"most":4`, 1), strings.Replace(text, `"parts":1`, `"parts":-1`, 1), strings.Replace(text, `"x":1`, `"x":99`, 1)} {
			f.Add(text, false)
			f.Add(text, true)
		}
	}
	f.Add("", false)
	f.Add("{}\n", true)
	path := filepath.Join(f.TempDir(), "quay.jsonl")
	f.Fuzz(func(t *testing.T, text string, forge bool) {
		if len(text) > 1<<18 {
			t.Skip()
		}
		if forge {
			text = forged(text)
		}
		var file searchFile
		err := file.read(path, []byte(text))
		if err != nil && !strings.HasPrefix(err.Error(), path+":") {
			t.Fatalf("%v\n%.2000s", err, text)
		}
		if err == nil && !forge && !asWritten(text, wrote) {
			t.Fatalf("taken for what a search wrote:\n%.2000s", text)
		}
		if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		said, err2 := GatherSearch([]string{path})
		if err2 == nil && (err != nil || said == "") || err2 != nil && !strings.Contains(err2.Error(), path) && !strings.Contains(err2.Error(), "missing") {
			t.Fatalf("read: %v; gathered: %v, %q\n%.2000s", err, err2, said, text)
		}
	})
}

// asWritten reports whether a text is the beginning of one of these, in whole lines.
func asWritten(text string, whole []string) bool {
	for _, w := range whole {
		if strings.HasPrefix(w, text) && strings.HasSuffix(text, "\n") {
			return true
		}
	}
	return false
}

// forged has the right sums in every line, and in its plan, as far as a line can be read at all.
func forged(text string) string {
	var out bytes.Buffer
	var file survey.Lines
	for i, line := range strings.Split(strings.TrimSuffix(text, "\n"), "\n") {
		if _, payload, ok := strings.Cut(line, `",`); ok && strings.HasPrefix(line, `{"sum":"`) {
			line = "{" + payload
		}
		var head searchHead
		if i == 0 && json.Unmarshal([]byte(line), &head) == nil && head.Plan != nil {
			head.Plan.Check = head.Plan.sum()
			file.Write(&out, head)
			continue
		}
		if !json.Valid([]byte(line)) || !strings.HasPrefix(line, "{") {
			out.WriteString(line + "\n")
			continue
		}
		file.Write(&out, json.RawMessage(line))
	}
	return out.String()
}
