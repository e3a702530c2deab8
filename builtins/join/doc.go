// Package join leads power from one part to another: it finds a way for a row of wires that touches nothing else. It may use builtins,
// say and the engine.
package join

import "pulsewright/builtins"

// Words are the words of this package.
func Words() []builtins.Entry { return layWords() }
