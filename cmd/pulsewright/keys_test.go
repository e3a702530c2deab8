package main

import (
	"bytes"
	"io"
	"regexp"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"
)

// reads is a terminal that delivers its bytes in the pieces given.
type reads [][]byte

func (r *reads) Read(p []byte) (int, error) {
	if len(*r) == 0 {
		return 0, io.EOF
	}
	n := copy(p, (*r)[0])
	if (*r)[0] = (*r)[0][n:]; len((*r)[0]) == 0 {
		*r = (*r)[1:]
	}
	return n, nil
}

// typed is what comes out of the pieces, with each paste in « » where its mark stands.
func typed(t testing.TB, pieces ...string) string {
	t.Helper()
	var in reads
	for _, p := range pieces {
		if p != "" {
			in = append(in, []byte(p))
		}
	}
	k := newKeys(&in)
	out, err := io.ReadAll(k)
	if err != nil {
		t.Fatal(err)
	}
	var all strings.Builder
	for _, c := range string(out) {
		if c != keyPaste {
			all.WriteRune(c)
			continue
		}
		p, ok := k.takePaste()
		if !ok {
			t.Fatalf("a paste mark without a paste in %q", out)
		}
		if p.refused > 0 {
			all.WriteString("«refused»")
			continue
		}
		all.WriteString("«" + strings.ReplaceAll(string(p.text), string(newlineMark), "⏎") + "»")
	}
	if _, ok := k.takePaste(); ok {
		t.Fatalf("a paste without its mark in %q", out)
	}
	return all.String()
}

func TestKeys(t *testing.T) {
	long := strings.Repeat("x", pasteLimit)
	for _, test := range []struct{ name, in, out string }{
		{"text", "a = \"ü→語\"\r", "a = \"ü→語\"\r"},
		{"NUL (Ctrl-Space) would end the input", "a\x00b", "ab"},
		{"Ctrl-Z would stop the parent too", "\x1aa", "a"},
		{"invisible controls", "\x0f\x11\x16\x18\x1c\x1d\x1ea\u0080\u0081\u0082\u0083\u0084", "a"},
		{"Ctrl-_, Alt-., Alt-_, Alt-Enter", "\x1f\x1b.\x1b_\x1b\r", "\u0082\u0083\u0083\u0084"},
		{"known controls", "\x01\x02\x03\x04\x05\x06\x07\x08\t\n\x0b\x0c\r\x0e\x10\x12\x13\x15\x7f", "\x01\x02\x03\x04\x05\x06\x07\x08\t\n\x0b\x0c\r\x0e\x10\x12\x13\x15\x7f"},
		{"Ctrl-W", "\x17", "\x1e"},
		{"Ctrl-Y and Ctrl-T", "\x19\x14", "\x11\x1c"},
		{"arrows", "\x1b[A\x1b[B\x1b[C\x1b[D", "\x10\x0e\x06\x02"},
		{"arrows in application mode", "\x1bOA\x1bOB\x1bOC\x1bOD\x1bOH\x1bOF", "\x10\x0e\x06\x02\x01\x05"},
		{"Home and End", "\x1b[H\x1b[F\x1b[1~\x1b[4~\x1b[7~\x1b[8~", "\x01\x05\x01\x05\x01\x05"},
		{"Delete is not Ctrl-D", "\x1b[3~", "\x1f"},
		{"word by word", "\x1b[1;5D\x1b[1;5C\x1b[1;3D\x1b[1;3C\x1bb\x1bf", "\x16\x18\x16\x18\x16\x18"},
		{"word deletion", "\x1bd\x1b\x7f\x1b[3;5~", "\x0f\x1e\x0f"},
		{"keys without a meaning", "\x1b[Z\x1b[5~\x1b[6~\x1b[2~\x1b[15~\x1bOP\x1b[[A\x1b[24;80R\x1b[?1;2c\x1bxa", "a"},
		{"a broken sequence", "\x1b[12\x01a", "\x01a"},
		{"an endless sequence", "\x1b[" + strings.Repeat("1;", 1000) + "Aa", "a"},
		{"Esc at the end", "a\x1b", "a"},
		{"Esc Esc", "\x1b\x1b[Aa", "\x10a"},
		{"Ctrl-C after Esc", "\x1b\x03", "\x03"},
		{"not UTF-8", "a\xff\xe2b\xc3\x28c\xe2\x82", "ab(c"},
		{"a no-break space", "a\u00a0b\u3000c", "a b c"},
		{"invisible letters", "a\u200bb\u202ec\ue00ad\u0085e", "abcde"},
		{"a letter cut off by a sequence", "\xe2\x1b[Aa", "\x10a"},
		{"paste", "\x1b[200~a\nb\r\nc\rd\x1b[201~e", "«a⏎b⏎c⏎d»e"},
		{"paste with TABs and blank lines", "\x1b[200~def f():\n\treturn 1\n\nf()\n\x1b[201~", "«def f():⏎    return 1⏎⏎f()⏎»"},
		{"controls in a paste", "\x1b[200~a\x00\x03\x04\x1b[A\x1a\u200b\ue00ab\x1b[201~", "«a[Ab»"},
		{"an empty paste", "\x1b[200~\x1b[201~a", "a"},
		{"not UTF-8 in a paste", "\x1b[200~a\xff\u00a0b\uFFFD\x1b[201~", "«a b\uFFFD»"},
		{"two pastes", "\x1b[200~a\x1b[201~-\x1b[200~b\x1b[201~", "«a»-«b»"},
		{"the longest paste", "\x1b[200~" + long + "\x1b[201~", "«" + long + "»"},
		{"too long a paste", "\x1b[200~" + long + "x\x1b[201~a", "«refused»a"},
		{"far too long a paste", "\x1b[200~" + strings.Repeat(long, 20) + "\x1b[201~a", "«refused»a"},
		{"an end without a paste", "\x1b[201~a", "a"},
		{"a paste without an end", "a\x1b[200~b", "a"},
	} {
		t.Run(test.name, func(t *testing.T) {
			if got := typed(t, test.in); got != test.out {
				t.Errorf("whole: got %q, want %q", got, test.out)
			}
			for _, size := range []int{1, 2, 3, 5} {
				if cutsAlt(test.in, size) {
					continue
				}
				if got := typed(t, cuts(test.in, size)...); got != test.out {
					t.Errorf("in reads of %d: got %q, want %q", size, got, test.out)
				}
			}
		})
	}
}

