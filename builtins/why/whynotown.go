package why

import (
	"fmt"
	"slices"

	"pulsewright/engine"
)

// own reports whether it is of a kind of the script's own.
func (w *WhyNot) own() bool { return w.bench.KindOf(w.ID) == engine.Told }

// silences reports whether something on the bench may change without an event.
func (w *WhyNot) silences() bool {
	return slices.ContainsFunc(w.bench.Specs(), func(k *engine.Spec) bool { return slices.Contains(k.Says, "") })
}

// stillOwn is still for a kind of the script's own, which goes by its table and by who tells it, not by power alone; "" where it is as for any part.
func (w *WhyNot) stillOwn() string {
	if !w.own() {
		return ""
	}
	switch w.Reason {
	case engine.Acted:
		if w.Event == 0 {
			return fmt.Sprintf("changed in silence %s, as its kind says, and is %s", w.sinceText(), w.state())
		}
	case engine.Lapsed:
		return fmt.Sprintf("looked again, but that lapsed at %v: it wanted nothing new any more", w.bench.Event(w.Event).At())
	case engine.Agreed:
		return fmt.Sprintf("was told %s %s, but %swanted nothing new: it is %s", times(w.Told), w.sinceText(), w.whichTimes(), w.state())
	case engine.Untold:
		if w.State.Armed {
			return fmt.Sprintf("is armed but untold: it is %s, and would be %s%s; and nothing that would set it off has told it from then on", w.state(), w.wants(), w.armedBy())
		}
		return fmt.Sprintf("%s, and is %s, as it would be whichever neighbour told it", w.neverTold(), w.state())
	}
	return ""
}

// neverTold says of a part that nothing told it, as far as is known.
func (w *WhyNot) neverTold() string {
	if !w.Known {
		return "is not known to have been told " + w.sinceText()
	}
	return "was never told " + w.ownSince()
}
