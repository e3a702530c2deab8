package whole

import (
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"golang.org/x/sys/unix"
)

// nameless opens a file in a folder that goes with the process unless it is given a name. Not every file system has that.
func nameless(dir *os.Root, folder string, mode fs.FileMode) (*os.File, error) {
	f, err := dir.OpenFile(folder, unix.O_TMPFILE|os.O_WRONLY, mode)
	if err != nil {
		return nil, err
	}
	if _, err := os.Stat(opened(f)); err != nil { // then it could be given none
		f.Close()
		return nil, err
	}
	return f, nil
}

// giveName gives a nameless file a name that is not there yet.
func giveName(f *os.File, dir *os.Root, name string) error {
	folder, err := dir.Open(filepath.Dir(name))
	if err != nil {
		return err
	}
	defer folder.Close()
	return unix.Linkat(unix.AT_FDCWD, opened(f), int(folder.Fd()), filepath.Base(name), unix.AT_SYMLINK_FOLLOW)
}

// opened is a file by the number under which this process has it.
func opened(f *os.File) string { return fmt.Sprint("/proc/self/fd/", f.Fd()) }
