package lang

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"go.starlark.net/resolve"
	"go.starlark.net/starlark"

	"pulsewright/builtins"
	"pulsewright/builtins/say"
	"pulsewright/lang/bundle"
	"pulsewright/lang/source"
)

// bundle writes the running script, or the conversation, with all it loads.
func (s *Session) bundle(to string, over builtins.Over) (string, error) {
	switch {
	case s.chunk != nil && s.chunk.sole != "bundle":
		return "", errors.New("stands alone: bundle(path) is a command of its own")
	case len(s.loader.loading) > 0:
		return "", errors.New("a file that is being loaded cannot do this; do it in the script itself")
	case filepath.Ext(to) != ".star":
		return "", fmt.Errorf("%s: a script's name ends in .star", say.OneLine(to))
	}
	if err := s.env.MayWrite(to, over); err != nil {
		return "", err
	}
	text, title, loose := s.wholeScript()
	script := bundle.Script{Text: text, Title: title, Key: s.loader.from()}
	if s.chunk == nil { // the text of a conversation says these itself
		script.Seed, script.Given = s.cfg.Seed, s.args.given()
	}
	b, err := bundle.Make(bundleLoads{s.loader}, script)
	if err != nil {
		return "", err
	}
	if dir := filepath.Dir(s.origin.file); s.chunk != nil && (s.origin.embedded || dir != ".") && slices.ContainsFunc(b.Keys, isBeside) {
		return "", errors.New("a script of another folder was run before this conversation, and what is loaded may lie beside that; do it in the script itself")
	}
	if err := s.overSource(to, b.Keys); err != nil {
		return "", err
	}
	if err := s.runsAlone(to, b.Text); err != nil {
		return "", err
	}
	bytes, err := s.env.WriteFile(to, over, func(w io.Writer) error {
		_, err := io.WriteString(w, b.Text)
		return err
	})
	if err != nil {
		return "", err
	}
	return bundleReport(b, to, bytes, loose), nil
}

// bundleReport says what was written.
func bundleReport(b *bundle.Bundle, to string, bytes int64, loose int) string {
	text := fmt.Sprintf("wrote %s: %s", filepath.ToSlash(filepath.Clean(to)), b.Contents)
	text += ", " + say.Count(int(bytes), "byte")
	if len(b.Renamed) > 0 {
		text += "; names that were taken: " + strings.Join(b.Renamed, ", ")
	}
	if len(b.Tables) > 0 {
		text += "; not in it, for they are read from files: " + strings.Join(b.Tables, ", ")
	}
	if loose > 0 {
		text += fmt.Sprintf("; %s interrupted, which no script can repeat (see the comments there)", was(loose))
	}
	return text
}

// wholeScript is the text of the running script, or of the conversation, what it is called, and how many of its pieces cannot be repeated.
func (s *Session) wholeScript() (text, title string, loose int) {
	switch {
	case s.chunk != nil:
		text, loose = s.saved()
		return text, "the conversation", loose
	case s.origin.file != "":
		return s.doing, filepath.ToSlash(filepath.Base(s.origin.file)), 0
	case len(s.script) > 0:
		text, loose = s.savedWith(s.doing)
		return text, "the script", loose
	}
	return s.doing, "the script", 0
}

// overSource refuses to write over a file that is bundled; keys are those of the files, and the script itself is another.
func (s *Session) overSource(to string, keys []string) error {
	now, err := s.root.Stat(to)
	if err != nil {
		return nil // there is none
	}
	l := s.loader
	for _, key := range append(keys, "") {
		var was fs.FileInfo
		switch {
		case key == "" && s.origin.file != "" && s.chunk == nil:
			was, err = l.folder().Stat(filepath.Base(s.origin.file))
		case key == "" || isEmbedded(key):
			continue
		case isOwn(key):
			own, at := s.ownKey(key)
			was, err = own.root.Stat(filepath.FromSlash(at))
		default:
			was, err = l.folder().Stat(filepath.FromSlash(strings.TrimPrefix(key, "./")))
		}
		if err == nil && os.SameFile(was, now) {
			return fmt.Errorf("%s is one of the files that are bundled; take another name", path.Clean(filepath.ToSlash(to)))
		}
	}
	return nil
}

// runsAlone looks whether a bundle can be read, and knows all its names.
func (s *Session) runsAlone(name, body string) error {
	f, err := source.Dialect.Parse(name, body, 0)
	if err == nil {
		err = resolve.File(f, s.names.base.Has, starlark.Universe.Has)
	}
	if err != nil {
		return fmt.Errorf("it cannot be bundled: together the files would not be read as they are: %w", err)
	}
	return nil
}

// bundleLoads is a loader as bundles ask it.
type bundleLoads struct{ l *loader }

func (b bundleLoads) Resolve(from, name string) (string, error) {
	key, err := b.l.resolve(from, name)
	return key, b.l.suggestOwn(name, err)
}

// Text is that of a file as it ran, if it did.
func (b bundleLoads) Text(key, name string) (string, error) {
	if m := b.l.modules[key]; m != nil {
		return m.text, nil
	}
	src, err := b.l.read(key)
	if err != nil {
		err = b.l.missing(key, name, err)
	}
	return src, err
}

func (b bundleLoads) Library(key string) bool {
	return isEmbedded(key) && strings.HasPrefix(key, libPrefix)
}

func (b bundleLoads) Title(key string) string {
	if isOwn(key) {
		_, at := b.l.s.ownKey(key)
		return ownPrefix + at
	}
	return key
}

func (b bundleLoads) Show(key string) string                { return b.l.show(key) }
func (b bundleLoads) Cycle(keys []string, key string) error { return b.l.cycle(keys, key) }
func (b bundleLoads) IsWord(name string) bool               { return b.l.s.names.base.Has(name) }
func (b bundleLoads) Locate(err error) error                { return b.l.s.locate(err) }
