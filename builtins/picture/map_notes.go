package picture

import (
	"fmt"
	"strings"
	"unicode"

	"pulsewright/builtins"
	"pulsewright/engine"
)

// kindNotes says something of every kind that occurs: of one that never changes its capital letter, of others what tell gives.
func (m *chart) kindNotes(tell func(k engine.Kind) string) (texts []string) {
	for _, k := range engine.Kinds() {
		if !m.seen.kinds[k] {
			continue
		}
		if off, _ := builtins.StateWords(k); off == "" {
			texts = append(texts, fmt.Sprintf("%c %v", capital(k), k))
		} else {
			texts = append(texts, tell(k))
		}
	}
	for _, k := range m.seen.own {
		var low, high []string
		for i, s := range k.States {
			if k.Active[i] {
				high = append(high, s)
			} else {
				low = append(low, s)
			}
		}
		text := fmt.Sprintf("%c %s %s", k.Letter, k.Name, strings.Join(low, "/"))
		if high != nil {
			text += fmt.Sprintf(", %c %s", unicode.ToUpper(k.Letter), strings.Join(high, "/"))
		}
		texts = append(texts, text)
	}
	return texts
}

// axesText says how the axes lie.
func (m *chart) axesText() string {
	if m.side {
		return "x to the right, z up"
	}
	return "x to the right, y up"
}

// atText is the instant at which the bench stands as drawn, to stand behind a heading.
func (m *chart) atText() string {
	if m.bare {
		return ""
	}
	return fmt.Sprintf("   at %v", m.Bench.Now())
}
