// Package wave writes what happened to files: events as VCD (IEEE 1364), CSV and JSON Lines, and pictures as SVG. It may use
// builtins, picture, play, say and the engine.
package wave

import "pulsewright/builtins"

// Words are the words of this package.
func Words() []builtins.Entry { return exportWords() }
