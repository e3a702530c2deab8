// Package world is the world as a value: all its rules, and the kinds of part that it has beside the built-in ones. It may use
// builtins, say, trial and the engine.
package world

import "pulsewright/builtins"

// Words are the words of this package.
func Words() []builtins.Entry { return worldWords() }
