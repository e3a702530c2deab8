//go:build !linux

package confine

import (
	"encoding/json"
	"os"
	"syscall"
)

// Enter is what main begins with: nil in an ordinary process. Here the system holds nothing (see Missing); the process keeps to
// its limits itself, and the one that began it watches the clock, the output and the folder.
func Enter() *Inside {
	text, ok := os.LookupEnv(variable)
	if !ok {
		return nil
	}
	os.Unsetenv(variable)
	var o order
	if json.Unmarshal([]byte(text), &o) != nil {
		os.Exit(TookTooMuch + 1)
	}
	return o.inside()
}

func itself() (string, error) { return os.Executable() }

func attributes() *syscall.SysProcAttr { return nil }

// peak is not known here.
func peak(*os.ProcessState) int64 { return 0 }

// outOfTime: the system here stops nobody for that.
func outOfTime(*os.ProcessState, Limits) bool { return false }

// Missing says what this system cannot hold.
func Missing() []string {
	return []string{
		"memory is held by pulsewright alone, not by the system: one operation may take more",
		"processor time and the size of a single file are not limited, only the time by the clock and what the folder holds in all",
		"which files it reads and writes is held by pulsewright alone, not by the system",
	}
}
