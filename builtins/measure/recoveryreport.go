package measure

import (
	"fmt"
	"strings"

	"pulsewright/builtins"
	"pulsewright/builtins/hold"
	"pulsewright/builtins/say"
	"pulsewright/builtins/trial"

	"go.starlark.net/starlark"
)

// ordinals are how a report counts sendings.
var ordinals = []string{"first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth"}

func ordinal(n int) string {
	if n <= len(ordinals) {
		return ordinals[n-1]
	}
	return fmt.Sprintf("number sent as no. %d", n)
}

// states is in how many states the machine may be when a number is sent; 0 if not all were tried.
func (r *recovered) states() int {
	switch {
	case r.ticks == 0 || !r.all:
		return 0
	case r.at.seen[r.posed]:
		return len(r.at.seen)
	}
	return len(r.at.seen) + 1
}

// told reports whether there is any pair of which something tells that the second arrived.
func (r *recovered) told() bool { return len(r.rest.unsure) < len(r.alone)*len(r.alone) }

// names lists numbers of a course.
func (r *recovered) names(course []int) []string {
	var names []string
	for _, k := range course {
		names = append(names, builtins.Show(r.alone[k].n))
	}
	return names
}

// lines of a report begin with a word of their own.
type lines struct{ strings.Builder }

func (s *lines) say(word, format string, args ...any) {
	if s.Len() > 0 {
		s.WriteByte('\n')
	}
	fmt.Fprintf(s, "%-10s %s", word, fmt.Sprintf(format, args...))
}

// sends are what was sent, in the order given.
func (r *recovered) sends() []starlark.Value {
	vs := make([]starlark.Value, len(r.alone))
	for i := range r.alone {
		vs[i] = r.alone[i].n
	}
	return vs
}

// anyOrder says what courses are made of.
func anyOrder(vs []starlark.Value) string {
	if len(vs) == 1 {
		return builtins.Show(vs[0]) + ", again and again"
	}
	return say.CountValues(trial.Nouns(vs)) + " in any order"
}

func (r *recovered) report() *builtins.Report {
	var s lines
	gap := func(ticks int64) string { return say.Count(int(ticks), "tick") }
	switch {
	case r.ticks > 0 && !r.told():
		s.say("recovery", "cannot be told: every second number is read as it would be had it not been sent")
	case r.ticks > 0:
		upTo := ""
		if r.states() == 0 {
			upTo = fmt.Sprintf(", up to %d in a row", r.every)
		}
		s.say("recovery", "%s from one start to the next or more, for %s%s", gap(r.ticks), anyOrder(r.sends()), upTo)
		if k := r.states(); k > 0 {
			s.say("sustained", "without end: at this gap, as at every longer one, each number was sent in each state of the machine (%s)", say.Count(k, "state"))
		} else {
			s.say("sustained", "not shown for more than %d in a row: %s", r.every, r.why())
		}
		s.say("assumed", "send and read look at no clock and do not count; gaps stay the same")
		s.say("by lot", "%d courses of %d numbers, half of them with mixed gaps, all were answered", r.long, longCourse)
	default:
		s.say("recovery", "none: no gap is long enough")
	}
	r.sayFailure(&s)
	s.say("longest", "%s after its start until all is quiet", gap(max(r.gaps-1, 0)))
	r.sayUntold(&s)
	left := r.sayResidue(&s)
	s.say("tried", "%s", say.Count(int(r.l.Trials), "trial"))
	f := r.fields()
	f["left"] = left
	hold.FreezeAll(f)
	return &builtins.Report{Name: "recovery", Text: s.String(), Fields: f}
}

// why says why not all states were tried.
func (r *recovered) why() string {
	if r.anew {
		return "the rig keeps values that change, so that the state of the bench does not tell all"
	}
	return fmt.Sprintf("at this gap or a longer one the machine has more than %s when a number is sent", say.Count(mostStates(len(r.alone)), "state"))
}

// sayFailure names the course that fails.
func (r *recovered) sayFailure(s *lines) {
	if r.failed == nil {
		return
	}
	names := strings.Join(r.names(r.failed), ", ")
	if len(r.failed) == 2 {
		names = strings.Join(r.names(r.failed), " then ")
	}
	when := ""
	switch {
	case r.apart != nil:
		when = fmt.Sprintf("sent %s ticks after the one before", strings.Trim(strings.ReplaceAll(fmt.Sprint(r.apart), " ", ", "), "[]"))
	case r.ticks == 0:
		when = "each on a machine come to rest"
	default:
		when = fmt.Sprintf("%s from start to start", say.Count(int(r.ticks-1), "tick"))
	}
	s.say("fails", "%s, %s: reads %s", names, when, r.fault)
	if r.ticks > 0 && r.pairs < r.ticks {
		s.say("", "up to %s in a row are answered there; pairs are from %s on", say.Count(len(r.failed)-1, "number"), say.Count(int(r.pairs), "tick"))
	}
}

