package why

import (
	"fmt"
	"strings"

	"pulsewright/builtins"
	"pulsewright/builtins/say"
	"pulsewright/engine"
)

// story tells in a few lines why the part did not act: first what it did, then the reason, then what it would have needed.
func (w *WhyNot) story(e *builtins.Env) string {
	head := w.headline()
	if w.past() {
		head = fmt.Sprintf("as it was after %v: %s", w.bench.Now(), head)
	}
	lines := []string{e.Paragraph(head, "")}
	for _, l := range w.details() {
		in := len(l) - len(strings.TrimLeft(l, " "))
		lines = append(lines, e.Paragraph(l, "  "+l[:in]))
	}
	return strings.Join(lines, "\n")
}

// past reports whether it is told of the past.
func (w *WhyNot) past() bool { return w.bench != w.today }

// again is the argument that asks about the same moment once more.
func (w *WhyNot) again() string {
	switch {
	case !w.past():
		return ""
	case w.asked == "":
		return ", at=..."
	}
	return ", at=" + w.asked
}

func (w *WhyNot) name() string { return builtins.Who(w.bench, w.ID) }

// since says from when on the story counts.
func (w *WhyNot) sinceText() string {
	switch {
	case w.Since == engine.Instant{}:
		return "since the beginning"
	case w.Since.Step == beforeTick(2).Step:
		return fmt.Sprintf("since tick %d", w.Since.Tick+1)
	}
	return fmt.Sprintf("since %v", w.Since)
}

// ownSince says from when on the story counts of the part itself.
func (w *WhyNot) ownSince() string {
	if w.Late {
		return "since it was placed"
	}
	return w.sinceText()
}

// state is the part's state as a word.
func (w *WhyNot) state() string {
	switch shows := w.bench.TraitOf(w.ID).Shows; {
	case shows.Holds():
		return tokensHeld(w.State.Tokens)
	case shows == engine.ShowsLevel:
		return fmt.Sprintf("at level %d", w.State.Level)
	}
	return builtins.Text(builtins.StateValue(w.bench.KindOf(w.ID), w.State))
}

func tokensHeld(tokens int) string {
	if tokens == 0 {
		return "without a token"
	}
	return "holding " + say.Count(tokens, "token")
}

// wants is the state that it does not have: what its power calls for, if it is armed.
func (w *WhyNot) wants() string {
	want := wanted(w.bench, w.ID, w.State)
	if w.bench.KindOf(w.ID) == engine.Meter {
		want = "level " + want
	}
	return want
}

func (w *WhyNot) last() string {
	if w.Event == 0 {
		return ""
	}
	return builtins.Told(w.bench, w.bench.Event(w.Event))
}

func (w *WhyNot) headline() string {
	all := w.did()
	did := builtins.List(all, len(all), " and ")
	switch {
	case did == "" || w.Reason == engine.Acted && w.bench.Event(w.Event).ID != w.ID:
		return w.name() + " " + w.still()
	case w.Reason == engine.Acted:
		return fmt.Sprintf("%s did act: it %s%s%s", w.name(), did, w.moved(), w.afterwards())
	case w.sinceThen():
		return fmt.Sprintf("%s %s%s; since then it %s", w.name(), did, w.moved(), w.still())
	}
	return fmt.Sprintf("%s %s%s; it %s", w.name(), did, w.moved(), w.still())
}

// sinceThen reports whether what still tells came after all that did tells.
func (w *WhyNot) sinceThen() bool {
	switch w.Reason {
	case engine.Waits, engine.Timed, engine.Travels, engine.Untold, engine.Lapsed, engine.InTheWay:
		return true
	}
	return false
}

