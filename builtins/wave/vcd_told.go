package wave

import (
	"fmt"
	"math/bits"
	"slices"
	"strings"

	"pulsewright/engine"
)

// A part of a kind of a script's own is a variable of as many bits as the numbers of its states need. It shows the state that the log said last, at first the one
// it was placed in. States that are entered without an event are not in the log and so not in the dump. Where the log has holes, what a part began with
// is left out, but for two states of which each has its event: then it is the other one.

// bits is the size of the variable of a part.
func (v *vcdWriter) bits(id engine.ID) int {
	if k := v.bench.Spec(id); k != nil {
		return bits.Len(uint(len(k.States) - 1))
	}
	return 1
}

// tell notes what the parts of such kinds begin with, and writes the names of their states.
func (v *vcdWriter) tell() {
	b := v.bench
	v.told = make([]int32, len(v.codes))
	seen := make([]bool, len(b.Specs()))
	for id := range v.codes {
		v.told[id] = -1
		k := b.Spec(engine.ID(id))
		if k == nil {
			continue
		}
		if state, ok := b.PlacedIn(engine.ID(id)); ok {
			v.told[id] = int32(state)
		}
		if v.codes[id] != "" {
			seen[slices.Index(b.Specs(), k)] = true
		}
	}
	begun := make([]bool, len(v.codes))
	for _, e := range b.Events(1) {
		if k := b.Spec(e.ID); e.What == engine.Enters && !begun[e.ID] {
			begun[e.ID] = true
			if v.told[e.ID] < 0 && len(k.States) == 2 && !slices.Contains(k.Says, "") {
				v.told[e.ID] = 1 - e.Arg&^engine.ActiveState
			}
		}
	}
	for i, k := range b.Specs() {
		if !seen[i] {
			continue
		}
		var states []string
		for n, s := range k.States {
			text := fmt.Sprintf("%d %s", n, s)
			if k.Says[n] == "" {
				text += " (no event, so not shown)"
			}
			states = append(states, text)
		}
		fmt.Fprintf(v.out, "$comment\n  states of %s: %s\n$end\n", k.Name, strings.Join(states, ", "))
	}
}

// enters takes an event of such a part: the state it shows from now on.
func (v *vcdWriter) enters(e engine.Event) (state int32, changed bool) {
	if e.What != engine.Enters {
		return 0, false
	}
	state = e.Arg &^ engine.ActiveState
	changed = v.told[e.ID] != state
	v.told[e.ID] = state
	return state, changed
}

// starts is what a part shows at first: of such a kind its state, of others what plain says.
func (v *vcdWriter) starts(id engine.ID, plain func(engine.ID) (int32, bool)) (value int32, known bool) {
	if v.bench.Spec(id) != nil {
		return v.told[id], v.told[id] >= 0
	}
	return plain(id)
}
