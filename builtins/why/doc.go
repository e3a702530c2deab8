// Package why explains: why something happened (why), why it did not (whynot), and what is waiting to be told (armed). It may
// use builtins, say and the engine.
package why

import (
	"slices"

	"pulsewright/builtins"
)

// Words are the words of this package.
func Words() []builtins.Entry { return slices.Concat(armedWords(), whyWords(), whynotWords()) }
