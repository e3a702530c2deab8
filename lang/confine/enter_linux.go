package confine

import (
	"debug/elf"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"os/signal"
	"path/filepath"
	"runtime"
	"strings"
	"syscall"
)

// Enter is what main begins with: nil in an ordinary process. One that is to be confined takes its limits upon itself and begins
// anew under them, so that whatever threads there are have them too.
func Enter() *Inside {
	text, ok := os.LookupEnv(variable)
	if !ok {
		return nil
	}
	os.Unsetenv(variable)
	err := errors.New("its order cannot be read")
	var o order
	if json.Unmarshal([]byte(text), &o) == nil {
		if o.Held {
			signal.Ignore(syscall.SIGXFSZ) // a file that grows too large is an error of the write
			return o.inside()
		}
		err = o.hold()
	}
	fmt.Fprintln(os.Stderr, "it cannot be confined:", err)
	os.Exit(TookTooMuch + 1)
	return nil
}

// hold has the system hold the limits, and begins anew.
func (o order) hold() error {
	runtime.LockOSThread()
	for what, most := range o.system() {
		if err := syscall.Setrlimit(what, &syscall.Rlimit{Cur: most, Max: most}); err != nil {
			return fmt.Errorf("limit %d: %w", what, err)
		}
	}
	if err := o.fence(); err != nil {
		return err
	}
	o.Held = true
	text, err := json.Marshal(o)
	if err != nil {
		return err
	}
	return syscall.Exec(self, os.Args, append(os.Environ(), variable+"="+string(text)))
}

const (
	self  = "/proc/self/exe"
	space = 6 << 30 // bytes of addresses the process sets aside and never uses
	stack = 1 << 20 // bytes of each thread of the system
)

// system are the limits as the system knows them.
func (o order) system() map[int]uint64 {
	return map[int]uint64{
		syscall.RLIMIT_DATA:   uint64(o.Memory - apart()),
		syscall.RLIMIT_AS:     uint64(o.Memory + space),
		syscall.RLIMIT_CPU:    o.processors(),
		syscall.RLIMIT_FSIZE:  uint64(o.File),
		syscall.RLIMIT_STACK:  stack,
		syscall.RLIMIT_CORE:   0,
		syscall.RLIMIT_NOFILE: 128,
	}
}

// apart is how many bytes of its memory are not its data: its own text, and its libraries.
func apart() int64 {
	const others = 16 << 20
	if info, err := os.Stat(self); err == nil {
		return info.Size() + others
	}
	return 2 * others
}

// processors is how many seconds all processors together may work.
func (l Limits) processors() uint64 { return uint64(l.Time.Seconds()+2) * uint64(runtime.NumCPU()) }

// fence says which files there are for the process, if the system can.
func (o order) fence() error {
	if landlockVersion() == 0 {
		return nil
	}
	rules := []rule{{self, readFile | execute}}
	for _, path := range libraries() {
		rules = append(rules, rule{path, read | execute})
	}
	for _, path := range append(o.Reads, o.Place) {
		rules = append(rules, rule{path, read})
	}
	for _, path := range []string{o.Folder, o.State} {
		if path != "" {
			rules = append(rules, rule{path, read | write})
		}
	}
	return landlock(rules)
}

// libraries are the folders of what the system links this program with: none, if it stands alone.
func libraries() (paths []string) {
	f, err := elf.Open(self)
	if err != nil {
		return nil
	}
	defer f.Close()
	section := f.Section(".interp")
	if section == nil {
		return nil
	}
	name, err := section.Data()
	if err != nil {
		return nil
	}
	loader := strings.TrimRight(string(name), "\x00")
	if real, err := filepath.EvalSymlinks(loader); err == nil {
		paths = append(paths, filepath.Dir(real))
	}
	return append(paths, filepath.Dir(loader), "/lib", "/lib64", "/usr/lib", "/usr/lib64", "/etc/ld.so.cache")
}

func itself() (string, error) { return self, nil }

// attributes: the process ends when we do.
func attributes() *syscall.SysProcAttr { return &syscall.SysProcAttr{Pdeathsig: syscall.SIGKILL} }

// peak is the most memory the process had.
func peak(state *os.ProcessState) int64 {
	if usage, ok := state.SysUsage().(*syscall.Rusage); ok {
		return int64(usage.Maxrss) << 10
	}
	return 0
}

// outOfTime tells a process that the system ended for the processor time it took.
func outOfTime(state *os.ProcessState, l Limits) bool {
	status, ok := state.Sys().(syscall.WaitStatus)
	took := uint64((state.UserTime() + state.SystemTime()).Seconds() + 0.5)
	return ok && status.Signaled() && status.Signal() == syscall.SIGKILL && took >= l.processors()
}

// Missing says what this system cannot hold.
func Missing() []string {
	if landlockVersion() == 0 {
		return []string{"which files it reads and writes is held by pulsewright alone, not by the system (it has no Landlock)"}
	}
	return nil
}
