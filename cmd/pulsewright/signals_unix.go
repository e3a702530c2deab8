//go:build unix

package main

import (
	"os"
	"syscall"
)

// resizeSignals tell that the window has another size.
var resizeSignals = []os.Signal{syscall.SIGWINCH}
