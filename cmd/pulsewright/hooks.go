package main

import (
	"fmt"
	"slices"

	"github.com/chzyer/readline"
)

// The hooks of the line editor. They run in its goroutine, where a panic could not be caught outside.

// caught keeps a bug in a hook from ending the process with the terminal in raw mode.
func (e *editor) caught(hook string) {
	if r := recover(); r != nil {
		fmt.Fprintf(e.out, "\r\ninternal error in the line editor (%s): %v\r\n", hook, r)
	}
}

// filter sees each key before the editor does. It must let every key through in some form: a key it swallowed would make
// the editor read on while a command runs.
func (e *editor) filter(r rune) (out rune, ok bool) {
	out, ok = r, true
	defer e.caught("filter")
	if e.resized.Swap(false) && e.onResize != nil {
		e.onResize()
	}
	searching := e.rl.Operation.IsSearchMode()
	switch r {
	case readline.CharBckSearch, readline.CharFwdSearch:
		if !searching {
			e.mu.Lock()
			e.fill()
			e.sought = &line{slices.Clone(e.last.text), e.last.pos}
			e.mu.Unlock()
		}
	case readline.CharInterrupt:
		if !searching {
			e.mu.Lock()
			e.sought = nil
			e.mu.Unlock()
		}
	case readline.CharPrev, readline.CharNext:
		if out = keyOlder; r == readline.CharNext {
			out = keyNewer
		}
		if searching {
			out = readline.CharLineEnd
		}
	case keyPaste:
		p, _ := e.keys.takePaste()
		e.mu.Lock()
		e.pasted, e.refuse = p.text, p.refused
		e.mu.Unlock()
	case readline.CharDelete: // Ctrl-D: a line of blanks, such as our indentation, is an empty one
		e.mu.Lock()
		drop := !searching && len(e.last.text) > 0 && blank(e.last.text)
		e.mu.Unlock()
		if drop {
			e.rl.Operation.SetBuffer("")
		}
	}
	if searching && (ours(r) || r == readline.CharTab) { // not part of the text searched for: it accepts what was found
		e.mu.Lock()
		e.pasted, e.refuse = nil, 0
		e.mu.Unlock()
		out = readline.CharLineEnd
	}
	return out, ok
}

// ours says whether a control character is one of those that edit.go works on.
func ours(r rune) bool {
	switch r {
	case keyKillRight, keyYank, keyWordLeft, keyWordRight, keySwap, keyPaste, keyKillLeft, keyDelete,
		keyOlder, keyNewer, keyUndo, keyLast, keyNewline:
		return true
	}
	return false
}

// OnChange sees the line after each key and may change it.
func (e *editor) OnChange(text []rune, pos int, key rune) (out []rune, newPos int, ok bool) {
	defer e.caught("listener")
	e.mu.Lock()
	defer e.mu.Unlock()
	if key == readline.CharInterrupt && e.sought != nil {
		key = readline.CharBell // it gives up the search, not the line
	}
	if key == 0 || key == readline.CharEnter || key == readline.CharCtrlJ || key == readline.CharInterrupt {
		return nil, 0, false // before the first key, or too late
	}
	l := e.gather(text, pos, key)
	e.change(&l, key)
	if !e.rl.Operation.IsSearchMode() {
		e.remember(l, key)
	}
	refused := e.refuse
	e.refuse = 0
	e.last = line{slices.Clone(l.text), l.pos}
	if refused > 0 {
		e.note(fmt.Sprintf("a paste of %d letters is too long for the prompt (at most %d): put it in a file and use pulsewright run FILE", refused, pasteLimit))
	}
	shown := l
	if !e.rl.Operation.IsSearchMode() { // which shows one line
		shown = e.spread(l)
	}
	return shown.text, shown.pos, shown.pos != pos || !slices.Equal(shown.text, text)
}

// change does what key does to the line beyond what the editor has done already. Called with mu held.
func (e *editor) change(l *line, key rune) {
	if sought := e.sought; sought != nil && !e.rl.Operation.IsSearchMode() {
		e.sought = nil
		if key == readline.CharBell {
			*l, e.last = *sought, *sought
			return
		}
		e.undone = append(e.undone, *sought)
	}
	if key != keyOlder && key != keyNewer {
		e.walk = nil
	}
	if key != keyLast {
		e.lasts = 0
	}
	switch {
	case ours(key):
		if l.pos == 0 || l.text[l.pos-1] != key {
			return
		}
		*l = l.with(l.pos-1, l.pos, nil)
		e.own(l, key)
	case key == readline.CharLineStart && slices.Equal(l.text, e.last.text):
		l.pos = e.last.rowStart()
	case key == readline.CharLineEnd && slices.Equal(l.text, e.last.text):
		l.pos = e.last.rowEnd()
	case key == readline.CharTab:
		if e.edit == nil {
			return
		}
		*l, e.edit = *e.edit, nil
	case key == readline.CharBackspace || key == readline.CharCtrlH:
		if l.pos == e.last.pos-1 && e.last.text[l.pos] == ' ' && l.blankBefore() {
			*l = l.dedent()
			return
		}
	case key == readline.CharCtrlU: // of the row, not of all rows
		*l, e.killed = e.last.kill(e.last.rowStart(), e.last.pos, e.killed)
	case key == readline.CharKill:
		to := e.last.rowEnd()
		if to == e.last.pos && to < len(e.last.text) {
			to++ // the end of the row itself
		}
		*l, e.killed = e.last.kill(e.last.pos, to, e.killed)
	}
}

// own does the work of one of our keys. Called with mu held.
func (e *editor) own(l *line, key rune) {
	switch key {
	case keyPaste:
		from := l.pos
		if len(e.pasted) > 0 && e.pasted[0] == ' ' && l.blankBefore() { // it brings its own indentation
			from = l.rowStart()
		}
		*l = l.with(from, l.pos, e.pasted)
		e.pasted = nil
	case keyOlder:
		*l = e.recall(*l, -1)
	case keyNewer:
		*l = e.recall(*l, +1)
	case keyUndo:
		*l = e.undo(*l)
	case keyLast:
		*l = e.lastArgument(*l)
	case keyNewline:
		*l = l.newRow(e.block)
	default:
		*l, e.killed = l.key(key, e.killed)
	}
}

// Paint colours the line and corrects the cursor's way back over wide letters.
func (e *editor) Paint(text []rune, pos int) (out []rune) {
	defer func() {
		if recover() != nil {
			out = text
		}
	}()
	out = e.paint.paint(text)
	if w, _ := e.size(); int(e.promptWidth.Load())+width(text) < w {
		out = append(out, moveBack(text, pos)...)
	}
	return out
}
