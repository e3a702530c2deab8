//go:build unix

package confine

import (
	"os"
	"syscall"
)

// ask has a process stop, as Ctrl-C does; it can still say where it was.
func ask(p *os.Process) error { return p.Signal(syscall.SIGINT) }
