// Package confine runs this command once more, in a process of its own that can take no more than it is given: for scripts of
// strangers. What the system holds it holds from outside, so that no fault of ours lets a script past it; Missing says what
// this system cannot hold. It may use nothing of ours.
package confine

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"time"
)

// Limits are what the process may use.
type Limits struct {
	Time   time.Duration // by the clock; each processor may work as long
	Memory int64         // bytes
	Output int64         // bytes of standard output and standard error together
	File   int64         // bytes of one file
	Files  int64         // bytes of all that it writes
	Count  int           // how many files it writes
	Folder string        // the one folder that scripts may write into; "": none
	State  string        // where the command keeps what it is to keep, out of reach of scripts; "": nowhere
	Reads  []string      // folders and files it may read
}

// Default is enough for an exercise and for most scripts.
func Default() Limits {
	return Limits{Time: time.Minute, Memory: 1 << 30, Output: 16 << 20, File: 16 << 20, Files: 64 << 20, Count: 100}
}

// LeastMemory is what a process needs before it has run anything, in bytes.
const LeastMemory = 256 << 20

// soft is at how much memory in use the process stops a script itself, and can say where: what is left is for the collector.
func (l Limits) soft() int64 { return l.Memory / 2 }

// Job is what the process does: the same command with these arguments and streams.
type Job struct {
	Args     []string
	In       io.Reader
	Out, Err io.Writer
	Env      []string // beside what says how to write: the language, the terminal, colours
	Only     string   // what it is to take instead of the operands among its arguments; "": those
	Lent     bool     // the streams are a terminal, which the process has to itself meanwhile; what it prints is not counted
}

// Text runs a script under limits and gives what it printed, errors among it.
func Text(ctx context.Context, l Limits, script string) (output string, v Verdict, err error) {
	var out strings.Builder
	both := &locked{w: &out}
	v, err = Run(ctx, l, Job{Args: []string{"run", "--untrusted", "-"}, In: strings.NewReader(script), Out: both, Err: both})
	return out.String(), v, err
}

// Run runs the command once more, and waits for it. The error is that it could not be begun.
func Run(ctx context.Context, l Limits, job Job) (Verdict, error) {
	if l.Memory < LeastMemory {
		return Verdict{}, fmt.Errorf("%s of memory are too few, want at least %s", amount(l.Memory), amount(LeastMemory))
	}
	place, remove, err := l.place()
	if err != nil {
		return Verdict{}, err
	}
	defer remove()
	ctx, stop := context.WithCancelCause(ctx)
	defer stop(nil)
	meter := &meter{left: l.Output, over: func() { stop(stopped(Output)) }}
	crash := &head{most: 8 << 10}
	p, err := begin(ctx, order{Limits: l, Place: place, Only: job.Only}, job, meter, crash)
	if err != nil {
		return Verdict{}, err
	}
	watch := time.AfterFunc(l.Time, func() { stop(stopped(Time)) })
	defer watch.Stop()
	before := survey(l.Folder, l.State)
	began := time.Now()
	runtime.LockOSThread() // on some systems the process ends with the thread that began it
	defer runtime.UnlockOSThread()
	if err := p.start(); err != nil {
		return Verdict{}, err
	}
	done := make(chan struct{})
	go before.watch(l, done, func() { stop(stopped(Files)) })
	err = p.Wait()
	close(done)
	<-p.said
	v := Verdict{limits: l, Wall: time.Since(began)}
	v.end(p.ProcessState, err, context.Cause(ctx), crash.String())
	if v.Why == Ended && before.over(l) {
		v.Why, v.Code = Files, 1
	}
	return v, nil
}

// place is the working folder of the process: without one to write into it is an empty one, thrown away afterwards.
func (l *Limits) place() (dir string, remove func(), err error) {
	l.Reads = slices.Clone(l.Reads)
	for i := range l.Reads {
		if l.Reads[i], err = filepath.Abs(l.Reads[i]); err != nil {
			return "", nil, err
		}
	}
	if l.Folder != "" {
		if l.Folder, err = filepath.Abs(l.Folder); err != nil {
			return "", nil, err
		}
		info, err := os.Stat(l.Folder)
		if err == nil && !info.IsDir() {
			err = errors.New("it is no folder")
		}
		return l.Folder, func() {}, err
	}
	dir, err = os.MkdirTemp("", "pulsewright-")
	if err != nil {
		return "", nil, err
	}
	os.Chmod(dir, 0o500)
	return dir, func() { os.Remove(dir) }, nil
}
