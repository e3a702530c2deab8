package main

import (
	"fmt"
	"io"
	"strings"
	"testing"
	"time"

	"pulsewright/builtins"
	"pulsewright/engine"
)

// reel is a film of nothing but instants.
type reel []engine.Instant

var _ builtins.Film = reel(nil)

func (r reel) Len() int                { return len(r) }
func (r reel) At(n int) engine.Instant { return r[n] }
func (r reel) Marked(n int) bool       { return n == 3 }
func (r reel) Next(part string, n int) (int, error) {
	if part != "quay" || n >= 6 {
		return 0, fmt.Errorf("%s does not change any more", part)
	}
	return n + 2, nil
}
func (r reel) Screen(n, columns, rows int) ([]string, error) {
	return []string{fmt.Sprintf("picture %d, %d by %d", n, columns, rows)}, nil
}

// quayReel has two ticks: in the first, steps of two, three and one turns.
var quayReel = reel{{Tick: 1}, {Tick: 1}, {Tick: 1, Turn: 1}, {Tick: 1, Step: 1}, {Tick: 1, Step: 1, Turn: 1}, {Tick: 1, Step: 1, Turn: 2}, {Tick: 1, Step: 2}, {Tick: 5}}

// TestPlayerKeys: where each key leads to.
func TestPlayerKeys(t *testing.T) {
	const right, left, down, up, home, end, pgdn, pgup = "\x06", "\x02", "\x0e", "\x10", "\x01", "\x05", "\x1b", "\x1a"
	for _, c := range []struct {
		keys string
		n    int
		head string
	}{
		{right, 1, "turn 1 of 7, at 1.0.0   stands   1 turn a second"},
		{right + right + left, 1, ""},
		{left, 0, "before the first of 7 turns   stands"},
		{down, 1, ""}, {down + down, 3, ""}, {down + down + right + up, 3, ""}, {down + down + up, 1, ""}, {down + up, 0, ""},
		{end, 7, "turn 7 of 7, at 5.0.0   the end"}, {end + up, 6, ""}, {end + right, 7, ""}, {end + home, 0, ""},
		{pgdn, 1, ""}, {pgdn + pgdn, 7, "at 5.0.0   the end"}, {end + pgup, 1, ""}, {right + right + pgup, 1, ""}, {pgup, 0, ""}, {"?" + right, 0, "stands"}, {"?" + right + right, 1, ""},
		{"++", 0, "goes on   3 turns a second"}, {"+++++", 0, "3 turns"}, {"-", 0, "a turn in 2 seconds"}, {"-----", 0, "a turn in 10 seconds"}, {"--++", 0, "1 turn a second"},
		{"g1.1\r", 3, "stands"}, {"g1.1.1\r", 4, ""}, {"g2\r", 7, ""}, {"g1.13\x7f\r", 3, ""}, {"g1.1\x03", 0, "stands"}, {"gquay\r", 2, "stands"}, {right + "gquäö\x7f\x7fay\r", 3, ""}, {"g5\x19" + right, 1, ""}, {"  \x19", 0, "goes on"},
		{" ", 0, "stands"}, {"  ", 0, "goes on"}, {end + " ", 0, "goes on"},
	} {
		p := &player{film: quayReel, pace: 1, going: true}
		for _, k := range []byte(c.keys) {
			if p.key(k, time.Time{}) {
				t.Errorf("%q ends the film", c.keys)
			}
		}
		if p.n != c.n || !strings.Contains(p.head(), c.head) {
			t.Errorf("%q leads to %d, %s; want %d, %s", c.keys, p.n, p.head(), c.n, c.head)
		}
	}
	for _, c := range []struct{ keys, foot string }{
		{"g9\r", "nothing happens at 9 or later: the last turn is 5.0.0"}, {"g..\r", `"..": want tick, tick.step or tick.step.turn`}, {"g1.2.3.4\r", "1.2.3.4: want tick, tick.step or tick.step.turn"},
		{"gmole\r", "mole does not change any more"}, {"g1.", "to tick, tick.step, tick.step.turn, or a part's next change (Esc leaves): 1._"}, {"g9\r ", "space: go"},
	} {
		p := &player{film: quayReel, pace: 1}
		for _, k := range []byte(c.keys) {
			p.key(k, time.Time{})
		}
		if !strings.HasPrefix(p.foot(80), c.foot) {
			t.Errorf("%q: %s, want %s", c.keys, p.foot(80), c.foot)
		}
	}
	for _, k := range []byte{'q', 'Q', 0x03, 0x04} {
		if p := (&player{film: quayReel, pace: 1}); !p.key(k, time.Time{}) {
			t.Errorf("%q does not end the film", k)
		}
	}
}

