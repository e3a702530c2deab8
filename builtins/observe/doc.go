// Package observe is what watches a bench: probes and their pulses, the watch list, and what of the log is kept. It may use
// builtins, say and the engine.
package observe

import (
	"slices"

	"pulsewright/builtins"
)

// Words are the words of this package.
func Words() []builtins.Entry {
	return slices.Concat(probeWords(), watchWords(), recordWords())
}
