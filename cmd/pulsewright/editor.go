package main

import (
	"errors"
	"fmt"
	"io"
	"strings"
	"sync"
	"sync/atomic"

	"pulsewright/lang"

	"github.com/chzyer/readline"
)

// screen is what the editor needs of a terminal; a test has none and makes its own.
type screen struct {
	in         io.Reader
	out        io.Writer
	size       func() (columns, rows int)
	raw, plain func() error // single keys and back
	resized    *atomic.Bool // set when the window has another size; the editor learns of it at the next key
}

// narrowest is the smallest width the editor is told of: below it its arithmetic is not safe.
const narrowest = 12

// shortPrompt stands in for a prompt that leaves no room to type.
const shortPrompt = "> "

// editor is the line editor as a lang.LineReader. The library redraws and moves the cursor; what it cannot do, or does
// wrongly, is done here in its hooks, which run in its goroutine, where a panic could not be caught outside.
type editor struct {
	screen
	rl       *readline.Instance
	input    *readline.CancelableStdin
	keys     *keys
	history  *history
	paint    *highlighter
	complete func(line string, pos int, more string) lang.Completion

	promptWidth atomic.Int32 // columns
	onResize    func()       // the editor's own, to be called in its goroutine only

	mu     sync.Mutex // guards what follows: hooks run in the editor's goroutine, the rest in the caller's
	last   line       // as it was after the last key
	block  []string   // the lines of the chunk so far
	secret bool       // it began with a space: it stays out of the history
	killed []rune
	pasted []rune // taken by the filter, for the listener that follows
	refuse int
	edit   *line  // what Tab has made of the line
	sought *line  // the line before the search that goes on
	walk   *walk  // through the history, with Up and Down
	undone []line // what the line was, for Ctrl-_
	letter bool   // the last key was a letter of a word
	lasts  int    // how many times Alt-. was pressed
	lastAt line   // the line that the first of them found

	reading bool              // a line is being typed
	keep    func(text string) // takes what is being typed when the input ends; nil: nobody does
}

func newEditor(s screen, h *history, paint *highlighter, complete func(string, int, string) lang.Completion) (*editor, error) {
	e := &editor{screen: s, history: h, paint: paint, complete: complete}
	e.keys = newKeys(s.in)
	e.input = readline.NewCancelableStdin(e.keys)
	rl, err := readline.NewEx(&readline.Config{
		Stdin:                  e.input,
		Stdout:                 markWriter{s.out, string(paint.newline)},
		Stderr:                 markWriter{s.out, string(paint.newline)},
		HistoryLimit:           historyLimit + 2, // and the line being typed
		DisableAutoSaveHistory: true,
		AutoComplete:           e,
		Listener:               e,
		Painter:                e,
		FuncFilterInputRune:    e.filter,
		FuncGetWidth:           e.columns,
		FuncIsTerminal:         func() bool { return true },
		ForceUseInteractive:    true,
		FuncMakeRaw:            s.raw,
		FuncExitRaw:            s.plain,
		FuncOnWidthChanged:     func(f func()) { e.onResize = f },
	})
	if err != nil {
		return nil, err
	}
	e.rl = rl
	return e, nil
}

// columns is the width the editor may count on: always more than the prompt takes, as it divides by what is left.
func (e *editor) columns() int {
	w, _ := e.size()
	return max(w, narrowest, int(e.promptWidth.Load())+1)
}

// ReadLine lets the user edit one line, which starts as prefill. A paste or a block from the history comes back as one
// text of several lines. Ctrl-C gives lang.ErrInterrupt, Ctrl-D on an empty line and the end of the input io.EOF.
func (e *editor) ReadLine(prompt, prefill string) (string, error) {
	if e.keys.ended() != nil {
		return "", io.EOF
	}
	e.begin(prompt, prefill)
	if err := e.raw(); err != nil { // before the prompt is seen: what is typed from then on are keys
		return "", err
	}
	var text string
	var err error
	if prefill == "" {
		text, err = e.rl.Readline()
	} else {
		text, err = e.rl.ReadlineWithDefault(prefill)
	}
	e.mu.Lock()
	defer e.mu.Unlock()
	if err != nil && e.keys.ended() != nil {
		e.keepDraft()
	}
	e.reading = false
	switch {
	case errors.Is(err, readline.ErrInterrupt):
		e.block = nil
		return "", lang.ErrInterrupt
	case err != nil:
		e.block = nil
		return "", io.EOF
	}
	text = plainText([]rune(text))
	if len(e.block) == 0 {
		e.secret = strings.HasPrefix(text, " ")
		text = flushLeft(text)
	}
	e.block = append(e.block, text)
	return text, nil
}

// plainText is a line that was edited as the rows that it stands for.
func plainText(line []rune) string {
	return strings.NewReplacer(string(newlineMark), "\n", string(filler), "").Replace(string(line))
}

// begin prepares the editor for a fresh prompt. Its history is filled anew each time: it loses its place after Enter,
// and searching an empty one would crash it.
func (e *editor) begin(prompt, prefill string) {
	w, _ := e.size()
	columns := width(stripColor(prompt))
	if columns > w/2 {
		prompt, columns = shortPrompt, len(shortPrompt)
	}
	e.promptWidth.Store(int32(columns))
	e.resized.Store(true)
	e.rl.SetPrompt(prompt)
	e.mu.Lock()
	defer e.mu.Unlock()
	e.fill()
	e.last = line{[]rune(prefill), len([]rune(prefill))}
	e.reading = true
	e.pasted, e.refuse, e.edit, e.sought, e.walk, e.undone, e.lasts = nil, 0, nil, nil, nil, nil, 0
}

// fill gives the editor's search the history, from the newest chunk on.
func (e *editor) fill() {
	e.rl.ResetHistory()
	if len(e.history.chunks) == 0 {
		e.rl.SaveHistory("")
	}
	for _, chunk := range e.history.chunks {
		e.rl.SaveHistory(strings.ReplaceAll(chunk, "\n", string(newlineMark)))
	}
}

// Keep puts a chunk that is about to run into the history.
func (e *editor) Keep(chunk string) {
	e.mu.Lock()
	defer e.mu.Unlock()
	e.block = nil
	if !e.secret {
		e.history.add(chunk)
	}
}

// Close ends the editor, also while it reads. The library's own Close waits for ever on a pending read, and races with its
// start; to end the input is enough, the rest ends with the process.
func (e *editor) Close() {
	e.input.Close()
	e.plain()
}

// note shows a message above the line being edited.
func (e *editor) note(text string) {
	fmt.Fprintln(e.rl.Stdout(), text)
}

// markWriter shows newline marks that the editor writes past its painter, as it does while searching.
type markWriter struct {
	w    io.Writer
	mark string
}

func (m markWriter) Write(b []byte) (int, error) {
	if _, err := io.WriteString(m.w, strings.NewReplacer(string(newlineMark), m.mark, string(filler), " ").Replace(string(b))); err != nil {
		return 0, err
	}
	return len(b), nil
}

// stripColor is text without its ESC[…m.
func stripColor(text string) []rune {
	var out []rune
	inside := false
	for _, r := range text {
		switch {
		case r == 0x1B:
			inside = true
		case !inside:
			out = append(out, r)
		case r == 'm':
			inside = false
		}
	}
	return out
}
