package calibrate

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"pulsewright/builtins/say"
)

// What a part does from tick to tick is said as "sensor saw; sensor still from tick 4": how it stands at the end of the first tick, and
// from when on otherwise. Names, commas and the words around the numbers may be left out.

// readSeries reads that of a rig that is watched from tick to tick.
func (r *Rig) readSeries(text string) (string, error) {
	states, _ := r.words(0)
	plain := text
	for i, s := range states { // a state may be two words
		plain = strings.ReplaceAll(plain, s, fmt.Sprintf(" \x00%d ", i))
	}
	last := r.looks[len(r.looks)-1]
	type part struct {
		state string
		from  int64
	}
	var all []part
	for _, f := range strings.FieldsFunc(plain, func(c rune) bool { return c == ' ' || c == ',' || c == ';' }) {
		n, err := strconv.ParseInt(f, 10, 64)
		switch {
		case f[0] == 0:
			i, _ := strconv.Atoi(f[1:])
			all = append(all, part{states[i], 0})
		case f == r.seen[0].name || slices.Contains([]string{"from", "tick", "on", "is"}, f):
		case err == nil && len(all) > 0 && all[len(all)-1].from == 0 && n >= 1 && n <= last:
			all[len(all)-1].from = n
		default:
			return "", r.unreadSeries(text, f, states)
		}
	}
	if len(all) > 0 && all[0].from == 0 {
		all[0].from = 1
	}
	for i, p := range all {
		if p.from == 0 || i > 0 && p.from <= all[i-1].from || i == 0 && p.from != 1 {
			return "", r.unreadSeries(text, "", nil)
		}
	}
	if len(all) == 0 {
		return "", r.unreadSeries(text, "", nil)
	}
	var looks []string
	for _, t := range r.looks {
		i := 0
		for i+1 < len(all) && all[i+1].from <= t {
			i++
		}
		looks = append(looks, r.seen[0].name+" "+all[i].state)
	}
	return r.joined(looks), nil
}

func (r *Rig) unreadSeries(text, word string, near []string) error {
	states, _ := r.words(0)
	if r.lastLook() == 1 {
		return fmt.Errorf("%s: got %q, want how the %s stands after tick 1: %s%s", r.name, text, r.seen[0].name, strings.Join(states, " or "), say.DidYouMean(word, near))
	}
	return fmt.Errorf("%s: got %q, want how the %s stands after tick 1, and from which tick on otherwise, up to %d, such as \"%s; %s from tick 3\"%s",
		r.name, text, r.seen[0].name, r.lastLook(), states[len(states)-1], states[0], say.DidYouMean(word, near))
}

// asksSeries says how the key is pressed and what to watch.
func (r *Rig) asksSeries() string {
	var s strings.Builder
	if len(r.keys) > 1 {
		var ticks []string
		for _, k := range r.keys[1:] {
			ticks = append(ticks, fmt.Sprint(k.tick))
		}
		fmt.Fprintf(&s, "press the key again in tick %s; ", strings.Join(ticks, " "))
	}
	if hold := r.parts[r.keys[0].key].Hold; hold > 0 {
		fmt.Fprintf(&s, "the key stays on for %s; ", say.Count(hold, "tick"))
	}
	states, _ := r.words(0)
	if r.lastLook() == 1 {
		return fmt.Sprintf("the %s: %s after tick 1, the one of the press?", r.seen[0].name, strings.Join(states, " or "))
	}
	fmt.Fprintf(&s, "the %s: %s after tick 1, counted from the first press, and from which tick on otherwise? Watch up to tick %d", r.seen[0].name, strings.Join(states, " or "), r.lastLook())
	return s.String()
}
