package world

import (
	"fmt"
	"io"
	"path/filepath"
	"strings"

	"pulsewright/builtins"
	"pulsewright/builtins/say"
	"pulsewright/builtins/trial"

	"go.starlark.net/starlark"
	"go.starlark.net/syntax"
)

// save writes the world as a script that stands alone: its kinds with all that their functions need, and the call that makes it.
func (w *World) save(thread *starlark.Thread, b *starlark.Builtin, args starlark.Tuple, kwargs []starlark.Tuple) (starlark.Value, error) {
	path, over := "", false
	if err := starlark.UnpackArgs(b.Name(), args, kwargs, "path", &path, "over?", &over); err != nil {
		return nil, err
	}
	e := builtins.Of(thread)
	if ending := filepath.Ext(path); ending != ".star" {
		return nil, fmt.Errorf("%s: for parameter path: got %s, want the path of a script, such as %q", b.Name(), builtins.Show(starlark.String(path)), w.variable()+".star")
	}
	text, err := w.script(e)
	if err != nil {
		return nil, fmt.Errorf("%s: no script can be written: %w", b.Name(), err)
	}
	n, err := e.WriteFile(path, builtins.Over{Allowed: over, By: "over"}, func(to io.Writer) error {
		_, err := io.WriteString(to, text)
		return err
	})
	if err != nil {
		return nil, fmt.Errorf("%s: %w", b.Name(), err)
	}
	e.Print(fmt.Sprintf("wrote %s: %s, as %s, %s", filepath.ToSlash(filepath.Clean(path)), w.Called(), w.variable(), say.Count(int(n), "byte")))
	return starlark.None, nil
}

// script is the text of the file.
func (w *World) script(e *builtins.Env) (string, error) {
	text, _, err := trial.WrittenAs(e, w.variable(), w)
	if err != nil {
		return "", err
	}
	head := "# " + strings.Join(strings.Fields(w.Called()), " ")
	return head + fmt.Sprintf("; load(\"./this file\", %q) takes it into a session.\n\n", w.variable()) + text, nil
}

// variable is the name it has in its file: its own, as far as that can be one.
func (w *World) variable() string {
	name := strings.Trim(strings.Map(func(r rune) rune {
		switch {
		case 'a' <= r && r <= 'z' || '0' <= r && r <= '9' || r == '_':
			return r
		case 'A' <= r && r <= 'Z':
			return r - 'A' + 'a'
		}
		return '_'
	}, w.name), "_")
	_, word := builtins.Lookup(name)
	if _, err := new(syntax.FileOptions).Parse("", name+" = 0", 0); err != nil || word || starlark.Universe.Has(name) {
		return "my_world"
	}
	return name
}
