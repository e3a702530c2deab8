package main

import (
	"io"
	"strings"
	"sync"
	"unicode"
	"unicode/utf8"

	"github.com/chzyer/readline"
)

// Keys the line editor does not know, or does wrongly, reach it as one of these control characters. They stand for work
// that edit.go does; typed by hand they never get through.
const (
	keyKillRight = 0x0F // Alt-d: delete to the end of the word
	keyYank      = 0x11 // Ctrl-Y: insert what was deleted last
	keyWordLeft  = 0x16 // Ctrl-Left, Alt-b
	keyWordRight = 0x18 // Ctrl-Right, Alt-f
	keySwap      = 0x1C // Ctrl-T: exchange two letters
	keyPaste     = 0x1D // the next kept paste goes here
	keyKillLeft  = 0x1E // Ctrl-W, Alt-Backspace: delete to the start of the word
	keyDelete    = 0x1F // Delete: the letter under the cursor (on an empty line nothing, where Ctrl-D leaves)

	keyOlder   = 0x80 // Up: a row up, or the chunk before that begins as what was typed; the filter makes it of the editor's own key
	keyNewer   = 0x81 // Down
	keyUndo    = 0x82 // Ctrl-_: take back the last change of the line
	keyLast    = 0x83 // Alt-. and Alt-_: the last argument of the chunk before
	keyNewline = 0x84 // Alt-Enter: a new row
)

// Keys that only a film has. Typed by hand these never get through.
const (
	keyPageUp   = 0x1A
	keyPageDown = 0x1B
	keyEscape   = 0x19
)

// Keys of the editor's own that we look at.
const (
	keyLeft, keyBack, keyBack2 = readline.CharBackward, readline.CharBackspace, readline.CharCtrlH
)

// newlineMark stands for a newline inside a line that is being edited (a private-use letter, so that nobody types it).
const newlineMark = '\uE00A'

// longestSequence bounds an escape sequence; a longer one is noise.
const longestSequence = 32

type keyState int

const (
	plain keyState = iota
	escaped
	sequence // after ESC [
	shifted  // after ESC O
	pasting
)

// keys is the terminal's input made safe for the line editor. What comes out holds only printable letters and the control
// characters that the editor handles well: no NUL (it would end the shell), no Ctrl-Z (it would stop the parent too), no
// escape sequence. A bracketed paste is kept aside and comes out as a single keyPaste.
//
// Apart from one case the result does not depend on how the input is cut into reads: an ESC that ends a read may have been
// the Esc key, so a letter that follows in the next read is itself and not its Alt form.
type keys struct {
	src   io.Reader
	film  bool // PgUp, PgDn and Esc mean something
	state keyState
	alone bool   // the ESC being looked at was the last byte of its read
	held  []byte // bytes of an unfinished letter, sequence or paste
	over  int    // bytes of the paste that were not kept
	ready []byte

	mu     sync.Mutex
	pastes []paste
	err    error
}

func newKeys(src io.Reader) *keys { return &keys{src: src} }

// Read gives the next keys. It waits for input, never for the rest of an escape sequence longer than the source does.
func (k *keys) Read(p []byte) (int, error) {
	if len(p) == 0 {
		return 0, nil
	}
	var in [4096]byte
	for len(k.ready) == 0 {
		if err := k.ended(); err != nil {
			return 0, err
		}
		n, err := k.src.Read(in[:])
		for _, c := range in[:n] {
			k.step(c)
		}
		if k.state == escaped {
			k.alone = true
			if k.film && n > 0 {
				k.emit(keyEscape) // at once: should it be the first byte of a sequence after all, a film takes no harm
			}
		}
		if err != nil {
			k.mu.Lock()
			k.err = err
			k.mu.Unlock()
		}
	}
	n := copy(p, k.ready)
	k.ready = k.ready[n:]
	return n, nil
}

// ended is the error that ended the input, nil while it goes on.
func (k *keys) ended() error {
	k.mu.Lock()
	defer k.mu.Unlock()
	return k.err
}

func (k *keys) emit(c rune) { k.ready = utf8.AppendRune(k.ready, c) }

func (k *keys) step(c byte) {
	switch k.state {
	case plain:
		k.letter(c)
	case escaped:
		k.afterEscape(c)
	case sequence:
		k.inSequence(c)
	case shifted:
		k.afterShift(c)
	case pasting:
		k.inPaste(c)
	}
}

