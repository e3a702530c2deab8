package builtins

import (
	"pulsewright/builtins/say"
	"strings"
)

// Wrap breaks text at blanks to the width of the screen, each line indented.
func (e *Env) Wrap(text, indent string) string {
	room := max(e.Columns()-len(indent), 20)
	var lines []string
	line := ""
	for _, w := range strings.Fields(text) {
		switch {
		case line == "":
			line = w
		case say.Columns(line)+1+say.Columns(w) > room:
			lines = append(lines, indent+line)
			line = w
		default:
			line += " " + w
		}
	}
	return strings.Join(append(lines, indent+line), "\n")
}
