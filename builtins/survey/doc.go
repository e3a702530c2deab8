// Package survey asks whether a design is right everywhere, again and again: which cases there are, which of them follow from
// others and why, what was tried, the smallest counterexample, and portions for many machines. It may use builtins, hold,
// observe, say, trial and the engine.
package survey

import "pulsewright/builtins"

// Words are the words of this package.
func Words() []builtins.Entry { return surveyWords() }