// still says what keeps the part still, as a sentence about it.
func (w *WhyNot) still() string {
	b := w.bench
	kind := b.KindOf(w.ID)
	if s := w.stillOwn(); s != "" {
		return s
	}
	switch w.Reason {
	case engine.Acted:
		if w.Event == 0 {
			return fmt.Sprintf("is %s, as it was %s", w.state(), w.ownSince())
		}
		if e := b.Event(w.Event); e.ID != w.ID {
			return "changed when " + w.last()
		}
		return "did act: " + w.last()
	case engine.Waits:
		return fmt.Sprintf("will act: its act is queued and takes its turn in step %d", w.Step)
	case engine.Timed:
		by := ""
		if w.Event != 0 {
			by = ", set when " + w.last()
		}
		if kind == engine.Bucket {
			return fmt.Sprintf("was told while unfed, and waits for its timer, due in tick %d%s", w.Due, by)
		}
		return fmt.Sprintf("waits for its timer, due in tick %d%s", w.Due, by)
	case engine.Travels:
		if w.Event == 0 {
			return fmt.Sprintf("is in transit: its slug lands in tick %d; until then it does not act", w.Due)
		}
		return fmt.Sprintf("is in transit: %s, and its slug lands in tick %d; until then it does not act", w.last(), w.Due)
	case engine.Untold:
		return w.untold()
	case engine.Agreed:
		return w.agreed()
	case engine.Lapsed:
		return fmt.Sprintf("took its turn, but the act lapsed at %v: power and state agreed again", b.Event(w.Event).At())
	case engine.InTheWay, engine.Empty, engine.NoHolder, engine.Fed:
		return w.tokens()
	case engine.Unready:
		return fmt.Sprintf("was told %s with a live input, but was not ready: since it went on nothing has told it of a dead one", times(w.found(engine.Unready)))
	case engine.Swallowed:
		return "took the pulse for too short: " + w.shortest()
	case engine.Unfed:
		return "is dead: no feed reaches it"
	case engine.TooFar:
		return fmt.Sprintf("is too far from the feed: the level falls by one a cell, and %s is the last conductor that is live", builtins.Who(b, w.By))
	case engine.Opened:
		by := ""
		if w.By != 0 {
			by = " of " + builtins.Who(b, w.By)
		}
		return fmt.Sprintf("does not conduct: the slug%s sits in it", by)
	case engine.Deaf:
		return "never acts: it feeds always"
	}
	switch {
	case !w.Kept:
		return fmt.Sprintf("may have acted %s: its events are not recorded", w.sinceText())
	case !w.Known:
		return fmt.Sprintf("did not act %s; whether it was told is not known, for the history does not reach back so far", w.sinceText())
	}
	return fmt.Sprintf("was set off %s; what came of it is not recorded", w.sinceText())
}

// shortest says what an inertial delay lets through.
func (w *WhyNot) shortest() string {
	t := w.bench.Thing(w.ID)
	if t.Reject == t.Ticks {
		return fmt.Sprintf("an inertial delay of %s swallows what lasts less", say.Count(t.Ticks, "tick"))
	}
	return fmt.Sprintf("an inertial delay of %s with reject %d swallows what lasts at most %s", say.Count(t.Ticks, "tick"), t.Reject, say.Count(t.Reject, "tick"))
}

// found counts the hearings, among those that are kept, at which the part found something.
func (w *WhyNot) found(r engine.Reason) (n int) {
	for _, h := range w.Heard {
		if h.Found == r {
			n++
		}
	}
	return n
}

// agreed: it was told, and there was nothing to do.
func (w *WhyNot) agreed() string {
	when := w.whichTimes()
	how := fmt.Sprintf("power and state agreed: it was %s and %s", w.state(), w.calls(false))
	if w.bench.KindOf(w.ID) == engine.Meter {
		how = fmt.Sprintf("its level, %d, was already that of the holder behind it", w.State.Level)
	}
	return fmt.Sprintf("was told %s %s, but %s%s", times(w.Told), w.sinceText(), when, how)
}

