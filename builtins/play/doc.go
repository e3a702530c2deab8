// Package play walks what happened through the queue, turn by turn: on a terminal, plainly where there is none, and as a page
// for a browser. It may use builtins, narrate, picture, say and the engine.
package play

import "pulsewright/builtins"

// Words are the words of this package.
func Words() []builtins.Entry { return playWords() }
