package main

import (
	"context"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"pulsewright/builtins"
	"pulsewright/builtins/say"
)

// drawPause is the least time between two pictures: no eye sees more than three changes a second, however fast the keys come.
const drawPause = time.Second/3 + 10*time.Millisecond

// paces are those that + and - choose from, in turns a second.
var paces = []float64{0.1, 0.2, 0.5, 1, 2, 3}

// player walks through a film on a terminal. It knows no clock and no terminal: play below tells it the time and the keys.
type player struct {
	film  builtins.Film
	n     int
	pace  float64 // turns a second
	going bool
	since time.Time // when the present turn was reached
	keys  bool      // all keys are shown in place of the picture
	typed *string   // the instant or name being typed, nil if none is
	note  string    // what is to be said about the last key; "" for the keys that there are
}

// last is the number of the last picture.
func (p *player) last() int { return p.film.Len() - 1 }

// to goes to a picture.
func (p *player) to(n int, now time.Time) {
	p.n, p.since = max(0, min(n, p.last())), now
	if p.n == p.last() {
		p.going = false
	}
}

// goOn goes to the next picture, and stands there if it is marked.
func (p *player) goOn(now time.Time) {
	p.to(p.n+1, now)
	p.going = p.going && !p.film.Marked(p.n)
}

// due is when the next turn is to be shown; ok is false if the film stands.
func (p *player) due() (at time.Time, ok bool) {
	return p.since.Add(time.Duration(float64(time.Second) / p.pace)), p.going && p.n < p.last()
}

// key does what a key says, as keys.go gives it, and reports whether it ends the film.
func (p *player) key(c byte, now time.Time) (ends bool) {
	p.note = ""
	if p.typed != nil {
		p.typing(c, now)
		return false
	}
	stands := p.going
	p.going = false
	if p.keys {
		p.keys = false
		return c == 'q' || c == 'Q' || c == 0x03 || c == 0x04
	}
	switch c {
	case ' ':
		p.going, p.since = !stands, now
		if p.n == p.last() && p.going {
			p.to(0, now) // from the beginning
		}
	case 0x06:
		p.to(p.n+1, now)
	case 0x02:
		p.to(p.n-1, now)
	case 0x0E:
		p.to(p.step(1), now)
	case 0x10:
		p.to(p.step(-1), now)
	case keyPageDown:
		p.to(p.tick(1), now)
	case keyPageUp:
		p.to(p.tick(-1), now)
	case 0x01:
		p.to(0, now)
	case 0x05:
		p.to(p.last(), now)
	case '+', '=':
		p.going = stands
		p.faster(1)
	case '-', '_':
		p.going = stands
		p.faster(-1)
	case 'g':
		p.typed = new(string)
	case '?':
		p.keys = true
	case 'q', 'Q', 0x03, 0x04:
		return true
	default:
		p.going = stands
	}
	return false
}

// faster takes the next pace up or down.
func (p *player) faster(by int) {
	i, found := slices.BinarySearch(paces, p.pace)
	if by > 0 && found {
		i++
	}
	if by < 0 {
		i--
	}
	p.pace = paces[max(0, min(i, len(paces)-1))]
}

// step is the picture at which the next step begins, or the present one, or if that has just begun the one before.
func (p *player) step(by int) int { return p.seek(by, false) }

// tick is likewise the picture at which a tick begins.
func (p *player) tick(by int) int { return p.seek(by, true) }

// seek goes on or back to the next turn that is the first of its tick, or of its step.
func (p *player) seek(by int, ticks bool) int {
	n := p.n + by
	for ; n > 1 && n < p.last(); n += by {
		if a, b := p.film.At(n), p.film.At(n-1); a.Tick != b.Tick || a.Step != b.Step && !ticks {
			break
		}
	}
	return n
}

// typing takes a key of an instant, or of a name, that is being typed.
func (p *player) typing(c byte, now time.Time) {
	text := *p.typed
	switch {
	case c >= ' ' && c != 0x7F: // a letter comes byte by byte
		if len(text) < 60 {
			*p.typed = text + string([]byte{c})
		}
	case (c == 0x08 || c == 0x7F) && text != "":
		_, n := utf8.DecodeLastRuneInString(text)
		*p.typed = text[:len(text)-n]
	case c == '\r' || c == '\n':
		p.typed = nil
		if n, err := p.find(text); err != nil {
			p.note = err.Error()
		} else {
			p.to(n, now)
		}
	case c == 0x03, c == 0x04, c == keyEscape, c == 0x08, c == 0x7F:
		p.typed = nil
	}
}

// find gives the first turn at or after an instant, tick, tick.step or tick.step.turn; or the next in which a part changes.
func (p *player) find(text string) (int, error) {
	if r, _ := utf8.DecodeRuneInString(text); unicode.IsLetter(r) || r == '_' {
		return p.film.Next(text, p.n)
	}
	var want [3]int64
	fields := strings.Split(text, ".")
	if len(fields) > len(want) {
		return 0, fmt.Errorf("%s: want tick, tick.step or tick.step.turn", text)
	}
	for i, f := range fields {
		n, err := strconv.ParseInt(f, 10, 64)
		if err != nil {
			return 0, fmt.Errorf("%q: want tick, tick.step or tick.step.turn", text)
		}
		want[i] = n
	}
	for n := 1; n <= p.last(); n++ {
		at := p.film.At(n)
		if slices.Compare([]int64{at.Tick, int64(at.Step), int64(at.Turn)}, want[:]) >= 0 {
			return n, nil
		}
	}
	return 0, fmt.Errorf("nothing happens at %s or later: the last turn is %v", text, p.film.At(p.last()))
}