// TestPlayerPace: a turn comes when it is due; the film stands at a mark until it is told to go on, and at its end.
func TestPlayerPace(t *testing.T) {
	start := time.Unix(0, 0)
	for _, pace := range []float64{0.1, 0.5, 1, 3} {
		p := &player{film: quayReel, pace: pace, going: true, since: start}
		for n := 1; ; n++ {
			at, ok := p.due()
			if !ok {
				if p.n != 3 || p.going {
					break
				}
				p.key(' ', p.since) // at the mark
				at, _ = p.due()
			}
			if want := start.Add(time.Duration(float64(n) * float64(time.Second) / pace)); at.Sub(want).Abs() > time.Microsecond {
				t.Errorf("pace %g: turn %d is due at %v, want %v", pace, n, at.Sub(start), want.Sub(start))
			}
			p.goOn(at)
			if p.going == (p.n == 3 || p.n == p.last()) {
				t.Errorf("at %d it goes on: %v", p.n, p.going)
			}
		}
		if p.n != p.last() || p.going {
			t.Errorf("it stands at %d of %d", p.n, p.last())
		}
	}
}

// TestPlayerScreen: the lines fill the window and no more.
func TestPlayerScreen(t *testing.T) {
	p := &player{film: quayReel, pace: 1}
	for _, size := range [][2]int{{80, 24}, {20, 6}} {
		lines, err := p.screen(size[0], size[1], look{})
		if err != nil || len(lines) != size[1] || lines[1] != fmt.Sprintf("picture 0, %d by %d", size[0], size[1]-2) {
			t.Errorf("%d lines, %v: %q", len(lines), err, lines)
		}
		for _, line := range lines {
			if width([]rune(line)) > max(size[0], len(lines[1])) {
				t.Errorf("%q is wider than %d", line, size[0])
			}
		}
	}
	for columns, want := range map[int]string{200: "PgDn PgUp: tick  Home End: the ends", 79: "?: keys  q: end", 20: "?: keys"} {
		if f := cut(p.foot(columns), columns); width([]rune(f)) > columns || !strings.Contains(f, want) {
			t.Errorf("in %d columns the foot is %q, want %q", columns, f, want)
		}
	}
	p.key('?', time.Time{})
	lines, err := p.screen(80, 24, look{})
	if text := strings.Join(lines, "\n"); err != nil || len(lines) != 24 || strings.Contains(text, "picture 0") {
		t.Errorf("%v: %s", err, text)
	} else {
		for _, k := range allKeys {
			if !strings.Contains(text, "  "+k[0]+" ") || !strings.Contains(text, k[1]) {
				t.Errorf("%s is not among the keys:\n%s", k[0], text)
			}
		}
	}
}

// TestPlayerPages: PgUp, PgDn and Esc reach a film, and nobody else.
func TestPlayerPages(t *testing.T) {
	for film, want := range map[bool]string{true: "\x1a\x1b\x18\x19", false: "\x18"} {
		k := newKeys(strings.NewReader("\x1b[5~\x1b[6~\x1b[1;5C\x1b"))
		k.film = film
		if got, err := io.ReadAll(k); err != nil || string(got) != want {
			t.Errorf("film %v: %q, %v", film, got, err)
		}
	}
}
