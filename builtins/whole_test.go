package builtins_test

import (
	"context"
	"strings"
	"testing"

	"pulsewright/builtins"
	"pulsewright/builtins/stage"
)

// endsAt is a context that ends when it is asked for the n-th time.
type endsAt struct {
	context.Context
	left *int
}

func (c endsAt) Err() error {
	if *c.left--; *c.left < 0 {
		return context.Canceled
	}
	return nil
}

const mole = `
k = key((-1, 0), name="mole")
wire((0, 0), (5, 0), name="quay")
reed((0, 1), (5, 1), "+y")
patch(k, lamp((9000, 3)))
`

// What comes after a word: which numbers parts get, what happens, what there is to see.
const after = `
last = wire((9001, 0))
wire((9000, 1), (9000, 2))
press("mole")
run()
print(events(), parts(), last, armed())
`

// Many parts are placed or taken away at once, or none: what comes after is as if it had not been tried.
func TestAllOrNone(t *testing.T) {
	for name, c := range map[string]struct {
		script, want string
		asked        int // how often it may ask whether to go on, of those it asks; 0: always
	}{
		"a row":                {`wire((6, 3), (9500, 3), name="pier")`, "already holds a lamp", 0},
		"a bent row":           {`wire(path=[(6, 2), (8000, 2), (8000, 3), (9500, 3)])`, "already holds a lamp", 0},
		"a row of reeds":       {`reed((6, 3), (9500, 3), "+y")`, "already holds a lamp", 0},
		"copies":               {`sketch("+", at=(6, 3), times=9500, pitch=(1, 0))`, "already holds a lamp", 0},
		"a row that is short":  {`wire((8900, 3), (9010, 3), name="pier")`, "already holds a lamp", 0},
		"a row, stopped":       {`wire((6, 4), (99999, 4), name="pier")`, "stopped at", 10},
		"copies, stopped":      {`sketch("+", at=(6, 4), times=99999, pitch=(1, 0))`, "stopped at", 10},
		"a list, stopped":      {`wire(path=[(n, 4) for n in range(99999)])`, "stopped at", 10},
		"taking away, stopped": {`remove(yard)`, "stopped at", 14},
	} {
		t.Run(name, func(t *testing.T) {
			s, never := stage.MustDo(t, mole), stage.MustDo(t, mole)
			if strings.Contains(c.script, "yard") {
				for _, s := range []*stage.Scene{s, never} {
					if msg := s.Do(`yard = wire((0, 10), (39999, 10))`); msg != "" {
						t.Fatal(msg)
					}
				}
			}
			if c.asked > 0 {
				s.Ctx = endsAt{context.Background(), &c.asked}
			}
			if msg := s.Do(c.script); !strings.Contains(msg, c.want) {
				t.Fatalf("%q, want %q in it", msg, c.want)
			}
			s.Ctx = nil
			if a, b := s.Bench.Fingerprint(), never.Bench.Fingerprint(); a != b || s.Bench.Len() != never.Bench.Len() {
				t.Error("the bench is another")
			}
			for _, s := range []*stage.Scene{s, never} {
				if msg := s.Do(after); msg != "" {
					t.Fatal(msg)
				}
			}
			if a, b := s.Printed.String(), never.Printed.String(); a != b {
				t.Errorf("got\n%.2000s\nwithout it\n%.2000s", a, b)
			}
			if a, b := s.Names["last"].(builtins.Part).ID, never.Names["last"].(builtins.Part).ID; a != b && !strings.Contains(name, "short") {
				t.Errorf("the next part is number %d, without it %d", a, b)
			}
			if err := s.Bench.Check(); err != nil {
				t.Error(err)
			}
		})
	}
}