// letter handles a byte outside any sequence.
func (k *keys) letter(c byte) {
	if len(k.held) == 0 && c < utf8.RuneSelf {
		k.control(c)
		return
	}
	k.held = append(k.held, c)
	for len(k.held) > 0 && utf8.FullRune(k.held) {
		r, n := utf8.DecodeRune(k.held)
		bytes := k.held[:n]
		k.held = k.held[n:]
		switch {
		case r == utf8.RuneError && n == 1: // not UTF-8
		case n == 1:
			rest := k.held // an ESC among them starts a sequence that uses held
			k.held = nil
			k.control(bytes[0])
			for _, c := range rest {
				k.step(c)
			}
			return
		case unicode.IsPrint(r):
			k.ready = append(k.ready, bytes...)
		case unicode.Is(unicode.Zs, r): // a no-break space and its like
			k.emit(' ')
		}
	}
}

// control handles an ASCII byte: text goes through, so do the controls that the editor does right.
func (k *keys) control(c byte) {
	switch c {
	case 0x1B:
		k.state, k.alone = escaped, false
	case 0x17:
		k.emit(keyKillLeft)
	case 0x19:
		k.emit(keyYank)
	case 0x1F:
		k.emit(keyUndo)
	case 0x14:
		k.emit(keySwap) // the editor's own version crashes on a line of one letter
	case 0x01, 0x02, 0x03, 0x04, 0x05, 0x06, 0x07, 0x08, '\t', '\n', 0x0B, 0x0C, '\r', 0x0E, 0x10, 0x12, 0x13, 0x15, 0x7F:
		k.emit(rune(c))
	default:
		if c >= ' ' {
			k.emit(rune(c))
		}
	}
}

func (k *keys) afterEscape(c byte) {
	switch {
	case c == 0x1B:
		k.alone = false
	case c == '[':
		k.state, k.held = sequence, append(k.held[:0], c)
	case c == 'O':
		k.state = shifted
	case k.alone:
		k.state = plain
		k.letter(c)
	default:
		k.state = plain
		switch c {
		case 'b':
			k.emit(keyWordLeft)
		case 'f':
			k.emit(keyWordRight)
		case 'd':
			k.emit(keyKillRight)
		case 0x08, 0x7F:
			k.emit(keyKillLeft)
		case '.', '_':
			k.emit(keyLast)
		case '\r', '\n':
			k.emit(keyNewline)
		case 0x03:
			k.emit(rune(c))
		default:
			if c >= utf8.RuneSelf {
				k.letter(c)
			}
		}
	}
}

// inSequence collects ESC [ up to its last byte. What cannot be a sequence after a lone ESC is text: [1, 2].
func (k *keys) inSequence(c byte) {
	parameter := c >= '0' && c <= '9' || c == ';'
	odd := c >= ' ' && c < '@' && !parameter || c == '['
	switch {
	case k.alone && (odd || c < ' ' || c >= 0x7F):
		text := append([]byte(nil), k.held...)
		k.state, k.held = plain, nil
		for _, t := range append(text, c) {
			k.step(t)
		}
	case parameter, odd && !(c == '[' && len(k.held) > 1):
		if len(k.held) < longestSequence {
			k.held = append(k.held, c)
		}
	case c < ' ' || c >= 0x7F:
		k.state, k.held = plain, nil
		k.letter(c)
	default:
		args := string(k.held[1:])
		k.state, k.held = plain, nil
		k.sequenceKey(args, c)
	}
}

func (k *keys) sequenceKey(args string, last byte) {
	if len(args) > 8 || strings.Trim(args, "0123456789;") != "" {
		return
	}
	word := args == "1;5" || args == "1;3"
	switch last {
	case 'A':
		k.emit(0x10)
	case 'B':
		k.emit(0x0E)
	case 'C':
		if word {
			k.emit(keyWordRight)
		} else {
			k.emit(0x06)
		}
	case 'D':
		if word {
			k.emit(keyWordLeft)
		} else {
			k.emit(0x02)
		}
	case 'H':
		k.emit(0x01)
	case 'F':
		k.emit(0x05)
	case '~':
		switch args {
		case "1", "7":
			k.emit(0x01)
		case "4", "8":
			k.emit(0x05)
		case "5", "6":
			if k.film {
				k.emit(map[string]rune{"5": keyPageUp, "6": keyPageDown}[args])
			}
		case "3":
			k.emit(keyDelete)
		case "3;5", "3;3":
			k.emit(keyKillRight)
		case pasteStart:
			k.state, k.over = pasting, 0
		}
	}
}

// afterShift handles the byte after ESC O: arrows, Home and End of a terminal in application mode.
func (k *keys) afterShift(c byte) {
	k.state = plain
	switch {
	case strings.IndexByte("ABCDHF", c) >= 0:
		k.sequenceKey("", c)
	case strings.IndexByte("MPQRSjklmnopqrstuvwxyz", c) >= 0: // keypad and function keys
	case k.alone:
		k.emit('O')
		k.letter(c)
	default:
		k.letter(c)
	}
}
