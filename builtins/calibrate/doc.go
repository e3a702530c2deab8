// Package calibrate finds out the rules of a user's own world from experiments that can be done there, where no steps are seen:
// rigs that are built side by side, chosen because what they show splits the worlds that are still possible best. It may use
// builtins, picture, say, trial, world and the engine.
package calibrate

import "pulsewright/builtins"

// Words are the words of this package.
func Words() []builtins.Entry { return calibrateWords() }
