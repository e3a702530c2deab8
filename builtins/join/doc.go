// Package join leads power from one part to another: it finds a way for a row of wires that touches nothing else, and the place
// where a design comes to stand beside a port. It may use builtins, say and the engine.
package join

import "pulsewright/builtins"

// Words are the words of this package.
func Words() []builtins.Entry { return append(layWords(), besideWords()...) }
