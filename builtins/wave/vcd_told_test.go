package wave

import (
	"fmt"
	"strings"
	"testing"

	"pulsewright/builtins"
	"pulsewright/builtins/stage"
	"pulsewright/engine"
)

// ownKinds is a bench with kinds of a script's own: of three states, of two of which one is silent, of five posed in the last, and of two.
func ownKinds(t *testing.T) *engine.Bench {
	return stage.MustDo(t, `
def turns(state, live, told):
    if not live.back:
        return None
    return {"one": "two", "two": "three", "three": "one"}[state]
def falls(state, live, told):
    if state == "waits":
        return "sees" if live.back else None
    return None if live.back else "waits"
def counts(state, live, told):
    return {"a": "b", "b": "c", "c": "d", "d": "last one", "last one": "a"}[state] if told == "back" else None
reel = kind("reel", ["one", "two", "three"], turns, letter="q")
sensor = kind("sensor", ["waits", "sees"], falls, says={"sees": None, "waits": "over"}, letter="y")
five = kind("five", ["a", "b", "c", "d", "last one"], counts, letter="z")
flag = kind("flag", ["down", "up"], lambda state, live, told: "up" if live.back else "down", letter="i")
k = key((0, 0), hold=3, name="quay")
reel((-1, 0), "-x", name="r.reel")
sensor((1, 0), "+x", name="watch")
five((0, 1), "+y", state="last one", name="count")
flag((0, -1), "-y", state="up", name="flag")
reel((9, 9), "+x", state="three", name="still")
press(k); run(); press(k); run()
`).Bench
}

// TestVCDOwnKinds: a part of a kind of a script's own is dumped by the number of its state, from the one it was placed in, and a comment names the states.
func TestVCDOwnKinds(t *testing.T) {
	b := ownKinds(t)
	text, d := dump(t, b)
	rows, start := d.rows(t)
	for path, want := range map[string][2]int64{"bench.r.reel": {2, 0}, "bench.watch": {1, 0}, "bench.count": {3, 4}, "bench.flag": {1, 1}, "bench.still": {2, 2}} {
		v, ok := start[path]
		for _, x := range d.vars {
			if x.path() == path && (int64(x.size) != want[0] || !ok || v != want[1]) {
				t.Errorf("%s has %d bits and begins with %d (%v), want %v", path, x.size, v, ok, want)
			}
		}
	}
	// What the log says of each, in its words.
	states := map[string][]string{"bench.r.reel": {"one", "two", "three"}, "bench.count": {"a", "b", "c", "d", "last one"}, "bench.flag": {"down", "up"}}
	var got, want []string
	for _, r := range rows {
		if names := states[r.path]; names != nil {
			got = append(got, fmt.Sprint(r.tick, r.step, r.path, " ", names[r.value]))
		} else if r.path != "bench.quay" {
			t.Errorf("%v changes", r)
		}
	}
	for _, e := range b.Events(1) {
		if path := "bench." + b.Name(e.ID); states[path] != nil && !(path == "bench.flag" && len(want) == 0 && b.Word(e) == "up") {
			want = append(want, fmt.Sprint(e.Tick, e.Step, path, " ", b.Word(e)))
		}
	}
	if len(want) < 8 || strings.Join(got, "\n") != strings.Join(want, "\n") {
		t.Errorf("the dump says\n%s\nthe log\n%s\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"), text)
	}
	comments := strings.Join(d.comments, "\n")
	for _, want := range []string{"states of reel: 0 one, 1 two, 2 three", "states of sensor: 0 waits, 1 sees (no event, so not shown)", "states of five: 0 a, 1 b, 2 c, 3 d, 4 last one", "states of flag: 0 down, 1 up"} {
		if !strings.Contains(comments, want) {
			t.Errorf("no %q in\n%s", want, comments)
		}
	}
}

// TestVCDOwnKindsLate: a dump that begins later begins with the state that the log said last; where the log has holes only what follows from it is said.
func TestVCDOwnKindsLate(t *testing.T) {
	b := ownKinds(t)
	first := engine.EventID(1)
	for id, e := range b.Events(1) {
		if e.Tick >= 5 {
			first = id
			break
		}
	}
	begins := func(first engine.EventID) map[string]int64 {
		var out strings.Builder
		if err := writeVCD(&out, &builtins.Env{Bench: b}, nil, first, engine.EventID(b.EventCount())); err != nil {
			t.Fatal(err)
		}
		d, err := readVCD(out.String())
		if err != nil {
			t.Fatalf("%v\n%s", err, out.String())
		}
		_, start := d.rows(t)
		return start
	}
	if start := begins(first); start["bench.r.reel"] != 1 || start["bench.count"] != 1 || start["bench.flag"] != 0 {
		t.Errorf("later it begins with %v", start)
	}
	b.ForgetEvents()
	quay, _ := b.Lookup("quay")
	check := func(err error) {
		if err != nil {
			t.Fatal(err)
		}
	}
	check(b.Press(quay, 0))
	check(b.RunTicks(t.Context(), 9, engine.Budget{}))
	start := begins(1)
	for _, path := range []string{"bench.r.reel", "bench.count", "bench.watch", "bench.still"} {
		if v, ok := start[path]; ok {
			t.Errorf("%s is said to begin with %d, and nobody knows", path, v)
		}
	}
	if v, ok := start["bench.flag"]; !ok || v != 0 {
		t.Errorf("flag begins with %d (%v): it goes up first, so it was down", v, ok)
	}
}
