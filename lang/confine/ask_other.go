//go:build !unix

package confine

import "os"

// ask ends a process: here it cannot be asked to stop.
func ask(p *os.Process) error { return p.Kill() }
