// Package differ compares two runs event by event: the first event in which they part, how things stood just before, what
// caused both, and what is placed or posed differently. It may use builtins, picture, say, trial, wave and the engine.
package differ

import "pulsewright/builtins"

// Words are the words of this package.
func Words() []builtins.Entry { return differWords() }
