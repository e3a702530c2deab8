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
