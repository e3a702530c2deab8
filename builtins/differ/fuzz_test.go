package differ

import (
	"math/rand/v2"
	"strings"
	"testing"

	"pulsewright/builtins/stage"
)

// FuzzReadLog reads any text as a log that export wrote: it is one whose events lead back to earlier ones, of parts that are known, or the error tells the line.
// Blanks in a line, which have it read with care, change nothing.
func FuzzReadLog(f *testing.F) {
	for seed := range uint64(3) {
		s := stage.New()
		stage.RandomPlan(rand.New(rand.NewPCG(seed, 15))).Calm().Play(s.Bench)
		dir := stage.InFolder(f, s)
		if msg := s.Do(`export("x.json")`); msg != "" {
			f.Fatal(msg)
		}
		text := stage.Read(f, dir, "x.json")
		lines := strings.SplitAfter(text, "\n")
		text = strings.Join(lines[:min(12, len(lines)-1)], "")
		for _, text := range []string{text, strings.Join(lines[:5], ""), text[:len(text)/2], strings.Replace(text, `"cause":0`, `"cause":2147483648`, 1), strings.Replace(text, `"part":`, `"part":9`, 1), strings.Replace(text, `"part":`, `"part":99999999`, 1),
			strings.Replace(text, `"event":3`, `"event":1`, 1), strings.Replace(text, `"bench":1`, `"bench":2`, 3), strings.Replace(text, "version\":1", "version\":2", 1), strings.Replace(text, `,"tick":`, `, "tick":`, 9)} {
			f.Add(text)
		}
	}
	f.Add("")
	never := func() error { return nil }
	f.Fuzz(func(t *testing.T, text string) {
		if len(text) > 1<<16 {
			t.Skip()
		}
		l, err := readLog(strings.NewReader(text), int64(len(text)), never)
		again, err2 := readLog(strings.NewReader(strings.ReplaceAll(text, `,"tick":`, `, "tick":`)), int64(len(text)), never)
		if (err == nil) != (err2 == nil) {
			t.Fatalf("%v; with blanks %v", err, err2)
		}
		if err != nil {
			if !strings.HasPrefix(err.Error(), "line ") && !strings.HasPrefix(err.Error(), "it is ") {
				t.Fatalf("%v names no line", err)
			}
			return
		}
		s := &side{saved: l}
		for i := range l.events {
			e := l.events[i]
			if int(e.Cause) > i || int(e.ID) >= len(l.at) || l.at[e.ID] == 0 || e.ID == 0 || e.Tick < 0 || e.Step < 0 || e.Turn < 0 {
				t.Fatalf("event %d is %+v", i+1, e)
			}
			s.label(e.ID)
			if e != again.events[i] {
				t.Fatalf("event %d is %+v, with blanks %+v", i+1, e, again.events[i])
			}
		}
	})
}
