// Package whole writes files that are there whole or not at all, whatever becomes of the process. It may use nothing of ours.
package whole

import (
	"crypto/rand"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"time"
)

// Replace writes a file, whole or not at all: what was there stays until the new text is safe, and a link is replaced, not followed.
// Where the system can, the new text has no name until it is safe, so that a process that is killed meanwhile leaves nothing behind. Elsewhere what one leaves
// is removed by the next that writes this file, after a day.
func Replace(dir *os.Root, path string, write func(io.Writer) error) error {
	return usual.replace(dir, path, write)
}

// system is what writing takes of the system. Tests put something else in its place.
type system struct {
	nameless func(dir *os.Root, folder string, mode fs.FileMode) (*os.File, error)
	giveName func(f *os.File, dir *os.Root, name string) error
	sync     func(f *os.File) error
	rename   func(dir *os.Root, from, to string) error
}

var usual = system{nameless, giveName, (*os.File).Sync, (*os.Root).Rename}

// WithNames has every file have a name from the beginning, as on systems that know no others. It is for tests.
func WithNames() {
	usual.nameless = func(*os.Root, string, fs.FileMode) (*os.File, error) { return nil, errors.ErrUnsupported }
}

// named are the files of this process that have a name and are not whole. Who gives or takes one holds the lock.
var named struct {
	sync.Mutex
	in map[string]*os.Root // by name
}

// Leave removes what is not whole. Nothing begins or becomes whole any more: it is for a process that ends now, at a signal.
func Leave() {
	named.Lock() // for good
	for name, dir := range named.in {
		dir.Remove(name)
	}
}

func (s system) replace(dir *os.Root, path string, write func(io.Writer) error) error {
	f, name, err := s.beside(dir, path)
	if err != nil {
		return err
	}
	done := false
	defer func() { // also after a panic
		if !done {
			f.Close()
			s.discard(dir, name)
		}
	}()
	if err := write(f); err != nil {
		return err
	}
	if err := s.sync(f); err != nil { // else a crash of the machine could leave the name without the text
		return err
	}
	named.Lock()
	defer named.Unlock()
	if name == "" {
		name = besideName(path)
		err = s.giveName(f, dir, name)
	}
	err = errors.Join(err, f.Close())
	if err == nil {
		err = s.rename(dir, name, path)
	}
	if err != nil {
		dir.Remove(name)
	}
	delete(named.in, name)
	done = true
	return err
}

// discard removes a file that did not become whole.
func (s system) discard(dir *os.Root, name string) {
	if name == "" {
		return
	}
	named.Lock()
	defer named.Unlock()
	dir.Remove(name)
	delete(named.in, name)
}

// beside opens a new file next to path, to be renamed when it is whole, with the mode of the file it will replace. It has no name yet, or
// one that nobody can have put there before.
func (s system) beside(dir *os.Root, path string) (f *os.File, name string, err error) {
	was, err := dir.Lstat(path)
	kept, mode := err == nil && was.Mode().IsRegular(), fs.FileMode(0o644)
	if kept {
		mode = 0o600
	}
	if f, err = s.nameless(dir, filepath.Dir(path), mode); err != nil {
		name = besideName(path)
		named.Lock()
		defer named.Unlock()
		sweep(dir, path)
		if f, err = dir.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, mode); err != nil {
			return nil, "", err
		}
		if named.in == nil {
			named.in = map[string]*os.Root{}
		}
		named.in[name] = dir
	}
	if kept {
		if err := f.Chmod(was.Mode().Perm()); err != nil {
			f.Close()
			dir.Remove(name)
			delete(named.in, name)
			return nil, "", err
		}
	}
	return f, name, nil
}

// The name of a file that is not whole: that of the file it is to be, and a random text between these.
const (
	before = "."
	after  = ".part"
)

func besideName(path string) string {
	return filepath.Join(filepath.Dir(path), before+filepath.Base(path)+"."+rand.Text()+after)
}

// old is how long a file with such a name must have been left alone to be taken for what a process left that was killed.
const old = 24 * time.Hour

// sweep removes what such processes left of the file at path.
func sweep(dir *os.Root, path string) {
	folder, err := dir.Open(filepath.Dir(path))
	if err != nil {
		return
	}
	defer folder.Close()
	names, _ := folder.Readdirnames(-1)
	for _, name := range names {
		text, begins := strings.CutPrefix(name, before+filepath.Base(path)+".")
		text, ends := strings.CutSuffix(text, after)
		if !begins || !ends || len(text) != len(rand.Text()) || strings.Trim(text, "ABCDEFGHIJKLMNOPQRSTUVWXYZ234567") != "" {
			continue
		}
		name = filepath.Join(filepath.Dir(path), name)
		if info, err := dir.Lstat(name); err == nil && info.Mode().IsRegular() && time.Since(info.ModTime()) > old {
			dir.Remove(name)
		}
	}
}
