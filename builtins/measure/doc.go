// Package measure gives the figures of a design: how soon it may be fired again (recovery), what it costs and how that grows,
// designs side by side (compare), and a page for others (datasheet). It may use builtins, expand, help, hold, lag, observe, picture,
// say, survey, trial and the engine.
package measure

import (
	"slices"

	"pulsewright/builtins"
)

// Words are the words of this package.
func Words() []builtins.Entry {
	return slices.Concat(recoveryWords(), compareWords(), datasheetWords())
}
