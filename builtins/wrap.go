package builtins

import "pulsewright/builtins/say"

// Wrap breaks text at blanks to the width of the screen, each line indented.
func (e *Env) Wrap(text, indent string) string {
	return say.Fill(text, indent, indent, max(e.Columns(), len(indent)+20))
}
