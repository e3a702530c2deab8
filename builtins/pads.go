package builtins

import "pulsewright/engine"

// What a kind reads, in words, as the engine's table of kinds has it.
var (
	PadSides = map[engine.Pads]string{
		engine.NoPads:    "none",
		engine.BackPad:   "its back",
		engine.SidePads:  "the four cells that are neither its front nor its back",
		engine.RearPads:  "the five neighbours that are not its front",
		engine.AroundPad: "its six neighbours",
	}
	FarSides = map[engine.FarPad]string{
		engine.FarBack: "two cells behind it",
		engine.FarDown: "two cells below it (-z)",
	}
)

// usualPads is what a kind reads unless it is told otherwise.
func usualPads(t engine.Trait) string {
	s := PadSides[t.Pads]
	if t.Far != engine.NoFar {
		s += ", and its far pad"
	}
	return s
}
