// Package expand tries a design at growing sizes: at which it works, whether what was seen shows that it works at any, and what
// breaks first where it does not. Plans are designs as built, slice by slice; a ledger is what happened in them; what goes on
// alike from period to period is shown by induction. It may use builtins, hold, inspect, observe, say, sketch, trial and the
// engine.
package expand

import "pulsewright/builtins"

// Words are the words of this package.
func Words() []builtins.Entry { return expandableWords() }
