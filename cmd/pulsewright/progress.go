package main

import (
	"fmt"
	"io"
	"strings"
	"sync"
	"time"
)

const (
	// progressDelay is how long a job must have lasted before its progress is shown.
	progressDelay = time.Second
	// progressPause is the least time between two drawings: at most three a second.
	progressPause = time.Second / 3
)

// progress shows how far a long job has come, on one line of a terminal that is erased in the end.
type progress struct {
	w     io.Writer
	now   func() time.Time
	width func() int

	mu           sync.Mutex
	what         string
	start, drawn time.Time
	shown        bool
}

// update tells the state of a job, and after "; " what has come of it so far: done of total, or of an unknown number if total is 0. Done == total ends the job.
// It may be called often and from any goroutine.
func (p *progress) update(what string, done, total int64) {
	p.mu.Lock()
	defer p.mu.Unlock()
	now := p.now()
	job, _, _ := strings.Cut(what, "; ") // what follows is what has come of it so far
	if job != p.what || p.start.IsZero() {
		p.what, p.start = job, now
	}
	if total > 0 && done >= total {
		p.start = time.Time{}
		p.eraseLine()
		return
	}
	if now.Sub(p.start) < progressDelay || now.Sub(p.drawn) < progressPause {
		return
	}
	p.drawn, p.shown = now, true
	io.WriteString(p.w, "\r"+cut(progressText(what, done, total, now.Sub(p.start)), p.width()-1)+"\x1b[K")
}

// erase removes the line, as before other output; end of it also forgets the job.
func (p *progress) erase() {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.eraseLine()
}

func (p *progress) end() {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.start = time.Time{}
	p.eraseLine()
}

func (p *progress) eraseLine() {
	if p.shown {
		io.WriteString(p.w, "\r\x1b[K")
		p.shown = false
	}
}

// progressText is done and total, rate and time left.
func progressText(what string, done, total int64, spent time.Duration) string {
	rate := float64(done) / spent.Seconds()
	text := fmt.Sprintf("%s: %d", what, done)
	if total > 0 {
		text += fmt.Sprintf(" of %d", total)
	}
	if rate >= 10 {
		text += fmt.Sprintf(", %.0f a second", rate)
	} else {
		text += fmt.Sprintf(", %.1f a second", rate)
	}
	if total > 0 && rate > 0 {
		left := time.Duration(float64(total-done) / rate * float64(time.Second))
		text += fmt.Sprintf(", %v left", left.Round(time.Second))
	}
	return text
}
