package confine

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"runtime"
	"slices"
	"strings"
	"time"
)

// variable is what tells a process that it is such a one. It holds an order as JSON.
const variable = "PULSEWRIGHT_CONFINED"

// order is what the process is to do.
type order struct {
	Limits
	Held  bool   // the system holds the limits already
	Place string // its working folder: Folder, or an empty one
	Only  string // Job.Only
}

// Inside is what a process that is confined needs to know.
type Inside struct {
	Folder string   // its working folder
	Writes bool     // it may write there
	Only   string   // what it is to take instead of its operands; "": those
	Memory uint64   // bytes in use at which a script is to be stopped
	Err    *os.File // standard error; what the process writes to the usual one is for crashes
}

// TookTooMuch is the exit code by which the process says that a script needed more than Inside.Memory.
const TookTooMuch = 97

// process is the one that is confined.
type process struct {
	*exec.Cmd
	far  *os.File      // its end of the pipe for what it says on standard error
	said chan struct{} // closed when all has been said
}

// patience is how long it may take to stop when asked to, before it is ended.
const patience = time.Second

// begin makes the process ready. What it says on standard error has a pipe of its own: the usual one is for crashes.
func begin(ctx context.Context, o order, job Job, meter *meter, crash io.Writer) (*process, error) {
	self, err := itself()
	if err != nil {
		return nil, err
	}
	text, err := json.Marshal(o)
	if err != nil {
		return nil, err
	}
	p := &process{Cmd: exec.CommandContext(ctx, self), said: make(chan struct{})}
	p.Args = append([]string{os.Args[0]}, job.Args...)
	p.Stdin, p.Stdout, p.Stderr = job.In, meter.writer(job.Out), crash
	p.Env = append(kept(os.Environ()), job.Env...)
	p.Env = append(p.Env, variable+"="+string(text), fmt.Sprintf("GOMEMLIMIT=%d", o.soft()+o.soft()/4), "GOTRACEBACK=none")
	p.SysProcAttr = attributes()
	p.Cancel = func() error {
		if why := context.Cause(ctx); errors.Is(why, stopped(Output)) || errors.Is(why, stopped(Files)) {
			return p.Process.Kill()
		}
		time.AfterFunc(patience, func() { p.Process.Kill() })
		return ask(p.Process)
	}
	if job.Lent {
		p.Stdout = job.Out
	}
	if file, ok := job.Err.(*os.File); ok && job.Lent && pipes {
		p.ExtraFiles = []*os.File{file}
		close(p.said)
		return p, nil
	}
	if !pipes {
		p.Stderr = meter.writer(job.Err)
		close(p.said)
		return p, nil
	}
	near, far, err := os.Pipe()
	if err != nil {
		return nil, err
	}
	p.ExtraFiles, p.far = []*os.File{far}, far
	go func() {
		io.Copy(meter.writer(job.Err), near)
		near.Close()
		close(p.said)
	}()
	return p, nil
}

func (p *process) start() error {
	if p.far != nil {
		defer p.far.Close()
	}
	return p.Start()
}

// pipes: a process can be given more than three streams.
const pipes = runtime.GOOS != "windows" && runtime.GOOS != "plan9"

// inside is what the process is told.
func (o order) inside() *Inside {
	in := &Inside{Folder: o.Place, Writes: o.Folder != "", Only: o.Only, Memory: uint64(o.soft()), Err: os.Stderr}
	if pipes {
		in.Err = os.NewFile(3, "standard error")
	}
	return in
}

// kept are the variables that say how to write.
func kept(env []string) (some []string) {
	names := []string{"LANG", "LC_ALL", "LC_CTYPE", "TERM", "NO_COLOR", "FORCE_COLOR", "SYSTEMROOT"}
	for _, pair := range env {
		if name, _, _ := strings.Cut(pair, "="); slices.Contains(names, name) {
			some = append(some, pair)
		}
	}
	return some
}
