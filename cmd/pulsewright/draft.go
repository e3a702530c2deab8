package main

import (
	"slices"
	"strings"

	"pulsewright/lang"
)

var _ lang.Recaller = (*editor)(nil)

// Recall puts a draft where Up finds it first. It was not run: the file of earlier commands does not get it.
func (e *editor) Recall(draft string) {
	e.mu.Lock()
	defer e.mu.Unlock()
	e.history.chunks, e.history.draft = append(e.history.chunks, draft), draft
}

// keepDrafts has keep take what is being typed when the input ends. now is for a process that ends at a signal: it does the same at once, and no
// line is given to anybody any more.
func (e *editor) keepDrafts(keep func(string)) (now func()) {
	e.mu.Lock()
	defer e.mu.Unlock()
	e.keep = keep
	return func() {
		e.mu.Lock() // for good: the journal is another's as soon as a line is given
		e.keepDraft()
	}
}

// keepDraft gives away the rows of the chunk so far and the one being typed. Called with mu held.
func (e *editor) keepDraft() {
	if e.keep == nil || !e.reading {
		return
	}
	now := e.last
	if e.sought != nil {
		now = *e.sought
	}
	if rows := append(slices.Clone(e.block), plainText(now.text)); strings.TrimSpace(strings.Join(rows, "")) != "" {
		e.keep(strings.Join(rows, "\n"))
	}
}
