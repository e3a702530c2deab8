package lang

import (
	"context"
	"errors"
	"fmt"
	"runtime"
	"runtime/debug"
	"runtime/metrics"
	"time"
)

// memoryWatch is how often it is looked how much memory is in use. By the clock, for a script can double what it holds with every step.
const memoryWatch = 20 * time.Millisecond

// errMemory is the cause of a stop by the watch over memory.
var errMemory = errors.New("too much memory in use")

// watchMemory ends a command, its trials with it, once too much memory is in use. It returns when the command has ended.
func (s *Session) watchMemory(ctx context.Context, cancel context.CancelCauseFunc) {
	tick := time.NewTicker(memoryWatch)
	defer tick.Stop()
	for {
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
			if live := heapInUse(); live > s.cfg.Memory {
				cancel(fmt.Errorf("%w: %d MiB, the limit is %d MiB", errMemory, live>>20, s.cfg.Memory>>20))
				return
			}
		}
	}
}

// heapInUse is how many bytes are in use, as the collector found them when it last looked. Near the limit at which it runs as often as
// it needs to (see TuneCollector) all that is there counts: one operation may ask for gigabytes, and the collector waits for its end.
func heapInUse() uint64 {
	sample := []metrics.Sample{{Name: "/gc/heap/live:bytes"}, {Name: "/memory/classes/heap/objects:bytes"}}
	metrics.Read(sample)
	live, all := sample[0].Value.Uint64(), sample[1].Value.Uint64()
	if most := uint64(debug.SetMemoryLimit(-1)); all > most-most/16 { // a negative limit only asks
		return all
	}
	return live
}

// forget has the collector look, if what commands before this one left behind would be held against it.
func (s *Session) forget() {
	if heapInUse() > s.cfg.Memory {
		runtime.GC()
	}
}
