package main

import (
	"io"
	"sync"
)

// waitingLimit is how many bytes wait before they are written to something that is no terminal.
const waitingLimit = 32 << 10

// stream is standard output or standard error. What goes to a file or a pipe waits until there is enough of it; before
// writes first run, so that what was said earlier elsewhere is seen earlier.
type stream struct {
	w        io.Writer
	terminal bool
	before   func() // may be nil

	mu      sync.Mutex
	waiting []byte
	err     error // of the first write that failed: nothing is written after it
}

func newStream(w io.Writer) *stream { return &stream{w: w, terminal: isTerminal(w)} }

func (s *stream) Write(b []byte) (int, error) {
	if s.before != nil {
		s.before()
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	s.waiting = append(s.waiting, b...)
	if s.terminal || len(s.waiting) >= waitingLimit {
		s.flush()
	}
	if s.err != nil {
		return 0, s.err
	}
	return len(b), nil
}

// Flush writes what waits.
func (s *stream) Flush() error {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.flush()
}

func (s *stream) flush() error {
	if s.err == nil && len(s.waiting) > 0 {
		_, s.err = s.w.Write(s.waiting)
	}
	s.waiting = s.waiting[:0]
	return s.err
}
