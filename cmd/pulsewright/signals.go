package main

import (
	"context"
	"fmt"
	"io"
	"os"
	"os/signal"
	"sync"
	"sync/atomic"
	"syscall"
	"time"
)

// patience is how long a command may ignore Ctrl-C before a second one ends the process. A third one always does.
const patience = 2 * time.Second

// signals turns what the system sends into what it means here. Ctrl-C ends the running command, never the shell. (While
// the editor reads, Ctrl-C is a key and comes here not at all.)
type signals struct {
	ch      chan os.Signal
	err     io.Writer
	leave   func(code int) // restores the terminal and ends the process
	resized atomic.Bool    // the window has another size than when this was last taken back
	idle    chan struct{}  // Ctrl-C while a shell without the editor waits for a line

	mu      sync.Mutex
	cancel  context.CancelFunc // of the running command, nil if none is
	number  int                // of the running command
	asked   time.Time          // of the first Ctrl-C during it
	times   int                // how many there were
	waiting bool               // a shell waits for a line
	passed  bool               // Ctrl-C is somebody else's
}

func newSignals(err io.Writer, leave func(int)) *signals {
	return &signals{ch: make(chan os.Signal, 8), err: err, leave: leave, idle: make(chan struct{}, 1)}
}

// listen starts handling. A signal that was ignored when we were started (nohup, a background job) stays ignored.
func (s *signals) listen() {
	for _, sig := range append([]os.Signal{os.Interrupt, syscall.SIGTERM, syscall.SIGHUP}, resizeSignals...) {
		if !signal.Ignored(sig) {
			signal.Notify(s.ch, sig)
		}
	}
	go func() {
		for sig := range s.ch {
			s.handle(sig, time.Now())
		}
	}()
}

func (s *signals) handle(sig os.Signal, now time.Time) {
	switch sig {
	case os.Interrupt:
		s.interrupt(now)
	case syscall.SIGTERM, syscall.SIGHUP:
		s.leave(128 + int(sig.(syscall.Signal)))
	default:
		s.resized.Store(true)
	}
}

func (s *signals) interrupt(now time.Time) {
	s.mu.Lock()
	defer s.mu.Unlock()
	switch {
	case s.passed:
	case s.cancel != nil && s.asked.IsZero():
		s.asked, s.times = now, 1
		s.cancel()
		number := s.number
		time.AfterFunc(patience, func() { s.remind(number) })
	case s.cancel != nil:
		if s.times++; s.times > 2 || now.Sub(s.asked) >= patience {
			s.leave(130)
		}
	case s.waiting:
		select {
		case s.idle <- struct{}{}:
		default:
		}
	default:
		s.leave(130)
	}
}

// remind tells how to get out, if the command that Ctrl-C should have stopped is running still.
func (s *signals) remind(number int) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.cancel != nil && s.number == number {
		fmt.Fprintln(s.err, "still stopping; Ctrl-C again ends pulsewright")
	}
}

// command gives the context of a command that starts now; the function returned is to be called when it is done.
func (s *signals) command() (context.Context, context.CancelFunc) {
	ctx, cancel := context.WithCancel(context.Background())
	s.mu.Lock()
	s.number++
	s.cancel, s.asked = cancel, time.Time{}
	s.mu.Unlock()
	return ctx, func() {
		cancel()
		s.mu.Lock()
		s.cancel = nil
		s.mu.Unlock()
	}
}

// wait says whether a shell waits for a line.
func (s *signals) wait(on bool) {
	s.mu.Lock()
	s.waiting = on
	s.mu.Unlock()
}

// passOver says whether Ctrl-C belongs to somebody else, such as the pager.
func (s *signals) passOver(on bool) {
	s.mu.Lock()
	s.passed = on
	s.mu.Unlock()
}
