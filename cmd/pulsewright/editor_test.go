package main

import (
	"errors"
	"fmt"
	"io"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"pulsewright/lang"
)

// lockedBuffer is a screen that remembers all that was ever written to it.
type lockedBuffer struct {
	mu  sync.Mutex
	all strings.Builder
}

func (b *lockedBuffer) Write(p []byte) (int, error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.all.Write(p)
}

func (b *lockedBuffer) String() string {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.all.String()
}

// desk is an editor without a terminal, and somebody who types.
type desk struct {
	*editor
	t    *testing.T
	in   *io.PipeWriter
	out  *lockedBuffer
	wide *atomic.Int32
}

func newDesk(t *testing.T, chunks ...string) *desk {
	t.Helper()
	r, w := io.Pipe()
	d := &desk{t: t, in: w, out: &lockedBuffer{}, wide: &atomic.Int32{}}
	d.wide.Store(80)
	nothing := func() error { return nil }
	h := &history{chunks: chunks}
	var err error
	d.editor, err = newEditor(screen{
		in: r, out: d.out,
		size: func() (int, int) { return int(d.wide.Load()), 24 },
		raw:  nothing, plain: nothing, resized: &atomic.Bool{},
	}, h, newHighlighter(look{}, false), fakeCompletion)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		w.Close()
		d.Close()
	})
	return d
}

func numbered(n int) []string {
	var out []string
	for i := range n {
		out = append(out, fmt.Sprintf("entry %d;", i))
	}
	return out
}

// fakeCompletion knows three words, and says what it was asked.
func fakeCompletion(line string, pos int, more string) lang.Completion {
	before := []rune(line)[:pos]
	start := len(before)
	for start > 0 && wordRune(before[start-1]) {
		start--
	}
	word := string(before[start:])
	if word == "ask" {
		return lang.Completion{Replace: 3, Insert: fmt.Sprintf("%q %d %q", line, pos, more)}
	}
	all := []lang.Candidate{{Name: "delay", Note: "delay(at, facing, ticks=1)"}, {Name: "design", Note: "a way of doing things"}, {Name: "wire"}}
	var found []lang.Candidate
	for _, c := range all {
		if strings.HasPrefix(c.Name, word) {
			found = append(found, c)
		}
	}
	switch len(found) {
	case 0:
		return lang.Completion{}
	case 1:
		return lang.Completion{Replace: len(word), Insert: found[0].Name}
	}
	insert := found[0].Name
	for _, c := range found[1:] {
		for !strings.HasPrefix(c.Name, insert) {
			insert = insert[:len(insert)-1]
		}
	}
	return lang.Completion{Replace: len(word), Insert: insert, List: found}
}

// types sends keys while the editor reads a line, and gives what it read.
func (d *desk) types(prompt, prefill string, keys ...string) (string, error) {
	d.t.Helper()
	go func() {
		for _, k := range keys {
			io.WriteString(d.in, k)
		}
	}()
	return d.read(prompt, prefill)
}

// read fails the test if the editor hangs.
func (d *desk) read(prompt, prefill string) (string, error) {
	d.t.Helper()
	type result struct {
		text string
		err  error
	}
	done := make(chan result, 1)
	go func() {
		text, err := d.ReadLine(prompt, prefill)
		done <- result{text, err}
	}()
	select {
	case r := <-done:
		return r.text, r.err
	case <-time.After(10 * time.Second):
		d.t.Fatalf("the editor hangs; the screen had %q", d.out.String())
		return "", nil
	}
}

