package lang

import (
	"fmt"
	"iter"

	"pulsewright/builtins/hold"

	"go.starlark.net/starlark"
)

// The heartbeat: every so many of the interpreter's steps, some 0.3 ms, we look how deep its calls are; every so many how deep values lie.
const (
	beat     = 1 << 14
	lookAt   = 1 << 20
	maxDepth = 20_000 // calls, and values; the interpreter would stop at 100,000 calls, after seconds, and at values it would not stop
)

// limitDepth stops a thread of a trial in which functions call one another too deep, or values lie too deep in one another.
func limitDepth(thread *starlark.Thread) { limitDepthOf(thread, func(func(starlark.Value) bool) {}) }

// limitDepthOf is limitDepth for a thread that can name more values than its functions hold. Values are looked at, because the interpreter goes
// into them to find the place of a key, and to name one that is missing: some millions deep that ends the process.
func limitDepthOf(thread *starlark.Thread, more iter.Seq[starlark.Value]) {
	var depths hold.Depths
	next := uint64(lookAt)
	thread.SetMaxExecutionSteps(beat)
	thread.OnMaxSteps = func(t *starlark.Thread) {
		t.SetMaxExecutionSteps(t.Steps + beat)
		if t.CallStackDepth() > maxDepth {
			t.Cancel(fmt.Sprintf("functions call one another more than %d deep", maxDepth))
		}
		if t.Steps < next {
			return
		}
		deeper, looked := depths.Deeper(atHand(t, more), maxDepth, until(t))
		next = t.Steps + max(lookAt, 200*uint64(looked)) // so that looking costs little beside what the script does
		if deeper {
			t.Cancel(fmt.Sprintf("values lie more than %d deep in one another", maxDepth))
		}
	}
}

// atHand gives what the functions that a thread is in can name: their variables, those around them and those of their files; and more. It does
// not know variables that a function in them has captured, nor what stands in the middle of an expression.
func atHand(t *starlark.Thread, more iter.Seq[starlark.Value]) iter.Seq[starlark.Value] {
	return func(yield func(starlark.Value) bool) {
		some := func(v starlark.Value) bool { return v == nil || yield(v) }
		var file *starlark.Module
		for depth := range t.CallStackDepth() {
			frame := t.DebugFrame(depth)
			fn, ok := frame.Callable().(*starlark.Function)
			if !ok {
				continue
			}
			for i := range frame.NumLocals() {
				if _, v := frame.Local(i); !some(v) {
					return
				}
			}
			for i := range fn.NumFreeVars() {
				if _, v := fn.FreeVar(i); !some(v) {
					return
				}
			}
			if fn.Module() == file {
				continue
			}
			file = fn.Module()
			for _, v := range file.Globals() {
				if !some(v) {
					return
				}
			}
		}
		more(yield)
	}
}
