package engine

// EventID is the position of an event in its bench's log, from 1. 0 is no event.
type EventID uint32

// Event is something that happened.
type Event struct {
	Tick  int64
	Step  int32
	Turn  int32
	ID    ID      // the part, or the bare cell
	Cause EventID // the event that told the part, queued the act or set the timer; 0 for a stimulus
	Arg   int32   // level: the new level; enters: see there; out, home, lands of a shuttle with a grip: the Slug it moves; else 0
	What  What
}

// At returns the event's instant.
func (e Event) At() Instant { return Instant{e.Tick, int(e.Step), int(e.Turn)} }
