package lang

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"pulsewright/builtins/say"
	"pulsewright/scripts"
)

// maxScript is the largest script that is read, in bytes.
const maxScript = 64 << 20

// CheckName refuses the path of a script with something in it that cannot be shown.
func CheckName(path string) error {
	if err := say.CheckFileName(path); err != nil {
		return &Error{Msg: err.Error(), cause: err}
	}
	return nil
}

// ExecFile runs a script with name=value arguments. What it loads with "./…" lies beside it.
func (s *Session) ExecFile(ctx context.Context, path string, args []string) error {
	if err := s.args.set(args); err != nil {
		return err
	}
	if err := CheckName(path); err != nil {
		return err
	}
	dir := filepath.Dir(path)
	root, err := os.OpenRoot(dir)
	if err != nil {
		return &Error{Msg: fmt.Sprintf("%s: %s", path, why(err)), cause: err}
	}
	defer root.Close()
	info, err := root.Stat(filepath.Base(path))
	switch {
	case err != nil:
		return s.noScript(path, root, err)
	case info.IsDir():
		return &Error{Msg: fmt.Sprintf("%s: this is a folder; want a script", path)}
	case !info.Mode().IsRegular(): // a pipe may never say anything
		return &Error{Msg: fmt.Sprintf("%s: this is no ordinary file; want a script, or - for what comes from standard input", path)}
	case info.Size() > maxScript:
		return &Error{Msg: fmt.Sprintf("%s: %d MiB are too much for a script, at most %d MiB", path, info.Size()>>20, maxScript>>20)}
	}
	src, err := root.ReadFile(filepath.Base(path))
	if err != nil {
		return s.noScript(path, root, err)
	}
	l := s.loader
	was := *l
	l.root, l.dir, l.inside = root, dir, false
	s.origin = origin{file: path, test: s.origin.test}
	err = s.Exec(ctx, path, string(src))
	l.root, l.dir, l.inside = was.root, was.dir, was.inside
	l.forget()
	if err != nil {
		return err
	}
	return s.args.unasked()
}

// ExecEmbedded runs an embedded script, such as "harbour.star", with name=value arguments.
func (s *Session) ExecEmbedded(ctx context.Context, name string, args []string) error {
	if err := s.args.set(args); err != nil {
		return err
	}
	src, err := fs.ReadFile(scripts.FS, name)
	if err != nil {
		return &Error{Msg: fmt.Sprintf("%s: there is no such embedded script", name), cause: err}
	}
	s.origin = origin{file: name, embedded: true}
	s.loader.inside = true
	err = s.Exec(ctx, name, string(src))
	s.loader.inside = false
	if err != nil {
		return err
	}
	return s.args.unasked()
}

// noScript says why a script cannot be read, and suggests one beside it.
func (s *Session) noScript(path string, root *os.Root, err error) error {
	e := &Error{Msg: fmt.Sprintf("%s: %s", path, why(err)), cause: err}
	if !errors.Is(err, fs.ErrNotExist) {
		return e
	}
	var have []string
	entries, _ := fs.ReadDir(root.FS(), ".")
	for _, d := range entries {
		if strings.HasSuffix(d.Name(), ".star") {
			have = append(have, d.Name())
		}
	}
	if near := say.Nearest(filepath.Base(path), have); near != "" {
		e.Hint = fmt.Sprintf("did you mean %s?", filepath.Join(filepath.Dir(path), near))
	}
	return e
}

// forget drops the modules beside a script once it is done: in the conversation that follows, "./…" is
// the working folder.
func (l *loader) forget() {
	for key := range l.modules {
		if isBeside(key) {
			delete(l.modules, key)
		}
	}
}
