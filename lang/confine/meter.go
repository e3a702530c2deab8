package confine

import (
	"io"
	"io/fs"
	"path/filepath"
	"slices"
	"sync"
	"time"
)

// meter counts what goes through its writers. What is past the limit is dropped, and over is called once.
type meter struct {
	mu   sync.Mutex
	left int64
	over func()
}

func (m *meter) writer(w io.Writer) io.Writer { return &metered{m, w} }

type metered struct {
	m *meter
	w io.Writer
}

func (w *metered) Write(b []byte) (int, error) {
	w.m.mu.Lock()
	defer w.m.mu.Unlock()
	pass := b[:min(int64(len(b)), w.m.left)]
	w.m.left -= int64(len(pass))
	if len(pass) < len(b) && w.m.over != nil {
		w.m.over()
		w.m.over = nil
	}
	if _, err := w.w.Write(pass); err != nil {
		return 0, err
	}
	return len(b), nil
}

// locked is a writer for several at once.
type locked struct {
	mu sync.Mutex
	w  io.Writer
}

func (l *locked) Write(b []byte) (int, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.w.Write(b)
}

// head keeps the first bytes of what is written.
type head struct {
	most int
	text []byte
}

func (h *head) Write(b []byte) (int, error) {
	h.text = append(h.text, b[:min(len(b), h.most-len(h.text))]...)
	return len(b), nil
}

func (h *head) String() string { return string(h.text) }

// holding is what folders held.
type holding struct {
	dirs  []string
	files int
	bytes int64
}

// survey counts the files in folders, and what they hold.
func survey(dirs ...string) holding {
	h := holding{dirs: slices.DeleteFunc(dirs, func(dir string) bool { return dir == "" })}
	for _, dir := range h.dirs {
		filepath.WalkDir(dir, func(_ string, d fs.DirEntry, err error) error {
			if err != nil || d.IsDir() {
				return nil // gone meanwhile, or not to be read: then nothing is written there either
			}
			if info, err := d.Info(); err == nil {
				h.files++
				h.bytes += info.Size()
			}
			return nil
		})
	}
	return h
}

// over reports whether more has come since than may.
func (h holding) over(l Limits) bool {
	now := survey(h.dirs...)
	return now.files-h.files > l.Count || now.bytes-h.bytes > l.Files
}

// watch looks again and again, but for a small part of the time only, until done.
func (h holding) watch(l Limits, done <-chan struct{}, stop func()) {
	if len(h.dirs) == 0 {
		return
	}
	pause := 20 * time.Millisecond
	for {
		select {
		case <-done:
			return
		case <-time.After(pause):
		}
		began := time.Now()
		if h.over(l) {
			stop()
			return
		}
		pause = max(20*time.Millisecond, 10*time.Since(began))
	}
}
