package lang

import (
	"bytes"
	"context"
	"encoding/json"
	"strings"
	"testing"
)

// With JSON, Out holds one JSON object a line and nothing else; what is printed goes to Err.
func TestJSONLines(t *testing.T) {
	var out, errs bytes.Buffer
	s := newSession(t, Config{Out: &out, Err: &errs, JSON: true, Seed: 3})
	src := `
k = key((0, 0), name="quay \"1\"")
wire((1, 0), (2, 0))
m = link(name="shelf")
patch(k, m)
log(False)
press(k)
run()
print("hello")
back(1)
run()
fresh()
nudge((4, 5, -6))
key((4, 5, -6))
press((4, 5, -6))
run()
`
	if err := s.Exec(context.Background(), "a.star", src); err != nil {
		t.Fatal(err)
	}
	want := `{"format":"pulsewright-events","version":1,"seed":3}
{"bench":1,"event":1,"cause":0,"tick":1,"step":0,"turn":0,"part":1,"kind":"key","name":"quay \"1\"","cell":[0,0,0],"what":"on","level":0}
{"bench":1,"event":2,"cause":1,"tick":1,"step":0,"turn":0,"part":2,"kind":"wire","name":"","cell":[1,0,0],"what":"live","level":0}
{"bench":1,"event":3,"cause":1,"tick":1,"step":0,"turn":0,"part":3,"kind":"wire","name":"","cell":[2,0,0],"what":"live","level":0}
{"bench":1,"event":4,"cause":1,"tick":1,"step":1,"turn":0,"part":4,"kind":"link","name":"shelf","cell":null,"what":"out","level":0}
{"bench":1,"event":4,"cause":1,"tick":1,"step":1,"turn":0,"part":4,"kind":"link","name":"shelf","cell":null,"what":"out","level":0}
{"bench":2,"event":1,"cause":0,"tick":1,"step":0,"turn":0,"part":2,"kind":"key","name":"","cell":[4,5,-6],"what":"nudged","level":0}
{"bench":2,"event":2,"cause":0,"tick":1,"step":0,"turn":1,"part":2,"kind":"key","name":"","cell":[4,5,-6],"what":"on","level":0}
`
	if out.String() != want {
		t.Errorf("got:\n%swant:\n%s", out.String(), want)
	}
	if errs.String() != "hello\n" {
		t.Errorf("on the other stream: %q", errs.String())
	}
	for _, line := range strings.Split(strings.TrimSpace(out.String()), "\n") {
		var v map[string]any
		if err := json.Unmarshal([]byte(line), &v); err != nil {
			t.Errorf("%s: %v", line, err)
		}
	}
}

// An empty run still says what it is.
func TestJSONOfNothing(t *testing.T) {
	var out bytes.Buffer
	s := newSession(t, Config{Out: &out, JSON: true})
	if err := s.Exec(context.Background(), "a.star", ""); err != nil {
		t.Fatal(err)
	}
	if want := "{\"format\":\"pulsewright-events\",\"version\":1,\"seed\":0}\n"; out.String() != want {
		t.Errorf("%q, want %q", out.String(), want)
	}
}
