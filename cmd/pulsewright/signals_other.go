//go:build !unix

package main

import "os"

// resizeSignals tell that the window has another size: not on this system.
var resizeSignals []os.Signal
