package lesson

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"maps"
	"os"
	"path/filepath"

	"pulsewright/builtins/whole"
)

// Progress is how far a learner has come, in all lessons.
type Progress struct {
	Format  int               `json:"pulsewright_lessons"` // 1
	Lessons map[string]*Marks `json:"lessons"`

	path string
}

// Marks are the answers to the questions of one lesson, by their keys.
type Marks struct {
	Begun bool             `json:"begun,omitempty"`
	Done  bool             `json:"done,omitempty"` // gone through to its end once
	At    string           `json:"at,omitempty"`   // the question it was left at
	Mark  map[string]*Mark `json:"marks,omitempty"`
}

// Mark is the answer to one question.
type Mark struct {
	State string   `json:"state,omitempty"` // "right", "wrong" (a prediction), "passed" (an exercise), "skipped"; "" not answered yet
	Given string   `json:"given,omitempty"` // the first prediction
	Tries int      `json:"tries,omitempty"` // how often an exercise was checked
	Hints int      `json:"hints,omitempty"`
	Work  []string `json:"work,omitempty"` // commands of an exercise that went well
}

// Load reads the progress of a learner; a file that is not there is the beginning.
func Load(path string) (*Progress, error) {
	p := &Progress{Format: 1, Lessons: map[string]*Marks{}, path: path}
	info, err := os.Stat(path)
	if errors.Is(err, fs.ErrNotExist) || path == "" {
		return p, nil
	}
	if err != nil {
		return p, err
	}
	const most = 64 << 20
	if !info.Mode().IsRegular() || info.Size() > most { // a pipe may never say anything
		return p, fmt.Errorf("%s is no file of progress", path)
	}
	f, err := os.Open(path)
	if err != nil {
		return p, err
	}
	defer f.Close()
	read := &Progress{}
	if err := json.NewDecoder(io.LimitReader(f, most)).Decode(read); err != nil || read.Format != 1 {
		return p, fmt.Errorf("%s is no file of progress in lessons", path)
	}
	if read.Lessons != nil {
		p.Lessons = read.Lessons
	}
	for name, m := range p.Lessons {
		if m == nil {
			delete(p.Lessons, name)
			continue
		}
		maps.DeleteFunc(m.Mark, func(_ string, q *Mark) bool { return q == nil })
	}
	return p, nil
}

// Save writes it, whole or not at all.
func (p *Progress) Save() error {
	if p.path == "" {
		return nil
	}
	if err := os.MkdirAll(filepath.Dir(p.path), 0o700); err != nil {
		return err
	}
	dir, err := os.OpenRoot(filepath.Dir(p.path))
	if err != nil {
		return err
	}
	defer dir.Close()
	return whole.Replace(dir, filepath.Base(p.path), p.Write)
}

// Write writes it as a file that can be read again.
func (p *Progress) Write(w io.Writer) error {
	text, err := json.MarshalIndent(p, "", " ")
	if err == nil {
		_, err = w.Write(append(text, '\n'))
	}
	return err
}

// Path is where it is kept; "" if it is not.
func (p *Progress) Path() string { return p.path }

// Lend writes it elsewhere, for another process.
func (p *Progress) Lend(path string) error {
	lent := *p
	lent.path = path
	return lent.Save()
}

// Fetch takes over, and keeps, what was done in one lesson elsewhere. What else stands there is passed over.
func (p *Progress) Fetch(name, path string) error {
	if _, err := os.Lstat(path); errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	there, err := Load(path)
	if err != nil {
		return err
	}
	if m := there.Lessons[name]; m != nil {
		p.Lessons[name] = m
		return p.Save()
	}
	return nil
}

// of are the marks of one lesson.
func (p *Progress) of(name string) *Marks {
	m := p.Lessons[name]
	if m == nil {
		m = &Marks{}
		p.Lessons[name] = m
	}
	if m.Mark == nil {
		m.Mark = map[string]*Mark{}
	}
	return m
}

// mark is the answer to one question.
func (m *Marks) mark(key string) *Mark {
	if m.Mark[key] == nil {
		m.Mark[key] = &Mark{}
	}
	return m.Mark[key]
}
