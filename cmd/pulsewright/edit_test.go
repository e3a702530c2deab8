package main

import (
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// at makes a line of text with ^ where the cursor is and ⏎ for newlines.
func at(text string) line {
	text = strings.ReplaceAll(text, "⏎", string(newlineMark))
	before, after, _ := strings.Cut(text, "^")
	return line{[]rune(before + after), len([]rune(before))}
}

func (l line) String() string {
	return strings.ReplaceAll(string(l.text[:l.pos])+"^"+string(l.text[l.pos:]), string(newlineMark), "⏎")
}

func TestLineKeys(t *testing.T) {
	for _, test := range []struct {
		key      rune
		in, out  string
		killed   string
		yankable string
	}{
		{keyKillLeft, "wire((0, 0)) my_name^ + 1", "wire((0, 0)) ^ + 1", "", "my_name"},
		{keyKillLeft, "my_name^ = 1", "^ = 1", "", "my_name"},
		{keyKillLeft, "größe  ^x", "^x", "", "größe  "},
		{keyKillLeft, "^x", "^x", "old", "old"},
		{keyKillRight, "a^ big_word b", "a^ b", "", " big_word"},
		{keyWordLeft, "run(my_key)^", "run(^my_key)", "", ""},
		{keyWordRight, "run^(my_key)", "run(my_key^)", "", ""},
		{keyDelete, "a^bc", "a^c", "", ""},
		{keyDelete, "abc^", "abc^", "", ""},
		{keySwap, "ab^", "ba^", "", ""},
		{keySwap, "a^bc", "ba^c", "", ""},
		{keySwap, "a^", "a^", "", ""},
		{keySwap, "^", "^", "", ""},
		{keyYank, "a^b", "axyz^b", "xyz", "xyz"},
	} {
		got, killed := at(test.in).key(test.key, []rune(test.killed))
		if got.String() != test.out || string(killed) != test.yankable {
			t.Errorf("%#x on %q: got %q (deleted %q), want %q (%q)", test.key, test.in, got, string(killed), test.out, test.yankable)
		}
	}
}

func TestIndent(t *testing.T) {
	for _, test := range []struct{ in, indented, dedented string }{
		{"^", "    ^", "^"},
		{" ^", "    ^", "^"},
		{"   ^x", "    ^x", "^x"},
		{"     ^", "        ^", "    ^"},
		{"if a:⏎   ^", "if a:⏎    ^", "if a:⏎^"},
	} {
		if got := at(test.in).indent().String(); got != test.indented {
			t.Errorf("indent %q: got %q, want %q", test.in, got, test.indented)
		}
		if got := at(test.in).dedent().String(); got != test.dedented {
			t.Errorf("dedent %q: got %q, want %q", test.in, got, test.dedented)
		}
	}
}

func TestFlushLeft(t *testing.T) {
	for in, want := range map[string]string{
		"":                                  "",
		"a":                                 "a",
		"  a":                               "a",
		"   ":                               "",
		"    if a:\n\n        b\n  \n    c": "if a:\n\n    b\n\nc",
		"    d = r\"\"\"\n  K w\n\"\"\"\n    run()": "d = r\"\"\"\n  K w\n\"\"\"\nrun()",
		"  # it's\n    a": "# it's\n  a",
		"if a:\n    b":    "if a:\n    b",
	} {
		if got := flushLeft(in); got != want {
			t.Errorf("%q: got %q, want %q", in, got, want)
		}
	}
}

// Whatever the keys, the cursor stays inside the line: outside of it the editor would crash.
func TestLineKeysStayInside(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := []rune(rapid.StringOf(rapid.RuneFrom([]rune("ab_ü語 (,\uE00A"))).Draw(t, "text"))
		l := line{text, rapid.IntRange(0, len(text)).Draw(t, "pos")}
		var killed []rune
		for _, key := range rapid.SliceOfN(rapid.SampledFrom([]rune{keyKillLeft, keyKillRight, keyWordLeft, keyWordRight, keyDelete, keySwap, keyYank, '\t', 0x7F}), 1, 20).Draw(t, "keys") {
			switch key {
			case '\t':
				l = l.indent()
			case 0x7F:
				if l.blankBefore() {
					l = l.dedent()
				}
			default:
				l, killed = l.key(key, killed)
			}
			if l.pos < 0 || l.pos > len(l.text) {
				t.Fatalf("cursor at %d of %d", l.pos, len(l.text))
			}
		}
	})
}
