package engine

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// Restless is the error of a run to quiet that is still not quiet after so many ticks. What it says of the future was seen
// on a copy of the bench that ran on.
type Restless struct {
	At    Instant
	Ticks int64 // the budget

	Ends  int64 // the tick after which it is quiet; 0: that was not seen
	Every int64 // it will never be: so many ticks on, all is as it was, and nothing else is to come; 0: that was not seen
	Parts []ID  // unless Ends: whose timers came due on the copy, in that time

	due   []string // what is to come, the first first
	given []string // of that, what was given as a stimulus
	names []string
	seen  int64 // the last tick that the copy ran
}

func (r *Restless) Error() string {
	s := fmt.Sprintf("not quiet within %d ticks (now tick %d): ", r.Ticks, r.At.Tick)
	switch {
	case r.Ends > 0:
		s += fmt.Sprintf("%s; quiet after tick %d", some(r.due, 3), r.Ends)
	case r.Every == 1:
		s += "it never will be, for each tick ends as the one before, with timers of " + some(r.names, 6)
	case r.Every > 0:
		s += fmt.Sprintf("it never will be, for every %d ticks all is as it was, with timers of %s", r.Every, some(r.names, 6))
	case len(r.names) > 0:
		s += fmt.Sprintf("it is still busy in tick %d, with timers of %s", r.seen, some(r.names, 6))
		if len(r.given) > 0 {
			s += "; and " + some(r.given, 3)
		}
	default:
		s += some(r.due, 3)
	}
	return s
}

// some joins the first few of some texts.
func some(texts []string, most int) string {
	if more := len(texts) - most; more > 0 {
		return fmt.Sprintf("%s and %d more", strings.Join(texts[:most], ", "), more)
	}
	return strings.Join(texts, ", ")
}

// restless finds out why the bench is not quiet after so many ticks: a copy runs on until it is quiet, or until all is as it was at
// some tick before.
func (b *Bench) restless(ticks int64) error {
	r := &Restless{At: b.Now(), Ticks: ticks}
	for _, c := range b.ToCome() {
		text := fmt.Sprintf("%s in tick %d", c.Text, c.Tick)
		r.due = append(r.due, text)
		if c.Given {
			r.given = append(r.given, text)
		}
	}
	c := b.Snapshot().Bench()
	c.Record(RecordNone)
	const mostTurns, mostTicks, mostPrints = 100_000, 4096, 300_000
	was, wasTick, next := c.Fingerprint(), c.tick, 1 // looked back at; moved on ever more seldom
	turns := 0
	for n := 1; n <= mostTicks && n*len(c.st) <= mostPrints && turns < mostTurns; n++ {
		if !c.ready(math.MaxInt64) {
			r.Ends = max(c.tick, 1)
			return r
		}
		for tick := c.tick; turns < mostTurns && c.broken == nil && c.ready(tick); turns++ {
			if c.step == 0 && c.fall < 0 && c.phase == main {
				if t := c.due[c.dueHead]; t.what != tStim && !slices.Contains(r.Parts, c.id[t.site]) {
					r.Parts = append(r.Parts, c.id[t.site])
				}
			}
			c.runReady()
		}
		if c.broken != nil {
			break
		}
		if turns < mostTurns && c.Fingerprint() == was {
			r.Every = c.tick - wasTick
			break
		}
		if n == next {
			was, wasTick, next = c.Fingerprint(), c.tick, 2*next
			if n <= mostTicks/2 {
				r.Parts = r.Parts[:0]
			}
		}
	}
	r.seen = c.tick
	for _, id := range r.Parts {
		r.names = append(r.names, b.Label(id))
	}
	return r
}

// Coming is something that is set for a later turn.
type Coming struct {
	Tick  int64
	Text  string // such as "quay comes up"
	Given bool   // it was given as a stimulus
}

// ToCome lists what is set for later turns, the first first; acts that are queued are not among it.
func (b *Bench) ToCome() (all []Coming) {
	add := func(tick int64, t *timer) {
		if !b.cancelled(*t) {
			all = append(all, Coming{tick, b.comes(t), t.what == tStim})
		}
	}
	for i := b.dueHead; i < len(b.due); i++ {
		add(b.tick, &b.due[i])
	}
	for d := int64(0); d < 256; d++ {
		slot := b.slots[(b.tick+d)&255]
		for i := range slot {
			add(b.tick+d, &slot[i])
		}
	}
	later := slices.Clone(b.later)
	slices.SortFunc(later, func(x, y laterTimer) int {
		if x.before(&y) {
			return -1
		}
		return 1
	})
	for i := range later {
		add(later[i].tick, &later[i].timer)
	}
	for _, e := range b.edges {
		all = append(all, Coming{e.tick, "the pulse fired at " + b.Label(b.id[b.stims[e.stim].site]) + " ends", true})
	}
	slices.SortStableFunc(all, func(x, y Coming) int { return int(x.Tick - y.Tick) })
	return all
}

// comes says what a timer is for.
func (b *Bench) comes(t *timer) string {
	who := b.Label(b.id[t.site])
	switch t.what {
	case tStim:
		return who + [...]string{stimPress: " is to be pressed", stimRelease: " is to be released", stimFire: " is to be fired", stimNudge: " is to be nudged"}[b.stims[t.arg].what]
	case tLand:
		return "the slug of " + who + " lands"
	case tKeep:
		return who + " consumes a token"
	case tHold:
		return who + " comes up"
	}
	return "the timer of " + who + " is due"
}
