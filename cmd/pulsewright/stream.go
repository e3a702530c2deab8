package main

import (
	"io"
	"sync"
	"time"
)

const (
	// waitingLimit is how many bytes wait before they are written to something that is no terminal.
	waitingLimit = 32 << 10
	// waitingTime is how long since the last bytes were written until new ones are written at once: who prints a line now and
	// then sees it, who prints without end pays for few writes.
	waitingTime = 100 * time.Millisecond
)

// stream is standard output or standard error. What goes fast to a file or a pipe waits until there is enough of it.
// Before each write another stream may have to be written, so that what was said earlier is seen earlier.
type stream struct {
	w        io.Writer
	terminal bool
	before   func() // may be nil

	mu      sync.Mutex
	waiting []byte
	written time.Time // the last time
	err     error     // of the first write that failed: nothing is written after it
}

func newStream(w io.Writer) *stream { return &stream{w: w, terminal: isTerminal(w)} }

func (s *stream) Write(b []byte) (int, error) {
	if s.before != nil {
		s.before()
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	s.waiting = append(s.waiting, b...)
	if s.terminal || len(s.waiting) >= waitingLimit || time.Since(s.written) >= waitingTime {
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
		s.written = time.Now()
	}
	s.waiting = s.waiting[:0]
	return s.err
}
