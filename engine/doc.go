// Package engine computes the medium: parts on a lattice that react one after another inside one clock tick.
//
// Four types matter. A [Bench] is a lattice with parts on it, their state and its log. A [Part] says what to place. An
// [Event] is something that happened, and knows the event that caused it. A [Snapshot] is a bench at one moment: to go
// back to, or to start other benches from. Nothing is global: two benches never touch each other, and the same bench,
// rules and stimuli give the same events each time.
//
// # The order of everything
//
// Time is an [Instant]: tick, step, turn. A tick runs step by step, a step turn by turn. One turn is a timer that comes
// due, an edge of a stimulus, or an act. After a turn all its news is delivered, and all the news that causes, before
// the next turn.
//
// Step 0 of a tick: falling edges that come early in step 0, in the order given; the timers due, in the order in which
// they were set (a stimulus is a timer); falling edges that come late in step 0. A pulse of no steps falls in the turn
// after the one it rose in.
//
// Step s > 0: falling edges that come early in step s; the acts queued during step s-1, first in first out; falling
// edges that come late. What hears meanwhile may react at once, in no step at all, or queues its act for step s+1.
//
// The tick ends when no act is queued and no edge is left in it. The next tick with a timer or an edge follows at once:
// ticks in between cost nothing.
//
// Under reads="step" ([ByStep]) the acts of a step all look first; then they change, turn by turn; then all their news
// is delivered.
//
// # Power and news
//
// Power says what state a part would have; news says when it looks. A part looks only when it is told. One whose power
// calls for another state, and which has not been told yet, is armed. What a kind reads, who may tell it and what it
// feeds is its [Trait].
//
// A change at a cell tells its six neighbours in neighbour order, then its cords in the order made. Then the levels of
// conductors settle, and those whose level changed tell, breadth first from the cell. All this is one batch: under
// news="lifo" ([LIFO]) it goes on top of what waits. A change at a far pad, two cells away, is not heard there.
//
// A conductor has the level [Rules].Reach beside a feed, and one less than its highest neighbour otherwise, at least 0.
// Cords that start at conductors make levels depend on levels; so they settle in rounds: levels, then all such cords at
// once, until nothing changes. A bench whose rounds do not end gets an error.
//
// Placing, posing, patching, filling and removing tell nobody: levels settle silently.
package engine
