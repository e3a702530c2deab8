//go:build !linux

package whole

import (
	"errors"
	"io/fs"
	"os"
)

// nameless: here every file has a name.
func nameless(*os.Root, string, fs.FileMode) (*os.File, error) { return nil, errors.ErrUnsupported }

func giveName(*os.File, *os.Root, string) error { return errors.ErrUnsupported }
