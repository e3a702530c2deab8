package lesson

import (
	"bytes"
	"context"
	"encoding/csv"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"pulsewright/builtins/say"
	"pulsewright/lang"
)

// FuzzProgress reads any bytes as what a learner has done, which goes into the sheet of a class and on in a lesson: it is refused by its name, or written
// again and read again it is the same, and no cell is obeyed by a terminal or computed by a spreadsheet.
func FuzzProgress(f *testing.F) {
	for _, text := range []string{"", "{}", `{"pulsewright_lessons":1}`, `{"pulsewright_lessons":2,"lessons":{}}`, `{"pulsewright_lessons":1,"lessons":{"ticks":null,"steps":{"begun":true,"marks":{"a":null,"b":{"state":"right","given":"3"}}}}}`,
		`{"pulsewright_lessons":1,"lessons":{"trial":{"begun":true,"at":"one","marks":{"one":{"state":"skipped","hints":-1,"tries":9223372036854775807}}}}}`,
		`{"pulsewright_lessons":1,"lessons":{"trial":{"begun":true,"done":true,"at":"two","marks":{"two":{"work":["key((0, 0))"]}}}}}`,
		`{"pulsewright_lessons":1,"lessons":{"\u001b[2J":{"begun":true,"marks":{"=1+2":{"state":"@x","given":"\u009b"}}}}}`, `{"pulsewright_lessons":1,"lessons":{"":{"begun":true}}} x`, "[[["} {
		f.Add([]byte(text))
	}
	lesson := filepath.Join(f.TempDir(), "trial.star")
	if err := os.WriteFile(lesson, []byte(shortLesson), 0o600); err != nil {
		f.Fatal(err)
	}
	l, err := FromFile(context.Background(), lang.Config{Seed: 1}, lesson)
	if err != nil {
		f.Fatal(err)
	}
	path := filepath.Join(f.TempDir(), "lessons.json")
	f.Fuzz(func(t *testing.T, data []byte) {
		if len(data) > 1<<16 {
			t.Skip()
		}
		if err := os.WriteFile(path, data, 0o600); err != nil {
			t.Fatal(err)
		}
		p, err := Load(path)
		if err != nil {
			if !strings.HasPrefix(err.Error(), path+" is no file of progress") {
				t.Fatal(err)
			}
			return
		}
		p.Next()
		sheet := NewSheet()
		sheet.Add("anna", p)
		var text, table, wrote, again bytes.Buffer
		sheet.Text(&text, 40)
		if safe := say.Printable(text.String()); safe != text.String() {
			t.Errorf("the sheet holds %q", text.String())
		}
		if err := sheet.CSV(&table); err != nil {
			t.Fatal(err)
		}
		rows, err := csv.NewReader(&table).ReadAll()
		if err != nil {
			t.Fatal(err)
		}
		for _, row := range rows {
			for _, cell := range row[:5] {
				if strings.ContainsAny(cell[:min(1, len(cell))], "=+-@\t\r") {
					t.Errorf("a spreadsheet would compute %q", cell)
				}
			}
		}
		if err := p.Write(&wrote); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, wrote.Bytes(), 0o600); err != nil {
			t.Fatal(err)
		}
		q, err := Load(path)
		if err != nil || q.Write(&again) != nil || again.String() != wrote.String() {
			t.Errorf("%v: written %q, and read and written again %q", err, wrote.String(), again.String())
		}
		if m := p.Lessons["trial"]; m != nil { // it goes on, wherever that was
			p.path = ""
			for _, mark := range m.Mark {
				mark.Work = nil // that is commands: any text may stand there
			}
			var out bytes.Buffer
			in := lines{"back", "3", "hint", "check", "skip"}
			w := &Walk{Lesson: l, Config: lang.Config{Seed: 1, Out: &out, Err: &out}, In: &in, Context: forever, Progress: p}
			if err := w.Run(); err != nil && err != ErrLeft {
				t.Errorf("%v\n%s", err, out.String())
			}
			if safe := say.Printable(out.String()); safe != out.String() {
				t.Errorf("the lesson shows %q", out.String())
			}
		}
	})
}

// shortLesson has a prediction and an exercise.
const shortLesson = `
lesson("At the quay", minutes=1)
predict("How many lamps?", "lamp((1, 0))", form="number", answer=lambda names: len(parts("lamp")), why="print(parts())", key="one")
exercise("Place a key.", check=lambda names: None if parts("key") else "no key yet", solutions=["key((0, 0))"], key="two")
`
