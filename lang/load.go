package lang

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"pulsewright/builtins/hold"
	"pulsewright/builtins/say"
	"pulsewright/lang/source"
	"pulsewright/scripts"

	"go.starlark.net/resolve"
	"go.starlark.net/starlark"
)

// loader finds what load asks for: "lib/…" is the embedded library, "own/…" the folders of one's own (own.go), "./…" a file beside
// the one that loads it, but never outside the script's own folder, or the folder of one's own in which that lies. A module is run once, and frozen; in a conversation it is read
// again by a later command if its text has changed.
type loader struct {
	s       *Session
	root    *os.Root // the script's folder; nil: the working folder
	dir     string   // of the script, as the user wrote it
	inside  bool     // the script itself is embedded: "./…" is too
	modules map[string]*module
	loading []string // names of those that are being run, outermost first
	round   int      // which command this is
}

// module is a file that has been loaded.
type module struct {
	key     string
	text    string
	names   starlark.StringDict
	needs   []string // what it loaded itself
	checked int      // round in which it was last found unchanged
}

// digest stands for the text.
func (m *module) digest() string {
	sum := sha256.Sum256([]byte(m.text))
	return hex.EncodeToString(sum[:16])
}

func newLoader(s *Session) *loader { return &loader{s: s, modules: map[string]*module{}} }

// load is the body of the load statement.
func (l *loader) load(_ *starlark.Thread, name string) (starlark.StringDict, error) {
	if err := say.CheckFileName(name); err != nil {
		return nil, err
	}
	key, err := l.resolve(l.from(), name)
	if err != nil {
		return nil, l.suggestOwn(name, err)
	}
	if n := len(l.loading); n > 0 {
		if m := l.modules[l.loading[n-1]]; m != nil {
			m.needs = append(m.needs, key)
		}
	}
	if i := slices.Index(l.loading, key); i >= 0 {
		return nil, l.cycle(l.loading[i:], key)
	}
	if m := l.modules[key]; m != nil && m.names != nil && l.unchanged(m) {
		return m.names, nil
	}
	return l.run(key, name)
}

// cycle says how files load one another: keys are those between, and the first of them is asked for again.
func (l *loader) cycle(keys []string, key string) error {
	way := "nothing else"
	if len(keys) > 1 {
		var list []string
		for _, k := range keys[1:] {
			list = append(list, l.show(k))
		}
		way = strings.Join(list, ", ")
	}
	return fmt.Errorf("load cycle: %s loads itself by way of %s", l.show(key), way)
}

func (l *loader) run(key, name string) (starlark.StringDict, error) {
	src, err := l.read(key)
	if err != nil {
		return nil, l.missing(key, name, err)
	}
	file := l.show(key)
	t := text{name: file, src: src, line: 1}
	l.s.sources.add(t)
	l.s.sources.embedded[file] = isEmbedded(key) && !l.inside
	l.s.sources.library[file] = isEmbedded(key) && strings.HasPrefix(key, libPrefix)
	m := &module{key: key, text: src, checked: l.round}
	l.modules[key] = m
	l.loading = append(l.loading, key)
	defer func() {
		l.loading = l.loading[:len(l.loading)-1]
		if m.names == nil {
			delete(l.modules, key)
		}
	}()

	f, err := source.ModuleDialect.Parse(file, t.portion(), 0)
	if err != nil {
		return nil, l.s.locate(err)
	}
	lookFirst(f)
	prog, err := starlark.FileProgram(f, l.s.names.base.Has)
	if err != nil {
		var list resolve.ErrorList
		if errors.As(err, &list) {
			return nil, l.s.locate(list)
		}
		return nil, err
	}
	thread := l.s.thread(file)
	ctx := l.s.env.Ctx
	if ctx == nil {
		ctx = context.Background()
	}
	stop := context.AfterFunc(ctx, func() { thread.Cancel("stopped") })
	defer stop()
	names, err := prog.Init(thread, l.s.names.base)
	if frozen := hold.Until(l.s.env.Stopped).FreezeAll(names); err == nil && frozen != nil {
		return nil, fmt.Errorf("%s cannot be loaded: %w", file, frozen)
	}
	if err != nil {
		return nil, l.s.locate(err)
	}
	m.names = names
	return names, nil
}

const (
	libPrefix  = "lib/"
	wantModule = `want "lib/..." for the library, "./..." for a file beside the script or "own/..." for a folder of your own`
)

// isBeside tells the keys of files in the script's folder.
func isBeside(key string) bool { return strings.HasPrefix(key, "./") }

// isEmbedded tells the keys of embedded files.
func isEmbedded(key string) bool { return !isBeside(key) && !isOwn(key) }

// from is the key of the file that is loading. Only the innermost can be at its load statements.
func (l *loader) from() string {
	switch n := len(l.loading); {
	case n > 0:
		return l.loading[n-1]
	case l.inside:
		return "script"
	}
	return "./script" // the script itself
}

