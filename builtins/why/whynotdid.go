package why

import (
	"fmt"

	"pulsewright/builtins"
	"pulsewright/engine"
)

// mostDid is how many events are told one by one.
const mostDid = 6

// did tells what the part did since then, in order, before what still tells: went out at 1.1.0, went home at 3.1.0.
func (w *WhyNot) did() []string {
	var did []string
	for _, id := range w.Events {
		if id == w.Event && w.sinceThen() && w.Reason != engine.Timed {
			break
		}
		e := w.bench.Event(id)
		if doneTo(e) {
			continue
		}
		did = append(did, fmt.Sprintf("%s at %v", builtins.Past(w.bench, e), e.At()))
	}
	if n := len(did); n > mostDid {
		more := fmt.Sprintf("%d events more", n-mostDid)
		did = append(append(did[:mostDid-2:mostDid-2], more), did[n-2:]...)
	}
	return did
}

// doneTo reports whether an event is not a part's own doing.
func doneTo(e engine.Event) bool {
	return e.What == engine.Forced || e.What == engine.Freed || e.What == engine.Nudged
}

// afterwards says of a part that did act what it found when it was told later, to no avail.
func (w *WhyNot) afterwards() string {
	last := engine.Instant{}
	for _, id := range w.Events {
		if e := w.bench.Event(id); !doneTo(e) {
			last = e.At()
		}
	}
	n, found := 0, engine.Reason(0)
	for _, h := range w.Heard {
		if !last.Before(h.At) {
			continue
		}
		if n++; n > 1 && h.Found != found {
			return fmt.Sprintf("; it was told %s after that", times(w.toldAfter(last)))
		}
		found = h.Found
	}
	why := ""
	switch found {
	case engine.Agreed:
		why = ", but power and state agreed"
		if w.own() {
			why = ", but wanted nothing new"
		}
	case engine.Unready:
		why = ", but was not ready: nothing has told it of a dead input since it went on"
	case engine.Travels:
		why = ", but its slug was in transit"
	}
	if n == 0 {
		return ""
	}
	return fmt.Sprintf("; it was told %s after that%s", times(n), why)
}

// toldAfter counts how often it was told after an instant.
func (w *WhyNot) toldAfter(at engine.Instant) (n int) {
	for _, h := range w.Heard {
		if at.Before(h.At) {
			n++
		}
	}
	return n
}

// vain tells of a bucket when it was told to no avail, and what it lacked then; what it told itself is left out.
func (w *WhyNot) vain() (lines []string) {
	if w.bench.KindOf(w.ID) != engine.Bucket {
		return nil
	}
	var first, last *engine.Hearing // of those that found the same, one after the other
	n := 0
	tell := func() {
		fed := "unfed"
		if n > 0 && first.Powered {
			fed = "fed"
		} else if n > 0 && w.Known {
			if was, _ := w.swings(first.At); was != nil && !was.Powered && was.By != 0 && was.By != first.Cause {
				fed += ", as " + builtins.Told(w.bench, w.bench.Event(was.By))
			}
		}
		switch {
		case n == 1 && first.Cause != 0:
			lines = append(lines, fmt.Sprintf("it was told at %v while %s, because %s: %s", first.At, fed, builtins.Told(w.bench, w.bench.Event(first.Cause)), w.lacked(first)))
		case n == 1:
			lines = append(lines, fmt.Sprintf("it was told at %v while %s: %s", first.At, fed, w.lacked(first)))
		case n > 1 && first.At == last.At:
			lines = append(lines, fmt.Sprintf("it was told %s at %v while %s: %s", times(n), first.At, fed, w.lacked(first)))
		case n > 1:
			lines = append(lines, fmt.Sprintf("it was told %s, from %v to %v, while %s: %s", times(n), first.At, last.At, fed, w.lacked(first)))
		}
		n = 0
	}
	for i := range w.Heard {
		h := &w.Heard[i]
		if w.ledTo(h) {
			continue
		}
		if n > 0 && (h.Found != first.Found || h.Powered != first.Powered || h.Way() != first.Way()) {
			tell()
		}
		if n++; n == 1 {
			first = h
		}
		last = h
	}
	if tell(); len(lines) > mostDid {
		more := fmt.Sprintf("and so on: %d lines more", len(lines)-mostDid+1)
		lines = append(append(lines[:mostDid-3:mostDid-3], more), lines[len(lines)-2:]...)
	}
	return lines
}

// ledTo reports whether a bucket did something for what it heard, or heard of what it did.
func (w *WhyNot) ledTo(h *engine.Hearing) bool {
	for _, id := range w.Events {
		e := w.bench.Event(id)
		if e.ID == w.ID && !doneTo(e) && (h.Cause == id || h.Found == engine.Acted && h.Cause == e.Cause && h.Cause != 0) {
			return true
		}
	}
	return false
}

// lacked is what kept a bucket still when it was told.
func (w *WhyNot) lacked(h *engine.Hearing) string {
	where := "under"
	if h.Powered {
		where = "in front of"
	}
	switch h.Found {
	case engine.Empty:
		return "it held no token"
	case engine.NoHolder:
		return fmt.Sprintf("no %s was %s it", holders, where)
	case engine.InTheWay:
		return fmt.Sprintf("%s %s it had no room for a token", builtins.Who(w.bench, h.Way()), where)
	case engine.Timed:
		return "its timer was set already"
	}
	return "it set its timer, and dropped nothing for that"
}
