// Package trial tries a design: builds it on a bench of its own, sends, lets time pass, reads, and tells whether what was read
// is an answer to what was sent. A crew of runners does that on all processors, and no order of work ever shows. It also writes
// a design's functions down as a script. It may use builtins, hold, lag, observe, say, sketch and the engine.
package trial

import (
	"slices"

	"pulsewright/builtins"
)

// Words are the words of this package.
func Words() []builtins.Entry { return slices.Concat(designWords(), sweepWords()) }
