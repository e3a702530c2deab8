package survey

import (
	"bytes"
	"context"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"pulsewright/builtins/stage"
)

// FuzzGather gathers what looks like the only portion of a survey: any text, and any text to which somebody has put the right sums. There is a
// report, or an error that names the file or what is missing; nothing breaks down.
func FuzzGather(f *testing.F) {
	files, err := portionsOf(f, portionLine, 1)
	if err != nil {
		f.Fatal(err)
	}
	whole, err := os.ReadFile(files[0])
	if err != nil {
		f.Fatal(err)
	}
	some := strings.Join(strings.SplitAfter(string(whole), "\n")[:4], "")
	for _, text := range []string{string(whole), some, some[:len(some)-9], "", "{}\n", strings.Replace(some, `"count":1`, `"count":0`, 1), strings.Replace(some, `"index":1`, `"index":2`, 1)} {
		f.Add(text, false)
		f.Add(text, true)
	}
	f.Fuzz(func(t *testing.T, text string, forge bool) {
		if len(text) > 1<<20 {
			t.Skip()
		}
		if forge {
			text = forged(text)
		}
		path := filepath.Join(t.TempDir(), "survey.jsonl")
		if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		ctx, cancel := context.WithTimeout(context.Background(), 5*time.Second)
		defer cancel()
		report, _, err := GatherSurvey(ctx, []string{path}, stage.TryAlone)
		if err != nil && ctx.Err() == nil && !strings.Contains(err.Error(), path) && !strings.Contains(err.Error(), "missing") || err == nil && report == "" {
			t.Errorf("%v, %q, for:\n%.2000s", err, report, text)
		}
	})
}

// forged has the right sums in every line, and in its plan, as far as a line can be read at all.
func forged(text string) string {
	var out bytes.Buffer
	var file portionFile
	for i, line := range strings.Split(strings.TrimSuffix(text, "\n"), "\n") {
		if _, payload, ok := strings.Cut(line, `",`); ok && strings.HasPrefix(line, `{"sum":"`) {
			line = "{" + payload
		}
		var head portionHead
		if i == 0 && json.Unmarshal([]byte(line), &head) == nil && head.Plan != nil {
			head.Plan.Check = head.Plan.Sum()
			file.begin(&out, head.Plan, head.Portion)
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
