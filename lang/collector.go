package lang

import (
	"os"
	"runtime/debug"
)

// Of the heap of a process that runs sessions little lives long: benches, and what their rigs hold. By default the
// collector would go over it at every 4 MB, and trials on two processors would wait for it together.
const (
	collectAt   = 400     // per cent of what lives; Go's own default is 100
	collectMost = 3 << 30 // bytes past which it runs as often as it needs to; more than the memory a session may use
)

// TuneCollector makes the garbage collector of this process run less often, unless GOGC and GOMEMLIMIT say how often it
// is to run. For commands: it changes the whole process.
func TuneCollector() {
	if os.Getenv("GOGC") == "" {
		debug.SetGCPercent(collectAt)
	}
	if os.Getenv("GOMEMLIMIT") == "" {
		debug.SetMemoryLimit(collectMost)
	}
}
