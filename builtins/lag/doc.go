// Package lag counts what runs cost (cost), weighs the counts by weights that a user gives, says which of several loads is the
// least over the whole range of weights (Judge), and fits weights to timings that a user took (lag_fit). Weights, sums and fits
// are exact fractions. It knows no weights of its own. It may use builtins, hold, say and the engine.
package lag

import (
	"slices"

	"pulsewright/builtins"
)

// Words are the words of this package.
func Words() []builtins.Entry { return slices.Concat(costWords(), fitWords()) }
