// Package picture draws: timing diagrams (scope), the bench layer by layer (map) and tables (plot), each as text for a terminal
// and as SVG. It may use builtins, observe, say, sketch and the engine.
package picture

import (
	"slices"

	"pulsewright/builtins"
)

// Words are the words of this package.
func Words() []builtins.Entry { return slices.Concat(scopeWords(), mapWords(), plotWords()) }