func TestEditor(t *testing.T) {
	def := "\x1b[200~def f():\n\treturn 1\n\nf()\x1b[201~"
	for _, test := range []struct {
		name, prefill, keys, want string
		err                       error
		past                      []string
	}{
		{name: "text", keys: "a = 1\r", want: "a = 1"},
		{name: "prefill", prefill: "    ", keys: "b\r", want: "    b"},
		{name: "Home, End, Delete", keys: "bcx\x1b[1~a\x1b[4~d\x1b[D\x1b[D\x1b[3~\r", want: "abcd"},
		{name: "Delete on an empty line", keys: "\x1b[3~a\r", want: "a"},
		{name: "Ctrl-Space", keys: "\x00a\x00\r", want: "a"},
		{name: "Ctrl-Z", keys: "\x1aa\r", want: "a"},
		{name: "Ctrl-W keeps what is right of the cursor", keys: "my_key right\x1b[1;5D\x1b[D\x17wire\r", want: "wire right"},
		{name: "Ctrl-W and Ctrl-Y", keys: "a b_c\x17\x17\x19x\x19\r", want: "a xa "},
		{name: "Ctrl-U and Ctrl-Y", keys: "abc\x15x\x19\r", want: "xabc"},
		{name: "Ctrl-K and Ctrl-Y", keys: "abc\x1b[D\x0b\x19\x19\r", want: "abcc"},
		{name: "Ctrl-T on one letter", keys: "a\x14bc\x14\r", want: "acb"},
		{name: "Backspace takes one level", prefill: "        ", keys: "\x7fx\r", want: "    x"},
		{name: "Backspace in text", prefill: "    ", keys: "ab\x7f\r", want: "    a"},
		{name: "Backspace between blanks in text", keys: "a    \x7fb\r", want: "a   b"},
		{name: "Tab indents", prefill: "    ", keys: "\tx\r", want: "        x"},
		{name: "paste", keys: def + "\r", want: "def f():\n    return 1\n\nf()"},
		{name: "paste and edit", keys: def + "\x7f\x7f\x7fg()\r", want: "def f():\n    return 1\n\ng()"},
		{name: "two pastes in one line", keys: "\x1b[200~a\x1b[201~,\x1b[200~b\x1b[201~\r", want: "a,b"},
		{name: "a paste in the middle", keys: "()\x1b[D\x1b[200~1, 2\x1b[201~\r", want: "(1, 2)"},
		{name: "an indented paste in a block", prefill: "    ", keys: "\x1b[200~    a\n    b\x1b[201~\r", want: "    a\n    b"},
		{name: "a paste in a block", prefill: "    ", keys: "\x1b[200~a\n    b\x1b[201~\r", want: "    a\n    b"},
		{name: "the oldest of many", past: numbered(historyLimit), keys: "\x12entry 0;\r", want: "entry 0;"},
		{name: "the newest of many", past: numbered(historyLimit), keys: "\x1b[A\r", want: "entry 4999;"},
		{name: "too long a paste", keys: "a\x1b[200~" + strings.Repeat("x", pasteLimit+1) + "\x1b[201~b\r", want: "ab"},
		{name: "Ctrl-C", keys: "abc\x03", err: lang.ErrInterrupt},
		{name: "Ctrl-C in a block", prefill: "    ", keys: "abc\x03", err: lang.ErrInterrupt},
		{name: "Ctrl-D", keys: "\x04", err: io.EOF},
		{name: "Ctrl-D on the indent of a block", prefill: "    ", keys: "\x04", err: io.EOF},
		{name: "Ctrl-D in text deletes", keys: "ab\x01\x04\r", want: "b"},
		{name: "recall", past: []string{"a", "def f():\n    pass"}, keys: "\x1b[A\r", want: "def f():\n    pass"},
		{name: "recall two back and edit", past: []string{"a", "b"}, keys: "\x1b[A\x1b[A2\r", want: "a2"},
		{name: "search", past: []string{"alpha", "beta"}, keys: "\x12lph\r", want: "alpha"},
		{name: "search given up with Ctrl-G", past: []string{"alpha"}, keys: "old\x12lph\x07\r", want: "old"},
		{name: "search given up with Ctrl-C", past: []string{"alpha"}, keys: "old\x12lph\x03\r", want: "old"},
		{name: "search asked for twice and given up with Ctrl-G", past: []string{"alpha", "alphabet"}, keys: "old\x12lph\x12\x07\r", want: "old"},
		{name: "search asked for twice and given up with Ctrl-C", past: []string{"alpha", "alphabet"}, keys: "old\x12lph\x12\x03\r", want: "old"},
		{name: "search accepted and then given up with Ctrl-G", past: []string{"alpha"}, keys: "old\x12lph\x01\x07\r", want: "old"},
		{name: "search given up and made again", past: []string{"alpha", "beta"}, keys: "\x12lph\x12\x07\x12bet\r", want: "beta"},
		{name: "Ctrl-C behind a search that was accepted", past: []string{"alpha"}, keys: "old\x12lph\x01\x03", err: lang.ErrInterrupt},
		{name: "Up behind what was typed", past: []string{"press(a)", "wire(b)", "press(c)", "run()"}, keys: "pre\x1b[A\x1b[A\r", want: "press(a)"},
		{name: "Up and Down behind what was typed", past: []string{"press(a)", "wire(b)", "press(c)", "run()"}, keys: "pre\x1b[A\x1b[A\x1b[B\r", want: "press(c)"},
		{name: "Down gives the line back", past: []string{"press(a)", "wire(b)"}, keys: "pre\x1b[A\x1b[B\x1b[B!\r", want: "pre!"},
		{name: "Up finds nothing", past: []string{"press(a)"}, keys: "wi\x1b[A!\r", want: "wi!"},
		{name: "Up behind the cursor only", past: []string{"wire(b)", "press(a)"}, keys: "wi(c)\x1b[D\x1b[D\x1b[D\x1b[A\r", want: "wire(b)"},
		{name: "Up passes over what is there already", past: []string{"a", "b", "b"}, keys: "\x1b[A\x1b[A\r", want: "a"},
		{name: "Up on the indent of a block", prefill: "    ", past: []string{"a"}, keys: "\x1b[A\r", want: "a"},
		{name: "Ctrl-_ takes back word by word", keys: "ab cd\x1f\x1f!\r", want: "ab!"},
		{name: "Ctrl-_ takes back all", keys: "ab cd\x17\x1f\x1f\x1f\x1f\x1f\x1fx\r", want: "x"},
		{name: "Ctrl-_ after Ctrl-U", keys: "ab cd\x15\x1f\r", want: "ab cd"},
		{name: "Ctrl-_ after Up", past: []string{"abc(d)"}, keys: "ab\x1b[A\x1f\r", want: "ab"},
		{name: "Ctrl-_ after a paste", keys: "a\x1b[200~b\nc\x1b[201~\x1f\r", want: "a"},
		{name: "Ctrl-_ after a search", past: []string{"alpha"}, keys: "old\x12lph\x01\x05!\x1f\x1f\r", want: "old"},
		{name: "Ctrl-_ after Tab", keys: "wi\t\x1f\r", want: "wi"},
		{name: "Ctrl-_ after Backspace", keys: "ab\x7f\x1f\r", want: "ab"},
		{name: "Ctrl-_ on the indent", prefill: "    ", keys: "\x1fx\r", want: "    x"},
		{name: "Alt-.", past: []string{`fire("quay", steps=3)`, `lamp((4, 0))`}, keys: "wire(\x1b.)\r", want: "wire((4, 0))"},
		{name: "Alt-. twice", past: []string{`fire("quay", steps=3)`, `lamp((4, 0))`}, keys: "f(\x1b.\x1b.)\r", want: "f(steps=3)"},
		{name: "Alt-_ without a history", keys: "a\x1b_b\r", want: "ab"},
		{name: "a recalled block edited as rows", past: []string{"def f():\n    a = 1\n    return a"}, keys: "\x1b[A\x1b[D\x1b[A\x05 + 1\x01\x0b    a = 2\r", want: "def f():\n    a = 2\n    return a"},
		{name: "a row up and down again", past: []string{"if a:\n    b()"}, keys: "\x1b[A\x1b[D\x1b[A\x7f or c:\x1b[B\x05 + d\r", want: "if a or c:\n    b() + d"},
		{name: "a new row in a block", past: []string{"if a:\n    b()"}, keys: "\x1b[A\x1b\rc()\r", want: "if a:\n    b()\n    c()"},
		{name: "a new row behind a colon", keys: "if a:\x1b\rb()\r", want: "if a:\n    b()"},
		{name: "a new row inside a drawing", past: []string{"if a:\n    d = r\"\"\"\n  K"}, keys: "\x1b[A\x1b\rw\r", want: "if a:\n    d = r\"\"\"\n  K\nw"},
		{name: "a new row behind a drawing", past: []string{"if a:\n    d = r\"\"\"\n  K\n\"\"\""}, keys: "\x1b[A\x1b\rc()\r", want: "if a:\n    d = r\"\"\"\n  K\n\"\"\"\n    c()"},
		{name: "a new row behind brackets", past: []string{"if a:\n    b(\n        1,\n        2)"}, keys: "\x1b[A\x1b\rc()\r", want: "if a:\n    b(\n        1,\n        2)\n    c()"},
		{name: "Left and Backspace over the start of a row", past: []string{"if a:\n    b()\nc"}, keys: "\x1b[A\x1b[D\x1b[D!\x1b[C\x7f\r", want: "if a:\n    b()!c"},
		{name: "Right and Delete over the end of a row", past: []string{"a\nb\nc"}, keys: "\x1b[A\x1b[D\x1b[A\x1b[A\x05\x1b[C!\x1b[C\x1b[3~\r", want: "a\n!bc"},
		{name: "Ctrl-D at the end of a row", past: []string{"a\nb"}, keys: "\x1b[A\x01\x1b[D\x04\r", want: "ab"},
		{name: "Tab in a row", past: []string{"if a:\n    b()"}, keys: "\x1b[A\x01\twi\t\r", want: "if a:\n    wire    b()"},
		{name: "a row longer than the screen", past: []string{strings.Repeat("a", 100) + "\nb"}, keys: "\x1b[A\x1b[D\x1b[A\x01!\x1b[B\x05?\r", want: "!" + strings.Repeat("a", 100) + "\nb?"},
		{name: "more rows than the screen has", past: []string{strings.Repeat("a\n", 30) + "b"}, keys: "\x1b[A!\x1b[D\x1b[A\x05?\r", want: strings.Repeat("a\n", 29) + "a?\nb!"},
		{name: "a search from a line of several rows", past: []string{"alpha"}, keys: "\x1b[200~x\ny\x1b[201~\x12alp\x07!\r", want: "x\ny!"},
		{name: "a search that finds several rows", past: []string{"alpha\nbeta"}, keys: "\x12alp\x05\x1b[D?\r", want: "alph?a\nbeta"},
		{name: "search on an empty history, Ctrl-G", keys: "\x12\x07a\r", want: "a"},
		{name: "search on an empty history, Ctrl-C", keys: "\x12\x03a\r", want: "a"},
		{name: "search on an empty history, letters", keys: "\x12xyz\x7f\x12\x13\x07a\r", want: "a"},
		{name: "a paste while searching is thrown away", past: []string{"alpha"}, keys: "\x12al\x1b[200~zzz\x1b[201~!\r", want: "alpha!"},
		{name: "word keys while searching accept", past: []string{"alpha beta"}, keys: "\x12al\x17!\r", want: "alpha beta!"},
		{name: "Tab while searching accepts", past: []string{"wi alpha"}, keys: "\x12al\t!\r", want: "wi alpha!"},
		{name: "one match", keys: "wi\t(\r", want: "wire("},
		{name: "a common beginning", keys: "d\tl\t\r", want: "delay"},
		{name: "no match", keys: "zz\t\r", want: "zz"},
		{name: "in the middle", keys: "wi + 1\x01\x06\x06\t\r", want: "wire + 1"},
		{name: "what completion is told", keys: "\x1b[200~if a:\n  ask\x1b[201~\t\r", want: "if a:\n  \"  ask\" 5 \"if a:\""},
		{name: "wide letters", keys: "語語\x01x語\t\r", want: "x語語語"},
	} {
		t.Run(test.name, func(t *testing.T) {
			d := newDesk(t, test.past...)
			if test.prefill != "" {
				d.block = []string{"if a:"}
			}
			got, err := d.types("12.3 » ", test.prefill, test.keys)
			if got != test.want || !errors.Is(err, test.err) {
				t.Errorf("got %q, %v; want %q, %v", got, err, test.want, test.err)
			}
			if shown := d.out.String(); strings.ContainsAny(shown, string([]rune{newlineMark, filler})) {
				t.Errorf("a private-use letter reached the screen: %q", shown)
			}
		})
	}
}

