package lang

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"strconv"
	"strings"
)

// ownPrefix is how load asks for a file in a folder of one's own.
const ownPrefix = "own/"

// ownFolder is a folder with scripts of the user's own. It is searched where it is there.
type ownFolder struct {
	dir  string   // as the user wrote it
	root *os.Root // nil: it cannot be opened
}

// openOwn opens the folders of Config.Library, which must be there, and after them the usual one, which need not.
func openOwn(given []string, usual string) (folders []ownFolder, err error) {
	for _, dir := range given {
		root, err := os.OpenRoot(dir)
		if err != nil {
			closeOwn(folders)
			return nil, fmt.Errorf("the folder %s, which is to be a library, cannot be opened: %s", dir, why(err))
		}
		folders = append(folders, ownFolder{dir, root})
	}
	if usual != "" {
		root, _ := os.OpenRoot(usual)
		folders = append(folders, ownFolder{usual, root})
	}
	return folders, nil
}

func closeOwn(folders []ownFolder) {
	for _, f := range folders {
		if f.root != nil {
			f.root.Close()
		}
	}
}

// The key of a file in a folder of one's own is own/N/PATH: N is the number of the folder.

func isOwn(key string) bool { return strings.HasPrefix(key, ownPrefix) }

// ownKey cuts a key into the folder and the path inside it.
func (s *Session) ownKey(key string) (ownFolder, string) {
	number, at, _ := strings.Cut(strings.TrimPrefix(key, ownPrefix), "/")
	n, _ := strconv.Atoi(number)
	return s.own[n], at
}

// resolveOwn finds the first folder that has the file.
func (s *Session) resolveOwn(name string) (string, error) {
	at := path.Clean(strings.TrimPrefix(name, ownPrefix))
	if !filepath.IsLocal(filepath.FromSlash(at)) {
		return "", errors.New("it leads out of the folder of your own; only files in that can be loaded")
	}
	if len(s.own) == 0 {
		return "", errors.New("there is no folder of your own here; --library DIR names one")
	}
	var looked []string
	for i, f := range s.own {
		dir := f.dir
		switch {
		case f.root == nil:
			dir += " (which is not there)"
		default:
			// Whatever stands in the way there is told when the file is read: a later folder must not take its place unseen.
			if _, err := f.root.Lstat(filepath.FromSlash(at)); !errors.Is(err, fs.ErrNotExist) {
				return ownPrefix + strconv.Itoa(i) + "/" + at, nil
			}
		}
		looked = append(looked, dir)
	}
	return "", &notOwn{strings.Join(looked, ", then in ")}
}

// notOwn is that no folder has a file.
type notOwn struct{ looked string }

func (e *notOwn) Error() string {
	return "there is no such file in the folders of your own: looked in " + e.looked
}

// readScript reads a file that is to be run, and nothing that would wait for somebody or fill the memory.
func readScript(dir *os.Root, name string) (string, error) { return readWhole(dir, name, "script") }

func readWhole(dir *os.Root, name, want string) (string, error) {
	name = filepath.FromSlash(name)
	info, err := dir.Stat(name)
	switch {
	case err != nil:
		return "", err
	case info.IsDir():
		return "", errors.New("this is a folder; want a " + want)
	case !info.Mode().IsRegular():
		return "", errors.New("this is no ordinary file; want a " + want)
	case info.Size() > maxScript:
		return "", fmt.Errorf("%d MiB are too much for a %s, at most %d MiB", info.Size()>>20, want, maxScript>>20)
	}
	b, err := dir.ReadFile(name)
	return string(b), err
}

// readFile reads a table. Where it may lie goes by the rules of load; a bare path is in the working folder, where words write.
func (s *Session) readFile(name string) (text, file string, err error) {
	dir, at, file := s.root, name, name
	switch {
	case strings.ContainsAny(name, "\\\x00"):
		return "", "", errors.New("want a path with / between folders")
	case s.cfg.Untrusted && (strings.HasPrefix(name, ownPrefix) || strings.HasPrefix(name, "./")):
		return "", "", errors.New("an untrusted script reads tables in the folder it may write into only, by a bare path")
	case strings.HasPrefix(name, libPrefix):
		return "", "", errors.New("the library holds scripts only")
	case strings.HasPrefix(name, ownPrefix):
		key, err := s.resolveOwn(name)
		if err != nil {
			return "", "", err
		}
		var f ownFolder
		f, at = s.ownKey(key)
		dir, file = f.root, s.loader.show(key)
	case strings.HasPrefix(name, "./"):
		dir, at = s.loader.folder(), strings.TrimPrefix(name, "./")
		file = filepath.Join(s.loader.dir, filepath.FromSlash(at))
	}
	if !filepath.IsLocal(filepath.FromSlash(at)) {
		return "", "", errors.New("it leads out of the folder; want a file in the working folder, \"./...\" beside the script or \"own/...\" in a folder of your own")
	}
	text, err = readWhole(dir, at, "table")
	if err != nil {
		return "", "", errors.New(why(err))
	}
	return text, file, nil
}
