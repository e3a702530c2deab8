package main

import (
	"fmt"

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
	case keyKillRight, keyYank, keyWordLeft, keyWordRight, keySwap, keyPaste, keyKillLeft, keyDelete:
		return true
	}
	return false
}

// OnChange sees the line after each key and may change it.
func (e *editor) OnChange(text []rune, pos int, key rune) (out []rune, newPos int, ok bool) {
	defer e.caught("listener")
	if key == 0 || key == readline.CharEnter || key == readline.CharCtrlJ || key == readline.CharInterrupt {
		return nil, 0, false // before the first key, or too late
	}
	e.mu.Lock()
	l := line{text, pos}
	changed := e.change(&l, key)
	refused := e.refuse
	e.refuse = 0
	e.last = line{append([]rune(nil), l.text...), l.pos}
	e.mu.Unlock()
	if refused > 0 {
		e.note(fmt.Sprintf("a paste of %d letters is too long for the prompt (at most %d): put it in a file and use pulsewright run FILE", refused, pasteLimit))
	}
	return l.text, l.pos, changed
}

// change is what key does to the line beyond what the editor has done already. Called with mu held.
func (e *editor) change(l *line, key rune) bool {
	switch {
	case ours(key):
		if l.pos == 0 || l.text[l.pos-1] != key {
			return false
		}
		*l = l.with(l.pos-1, l.pos, nil)
		if key == keyPaste {
			from := l.pos
			if len(e.pasted) > 0 && e.pasted[0] == ' ' && l.blankBefore() { // it brings its own indentation
				from = l.rowStart()
			}
			*l = l.with(from, l.pos, e.pasted)
			e.pasted = nil
			return true
		}
		*l, e.killed = l.key(key, e.killed)
		return true
	case key == readline.CharTab:
		if e.edit == nil {
			return false
		}
		*l, e.edit = *e.edit, nil
		return true
	case key == readline.CharBackspace || key == readline.CharCtrlH:
		if l.pos == e.last.pos-1 && e.last.text[l.pos] == ' ' && l.blankBefore() {
			*l = l.dedent()
			return true
		}
	case key == readline.CharCtrlU && e.last.pos > 0:
		e.killed = append([]rune(nil), e.last.text[:e.last.pos]...)
	case key == readline.CharKill && e.last.pos < len(e.last.text):
		e.killed = append([]rune(nil), e.last.text[e.last.pos:]...)
	}
	return false
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