// resolve turns what a load statement of a file says into a key: the path of an embedded file, "./" and the path inside the
// script's folder, or that of a file in a folder of one's own.
func (l *loader) resolve(from, name string) (string, error) {
	if strings.ContainsAny(name, "\\\x00") || path.IsAbs(name) {
		return "", errors.New(wantModule + ", with / between folders")
	}
	if strings.HasPrefix(name, libPrefix) {
		key := path.Clean(name)
		if !strings.HasPrefix(key, libPrefix) {
			return "", errors.New("it leads out of the library")
		}
		return key, nil
	}
	if strings.HasPrefix(name, ownPrefix) {
		return l.s.resolveOwn(name)
	}
	if strings.HasPrefix(name, "./") || strings.HasPrefix(name, "../") {
		return l.resolveBeside(from, name)
	}
	e := errors.New(wantModule)
	if _, err := fs.Stat(scripts.FS, libPrefix+name); err == nil && fs.ValidPath(name) {
		return "", fmt.Errorf("%w; did you mean %q?", e, libPrefix+name)
	}
	if _, err := l.folder().Stat(name); err == nil {
		return "", fmt.Errorf("%w; did you mean %q?", e, "./"+name)
	}
	if _, err := l.s.resolveOwn(ownPrefix + name); err == nil {
		return "", fmt.Errorf("%w; did you mean %q?", e, ownPrefix+name)
	}
	return "", e
}

// resolveBeside finds what is named from where a file lies.
func (l *loader) resolveBeside(from, name string) (string, error) {
	switch {
	case isOwn(from):
		_, file := l.s.ownKey(from)
		at := path.Join(path.Dir(file), name)
		if !filepath.IsLocal(filepath.FromSlash(at)) {
			return "", errors.New("it leads out of the folder of your own; only files in that can be loaded")
		}
		return strings.TrimSuffix(from, file) + at, nil
	case isBeside(from):
		at := path.Join(path.Dir(from), name)
		if !filepath.IsLocal(filepath.FromSlash(at)) {
			return "", errors.New("it leads out of the script's folder; only files in that can be loaded")
		}
		return "./" + at, nil
	}
	at := path.Join(path.Dir(from), name)
	if !fs.ValidPath(at) {
		return "", errors.New("it leads out of the embedded scripts")
	}
	return at, nil
}

// show is the name of a module in messages: its path as the user would write it.
func (l *loader) show(key string) string {
	switch {
	case isEmbedded(key):
		return key
	case isOwn(key):
		f, at := l.s.ownKey(key)
		return filepath.Join(f.dir, filepath.FromSlash(at))
	}
	return filepath.Join(l.dir, filepath.FromSlash(key))
}

func (l *loader) folder() *os.Root {
	if l.root != nil {
		return l.root
	}
	return l.s.root
}

func (l *loader) read(key string) (string, error) {
	switch {
	case l.s.cfg.Untrusted && !strings.HasSuffix(key, ".star"):
		return "", errors.New("an untrusted script loads files that end in .star only")
	case isEmbedded(key):
		b, err := fs.ReadFile(scripts.FS, key)
		return string(b), err
	case isOwn(key):
		f, at := l.s.ownKey(key)
		return readScript(f.root, at)
	}
	return readScript(l.folder(), strings.TrimPrefix(key, "./"))
}

// unchanged reports whether a module and what it needs still read as they did.
func (l *loader) unchanged(m *module) bool {
	if m.checked == l.round {
		return true
	}
	m.checked = l.round
	if src, err := l.read(m.key); err != nil || src != m.text {
		return false
	}
	for _, key := range m.needs {
		if n := l.modules[key]; n == nil || !l.unchanged(n) {
			m.checked = l.round - 1
			return false
		}
	}
	return true
}

// missing says that there is no such file, and which there are.
func (l *loader) missing(key, name string, err error) error {
	if !errors.Is(err, fs.ErrNotExist) {
		return errors.New(why(err))
	}
	what := "there is no such file beside the script"
	switch {
	case isEmbedded(key):
		what = "there is no such file in the library"
	case isOwn(key):
		what = "there is no such file in the folder of your own"
	}
	return withNames(what, name, l.list(key))
}

// suggestOwn adds to an error that no folder of one's own has a file which there are.
func (l *loader) suggestOwn(name string, err error) error {
	var none *notOwn
	if !errors.As(err, &none) {
		return err
	}
	var have []string
	for i := range l.s.own {
		have = append(have, l.list(path.Join(ownPrefix, strconv.Itoa(i), strings.TrimPrefix(name, ownPrefix)))...)
	}
	slices.Sort(have)
	return withNames(err.Error(), name, slices.Compact(have))
}

// withNames says what is wrong with the name of a file, and which files there are beside it.
func withNames(what, name string, have []string) error {
	prefix := name[:len(name)-len(path.Base(name))]
	near := say.Nearest(path.Base(name), have)
	for i, n := range have {
		have[i] = prefix + n
	}
	if near != "" {
		return fmt.Errorf("%s; did you mean %q?", what, prefix+near)
	}
	if len(have) == 0 {
		return errors.New(what)
	}
	if len(have) > 8 {
		have = append(have[:8], "...")
	}
	return fmt.Errorf("%s; there are: %s", what, strings.Join(have, ", "))
}

// list are the scripts in the folder in which a key is, sorted.
func (l *loader) list(key string) (names []string) {
	var fsys fs.FS
	switch {
	case isEmbedded(key):
		fsys = scripts.FS
	case isOwn(key):
		f, at := l.s.ownKey(key)
		if f.root == nil {
			return nil
		}
		fsys, key = f.root.FS(), at
	default:
		fsys = l.folder().FS()
	}
	entries, err := fs.ReadDir(fsys, path.Dir(path.Clean(key)))
	if err != nil {
		return nil
	}
	for _, e := range entries {
		if !e.IsDir() && strings.HasSuffix(e.Name(), ".star") {
			names = append(names, e.Name())
		}
	}
	return names
}
