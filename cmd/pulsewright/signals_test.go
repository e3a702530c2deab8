package main

import (
	"bytes"
	"os"
	"syscall"
	"testing"
	"time"
)

func TestSignals(t *testing.T) {
	var said bytes.Buffer
	var left []int
	s := newSignals(&said, func(code int) { left = append(left, code) })
	now := time.Now()

	s.handle(os.Interrupt, now) // a script that has not begun
	if len(left) != 1 || left[0] != exitInterrupted {
		t.Fatalf("left with %v", left)
	}

	s.wait(true)
	s.handle(os.Interrupt, now) // a shell that waits
	select {
	case <-s.idle:
	default:
		t.Error("the waiting shell was not told")
	}

	ctx, done := s.command()
	s.passOver(true)
	s.handle(os.Interrupt, now)
	if ctx.Err() != nil {
		t.Error("a Ctrl-C for the pager ended the command")
	}
	s.passOver(false)
	s.handle(os.Interrupt, now)
	if ctx.Err() == nil {
		t.Error("Ctrl-C did not end the command")
	}
	s.handle(os.Interrupt, now.Add(patience-1))
	if len(left) != 1 {
		t.Error("a second Ctrl-C left at once")
	}
	s.remind(s.number)
	if said.Len() == 0 {
		t.Error("nothing was said about a command that goes on")
	}
	s.handle(os.Interrupt, now.Add(patience))
	if len(left) != 2 || left[1] != exitInterrupted {
		t.Errorf("left with %v", left)
	}
	done()
	said.Reset()
	s.remind(s.number)
	if said.Len() > 0 {
		t.Errorf("said %q after the command", said.String())
	}

	_, done = s.command()
	for n := range 3 {
		if len(left) != 2 {
			t.Errorf("left after %d Ctrl-C in a row", n)
		}
		s.handle(os.Interrupt, now)
	}
	if len(left) != 3 || left[2] != exitInterrupted {
		t.Errorf("left with %v after the third Ctrl-C", left)
	}
	done()
	left = left[:2]

	ctx, done = s.command() // the next one is a new chance
	defer done()
	s.handle(os.Interrupt, now.Add(2*patience))
	if ctx.Err() == nil || len(left) != 2 {
		t.Error("the next command was not ended, or the shell with it")
	}

	s.handle(syscall.SIGTERM, now)
	s.handle(syscall.SIGHUP, now)
	if len(left) != 4 || left[2] != 143 || left[3] != 129 {
		t.Errorf("left with %v", left)
	}
}
