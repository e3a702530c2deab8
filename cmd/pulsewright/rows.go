package main

// The editor knows one line and no newlines. A text of several rows is shown as rows all the same: behind each newlineMark stand as
// many fillers as there are columns to the end of the screen's row and from its beginning to under the first row's text. Fillers are in the
// editor's buffer only: hooks take them out of what they are given, and put them into what they give back.

// filler stands for a column without a letter (a private-use letter, so that nobody types it).
const filler = '\uE00C'

// gathered is a line without its fillers.
func gathered(text []rune, pos int) line {
	out := line{make([]rune, 0, len(text)), 0}
	for i, r := range text {
		if i == pos {
			out.pos = len(out.text)
		}
		if r != filler {
			out.text = append(out.text, r)
		}
	}
	if pos >= len(text) {
		out.pos = len(out.text)
	}
	return out
}

// spread is a line with fillers, for a screen of so many columns and rows and a prompt of so many columns. What does not fit on the screen
// stays one line, in which newlines show as a mark.
func spread(l line, prompt, columns, rows int) line {
	out := line{make([]rune, 0, len(l.text)), 0}
	column, used := prompt, 1
	for i, r := range l.text {
		if i == l.pos {
			out.pos = len(out.text)
		}
		out.text = append(out.text, r)
		if column += width([]rune{r}); r != newlineMark {
			continue
		}
		rest := (columns - column%columns) % columns
		used += (column + rest) / columns
		for range rest + prompt {
			out.text = append(out.text, filler)
		}
		column = prompt
	}
	if l.pos == len(l.text) {
		out.pos = len(out.text)
	}
	if used += column / columns; used >= rows || len(out.text) == len(l.text) {
		return l
	}
	return out
}

// inRows reports whether a text from the editor's buffer is shown as rows.
func inRows(text []rune) bool {
	for _, r := range text {
		if r == filler {
			return true
		}
	}
	return false
}

// gather is what a key has made of a line that may be shown as rows. Keys that go by one letter back have only met a filler at the start of a row.
func (e *editor) gather(text []rune, pos int, key rune) line {
	l := gathered(text, pos)
	if !inRows(text) || l.pos != e.last.pos || l.pos == 0 || string(l.text) != string(e.last.text) {
		return l
	}
	switch key {
	case keyLeft:
		l.pos--
	case keyBack, keyBack2:
		l = l.with(l.pos-1, l.pos, nil)
	}
	return l
}

// spread puts the fillers in.
func (e *editor) spread(l line) line {
	_, rows := e.size()
	return spread(l, int(e.promptWidth.Load()), e.columns(), rows)
}
