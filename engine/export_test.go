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