// whichTimes says at which of the times at which it was told it agreed.
func (w *WhyNot) whichTimes() string {
	switch n := w.found(engine.Agreed); {
	case n < len(w.Heard):
		return "the last time "
	case n > 1:
		return "each time "
	}
	return ""
}

// calls says what the part reads, or read when it found that it agreed.
func (w *WhyNot) calls(now bool) string {
	verb, call, live := "read", "called", w.State.On
	if now {
		verb, call, live = "reads", "call", w.State.Powered
	}
	switch kind := w.bench.KindOf(w.ID); {
	case kind == engine.Gate && live:
		return "its inputs " + call + " for on"
	case kind == engine.Gate:
		return "its inputs " + call + " for off"
	case kind == engine.Reed && (live || w.State.On):
		return "its line " + verb + " a live pad"
	case kind == engine.Oneshot && !now:
		return verb + " no live pad" // on or off, it agrees with that alone
	case kind == engine.Delay && !now && w.bench.Thing(w.ID).Mode != engine.Stretch:
		return verb + " what it had taken over before"
	case live:
		return verb + " a live pad"
	}
	return verb + " no live pad"
}

// armedBy says since when, and by what, the part is armed.
func (w *WhyNot) armedBy() string {
	var own engine.Instant // of the last thing it did
	if n := len(w.Events); n > 0 {
		own = w.bench.Event(w.Events[n-1]).At()
	}
	switch {
	case !w.Ran || w.Took != nil && w.Took.At.Before(own):
		return ""
	case w.Took == nil && len(w.Events) > 0:
		return ""
	case w.Took == nil:
		return ", as it did " + w.ownSince()
	case w.Took.By == 0 && w.silences():
		return fmt.Sprintf(", since %v", w.Took.At)
	case w.Took.By == 0:
		return fmt.Sprintf(", since the bench was changed by hand at %v", w.Took.At)
	}
	return ", since " + builtins.Told(w.bench, w.bench.Event(w.Took.By))
}

func (w *WhyNot) untold() string {
	kind := w.bench.KindOf(w.ID)
	never := w.neverTold()
	nothing := "nothing has told it from then on"
	if w.Known && w.Told == 0 && len(w.Events) == 0 {
		nothing = "nothing has told it"
	}
	switch {
	case kind == engine.Key:
		return fmt.Sprintf("neither went on nor off %s: it is %s", w.ownSince(), w.state())
	case kind == engine.Chute:
		return fmt.Sprintf("is armed, but %s: a token is behind it and there is room in front", nothing)
	case kind == engine.Bucket:
		return fmt.Sprintf("%s: it is %s and %s", never, w.state(), w.calls(true))
	case kind == engine.Echo:
		return never
	case kind == engine.Meter && w.State.Armed && !w.holder(behind):
		return fmt.Sprintf("is armed but untold: it is %s, and no %s is behind it, which calls for %s; and %s", w.state(), holders, w.wants(), nothing)
	case kind == engine.Meter && w.State.Armed:
		return fmt.Sprintf("is armed but untold: it is %s, the holder behind it calls for %s; and %s", w.state(), w.wants(), nothing)
	case w.State.Armed:
		return fmt.Sprintf("is armed but untold: it is %s, its power calls for %s%s; and %s", w.state(), w.wants(), w.armedBy(), nothing)
	case kind == engine.Meter && !w.holder(behind):
		return fmt.Sprintf("%s, and is %s, as no %s is behind it", never, w.state(), holders)
	case kind == engine.Meter:
		return fmt.Sprintf("%s, and is %s, as the holder behind it calls for", never, w.state())
	case kind == engine.Oneshot && w.State.Powered && !w.State.On:
		return fmt.Sprintf("%s: it is off and reads a live pad, but is not ready", never)
	case kind == engine.Oneshot && w.State.On:
		return fmt.Sprintf("%s, and is on", never)
	}
	return fmt.Sprintf("%s, and its power agrees with its state: it is %s and %s", never, w.state(), w.calls(true))
}
