package picture

import (
	"fmt"
	"strconv"
	"strings"

	"pulsewright/builtins/say"
	"pulsewright/engine"
)

// The names of parts do not fit on their tiles. A drawing for a page has a number on each part that has a name, and below it which number is which
// name; a text has a list of names with their cells.

// mostTags is how many parts of a picture get a number: of more, nobody finds theirs.
const mostTags = 400

// tags are the numbers of the parts that have names, and what they stand for, in the order in which the parts were placed.
type tags struct {
	of    map[engine.ID]int
	names []tagged
}

// tagged is a name, or a row of them.
type tagged struct {
	first, last int // its numbers
	text        string
	at          engine.Cell // of the first
}

// nameRun is parts of a row that were placed one after the other: quay.0, quay.1, ….
type nameRun struct {
	stem string // of a row; the name of a part that is in none
	from int    // the number of the first in the row
	kind engine.Kind
	ids  []engine.ID
}

// nameRuns lists the parts with names that are drawn.
func (m *chart) nameRuns() (runs []nameRun) {
	b := m.Bench
	for id := range b.Parts() {
		at, onLattice := b.CellOf(id)
		name := b.Name(id)
		if name == "" || strings.HasSuffix(name, ")") || !onLattice || !m.inside(at) { // r1.wire(3,0) is its cell, not a name
			continue
		}
		stem, number := name, -1
		if cut := strings.LastIndexByte(name, '.'); cut >= 0 {
			if n, err := strconv.Atoi(name[cut+1:]); err == nil && n >= 0 {
				stem, number = name[:cut], n
			}
		}
		kind := b.KindOf(id)
		if last := len(runs) - 1; number >= 0 && last >= 0 {
			if r := &runs[last]; r.stem == stem && r.kind == kind && r.from >= 0 && r.from+len(r.ids) == number {
				r.ids = append(r.ids, id)
				continue
			}
		}
		runs = append(runs, nameRun{stem, number, kind, []engine.ID{id}})
	}
	return runs
}

// runText is the names of a run.
func (m *chart) runText(r nameRun) string {
	name := func(id engine.ID) string { return say.Clean(m.Bench.Name(id)) }
	switch n := len(r.ids); {
	case n == 1:
		return name(r.ids[0])
	case n == 2:
		return name(r.ids[0]) + ", " + name(r.ids[1])
	default:
		dots := "⋯"
		if m.ASCII {
			dots = ".."
		}
		return name(r.ids[0]) + dots + name(r.ids[n-1])
	}
}

// tags numbers the parts that have names, a row of conductors by its first only; none if they are too many.
func (m *chart) tags() *tags {
	if m.tagged != nil {
		return m.tagged
	}
	t := &tags{of: map[engine.ID]int{}}
	m.tagged = t
	for _, r := range m.nameRuns() {
		numbered := r.ids
		if r.kind.Trait().Conducts {
			numbered = r.ids[:1]
		}
		first := len(t.of) + 1
		for _, id := range numbered {
			t.of[id] = len(t.of) + 1
		}
		at, _ := m.Bench.CellOf(r.ids[0])
		t.names = append(t.names, tagged{first, len(t.of), m.runText(r), at})
	}
	if len(t.of) > mostTags {
		*t = tags{}
	}
	return t
}

// svgNames is which number on the map is which name, as lines below the picture.
func (m *chart) svgNames(width float64) []string {
	var texts []string
	for _, t := range m.tags().names {
		number := fmt.Sprint(t.first)
		if t.last > t.first {
			number = fmt.Sprintf("%d to %d", t.first, t.last)
		}
		texts = append(texts, number+" "+t.text)
	}
	return fillNotes(texts, width*6.1/svgLetter)
}

// textNames lists names with the cell of each, or of the first of a row.
func (m *chart) textNames(out *strings.Builder) {
	var texts []string
	for _, t := range m.tags().names {
		texts = append(texts, fmt.Sprintf("%s %v", t.text, t.at))
	}
	if len(texts) == 0 {
		return
	}
	out.WriteString("\n" + m.Paint.Apply(say.Title, "names, each with its cell") + "\n")
	sideBySide(m.Env, out, texts, m.Columns())
}