// A lone Esc does not make the next key an Alt key, or swallow it.
func TestKeysLoneEscape(t *testing.T) {
	for _, test := range []struct {
		in  []string
		out string
	}{
		{[]string{"\x1b", "b"}, "b"},
		{[]string{"\x1b", "x = 1\r"}, "x = 1\r"},
		{[]string{"\x1b", "\r"}, "\r"},
		{[]string{"\x1b", "é"}, "é"},
		{[]string{"\x1b", "[1, 2]"}, "[1, 2]"},
		{[]string{"\x1b", "[", "1", ",", "2", "]"}, "[1,2]"},
		{[]string{"\x1b", "[[1, 2], []]"}, "[[1, 2], []]"},
		{[]string{"\x1b", "[\"a\"]"}, "[\"a\"]"},
		{[]string{"\x1b", "On"}, ""}, // a keypad key, perhaps
		{[]string{"\x1b", "OK"}, "OK"},
		{[]string{"\x1b", "[A"}, "\x10"}, // a slow line
		{[]string{"\x1b", "\x1b", "a"}, "a"},
	} {
		if got := typed(t, test.in...); got != test.out {
			t.Errorf("%q: got %q, want %q", test.in, got, test.out)
		}
	}
}

func cuts(s string, n int) []string {
	var out []string
	for len(s) > n {
		out, s = append(out, s[:n]), s[n:]
	}
	return append(out, s)
}

// wholeKey is what after an ESC is a sequence in any case.
var wholeKey = regexp.MustCompile(`^(\[[0-9;]*[@-Z\\^-~]|O[ABCDFHMPQRSj-z]|\x1b|$)`)

// cutsAlt says whether cutting into reads of so many bytes parts an ESC from something other than a sequence: the one case
// in which the cut matters.
func cutsAlt(in string, size int) bool {
	for i := range len(in) {
		if in[i] == 0x1B && (i+1)%size == 0 && !wholeKey.MatchString(in[i+1:]) {
			return true
		}
	}
	return false
}

// FuzzKeys holds the promises of keys for any bytes cut anywhere: what comes out is printable text and known controls only,
// each paste has its mark, and inside a paste the cut never shows.
func FuzzKeys(f *testing.F) {
	f.Add([]byte("a\x1b[200~x\ty\r\n\x1b[201~\x1b[1;5D\x00\xff"), uint8(3))
	f.Add([]byte("\x1b\x1b[[A\x1bO\x1bOP\xe2\x82\x1b[3~"), uint8(1))
	f.Fuzz(func(t *testing.T, in []byte, size uint8) {
		pieces := cuts(string(in), int(size%16)+1)
		var r reads
		for _, p := range pieces {
			if p != "" {
				r = append(r, []byte(p))
			}
		}
		k := newKeys(&r)
		out, err := io.ReadAll(k)
		if err != nil {
			t.Fatal(err)
		}
		if !utf8.Valid(out) {
			t.Fatalf("not UTF-8: %q", out)
		}
		marks := 0
		for _, c := range string(out) {
			switch {
			case c == keyPaste:
				marks++
			case c == newlineMark, c == 0, c == 0x1A, c == 0x1B, c == 0x17, c == 0x14, c == 0x19:
				t.Fatalf("%q got through in %q", c, out)
			case c >= ' ' && c != 0x7F && !ours(c) && !unicode.IsPrint(c):
				t.Fatalf("invisible %q got through in %q", c, out)
			}
		}
		for ; marks > 0; marks-- {
			p, ok := k.takePaste()
			if !ok {
				t.Fatalf("a mark without a paste in %q", out)
			}
			if len(p.text) > pasteLimit || len(p.text) == 0 && p.refused == 0 {
				t.Fatalf("a paste of %d letters", len(p.text))
			}
			for _, c := range p.text {
				if c != newlineMark && !unicode.IsPrint(c) {
					t.Fatalf("%q in a paste", c)
				}
			}
		}
		if _, ok := k.takePaste(); ok {
			t.Fatal("a paste without a mark")
		}
		// The same bytes, with no end mark of their own, as a paste: any cut gives the same.
		body := bytes.ReplaceAll(in, []byte{0x1B}, nil)
		wrapped := "\x1b[200~" + string(body) + "\x1b[201~"
		if whole, cut := typed(t, wrapped), typed(t, cuts(wrapped, int(size%16)+1)...); whole != cut {
			t.Fatalf("a paste depends on the reads: %q and %q", whole, cut)
		}
	})
}
