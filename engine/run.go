package engine

import (
	"context"
	"fmt"
	"math"
)

// Budget limits a run. The zero value is the default.
type Budget struct {
	Turns int64  // turns in one tick; 0: DefaultTurns
	Ticks int64  // Run only: ticks passed before it gives up; 0: DefaultTicks
	Brief bool   // a run that gives up does not find out why, which may take longer than the run
	Look  func() // called now and then, at a whole turn, so that a log can be shown as time passes
}

const (
	DefaultTurns = 2_000_000
	DefaultTicks = 1_000_000
)

// between is how many turns pass between two looks at the context.
const between = 4096

// Now returns the instant of the last turn; after quiet ticks, step 0 of the present one.
func (b *Bench) Now() Instant { return b.clock.now() }

func (c *clock) now() Instant {
	if c.at.Tick != c.tick {
		return Instant{Tick: c.tick}
	}
	return c.at
}

// Turns returns how many turns have run since tick 0.
func (b *Bench) Turns() int64 { return b.turns }

// Quiet reports whether nothing is queued, no timer is set and no edge is to come.
func (b *Bench) Quiet() bool {
	if b.open {
		if len(b.news) > b.nhead || b.fall >= 0 || b.head < len(b.cur) || len(b.next) > 0 || b.step == 0 && b.skipCancelled() {
			return false
		}
	}
	return b.nothingDue()
}

func (b *Bench) nothingDue() bool {
	_, due := b.nextTick()
	return !due
}

// Turn runs exactly one turn. ok is false if there was none.
func (b *Bench) Turn() (ok bool, err error) {
	if b.broken != nil {
		return false, b.refuse()
	}
	b.past.before(b)
	if !b.ready(math.MaxInt64) {
		return false, nil
	}
	b.runReady()
	return true, b.broken
}

// Step runs what is left of the present step, or the next step that has anything to do.
// ok is false if there was none.
func (b *Bench) Step(ctx context.Context, limit Budget) (ok bool, err error) {
	if b.broken != nil {
		return false, b.refuse()
	}
	b.past.before(b)
	if !b.ready(math.MaxInt64) {
		return false, nil
	}
	return true, b.loop(ctx, limit, b.tick, true)
}

// Run runs on to quiet.
func (b *Bench) Run(ctx context.Context, limit Budget) error {
	n := limit.Ticks
	if n == 0 {
		n = DefaultTicks
	}
	last := b.tick + min(n, math.MaxInt64-b.tick)
	if err := b.loop(ctx, limit, last, false); err != nil {
		return err
	}
	if !b.nothingDue() {
		if limit.Brief {
			return &Restless{At: b.Now(), Ticks: n}
		}
		return b.restless(n)
	}
	return nil
}

// RunTicks runs to the end of the tick n ticks from now.
func (b *Bench) RunTicks(ctx context.Context, n int64, limit Budget) error {
	if n < 0 || n > MaxTicks {
		return fmt.Errorf("%d ticks; want 0 to %d", n, MaxTicks)
	}
	last := b.tick + n
	if err := b.loop(ctx, limit, last, false); err != nil {
		return err
	}
	if b.tick != last {
		b.tick = last
		b.version++
	}
	return nil
}

// refuse says why nothing can be run.
func (b *Bench) refuse() error {
	b.refused = true
	return b.broken
}

// loop runs turns up to the end of tick last, or of the step that is ready.
func (b *Bench) loop(ctx context.Context, limit Budget, last int64, oneStep bool) error {
	if b.broken != nil {
		return b.refuse()
	}
	if limit.Turns == 0 {
		limit.Turns = DefaultTurns
	}
	b.maybeNumber()
	tick, step := b.tick, b.step
	quota, slice, work := int64(0), int64(between), b.counts.work()
	for {
		if quota <= 0 {
			if err := ctx.Err(); err != nil {
				return &Stopped{b.Now(), err}
			}
			if limit.Look != nil {
				limit.Look()
			}
			b.past.before(b)
			// Where turns are heavy, slices are short, or stopping and going back would take long.
			if spent := b.counts.work() - work; spent > historyWork {
				slice = max(1, slice*historyWork/spent)
			} else {
				slice = min(between, 2*slice)
			}
			quota, work = slice, b.counts.work()
		}
		if !b.ready(last) || oneStep && (b.tick != tick || b.step != step) {
			return nil
		}
		if b.inTick >= limit.Turns {
			if limit.Brief {
				return &Runaway{At: b.Now(), Turns: limit.Turns}
			}
			return b.runaway(limit.Turns)
		}
		if b.phase != main || b.step == 0 || b.fall >= 0 || b.slow {
			b.runReady()
			quota--
		} else {
			quota -= b.runActs(min(quota, limit.Turns-b.inTick), !oneStep)
		}
		if b.broken != nil {
			return b.broken
		}
	}
}

// Stopped is the error of a run whose context ended; the bench is at a whole turn.
type Stopped struct {
	At  Instant
	Err error
}

func (s *Stopped) Error() string {
	return fmt.Sprintf("stopped at tick %d, step %d, turn %d", s.At.Tick, s.At.Step, s.At.Turn)
}

func (s *Stopped) Unwrap() error { return s.Err }
