package main

import (
	"os"
	"path/filepath"
	"runtime"
)

// ownLibrary is the folder in which a user's own scripts are looked for without being told: by the XDG convention, where that is
// the custom, elsewhere where the system keeps what belongs to a program. "" if there is no telling.
func ownLibrary(getenv func(string) string) string {
	dir := getenv("XDG_DATA_HOME")
	if !filepath.IsAbs(dir) {
		switch runtime.GOOS {
		case "windows", "darwin", "ios", "plan9":
			var err error
			if dir, err = os.UserConfigDir(); err != nil {
				return ""
			}
		default:
			home := getenv("HOME")
			if !filepath.IsAbs(home) {
				return ""
			}
			dir = filepath.Join(home, ".local", "share")
		}
	}
	return filepath.Join(dir, "pulsewright", "library")
}
