package picture

import (
	"pulsewright/builtins"
	"pulsewright/builtins/say"

	"fmt"
	"strings"
)

// measures writes what the cursors read: where they are, how far apart, and what each lane shows there.
func (t *scopeText) measures(out *strings.Builder) {
	if len(t.cursors) == 0 {
		return
	}
	var head []string
	for i, c := range t.cursors {
		if i > 0 {
			p := t.cursors[i-1]
			head = append(head, fmt.Sprintf("%s to %s: %s", p.letter, c.letter, cursorsApart(p, c)))
		}
		head = append(head, fmt.Sprintf("%s at %v", c.letter, c))
	}
	out.WriteByte('\n')
	sideBySide(t.Env, out, head, t.names+1+t.room)
	for i, r := range t.rows {
		if r.sort == LaneMoments {
			continue
		}
		name := t.Label(r.name, nameRoom(t.names*3))
		var reads []string
		for _, c := range t.cursors {
			reads = append(reads, say.Align(c.letter+" "+reading(r.sort, c.values[i]), 7, "left", " "))
		}
		out.WriteString(t.Paint.Apply(say.Name, name) + strings.Repeat(" ", t.names-say.Columns(name)+1) + strings.TrimRight(strings.Join(reads, ""), " ") + "\n")
	}
}

func reading(s LaneSort, value int32) string {
	switch {
	case s == LaneLevel:
		return fmt.Sprintf("%d", value)
	case value != 0:
		return "on"
	}
	return "off"
}

// legend explains the signs that occur.
func (t *scopeText) legend(out *strings.Builder, width int) {
	var texts []string
	add := func(g say.Glyph, text string) {
		if t.used[g] {
			texts = append(texts, string(t.Glyph(g))+" "+text)
		}
	}
	if t.widths {
		texts = append(texts, "on a pulse: its width in steps")
	}
	if t.ticksToo {
		texts = append(texts, "2t+3: 2 ticks and 3 steps")
	}
	add(say.GZero, "on and off within one step, a pulse of 0 steps; or off and on")
	add(say.GMoment, "a token")
	add(say.GLapse, "lapses")
	add(say.GBlock, "blocked")
	add(say.GLand, "lands")
	add(say.GNudge, "nudged")
	var ticks, steps bool
	for _, c := range t.cols {
		ticks, steps = ticks || c.ticks > 0, steps || c.steps > 0
	}
	switch {
	case ticks && steps:
		texts = append(texts, "~9~ 9 quiet ticks or steps")
	case ticks:
		texts = append(texts, "~9~ 9 quiet ticks")
	case steps:
		texts = append(texts, "~9~ 9 quiet steps")
	}
	if t.cut {
		texts = append(texts, "more came before: choose with since= and until=")
	}
	if t.More > 0 {
		texts = append(texts, say.Count(t.More, "more part")+" changed: name those to show")
	}
	if len(texts) == 0 {
		return
	}
	out.WriteByte('\n')
	sideBySide(t.Env, out, texts, width)
}

// sideBySide writes texts side by side, as many to a line as fit.
func sideBySide(e *builtins.Env, out *strings.Builder, texts []string, width int) {
	used := 0
	for _, s := range texts {
		w := say.Columns(s)
		if used > 0 && used+3+w > width {
			out.WriteByte('\n')
			used = 0
		}
		if used > 0 {
			out.WriteString("   ")
			used += 3
		}
		out.WriteString(e.Paint.Apply(say.Dim, s))
		used += w
	}
	if used > 0 {
		out.WriteByte('\n')
	}
}
