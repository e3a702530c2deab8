package main

import (
	"bytes"
	"errors"
	"os"
	"strings"
	"testing"
	"time"

	"pulsewright/lang"
)

func TestProgress(t *testing.T) {
	var screen bytes.Buffer
	clock := time.Unix(0, 0)
	p := &progress{w: &screen, now: func() time.Time { return clock }, width: func() int { return 60 }}
	drawn := 0
	for i := range int64(5000) { // five seconds, a thousand updates a second
		p.update("trials", i, 10000)
		clock = clock.Add(time.Millisecond)
		if i < 1000 && screen.Len() > 0 {
			t.Fatalf("drawn after %d ms", i)
		}
	}
	drawn = strings.Count(screen.String(), "\r")
	if drawn < 10 || drawn > 13 {
		t.Errorf("drawn %d times in 4 s, want at most 3 a second", drawn)
	}
	if last := screen.String(); !strings.Contains(last, "trials: ") || !strings.Contains(last, " of 10000, 1000 a second, ") || !strings.Contains(last, "s left") {
		t.Errorf("drew %q", last)
	}
	p.update("trials", 10000, 10000)
	if !strings.HasSuffix(screen.String(), "\r\x1b[K") {
		t.Errorf("not erased: %q", screen.String())
	}

	screen.Reset()
	p.update("rounds", 1, 0)
	clock = clock.Add(2 * time.Second)
	p.update("rounds", 5, 0)
	if got, want := screen.String(), "\rrounds: 5, 2.5 a second\x1b[K"; got != want {
		t.Errorf("drew %q, want %q", got, want)
	}
	p.end()
	if !strings.HasSuffix(screen.String(), "\r\x1b[K") {
		t.Errorf("not erased: %q", screen.String())
	}

	screen.Reset() // what has come of a job so far begins no other job
	p.update("search: 3 parts", 1, 10)
	clock = clock.Add(2 * time.Second)
	p.update("search: 3 parts; 1 machine found", 4, 10)
	if got := screen.String(); !strings.Contains(got, "search: 3 parts; 1 machine found: 4 of 10, 2.0 a second") {
		t.Errorf("drew %q", got)
	}
	p.update("search: 3 parts", 10, 10)
	if !strings.HasSuffix(screen.String(), "\r\x1b[K") {
		t.Errorf("not erased: %q", screen.String())
	}
}

type broken struct{}

func (broken) Write([]byte) (int, error) { return 0, errors.New("no space left") }

func TestStream(t *testing.T) {
	var file bytes.Buffer
	s := newStream(&file)
	s.Write([]byte("a"))
	if file.String() != "a" {
		t.Errorf("the first letter was not written: %q", file.String())
	}
	s.written = time.Now().Add(time.Hour) // never mind how slow this test is
	s.Write([]byte("b"))
	if file.Len() != 1 {
		t.Error("a pipe was written to for one letter")
	}
	s.Write(bytes.Repeat([]byte("b"), waitingLimit-1))
	if file.Len() != waitingLimit+1 {
		t.Errorf("%d bytes written", file.Len())
	}
	s.written = time.Now().Add(time.Hour)
	s.Write([]byte("c"))
	s.Flush()
	if file.Len() != waitingLimit+2 {
		t.Errorf("%d bytes written", file.Len())
	}

	var errs bytes.Buffer
	if code := run([]string{"-c", "print(1)"}, strings.NewReader(""), broken{}, &errs); code != exitFailed || !strings.Contains(errs.String(), "no space left") {
		t.Errorf("exit code %d, said %q", code, errs.String())
	}
}

// What was printed before an error is seen before it, also when both go to one place.
func TestStreamOrder(t *testing.T) {
	var both bytes.Buffer
	if code := run([]string{"-c", "print(1)\nnonesuch\n"}, strings.NewReader(""), &both, &both); code != exitFailed {
		t.Errorf("exit code %d", code)
	}
	both.Reset()
	run([]string{"-c", "print(1)\nfail('no')\n"}, strings.NewReader(""), &both, &both)
	if !strings.HasPrefix(both.String(), "1\n") {
		t.Errorf("got %q", both.String())
	}
}

