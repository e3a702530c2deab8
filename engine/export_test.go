package engine

// LimitHistory sets how many bytes all snapshots of the history may take.
func (b *Bench) LimitHistory(bytes int) { b.past.most = bytes }

// HistoryTurns lists after how many turns there is a snapshot to go back to.
func (b *Bench) HistoryTurns() []int64 {
	var turns []int64
	for _, m := range b.past.marks {
		turns = append(turns, m.clock.turns)
	}
	return turns
}

// OnHearing has f called whenever news reaches a part, before it looks: with the part and what its power calls for, of a told kind whether it would change for that teller.
func (b *Bench) OnHearing(f func(id ID, calls bool)) {
	b.heard = func(hearer, teller int32, _ EventID) { f(b.id[hearer], b.callsTo(hearer, teller)) }
	b.quicken()
}

// Calls is what the power of a part calls for; of a jack, whether it conducts.
func (b *Bench) Calls(id ID) bool { return b.calls(b.things[id].site) }
