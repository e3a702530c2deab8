package builtins

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"pulsewright/builtins/say"
	"pulsewright/builtins/whole"
	"pulsewright/engine"

	"go.starlark.net/starlark"
)

// Every file of a session is written here, whole or not at all, inside the working folder, and never over a file that
// somebody else wrote or changed, unless over=True says so. The portions of a survey alone have a rule of their own.

// OverParam is the parameter that allows a file to be replaced. A survey, which has numbers to go over, calls it replace.
var OverParam = Param{Name: "over", Type: "bool", Default: "False", Optional: true, Keyword: true,
	Doc: "True: replace a file that is there already and was not written in this session"}

// Over says whether a file of somebody else's may be replaced.
type Over struct {
	Allowed bool
	By      string // the parameter that allows it
}

// Over reads overParam, under the name it has in the word.
func (c *Call) Over(param string) Over { return Over{c.Bool(param, false), param} }

// ErrNoFolder is that of a file where none can be written.
var ErrNoFolder = errors.New("there is no folder to write to here")

// MayWrite says why a file cannot be written, as far as that can be known before: words that work long ask first.
func (e *Env) MayWrite(path string, over Over) error {
	name := Show(starlark.String(path))
	switch {
	case e.Dir == nil:
		return ErrNoFolder
	case say.CheckFileName(path) != nil:
		return say.CheckFileName(path)
	case !filepath.IsLocal(path):
		return fmt.Errorf("%s is outside the working folder; want a path inside it, such as %s", name, "quay"+filepath.Ext(path))
	}
	now, err := e.Dir.Lstat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		if _, err := e.Dir.Stat(filepath.Dir(path)); err != nil {
			return fmt.Errorf("%s: %s", name, FileTrouble(err))
		}
		return nil
	case err != nil:
		return fmt.Errorf("%s: %s", name, FileTrouble(err))
	case now.IsDir():
		return fmt.Errorf("%s is a folder; want the path of a file", name)
	case !now.Mode().IsRegular() && now.Mode().Type() != fs.ModeSymlink:
		return fmt.Errorf("%s is a pipe or a device; want the path of a file", name)
	case over.Allowed:
		return nil
	}
	was, ours := e.Wrote[filepath.Clean(path)]
	switch {
	case !ours:
		return fmt.Errorf("%s is there already, and this session did not write it; take another name, or replace it with %s=True", name, over.By)
	case !os.SameFile(was, now) || was.Size() != now.Size() || !was.ModTime().Equal(now.ModTime()):
		return fmt.Errorf("%s was changed since this session wrote it; take another name, or replace it with %s=True", name, over.By)
	}
	return nil
}

// WriteFile writes a file in the working folder, whole or not at all.
func (e *Env) WriteFile(path string, over Over, write func(io.Writer) error) (bytes int64, err error) {
	if e.Rereading {
		return 0, nil
	}
	if err := e.MayWrite(path, over); err != nil {
		return 0, err
	}
	if err := whole.Replace(e.Dir, path, func(f io.Writer) error { return write(stoppable{f, e}) }); err != nil {
		var stopped *engine.Stopped
		if errors.As(err, &stopped) {
			return 0, err
		}
		return 0, fmt.Errorf("%s: %s", Show(starlark.String(path)), FileTrouble(err))
	}
	if info, err := e.Dir.Lstat(path); err == nil {
		if e.Wrote == nil {
			e.Wrote = map[string]fs.FileInfo{}
		}
		e.Wrote[filepath.Clean(path)] = info
		bytes = info.Size()
	}
	return bytes, nil
}

// stoppable is a file that is written no further once the context has ended.
type stoppable struct {
	io.Writer
	env *Env
}

func (s stoppable) Write(p []byte) (int, error) {
	if err := s.env.Stopped(); err != nil {
		return 0, err
	}
	return s.Writer.Write(p)
}

// MayWrite is asked before long work. No path: nothing is to be written.
func (c *Call) MayWrite(path string, over Over) {
	if c.Err == nil && path != "" {
		if err := c.Env.MayWrite(path, over); err != nil {
			c.Err = c.Wrap(err)
		}
	}
}

// ToFile writes a file and says so; what says what is in it.
func (c *Call) ToFile(path string, over Over, what string, write func(io.Writer) error) error {
	bytes, err := c.Env.WriteFile(path, over, write)
	if err != nil {
		return c.Wrap(err)
	}
	c.Env.Print(fmt.Sprintf("wrote %s: %s, %s", filepath.ToSlash(filepath.Clean(path)), what, say.Count(int(bytes), "byte")))
	return nil
}

// LeadsOut reports whether an os.Root refused a path that leads out of it. The library keeps that error to itself: it is known by its words.
func LeadsOut(err error) bool { return strings.HasSuffix(err.Error(), "path escapes from parent") }

// FileTrouble is why a file could not be written, without the system's own names.
func FileTrouble(err error) string {
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return "no such folder"
	case errors.Is(err, fs.ErrPermission):
		return "not permitted"
	case LeadsOut(err):
		return "it leads out of the working folder"
	}
	var p *fs.PathError
	var l *os.LinkError
	switch {
	case errors.As(err, &p):
		err = p.Err
	case errors.As(err, &l):
		err = l.Err
	}
	return fmt.Sprint(err)
}
