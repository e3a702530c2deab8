package engine

import (
	"context"
	"iter"
)

// ---- This file states the public face of Bench; the bodies are being written. ----

// Bench is a lattice with parts on it, their state, and its log. No global state; one goroutine at a time.
type Bench struct{}

// New returns an empty bench at tick 0 (r must be valid: see SetRules for the check; New panics on bad rules).
func New(r Rules) *Bench { panic("todo") }

func (b *Bench) Rules() Rules           { panic("todo") }
func (b *Bench) SetRules(r Rules) error { panic("todo") } // a change of reach settles silently

// Place puts a part on the lattice, Shelve on the shelf. Errors leave the bench as it was.
func (b *Bench) Place(at Cell, p Part) (ID, error) { panic("todo") }
func (b *Bench) Shelve(p Part) (ID, error)         { panic("todo") }
func (b *Bench) Remove(id ID) error                { panic("todo") } // its cords go too
func (b *Bench) Patch(from, to ID, c Cord) error   { panic("todo") }
func (b *Bench) Fill(id ID, tokens int) error      { panic("todo") }
func (b *Bench) Unpatch(from, to ID) (removed int) { panic("todo") }

// Target is a part (ID set) or a cell.
type Target struct {
	ID   ID
	Cell Cell
}

// Firing describes a forced pulse. At 0: the next tick.
type Firing struct {
	Steps, Ticks int
	Late         bool
	At           int64
}

// Stimuli: at = 0 means the next tick; otherwise a tick later than now.
func (b *Bench) Press(key ID, at int64) error                { panic("todo") }
func (b *Bench) Release(key ID, at int64) error              { panic("todo") }
func (b *Bench) Fire(t Target, f Firing) error               { panic("todo") }
func (b *Bench) Nudge(t Target, around bool, at int64) error { panic("todo") }

// Budget limits a run.
type Budget struct {
	Turns int64 // turns in one tick; 0: DefaultTurns
	Ticks int64 // Run to quiet only: ticks passed before it gives up; 0: DefaultTicks
}

const (
	DefaultTurns = 2_000_000
	DefaultTicks = 1_000_000
)

// Turn runs exactly one turn. ok is false if the bench was quiet.
func (b *Bench) Turn() (ok bool, err error) { panic("todo") }

// Step runs what is left of the present step, or the next step that has anything to do.
func (b *Bench) Step(ctx context.Context, bud Budget) (ok bool, err error) { panic("todo") }

// Run runs on to quiet; RunTicks to the end of tick now+n.
func (b *Bench) Run(ctx context.Context, bud Budget) error               { panic("todo") }
func (b *Bench) RunTicks(ctx context.Context, n int64, bud Budget) error { panic("todo") }

// Back goes back n turns (see History); fewer if the history is shorter: it returns how many.
func (b *Bench) Back(n int64) (int64, error) { panic("todo") }

// KeepHistory makes runs keep the snapshots that Back needs (off on a fresh bench).
func (b *Bench) KeepHistory(on bool) { panic("todo") }

// Now is the instant of the last turn; Turns how many turns have run since tick 0.
func (b *Bench) Now() Instant { panic("todo") }
func (b *Bench) Turns() int64 { panic("todo") }
func (b *Bench) Quiet() bool  { panic("todo") } // nothing queued, no timer set

// Runaway is the error of a tick over budget.
type Runaway struct {
	At     Instant
	Turns  int64 // the budget
	Parts  []ID  // those that keep telling each other, in the order of one period
	Period int   // in steps; 0 if none was found
}

func (r *Runaway) Error() string { panic("todo") }

// Restless is the error of a Run to quiet that passed its ticks.
type Restless struct {
	At    Instant
	Ticks int64
}

func (r *Restless) Error() string { panic("todo") }

// Stopped is the error of a run whose context ended, at a whole turn; it unwraps to the context's error.
type Stopped struct {
	At  Instant
	Err error
}

