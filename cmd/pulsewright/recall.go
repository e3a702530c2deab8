package main

import (
	"slices"
	"strings"
)

// walk is a way through the history with Up and Down. Any other key ends it.
type walk struct {
	at    int    // the chunk that is shown
	draft line   // the line as it was
	begin string // what the chunks wanted begin with
}

// recall is the line after Up (step -1) or Down (+1): a row up or down in a text of several, else the nearest chunk that begins with
// what stands before the cursor. Behind the newest the line comes back as it was.
func (e *editor) recall(l line, step int) line {
	if e.walk == nil {
		if to, ok := l.beside(step); ok {
			return to
		}
		if step > 0 {
			return l
		}
		e.walk = &walk{at: len(e.history.chunks), draft: l}
		if before := l.text[:l.pos]; !blank(before) {
			e.walk.begin = chunkOf(before)
		}
	}
	w := e.walk
	for i := w.at + step; i >= 0 && i < len(e.history.chunks); i += step {
		chunk := e.history.chunks[i]
		if strings.HasPrefix(chunk, w.begin) && chunk != chunkOf(l.text) {
			w.at = i
			text := []rune(strings.ReplaceAll(chunk, "\n", string(newlineMark)))
			return line{text, len(text)}
		}
	}
	if step < 0 {
		return l
	}
	draft := w.draft
	e.walk = nil
	return draft
}

func chunkOf(text []rune) string { return strings.ReplaceAll(string(text), string(newlineMark), "\n") }

// undoLimit is how many changes of a line can be taken back.
const undoLimit = 500

// remember keeps the line as it was before key, if that has changed it. Letters of one word count as one change.
func (e *editor) remember(now line, key rune) {
	if key == keyUndo || slices.Equal(now.text, e.last.text) {
		e.letter = e.letter && key != keyUndo && now.pos == e.last.pos
		return
	}
	letter := wordRune(key) && len(now.text) == len(e.last.text)+1
	if !letter || !e.letter {
		if e.undone = append(e.undone, e.last); len(e.undone) > undoLimit {
			e.undone = e.undone[1:]
		}
	}
	e.letter = letter
}

// undo is the line before its last change.
func (e *editor) undo(l line) line {
	n := len(e.undone) - 1
	if n < 0 {
		return l
	}
	l, e.undone = e.undone[n], e.undone[:n]
	return l
}

// lastArgument puts in the last argument of the newest chunk; when it is asked for again, that of the chunk before instead.
func (e *editor) lastArgument(l line) line {
	if e.lasts == 0 {
		e.lastAt = l
	}
	for e.lasts < len(e.history.chunks) {
		e.lasts++
		if arg := lastArgument(e.history.chunks[len(e.history.chunks)-e.lasts]); arg != "" {
			at := e.lastAt
			return at.with(at.pos, at.pos, []rune(strings.ReplaceAll(arg, "\n", string(newlineMark))))
		}
	}
	return l
}

// lastArgument is what stands last in the last call of a chunk, or its last word where nothing is called.
func lastArgument(chunk string) (found string) {
	text := []rune(chunk)
	type level struct{ from, open int } // where its last piece begins, and its bracket
	stack := []level{{}}
	for i := 0; i < len(text); i++ {
		top := &stack[len(stack)-1]
		switch text[i] {
		case '"', '\'':
			i += quoted(text[i:]) - 1
		case '#':
			i += until(text[i:], func(r rune) bool { return r == '\n' }) - 1
		case '(', '[', '{':
			stack = append(stack, level{i + 1, i})
		case ',':
			top.from = i + 1
		case ')', ']', '}':
			if len(stack) == 1 {
				return found
			}
			if arg := strings.TrimSpace(string(text[top.from:i])); text[i] == ')' && calls(text[:top.open]) && arg != "" {
				found = arg
			}
			stack = stack[:len(stack)-1]
		}
	}
	words := strings.FieldsFunc(chunk, func(r rune) bool { return r == ' ' || r == ';' || r == '\n' })
	if found == "" && len(words) > 0 {
		return words[len(words)-1]
	}
	return found
}

// calls reports whether a bracket behind the text calls what stands there.
func calls(text []rune) bool {
	n := len(text)
	return n > 0 && (wordRune(text[n-1]) || text[n-1] == ')' || text[n-1] == ']')
}