// Several lines one after another, with what a session does in between.
func TestEditorConversation(t *testing.T) {
	d := newDesk(t)
	step := func(prompt, prefill, keys, want string, wantErr error) {
		t.Helper()
		got, err := d.types(prompt, prefill, keys)
		if got != want || !errors.Is(err, wantErr) {
			t.Fatalf("%q: got %q, %v; want %q, %v", keys, got, err, want, wantErr)
		}
	}
	step("0.0 » ", "", "a = 1\r", "a = 1", nil)
	d.Keep("a = 1")
	step("0.0 » ", "", "def f():\r", "def f():", nil)
	step("   : » ", "    ", "return 2\r", "    return 2", nil)
	step("   : » ", "    ", "\x7f\r", "", nil)
	d.Keep("def f():\n    return 2\n")
	step("1.0 » ", "", "\x1b[A\r", "def f():\n    return 2", nil) // the block is one entry
	d.Keep("def f():\n    return 2")
	step("1.0 » ", "", "  secret()\r", "secret()", nil) // not kept
	d.Keep("secret()")
	step("1.0 » ", "", "\x1b[A\x1b[A\r", "a = 1", nil) // and once, though it ran twice
	step("1.0 » ", "", "x\x03", "", lang.ErrInterrupt)
	step("1.0 » ", "", "\x04", "", io.EOF)
	step("1.0 » ", "", "b\r", "b", nil) // Ctrl-D was a key: the input goes on
	step("1.0 » ", "", "if a:\r", "if a:", nil)
	step("   : » ", "    ", "ask\t\r", `    "    ask" 7 "b\nif a:"`, nil)
	d.Keep("")
	step("1.0 » ", "", "ask\t\r", `"ask" 3 ""`, nil)
}

