package builtins

import (
	"pulsewright/builtins/say"
	"pulsewright/engine"

	"go.starlark.net/starlark"
)

// One row of say's table for each of the engine's kinds, neither more nor fewer; a test holds that they are the same ones.
var (
	_ [len(say.Kinds) - engine.KindCount]struct{}
	_ [engine.KindCount - len(say.Kinds)]struct{}
)

// StateWords are the two states of a kind as words: those of the log, if it has any for them. off is "" of a kind that never
// changes.
func StateWords(k engine.Kind) (off, on string) {
	if w := k.Trait().Words; w != [2]engine.What{} {
		return w[0].String(), w[1].String()
	}
	return say.Kinds[k].Off, say.Kinds[k].On
}

// IsOn reports whether a part is in the second of its two states.
func IsOn(k engine.Kind, s engine.State) bool {
	switch k.Trait().Shows {
	case engine.ShowsAlways:
		return true
	case engine.ShowsBusy:
		return s.Timer
	}
	return s.On
}

// StateValue is what changes in a part, as a script sees it: a word, or the number a holder or a meter shows.
func StateValue(k engine.Kind, s engine.State) starlark.Value {
	if k == engine.Told {
		return starlark.String(s.Named)
	}
	switch shows := k.Trait().Shows; {
	case shows.Holds():
		return starlark.MakeInt(s.Tokens)
	case shows == engine.ShowsLevel:
		return starlark.MakeInt(s.Level)
	case k == engine.Bare && s.Forced:
		return starlark.String("forced")
	}
	off, on := StateWords(k)
	if IsOn(k, s) {
		return starlark.String(on)
	}
	return starlark.String(off)
}

// KindsThat lists the kinds whose traits are so as a sentence has them: lamp, reed or link.
func KindsThat(are func(engine.Trait) bool, joint string) string {
	names := kindsThat(are)
	return List(names, len(names), joint)
}

// kindsThat are the names of the kinds whose traits are so.
func kindsThat(are func(engine.Trait) bool) (names []string) {
	for _, k := range engine.Kinds() {
		if are(k.Trait()) {
			names = append(names, k.String())
		}
	}
	return names
}
