// Package inspect tells all there is to know of a part or cell as it stands: the word state, and the lines that help shows of a
// part. It may use builtins, say and the engine.
package inspect

import "pulsewright/builtins"

// Words are the words of this package.
func Words() []builtins.Entry { return stateWords() }
