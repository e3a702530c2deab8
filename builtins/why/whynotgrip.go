package why

import (
	"fmt"
	"strings"

	"pulsewright/builtins"
	"pulsewright/engine"
)

// moved says of a shuttle with a grip why it went alone, each time that it did.
func (w *WhyNot) moved() string {
	var whys []string
	at := map[string][]string{} // when it was so
	alone := 0
	for i, id := range w.Events {
		why := w.alone(i)
		if why == "" {
			continue
		}
		if alone++; at[why] == nil {
			whys = append(whys, why)
		}
		at[why] = append(at[why], fmt.Sprint(w.bench.Event(id).At()))
	}
	for i, why := range whys {
		if alone > 1 {
			whys[i] += " at " + builtins.List(at[why], mostDid, " and ")
		}
	}
	if alone == 0 {
		return ""
	}
	return "; it moved nothing: " + strings.Join(whys, "; ")
}

// alone is why a shuttle with a grip went alone by one of its events; "" if it did not, or let go of its slug in the same turn.
func (w *WhyNot) alone(i int) string {
	grip, e := w.bench.Thing(w.ID).Grip, w.bench.Event(w.Events[i])
	if grip == engine.NoGrip || e.Arg != 0 || e.What != engine.Out && e.What != engine.Home {
		return ""
	}
	if i > 0 {
		if b := w.bench.Event(w.Events[i-1]); b.What == engine.Lands && b.At() == e.At() {
			return ""
		}
	}
	switch {
	case e.What == engine.Out:
		return "no loose slug at its near seat"
	case grip == engine.Push:
		return "its grip takes none home"
	}
	return "no loose slug at its far seat"
}
