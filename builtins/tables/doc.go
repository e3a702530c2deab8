// Package tables reads tables back that were saved, and sets two against each other. It may use builtins, hold and say.
package tables

import "pulsewright/builtins"

// Words are the words of this package.
func Words() []builtins.Entry { return tablesWords() }
