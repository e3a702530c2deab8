// Package help answers help(…): words from the table of words, kinds of part from the engine's table of kinds, and terms from
// the glossary; and it makes the pages of the guide that list them. It may use builtins, inspect, say and the engine.
package help

import "pulsewright/builtins"

// Words are the words of this package.
func Words() []builtins.Entry { return helpWords() }
