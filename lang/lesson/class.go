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

// Text writes the sheet as a table, a line a learner.
func (s *Sheet) Text(w io.Writer) {
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
			widths[i] = max(widths[i], say.Columns(text))
		}
	}
	for _, row := range rows {
		var b strings.Builder
		for i, text := range row {
			b.WriteString(say.Align(text, widths[i]+2, "left", " "))
		}
		fmt.Fprintln(w, strings.TrimRight(b.String(), " "))
	}
	fmt.Fprintln(w, "right of answered, + hints; a star: gone through to the end")
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
