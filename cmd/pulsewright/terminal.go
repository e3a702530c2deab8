package main

import (
	"cmp"
	"io"
	"os"
	"sync"

	"github.com/chzyer/readline"
	"golang.org/x/term"
)

// isTerminal says whether a stream is one.
func isTerminal(stream any) bool {
	f, ok := stream.(*os.File)
	return ok && term.IsTerminal(int(f.Fd()))
}

// size is the columns and rows of the terminal that stream is; else the columns that were asked for, else 80, and 24.
func size(stream any, asked lineWidth) (columns, rows int) {
	if f, ok := stream.(*os.File); ok {
		if w, h, err := term.GetSize(int(f.Fd())); err == nil && w > 0 && h > 0 {
			return w, h
		}
	}
	return cmp.Or(int(asked), 80), 24
}

// rawMode switches a terminal to single keys and back. Restore may come from a signal, at any time.
type rawMode struct {
	fd    int
	mu    sync.Mutex
	state *readline.State
	out   io.Writer
	whole bool // all of the screen is taken, and what stood there comes back
}

const (
	pasteOn  = "\x1b[?2004h"
	pasteOff = "\x1b[?2004l"

	screenTaken = "\x1b[?1049h\x1b[?25l\x1b[?7l\x1b[2J" // another screen, no cursor, long lines are cut off
	screenGiven = "\x1b[?7h\x1b[?25h\x1b[?1049l"
)

// takeScreen takes the screen until restore.
func (r *rawMode) takeScreen() {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.whole = true
	io.WriteString(r.out, screenTaken)
}

func (r *rawMode) enter() error {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.state != nil {
		return nil
	}
	state, err := readline.MakeRaw(r.fd)
	if err != nil {
		return err
	}
	r.state = state
	io.WriteString(r.out, pasteOn)
	return nil
}

// lend notes how the terminal is, before another process has it; restore brings that back, however the other one ends.
func (r *rawMode) lend() error {
	r.mu.Lock()
	defer r.mu.Unlock()
	state, err := readline.GetState(r.fd)
	if err == nil {
		r.state = state
	}
	return err
}

// leave is restore for a process that ends: what comes next begins on a line of its own.
func (r *rawMode) leave() {
	r.mu.Lock()
	reading := r.state != nil
	r.mu.Unlock()
	if reading {
		io.WriteString(r.out, "\r\n")
	}
	r.restore()
}

func (r *rawMode) restore() error {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.state == nil {
		return nil
	}
	if r.whole {
		r.whole = false
		io.WriteString(r.out, screenGiven)
	}
	io.WriteString(r.out, pasteOff)
	state := r.state
	r.state = nil
	return readline.Restore(r.fd, state)
}