// head says where the film is and what it does.
func (p *player) head() string {
	state := "stands"
	switch {
	case p.going:
		state = "goes on"
	case p.n == p.last():
		state = "the end"
	}
	where := fmt.Sprintf("turn %d of %d, at %v", p.n, p.last(), p.film.At(p.n))
	if p.n == 0 {
		where = fmt.Sprintf("before the first of %d turns", p.last())
	}
	pace := fmt.Sprintf("%g turns a second", p.pace)
	switch {
	case p.pace == 1:
		pace = "1 turn a second"
	case p.pace < 1:
		pace = fmt.Sprintf("a turn in %.3g seconds", 1/p.pace)
	}
	return where + "   " + state + "   " + pace
}

// feet are lines that say which keys there are, the longest first; the last is cut where it does not fit.
var feet = []string{
	"space: go, stand  right left: turn  down up: step  PgDn PgUp: tick  Home End: the ends  + -: pace  g: to  ?: keys  q: end",
	"space: go  right left: turn  down up: step  + -: pace  g: to  ?: keys  q: end",
	"?: keys  q: end  space: go  right left: turn",
}

// allKeys are the keys of a film, and what each does.
var allKeys = [][2]string{
	{"space", "go on, or stand; at the end, from the beginning"},
	{"right, left", "a turn on, a turn back"},
	{"down, up", "a step on, a step back"},
	{"PgDn, PgUp", "a tick on, a tick back"},
	{"Home, End", "before the first turn, the last turn"},
	{"+, -", "faster, slower"},
	{"g", "to tick, tick.step or tick.step.turn, or to a part's next change"},
	{"?", "these keys; any key goes back to the picture"},
	{"q, Ctrl-C", "end"},
}

// foot says which keys there are, or what was wrong with the last one.
func (p *player) foot(columns int) string {
	switch {
	case p.keys:
		return "any key: back to the picture  q: end"
	case p.typed != nil:
		return "to tick, tick.step, tick.step.turn, or a part's next change (Esc leaves): " + say.Printable(*p.typed) + "_"
	case p.note != "":
		return p.note
	}
	for _, f := range feet {
		if len(f) <= columns {
			return f
		}
	}
	return feet[len(feet)-1]
}

// screen is all lines of a terminal of some size.
func (p *player) screen(columns, rows int, l look) ([]string, error) {
	lines := []string{paint(l.Faint, cut(p.head(), columns))}
	if p.keys {
		for _, k := range allKeys {
			lines = append(lines, cut(fmt.Sprintf("  %-13s%s", k[0], k[1]), columns))
		}
	} else {
		picture, err := p.film.Screen(p.n, columns, max(rows-2, 3))
		if err != nil {
			return nil, err
		}
		lines = append(lines, picture...)
	}
	for len(lines) < rows-1 {
		lines = append(lines, "")
	}
	return append(lines[:max(rows-1, 0)], paint(l.Faint, cut(p.foot(columns), columns))), nil
}

// play shows a film on the terminal until somebody ends it.
func (a *app) play(ctx context.Context, f builtins.Film, pace float64) error {
	a.progress.end()
	a.out.Flush()
	if err := a.raw.enter(); err != nil {
		return err
	}
	defer a.raw.restore()
	a.raw.takeScreen()
	p := &player{film: f, pace: pace, going: true, since: time.Now()}
	pressed, more := a.pressed()
	defer close(more)
	l := newLook(a.colored(a.out))
	var drawn time.Time
	was := ""
	for {
		now := time.Now()
		if at, ok := p.due(); ok && !now.Before(at) {
			p.goOn(now)
		}
		wait := time.Second / 2 // for another size of the window
		if since := now.Sub(drawn); since < drawPause {
			wait = drawPause - since
		} else {
			columns, rows := size(a.out.w, a.width)
			lines, err := p.screen(columns, rows, l)
			if err != nil {
				return err
			}
			var b strings.Builder
			for i, line := range lines {
				fmt.Fprintf(&b, "\x1b[%d;1H%s\x1b[K", i+1, line)
			}
			if text := b.String() + "\x1b[J"; text != was {
				io.WriteString(a.out.w, text)
				was, drawn = text, now
			}
			if at, ok := p.due(); ok {
				wait = min(wait, max(at.Sub(now), drawPause))
			}
		}
		select {
		case keys, ok := <-pressed:
			for _, c := range keys {
				if p.key(c, time.Now()) {
					return nil
				}
			}
			if !ok {
				return nil
			}
			more <- struct{}{}
		case <-time.After(wait):
		case <-ctx.Done(): // by a signal from outside: the key that is waited for is lost
			return ctx.Err()
		}
	}
}

// pressed gives the keys of the terminal as they come. Each time they must be asked for, so that none is taken from whoever reads
// next; the first time they are.
func (a *app) pressed() (keys <-chan []byte, more chan struct{}) {
	out := make(chan []byte)
	more = make(chan struct{}, 1)
	more <- struct{}{}
	in := newKeys(a.in)
	in.film = true
	go func() {
		defer close(out)
		for range more {
			buf := make([]byte, 64)
			n, err := in.Read(buf)
			if err != nil {
				return
			}
			out <- buf[:n]
		}
	}()
	return out, more
}