// The window changes its size while somebody types: the race detector watches.
func TestEditorResize(t *testing.T) {
	d := newDesk(t, "x = 1")
	stop := make(chan struct{})
	var busy sync.WaitGroup
	busy.Go(func() {
		for n := int32(0); ; n++ {
			select {
			case <-stop:
				return
			default:
				d.wide.Store(n % 100) // 0 too, and the width of the prompt, and what divides it
				d.resized.Store(true)
			}
		}
	})
	for range 20 {
		keys := strings.Repeat("wi\t d\t語\x1b[D\x12x\x07\x1b[200~a\nb\x1b[201~\x7f", 3)
		if _, err := d.types("123456.123 » ", "    ", keys, "\r"); err != nil {
			t.Fatal(err)
		}
	}
	close(stop)
	busy.Wait()
}

// Close while the editor reads must not hang.
func TestEditorClose(t *testing.T) {
	d := newDesk(t)
	done := make(chan error, 1)
	go func() {
		_, err := d.ReadLine("» ", "")
		done <- err
	}()
	for !strings.Contains(d.out.String(), "»") {
		time.Sleep(time.Millisecond)
	}
	d.Close()
	select {
	case err := <-done:
		if err != io.EOF {
			t.Errorf("got %v, want the end", err)
		}
	case <-time.After(5 * time.Second):
		t.Error("reading goes on after Close")
	}
}

