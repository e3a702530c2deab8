package main

import (
	"slices"
	"strings"
	"unicode"

	"pulsewright/lang"
)

// indentWidth is one level of indentation, in columns.
const indentWidth = 4

// line is the text being edited and the place of the cursor, in letters.
type line struct {
	text []rune
	pos  int
}

// with is l with the letters from..to replaced by text and the cursor behind it.
func (l line) with(from, to int, text []rune) line {
	out := make([]rune, 0, len(l.text)-(to-from)+len(text))
	out = append(out, l.text[:from]...)
	out = append(out, text...)
	out = append(out, l.text[to:]...)
	return line{out, from + len(text)}
}

// rowStart is where the row the cursor is in begins: rows of one chunk are parted by newlineMark.
func (l line) rowStart() int {
	for i := l.pos; i > 0; i-- {
		if l.text[i-1] == newlineMark {
			return i
		}
	}
	return 0
}

// rowEnd is where that row ends.
func (l line) rowEnd() int {
	for i := l.pos; i < len(l.text); i++ {
		if l.text[i] == newlineMark {
			return i
		}
	}
	return len(l.text)
}

// beside is the cursor one row up or down, in the same column if the row is long enough; ok is false where there is no such row.
func (l line) beside(step int) (_ line, ok bool) {
	column, to := l.pos-l.rowStart(), line{l.text, l.rowStart() - 1}
	if step > 0 {
		to.pos = l.rowEnd() + 1
	}
	if to.pos < 0 || to.pos > len(l.text) {
		return l, false
	}
	to.pos = min(to.rowStart()+column, to.rowEnd())
	return to, true
}

// newRow begins a row at the cursor, as deep as Enter would begin it in a block. Above are the rows that were entered before it.
func (l line) newRow(above []string) line {
	rows := append(slices.Clone(above), plainText(l.text[:l.pos]))
	return l.with(l.pos, l.pos, []rune(string(newlineMark)+lang.NextRow(strings.Join(rows, "\n"))))
}

// blankBefore says whether only spaces stand between the start of the row and the cursor.
func (l line) blankBefore() bool { return blank(l.text[l.rowStart():l.pos]) }

func blank(text []rune) bool {
	for _, r := range text {
		if r != ' ' && r != newlineMark {
			return false
		}
	}
	return true
}

// flushLeft takes away the blanks that all rows of a text begin with, as those of code copied from inside a function. Rows inside a
// long string, such as a drawing, stay as they are.
func flushLeft(text string) string {
	rows := strings.Split(text, "\n")
	inside := insideText(text)
	least := len(text)
	for i, row := range rows {
		if rest := strings.TrimLeft(row, " "); rest != "" && !inside[i] {
			least = min(least, len(row)-len(rest))
		}
	}
	for i, row := range rows {
		if !inside[i] {
			rows[i] = row[min(least, len(row)):]
		}
	}
	return strings.Join(rows, "\n")
}

// insideText says for each row whether it begins inside a string.
func insideText(text string) (inside []bool) {
	inside = []bool{false}
	for rest := []rune(text); len(rest) > 0; {
		n := 1
		switch rest[0] {
		case '"', '\'':
			n = quoted(rest)
		case '#':
			n = until(rest, func(r rune) bool { return r == '\n' })
		case '\n':
			inside = append(inside, false)
		}
		if rest[0] == '"' || rest[0] == '\'' {
			for _, r := range rest[:n] {
				if r == '\n' {
					inside = append(inside, true)
				}
			}
		}
		rest = rest[n:]
	}
	return inside
}

func wordRune(r rune) bool {
	return r == '_' || unicode.IsLetter(r) || unicode.IsDigit(r) || unicode.Is(unicode.Mn, r)
}

// wordLeft is the start of the word at or before the cursor.
func (l line) wordLeft() int {
	i := l.pos
	for i > 0 && !wordRune(l.text[i-1]) {
		i--
	}
	for i > 0 && wordRune(l.text[i-1]) {
		i--
	}
	return i
}

// wordRight is the end of the word at or behind the cursor.
func (l line) wordRight() int {
	i := l.pos
	for i < len(l.text) && !wordRune(l.text[i]) {
		i++
	}
	for i < len(l.text) && wordRune(l.text[i]) {
		i++
	}
	return i
}

// indent moves what is right of the cursor to the next level.
func (l line) indent() line {
	column := l.pos - l.rowStart()
	spaces := []rune("    ")[:indentWidth-column%indentWidth]
	return l.with(l.pos, l.pos, spaces)
}

// dedent finishes a Backspace that has taken one of the spaces in front of a row: it goes down to the level below.
func (l line) dedent() line {
	over := (l.pos - l.rowStart()) % indentWidth
	return l.with(l.pos-over, l.pos, nil)
}

// swap exchanges the letters around the cursor, at the end of the line the last two.
func (l line) swap() line {
	i := min(l.pos, len(l.text)-1)
	if i < 1 {
		return l
	}
	return l.with(i-1, i+1, []rune{l.text[i], l.text[i-1]})
}

// kill deletes the letters from..to; they are then what Ctrl-Y brings back, if there are any.
func (l line) kill(from, to int, killed []rune) (line, []rune) {
	if from == to {
		return l, killed
	}
	return l.with(from, to, nil), append([]rune(nil), l.text[from:to]...)
}

// key does the work of one of our control characters. Killed is the text Ctrl-Y brings back.
func (l line) key(r rune, killed []rune) (line, []rune) {
	switch r {
	case keyKillLeft:
		return l.kill(l.wordLeft(), l.pos, killed)
	case keyKillRight:
		return l.kill(l.pos, l.wordRight(), killed)
	case keyWordLeft:
		return line{l.text, l.wordLeft()}, killed
	case keyWordRight:
		return line{l.text, l.wordRight()}, killed
	case keyDelete:
		if l.pos < len(l.text) {
			return l.with(l.pos, l.pos+1, nil), killed
		}
	case keySwap:
		return l.swap(), killed
	case keyYank:
		return l.with(l.pos, l.pos, killed), killed
	}
	return l, killed
}