func TestHighlight(t *testing.T) {
	h := newHighlighter(look{Keyword: "<k>", Text: "<t>", Comment: "<c>", Mark: "<m>"}, false)
	for _, test := range []struct{ in, want string }{
		{`for x in xs: f("a\"b", 'c') # "d"`, `<k>for/ x <k>in/ xs: f(<t>"a\"b"/, <t>'c'/) <c># "d"/`},
		{"format(info, return_)", "format(info, return_)"},
		{`"open`, `<t>"open/`},
		{"'a\uE00Afor", "<t>'a/<m>↵/<k>for/"},
		{"#\uE00A\"\"\"a\"b\uE00Ac\"\"\"d", "<c>#/<m>↵/<t>\"\"\"a\"b↵c\"\"\"/d"},
		{"a\x1d\x1fb\n", "ab\n"},
		{`"\`, `<t>"\/`},
		{`"""a\`, `<t>"""a\/`},
		{"語 größe", "語 größe"},
	} {
		got := strings.ReplaceAll(string(h.paint([]rune(test.in))), resetColor, "/")
		if got != test.want {
			t.Errorf("%q: got %q, want %q", test.in, got, test.want)
		}
	}
}

// Whatever the text, the painted line shows the same letters in the same columns.
func FuzzHighlight(f *testing.F) {
	f.Add("for x in 'a\uE00A\"\"\"# 語")
	f.Fuzz(func(t *testing.T, text string) {
		plain, painted := newHighlighter(look{}, false), newHighlighter(newLook(true), false)
		want := string(plain.paint([]rune(text)))
		if got := string(stripColor(string(painted.paint([]rune(text))))); got != want {
			t.Errorf("%q: got %q, want %q", text, got, want)
		}
	})
}

func TestMoveBack(t *testing.T) {
	for _, test := range []struct {
		text string
		pos  int
		want string
	}{
		{"abc", 1, ""},
		{"a語語", 1, "\b\b"},
		{"a語語", 2, "\b"},
		{"語語", 2, ""},
		{"ae\u0301", 1, "\x1b[C"},
		{"、😀", 0, "\b\b"},
	} {
		if got := string(moveBack([]rune(test.text), test.pos)); got != test.want {
			t.Errorf("%q from %d: got %q, want %q", test.text, test.pos, got, test.want)
		}
	}
}

func TestLayOut(t *testing.T) {
	list := []lang.Candidate{{Name: "wire", Note: "wire(at)"}, {Name: "width", Note: "a number"}, {Name: "w\x1b[2J"}}
	if got, want := strings.Join(layOut(list, 80, 24), "\n"), "  wire(at)\n  width  a number\n  w [2J"; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
	if got, want := strings.Join(layOut(list, 9, 24), "\n"), "  wire(a\n  width \n  w [2J"; got != want {
		t.Errorf("narrow: got %q, want %q", got, want)
	}
	var many []lang.Candidate
	for range 100 {
		many = append(many, lang.Candidate{Name: "x"})
	}
	rows := layOut(many, 80, 24)
	if len(rows) != 21 || rows[20] != "  and 80 more" {
		t.Errorf("%d rows, the last %q", len(rows), rows[len(rows)-1])
	}
	if rows := layOut(many, 1, 1); len(rows) != 3 {
		t.Errorf("%d rows on a screen of one", len(rows))
	}
}

func TestSize(t *testing.T) {
	if w, _ := size(&bytes.Buffer{}, 33); w != 33 {
		t.Errorf("got %d, want the 33 that were asked for", w)
	}
	if w, h := size(os.Stdin, 0); !isTerminal(os.Stdin) && (w != 80 || h != 24) {
		t.Errorf("got %d, %d", w, h)
	}
}
