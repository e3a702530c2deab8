package confine

import (
	"errors"
	"fmt"
	"os"
	"strings"
	"time"
)

// Reason is why a process was stopped before it was done.
type Reason string

const (
	Ended  Reason = "" // it was not
	Time   Reason = "time"
	Memory Reason = "memory"
	Output Reason = "output"
	Files  Reason = "files"
	Cancel Reason = "interrupted"
	Crash  Reason = "crash"
)

// Verdict is how it went.
type Verdict struct {
	Code   int // its exit code; 1 if it was stopped
	Why    Reason
	Peak   int64         // the most memory it had, in bytes, or the process that began it; 0: not known
	CPU    time.Duration // time of processors
	Wall   time.Duration
	limits Limits
	crash  string
}

// String is why it was stopped, as a sentence; "" if it was not.
func (v Verdict) String() string {
	switch v.Why {
	case Time:
		return fmt.Sprintf("stopped: it ran longer than %v", v.limits.Time)
	case Memory:
		return fmt.Sprintf("stopped: it needed more than %d MiB of memory", v.limits.Memory>>20)
	case Output:
		return fmt.Sprintf("stopped: it printed more than %s", amount(v.limits.Output))
	case Files:
		return fmt.Sprintf("stopped: it wrote more than %s, or more than %s", counted(v.limits.Count, "file"), amount(v.limits.Files))
	case Cancel:
		return "interrupted"
	case Crash:
		return "it broke down: " + v.crash
	}
	return ""
}

func amount(bytes int64) string {
	if bytes >= 1<<20 && bytes%(1<<20) == 0 {
		return fmt.Sprintf("%d MiB", bytes>>20)
	}
	return counted(int(bytes), "byte")
}

func counted(n int, what string) string {
	if n != 1 {
		what += "s"
	}
	return fmt.Sprintf("%d %s", n, what)
}

// stopped is why the context was ended.
type stopped Reason

func (s stopped) Error() string { return string(s) }

// end finds out how the process ended.
func (v *Verdict) end(state *os.ProcessState, err, cause error, crash string) {
	if state == nil {
		v.Why, v.crash, v.Code = Crash, fmt.Sprint(err), 1
		return
	}
	v.CPU, v.Peak = state.UserTime()+state.SystemTime(), peak(state)
	v.Code = state.ExitCode()
	var s stopped
	errors.As(cause, &s)
	switch broke := broken(crash); {
	case v.Code == TookTooMuch || ranOut(crash):
		v.Why = Memory
	case s == stopped(Output) || s == stopped(Files):
		v.Why = Reason(s)
	case v.Code == 0:
		return // it was done just before it was to be stopped
	case s == stopped(Time) || outOfTime(state, v.limits):
		v.Why = Time
	case cause != nil:
		v.Why = Cancel
	case broke != "":
		v.Why, v.crash = Crash, broke
	case v.Code < 0:
		v.Why, v.crash = Crash, state.String()
	}
	if v.Why != Ended {
		v.Code = 1
	}
}

// broken is the line in which the runtime of the language says that it gives up, or we that we cannot begin; "" if neither did.
func broken(crash string) string {
	for _, sign := range []string{"panic: ", "fatal error: ", "SIG", "runtime: ", "it cannot be confined"} {
		if i := strings.Index(crash, sign); i >= 0 {
			return firstLine(crash[i:])
		}
	}
	return ""
}

// ranOut tells how the runtime breaks down when the system gives it no more memory. It says so, or stumbles over what it did not get:
// then no function of ours was running ("goroutine 0").
func ranOut(crash string) bool {
	for _, sign := range []string{"out of memory", "annot allocate memory", "pthread_create failed", "goroutine 0 "} {
		if strings.Contains(crash, sign) && broken(crash) != "" {
			return true
		}
	}
	return false
}

func firstLine(text string) string {
	text, _, _ = strings.Cut(text, "\n")
	return text
}
