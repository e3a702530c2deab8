// Package invent asks what of a design is needed, where it breaks, how it can be made smaller, and whether there is anything
// smaller at all. A machine is taken apart into its layout and placed again, edited; what becomes of it is tried as a survey
// tries a case. It may use builtins, hold, measure, observe, picture, say, survey, trial and the engine.
package invent

import (
	"slices"

	"pulsewright/builtins"
)

// Words are the words of this package.
func Words() []builtins.Entry {
	return slices.Concat(spareWords(), hardenWords(), shrinkWords(), taskWords(), searchWords())
}