// sayUntold names what nothing tells to have arrived.
func (r *recovered) sayUntold(s *lines) {
	for i := range r.alone {
		if a := &r.alone[i]; a.nothing {
			s.say("silent", "number %s: it sends nothing, and has no latency", builtins.Show(a.n))
		} else if a.silent {
			s.say("silent", "number %s: the machine reads so before it is sent as well as after; it has no latency", builtins.Show(a.n))
		}
	}
	pairs := r.rest.unsure
	if r.ticks > 0 {
		pairs = r.at.unsure
	}
	if len(pairs) == 0 {
		return
	}
	var shown []string
	for _, p := range pairs[:min(len(pairs), 4)] {
		shown = append(shown, strings.Join(r.names(p[:]), " then "))
	}
	more := ""
	if len(pairs) > len(shown) {
		more = fmt.Sprintf("; and %d more", len(pairs)-len(shown))
	}
	s.say("unsure", "%s%s: whether the second arrived cannot be told, it is read as it would be had it not been sent", strings.Join(shown, "; "), more)
}

// sayResidue tells what numbers leave changed.
func (r *recovered) sayResidue(s *lines) *starlark.List {
	left := []starlark.Value{}
	for i := range r.alone {
		a := &r.alone[i]
		if len(a.left) == 0 {
			continue
		}
		parts := make([]starlark.Value, len(a.left))
		for k, p := range a.left {
			parts[k] = starlark.String(p)
		}
		left = append(left, builtins.StructOf("left", starlark.StringDict{"number": a.n, "parts": starlark.NewList(parts)}))
	}
	if len(left) == 0 {
		s.say("residue", "none: after each number alone all is as it was built")
		return starlark.NewList(left)
	}
	s.say("residue", "after %d of %s alone something is not as it was built:", len(left), say.CountValues(trial.Nouns(r.sends())))
	for i := range r.alone {
		if a := &r.alone[i]; len(a.left) > 0 {
			shown := a.left[:min(len(a.left), 4)]
			more := ""
			if len(a.left) > len(shown) {
				more = fmt.Sprintf("; and %d more", len(a.left)-len(shown))
			}
			s.say("", "%s: %s%s", builtins.Show(a.n), strings.Join(shown, "; "), more)
		}
	}
	return starlark.NewList(left)
}

// fields are the report for scripts, but for what is left.
func (r *recovered) fields() starlark.StringDict {
	n := len(r.alone)
	f := starlark.StringDict{
		"design": starlark.String(r.l.Name), "pairs": starlark.MakeInt(n * n), "gaps": starlark.MakeInt64(r.gaps), "trials": starlark.MakeInt64(r.l.Trials),
		"ticks": starlark.None, "pairs_ticks": starlark.None, "states": starlark.None,
		"course": starlark.None, "apart": starlark.None, "first": starlark.None, "second": starlark.None, "got": starlark.None,
	}
	if r.ticks > 0 && r.told() {
		f["ticks"] = starlark.MakeInt64(r.ticks)
	}
	if r.pairs > 0 && r.told() {
		f["pairs_ticks"] = starlark.MakeInt64(r.pairs)
	}
	if k := r.states(); k > 0 {
		f["states"] = starlark.MakeInt(k)
	}
	if r.failed != nil {
		var course []starlark.Value
		for _, k := range r.failed {
			course = append(course, r.alone[k].n)
		}
		f["course"], f["got"] = starlark.NewList(course), starlark.String(r.fault.String())
		if r.apart != nil || r.ticks > 0 {
			apart := make([]starlark.Value, len(course)-1)
			for i := range apart {
				apart[i] = starlark.MakeInt64(r.ticks - 1)
				if r.apart != nil {
					apart[i] = starlark.MakeInt64(r.apart[i])
				}
			}
			f["apart"] = starlark.NewList(apart)
		}
		if len(course) == 2 {
			f["first"], f["second"] = course[0], course[1]
		}
	}
	pairs := r.rest.unsure
	if r.ticks > 0 {
		pairs = r.at.unsure
	}
	unsure := []starlark.Value{}
	for _, p := range pairs {
		unsure = append(unsure, starlark.Tuple{r.alone[p[0]].n, r.alone[p[1]].n})
	}
	f["unsure"] = starlark.NewList(unsure)
	latency, back := starlark.NewDict(n), starlark.NewDict(n)
	for i := range r.alone {
		a := &r.alone[i]
		if _, err := a.n.Hash(); err != nil {
			continue
		}
		late := starlark.Value(starlark.None)
		if !a.silent {
			late = starlark.MakeInt64(a.latency - 1)
		}
		latency.SetKey(a.n, late)
		back.SetKey(a.n, starlark.MakeInt64(max(a.back-1, 0)))
	}
	f["latency"], f["back"] = latency, back
	return f
}
