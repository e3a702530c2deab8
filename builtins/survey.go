package builtins

type Shard struct{ Index, Count int }
func surveyWords() []Entry { return nil }
