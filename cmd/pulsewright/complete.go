package main

import (
	"fmt"
	"strings"

	"pulsewright/lang"
)

// Do is Tab. The editor's own menu can crash it, so it is never given anything to choose from: the list is printed here,
// above the line, and what is to be inserted is left for the listener that is called next.
func (e *editor) Do(text []rune, pos int) ([][]rune, int) {
	defer e.caught("completion")
	e.mu.Lock()
	block := e.block
	e.mu.Unlock()
	l, list := e.completed(gathered(text, pos), block)
	if len(list) > 0 {
		columns, rows := e.size()
		e.note(strings.Join(layOut(list, columns, rows), "\n"))
	}
	e.mu.Lock()
	e.edit = &l
	e.mu.Unlock()
	return nil, 0
}

// completed is the line after Tab, and what there is to choose from if that does not settle it.
func (e *editor) completed(l line, block []string) (line, []lang.Candidate) {
	if l.blankBefore() {
		return l.indent(), nil
	}
	start := l.rowStart()
	end := start
	for end < len(l.text) && l.text[end] != newlineMark {
		end++
	}
	more := strings.Join(block, "\n")
	if start > 0 {
		rows := strings.ReplaceAll(string(l.text[:start-1]), string(newlineMark), "\n")
		if more != "" {
			more += "\n"
		}
		more += rows
	}
	c := e.complete(string(l.text[start:end]), l.pos-start, more)
	from := l.pos - c.Replace
	if from < start || c.Replace < 0 {
		return l, c.List
	}
	insert := []rune(c.Insert)
	if string(insert) == string(l.text[from:l.pos]) {
		return l, c.List
	}
	return l.with(from, l.pos, insert), c.List
}

// layOut is a list to choose from, one to a line: names with their signatures, cut to the width; at most a screenful.
func layOut(list []lang.Candidate, columns, rows int) []string {
	room := max(rows-3, 3)
	more := 0
	if len(list) > room {
		more = len(list) - room + 1
		list = list[:room-1]
	}
	widest := 0
	for _, c := range list {
		widest = max(widest, width([]rune(c.Name)))
	}
	var out []string
	for _, c := range list {
		text := c.Name
		switch {
		case strings.HasPrefix(c.Note, c.Name): // the signature repeats the name
			text = c.Note
		case c.Note != "":
			text += strings.Repeat(" ", widest-width([]rune(c.Name))+2) + c.Note
		}
		out = append(out, cut("  "+text, columns-1))
	}
	if more > 0 {
		out = append(out, cut(fmt.Sprintf("  and %d more", more), columns-1))
	}
	return out
}

// cut is text without what goes beyond so many columns, and without anything a terminal would act on.
func cut(text string, room int) string {
	var out strings.Builder
	used := 0
	for _, r := range text {
		if r < ' ' || r >= 0x7F && r < 0xA0 {
			r = ' '
		}
		if used += columns.RuneWidth(r); used > room {
			break
		}
		out.WriteRune(r)
	}
	return out.String()
}