func (s *Stopped) Error() string { panic("todo") }
func (s *Stopped) Unwrap() error { return s.Err }

// Recording.
type Recording uint8

const (
	RecordAll  Recording = iota // every event (a fresh bench)
	RecordSome                  // those of the parts and cells given to Watch
	RecordNone
)

func (b *Bench) Record(r Recording)                            { panic("todo") }
func (b *Bench) Watch(t Target)                                { panic("todo") }
func (b *Bench) Unwatch(t Target)                              { panic("todo") }
func (b *Bench) EventCount() int                               { panic("todo") } // IDs run from 1 to this
func (b *Bench) Event(id EventID) Event                        { panic("todo") }
func (b *Bench) Events(from EventID) iter.Seq2[EventID, Event] { panic("todo") } // from `from` on
func (b *Bench) ForgetEvents()                                 { panic("todo") } // empties the log (before a long survey)

// Counters count what a run costs.
type Counters struct{ Turns, News, Levels, Acts, Lapses, Reeds, Timers, PeakNews int64 }

func (b *Bench) Counters() Counters { panic("todo") } // since tick 0

// TickCost is what one tick cost.
type TickCost struct {
	Tick int64
	Counters
}

func (b *Bench) TickCosts() []TickCost { panic("todo") } // of ticks run while recording was RecordAll, oldest first

// Thing is what there is to know of a part (or bare cell) that does not change.
type Thing struct {
	Part    // as placed (Pads in full)
	ID      ID
	Cell    Cell
	Shelf   bool
	Removed bool
}

// State is what changes.
type State struct {
	On      bool // key reed delay oneshot spotter gate lamp; conductor: live; tray, bucket: holds a token; shuttle, link: out
	Level   int  // conductor, meter
	Tokens  int
	Transit bool
	Queued  bool // an act is queued
	Timer   bool // a timer of its own is set
	Forced  bool
	Powered bool // reads live
	Armed   bool // power calls for another state than it has, and no act or timer is on its way
	Seated  Slug // slug seated in this cell
	Awaits  bool // a slug in transit is heading for this cell
}

func (b *Bench) Thing(id ID) Thing             { panic("todo") }
func (b *Bench) State(id ID) State             { panic("todo") }
func (b *Bench) PartAt(c Cell) (ID, bool)      { panic("todo") } // the part in a cell
func (b *Bench) CellState(c Cell) State        { panic("todo") } // of any cell
func (b *Bench) Parts() iter.Seq[ID]           { panic("todo") } // parts (no bare cells), in the order placed
func (b *Bench) Len() int                      { panic("todo") } // number of parts
func (b *Bench) Lookup(name string) (ID, bool) { panic("todo") } // part names are unique on a bench

// Patched is a cord as it lies.
type Patched struct {
	From, To ID
	Cord
}

func (b *Bench) Cords() []Patched { panic("todo") } // in the order made

// Tellers lists the parts and cells whose change would tell id (neighbours that can change, cords).
func (b *Bench) Tellers(id ID) []ID { panic("todo") }

// PadCells lists the cells id reads.
func (b *Bench) PadCells(id ID) []Cell { panic("todo") }

// Snapshot is a bench at one moment; immutable, may be used by many goroutines.
type Snapshot struct{}

func (b *Bench) Snapshot() *Snapshot { panic("todo") } // cheap: topology is shared, copied on the next edit
func (b *Bench) Restore(s *Snapshot) { panic("todo") }
func (s *Snapshot) Bench() *Bench    { panic("todo") } // a bench of its own, from there on
func (s *Snapshot) Size() int        { panic("todo") } // bytes not shared

// Fingerprint sums up the whole state apart from time, log and counters (part by part, timers relative to now):
// equal states have equal fingerprints.
func (b *Bench) Fingerprint() uint64 { panic("todo") }

// Check walks the bench and reports the first broken invariant; for tests.
func (b *Bench) Check() error { panic("todo") }
