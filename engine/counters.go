package engine

// Counters count what a run costs.
type Counters struct {
	Turns    int64 // timers, edges and acts
	News     int64 // deliveries to parts that hear
	Levels   int64 // conductors whose level changed
	Acts     int64 // acts that took their turn, those that lapsed too
	Lapses   int64 // acts and gate timers that lapsed or were blocked
	Reeds    int64 // reeds that flipped
	Timers   int64 // timers of parts that came due
	PeakNews int64 // most news in one tick
}

// Sub returns what was added since before; PeakNews stays.
func (c Counters) Sub(before Counters) Counters {
	return Counters{c.Turns - before.Turns, c.News - before.News, c.Levels - before.Levels, c.Acts - before.Acts,
		c.Lapses - before.Lapses, c.Reeds - before.Reeds, c.Timers - before.Timers, c.PeakNews}
}

// Add returns what two together cost; PeakNews is the larger.
func (c Counters) Add(d Counters) Counters {
	return Counters{c.Turns + d.Turns, c.News + d.News, c.Levels + d.Levels, c.Acts + d.Acts,
		c.Lapses + d.Lapses, c.Reeds + d.Reeds, c.Timers + d.Timers, max(c.PeakNews, d.PeakNews)}
}

// Counters returns what everything since tick 0 cost.
func (b *Bench) Counters() Counters {
	c := b.counts
	if b.open {
		c.PeakNews = max(c.PeakNews, c.News-b.costs.start.News)
	}
	return c
}

// TickCost is what one tick cost.
type TickCost struct {
	Tick int64
	Counters
}

// tickCosts keeps the cost of each tick while all events are recorded.
type tickCosts struct {
	tick   int64
	start  Counters
	rows   []TickCost
	shared bool // a snapshot knows some of the rows
}

func (t *tickCosts) begin(tick int64, c Counters) { t.tick, t.start = tick, c }

func (t *tickCosts) end(b *Bench) {
	d := b.counts.Sub(t.start)
	d.PeakNews = d.News
	b.counts.PeakNews = max(b.counts.PeakNews, d.News)
	if b.recording == RecordAll {
		t.rows = append(t.rows, TickCost{t.tick, d})
	}
}

// share tells the costs that a snapshot knows them, and returns what it knows.
func (t *tickCosts) share() tickCosts {
	t.shared = t.shared || len(t.rows) > 0
	s := *t
	s.rows = s.rows[:len(s.rows):len(s.rows)] // appending copies
	return s
}

// rejoin makes the costs what they were at a snapshot. Rows that no snapshot knows are written over: fresh memory costs more than writing to it.
func (t *tickCosts) rejoin(s tickCosts) {
	room := t.room()
	*t = s
	if len(s.rows) == 0 {
		t.rows, t.shared = room, false
	}
}

// room is what the rows may be written to again.
func (t *tickCosts) room() []TickCost {
	if t.shared {
		return nil
	}
	return t.rows[:0]
}

// TickCosts returns what each tick cost that ended while all events were recorded, oldest first.
func (b *Bench) TickCosts() []TickCost {
	b.costs.shared = true
	return b.costs.rows
}
