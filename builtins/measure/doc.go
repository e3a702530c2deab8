// Package measure gives the figures of a design: how soon it may be fired again (recovery), at which sizes it works
// (expandable), what it costs and how that grows, designs side by side (compare), and a page for others (datasheet). It may use all
// packages below builtins but words.
package measure

import (
	"slices"

	"pulsewright/builtins"
)

// Words are the words of this package.
func Words() []builtins.Entry {
	return slices.Concat(recoveryWords(), expandableWords(), compareWords(), datasheetWords())
}
