package lesson

import (
	"encoding/csv"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"pulsewright/builtins"
	"pulsewright/builtins/say"
)

// Sheet is what the learners of a class have done.
type Sheet struct {
	learners []string
	progress []*Progress
}

// NewSheet is a sheet with nobody on it.
func NewSheet() *Sheet { return &Sheet{} }

// Add puts a learner on the sheet.
func (s *Sheet) Add(learner string, p *Progress) {
	s.learners, s.progress = append(s.learners, say.OneLine(learner)), append(s.progress, p)
}

// lessons are those that anybody has begun: of the course in its order, then others.
func (s *Sheet) lessons() (names []string) {
	begun := map[string]bool{}
	for _, p := range s.progress {
		for name, m := range p.Lessons {
			begun[name] = begun[name] || m.Begun
		}
	}
	for _, name := range Course() {
		if begun[name] {
			names = append(names, name)
			delete(begun, name)
		}
	}
	var others []string
	for name, was := range begun {
		if was {
			others = append(others, name)
		}
	}
	slices.Sort(others)
	return append(names, others...)
}

// Text writes the sheet as a table, a line a learner. What is wider than so many columns goes on below; 0: nothing does.
func (s *Sheet) Text(w io.Writer, columns int) {
	names := s.lessons()
	rows := [][]string{{"learner"}}
	for _, name := range names {
		rows[0] = append(rows[0], say.OneLine(name))
	}
	for i, p := range s.progress {
		row := []string{s.learners[i]}
		for _, name := range names {
			row = append(row, cell(p.Lessons[name]))
		}
		rows = append(rows, row)
	}
	widths := make([]int, len(rows[0]))
	for _, row := range rows {
		for i, text := range row {
			widths[i] = max(widths[i], say.Columns(text)+2)
		}
	}
	for from := 1; from == 1 || from < len(widths); {
		to, wide := from, widths[0]
		for to < len(widths) && (columns == 0 || to == from || wide+widths[to]-2 <= columns) {
			wide += widths[to]
			to++
		}
		if from > 1 {
			fmt.Fprintln(w)
		}
		for _, row := range rows {
			b := say.Align(row[0], widths[0], "left", " ")
			for i := from; i < to; i++ {
				b += say.Align(row[i], widths[i], "left", " ")
			}
			fmt.Fprintln(w, strings.TrimRight(b, " "))
		}
		from = max(to, 2)
	}
	fmt.Fprintln(w, "right of answered or skipped, + hints; a star: gone through to the end")
}

func cell(m *Marks) string {
	if m == nil || !m.Begun {
		return ""
	}
	right, wrong, skipped, hints, _ := m.Counts()
	text := fmt.Sprintf("%d/%d", right, right+wrong+skipped)
	if hints > 0 {
		text += fmt.Sprintf("+%d", hints)
	}
	if m.Done {
		text += "*"
	}
	return text
}

// CSV writes a line for each question that a learner has met.
func (s *Sheet) CSV(w io.Writer) error {
	out := csv.NewWriter(w)
	out.Write([]string{"learner", "lesson", "question", "state", "first answer", "checks", "hints"})
	for i, p := range s.progress {
		for _, name := range s.lessons() {
			m := p.Lessons[name]
			if m == nil {
				continue
			}
			var keys []string
			for key := range m.Mark {
				keys = append(keys, key)
			}
			slices.Sort(keys)
			for _, key := range keys {
				q := m.Mark[key]
				out.Write([]string{builtins.Defused(s.learners[i]), builtins.Defused(name), builtins.Defused(key), builtins.Defused(q.State), builtins.Defused(q.Given), strconv.Itoa(q.Tries), strconv.Itoa(q.Hints)})
			}
		}
	}
	out.Flush()
	return out.Error()
}
