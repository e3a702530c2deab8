package lesson

import (
	"context"
	"io"
	"io/fs"
	"path/filepath"
	"slices"
	"strings"

	"pulsewright/lang"
	"pulsewright/scripts"
)

const folder = "lessons/"

// Course is the embedded lessons, in the order in which they are taken.
func Course() []string {
	text, _ := fs.ReadFile(scripts.FS, folder+"course.txt")
	return strings.Fields(string(text))
}

// Embedded reads a lesson of the course.
func Embedded(ctx context.Context, cfg lang.Config, name string) (*Lesson, error) {
	cfg.Out = io.Discard
	return Read(ctx, name, cfg, func(ctx context.Context, s *lang.Session) error {
		return s.ExecEmbedded(ctx, folder+name+".star", nil)
	})
}

// NameOf is the name of a lesson of somebody's own. One that is called as a lesson of the course keeps its ending, for its answers are others.
func NameOf(path string) string {
	name := strings.TrimSuffix(filepath.Base(path), ".star")
	if slices.Contains(Course(), name) {
		name = filepath.Base(path)
	}
	return name
}

// FromFile reads a lesson of somebody's own.
func FromFile(ctx context.Context, cfg lang.Config, path string) (*Lesson, error) {
	cfg.Out = io.Discard
	return Read(ctx, NameOf(path), cfg, func(ctx context.Context, s *lang.Session) error {
		return s.ExecFile(ctx, path, nil)
	})
}

// Next is the first lesson of the course that the learner has not gone through; "" if there is none.
func (p *Progress) Next() string {
	for _, name := range Course() {
		if m := p.Lessons[name]; m == nil || !m.Done {
			return name
		}
	}
	return ""
}

// Others are the lessons from files that the learner has begun, sorted.
func (p *Progress) Others() (names []string) {
	course := Course()
	for name, m := range p.Lessons {
		if m.Begun && !slices.Contains(course, name) {
			names = append(names, name)
		}
	}
	slices.Sort(names)
	return names
}

// Counts are how many questions of a lesson are answered right or passed, how many were answered otherwise or skipped, and how many
// hints and checks that took.
func (m *Marks) Counts() (right, wrong, skipped, hints, tries int) {
	if m == nil {
		return
	}
	for _, mark := range m.Mark {
		switch mark.State {
		case "right", "passed":
			right++
		case "wrong":
			wrong++
		case "skipped":
			skipped++
		}
		hints, tries = hints+mark.Hints, tries+mark.Tries
	}
	return
}