// Nothing a user can type or paste ends the editor, at any width.
func FuzzEditor(f *testing.F) {
	f.Add("a\x14\x14b\x12\x03\x12\x07d\t\t語\x1b[D\t", uint8(20))
	f.Add("\x1b[200~def f():\n\treturn 1\x1b[201~\x01\x04\x1bd\x0b\x19\x0c\x1b[A\x1b[B", uint8(3))
	f.Fuzz(func(t *testing.T, keys string, wide uint8) {
		if len(keys) > 400 {
			t.Skip() // a line is drawn again at every key
		}
		keys = strings.NewReplacer("\r", "", "\n", "").Replace(keys)
		d := newDesk(t, "x = 1", "def f():\n    return 語")
		d.wide.Store(int32(wide))
		go func() {
			io.WriteString(d.in, keys+"\x1b[201~\x07\r\r")
		}()
		for {
			text, err := d.read("12.3 » ", "    ")
			if err == nil {
				if strings.ContainsAny(text, string([]rune{newlineMark, filler})) {
					t.Errorf("a mark came out in %q", text)
				}
				return
			}
		}
	})
}

func TestEditorAfterTheEnd(t *testing.T) {
	d := newDesk(t)
	go func() {
		io.WriteString(d.in, "a\rlast")
		d.in.Close()
	}()
	for _, want := range []string{"a", "last"} {
		if got, err := d.read("» ", ""); err != nil || got != want {
			t.Fatalf("got %q, %v; want %q", got, err, want)
		}
	}
	for range 2 {
		if _, err := d.read("» ", ""); err != io.EOF {
			t.Fatalf("got %v, want the end", err)
		}
	}
}
