package main

import (
	"bytes"
	"strings"
	"unicode"
	"unicode/utf8"
)

// pasteLimit is the longest paste, in letters, that the prompt takes: the editor redraws all of it for every key.
const pasteLimit = 10000

const (
	pasteStart = "200"
	pasteEnd   = "\x1b[201~"
	// longestPaste bounds the bytes kept of a paste: pasteLimit letters of at most four bytes, with room to spare.
	longestPaste = 8 * pasteLimit
)

// paste is the text of one bracketed paste, newlines as newlineMark. Refused is its length if it was too long to keep.
type paste struct {
	text    []rune
	refused int
}

// takePaste is the oldest paste not yet taken: one for each keyPaste that came out.
func (k *keys) takePaste() (paste, bool) {
	k.mu.Lock()
	defer k.mu.Unlock()
	if len(k.pastes) == 0 {
		return paste{}, false
	}
	p := k.pastes[0]
	k.pastes = k.pastes[1:]
	return p, true
}

// inPaste collects a paste up to its end mark.
func (k *keys) inPaste(c byte) {
	k.held = append(k.held, c)
	if bytes.HasSuffix(k.held, []byte(pasteEnd)) {
		text := cleanPaste(k.held[:len(k.held)-len(pasteEnd)])
		p := paste{text: text}
		if k.over > 0 || len(text) > pasteLimit {
			p = paste{refused: len(text) + k.over}
		}
		k.state, k.held = plain, nil
		if len(text) == 0 && p.refused == 0 {
			return
		}
		k.mu.Lock()
		k.pastes = append(k.pastes, p)
		k.mu.Unlock()
		k.emit(keyPaste)
		return
	}
	if n := len(k.held) - len(pasteEnd); n > longestPaste {
		k.over += n
		k.held = append(k.held[:0], k.held[n:]...)
	}
}

// cleanPaste makes pasted bytes fit to be edited in one line: newlines of any kind become newlineMark, a TAB four spaces,
// odd spaces plain ones; other controls and what is not UTF-8 are dropped.
func cleanPaste(b []byte) []rune {
	text := strings.NewReplacer("\r\n", "\n", "\r", "\n").Replace(string(b))
	out := make([]rune, 0, len(text))
	for i, r := range text {
		switch {
		case r == '\n':
			out = append(out, newlineMark)
		case r == '\t':
			out = append(out, ' ', ' ', ' ', ' ')
		case r == utf8.RuneError && !strings.HasPrefix(text[i:], string(utf8.RuneError)):
		case unicode.IsPrint(r):
			out = append(out, r)
		case unicode.Is(unicode.Zs, r):
			out = append(out, ' ')
		}
	}
	return out
}
