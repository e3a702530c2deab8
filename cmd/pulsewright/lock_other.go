//go:build !(linux || darwin || freebsd || netbsd || openbsd)

package main

import "os"

// lock does nothing where files are not locked: there a living shell's journal can be resumed, too.
func lock(*os.File) bool { return true }
