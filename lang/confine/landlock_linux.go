package confine

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"unsafe"

	"golang.org/x/sys/unix"
)

// Rights over files, as Landlock knows them: see landlock(7).
const (
	execute  = unix.LANDLOCK_ACCESS_FS_EXECUTE
	readFile = unix.LANDLOCK_ACCESS_FS_READ_FILE
	read     = readFile | unix.LANDLOCK_ACCESS_FS_READ_DIR
	write    = unix.LANDLOCK_ACCESS_FS_WRITE_FILE | unix.LANDLOCK_ACCESS_FS_REMOVE_FILE | unix.LANDLOCK_ACCESS_FS_MAKE_REG | unix.LANDLOCK_ACCESS_FS_TRUNCATE | unix.LANDLOCK_ACCESS_FS_REFER

	ofFiles = execute | readFile | unix.LANDLOCK_ACCESS_FS_WRITE_FILE | unix.LANDLOCK_ACCESS_FS_TRUNCATE | unix.LANDLOCK_ACCESS_FS_IOCTL_DEV
)

// rule grants rights over a file, or over all that lies below a folder.
type rule struct {
	path   string
	rights uint64
}

// landlockVersion is what the system understands; 0: nothing.
func landlockVersion() int {
	n, _, errno := unix.Syscall(unix.SYS_LANDLOCK_CREATE_RULESET, 0, 0, unix.LANDLOCK_CREATE_RULESET_VERSION)
	if errno != 0 {
		return 0
	}
	return int(n)
}

// handled are the rights that a version of Landlock knows, over files, over the network, and over other processes: those that no
// rule grants are denied.
func handled(version int) (attr unix.LandlockRulesetAttr) {
	attr.Handled_access_fs = unix.LANDLOCK_ACCESS_FS_MAKE_SYM<<1 - 1 // all of the first version
	if version >= 2 {
		attr.Handled_access_fs |= unix.LANDLOCK_ACCESS_FS_REFER
	}
	if version >= 3 {
		attr.Handled_access_fs |= unix.LANDLOCK_ACCESS_FS_TRUNCATE
	}
	if version >= 4 {
		attr.Handled_access_net = unix.LANDLOCK_ACCESS_NET_BIND_TCP | unix.LANDLOCK_ACCESS_NET_CONNECT_TCP
	}
	if version >= 5 {
		attr.Handled_access_fs |= unix.LANDLOCK_ACCESS_FS_IOCTL_DEV
	}
	if version >= 6 {
		attr.Scoped = unix.LANDLOCK_SCOPE_ABSTRACT_UNIX_SOCKET | unix.LANDLOCK_SCOPE_SIGNAL
	}
	return attr
}

// landlock has this thread, and what it becomes, keep to rules. Paths that are not there are passed over.
func landlock(rules []rule) error {
	attr := handled(landlockVersion())
	fd, _, errno := unix.Syscall(unix.SYS_LANDLOCK_CREATE_RULESET, uintptr(unsafe.Pointer(&attr)), 3*8, 0) // the fields every version knows
	if errno != 0 {
		return fmt.Errorf("landlock: %w", errno)
	}
	defer unix.Close(int(fd))
	for _, r := range rules {
		if err := r.add(int(fd), attr.Handled_access_fs); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return fmt.Errorf("landlock: %s: %w", r.path, err)
		}
	}
	if err := unix.Prctl(unix.PR_SET_NO_NEW_PRIVS, 1, 0, 0, 0); err != nil {
		return err
	}
	if _, _, errno := unix.Syscall(unix.SYS_LANDLOCK_RESTRICT_SELF, fd, 0, 0); errno != 0 {
		return fmt.Errorf("landlock: %w", errno)
	}
	return nil
}

func (r rule) add(ruleset int, known uint64) error {
	fd, err := unix.Open(r.path, unix.O_PATH|unix.O_CLOEXEC, 0)
	if err != nil {
		return err
	}
	defer unix.Close(fd)
	var st unix.Stat_t
	if err := unix.Fstat(fd, &st); err != nil {
		return err
	}
	beneath := unix.LandlockPathBeneathAttr{Allowed_access: r.rights & known, Parent_fd: int32(fd)}
	if st.Mode&unix.S_IFMT != unix.S_IFDIR {
		beneath.Allowed_access &= ofFiles
	}
	_, _, errno := unix.Syscall6(unix.SYS_LANDLOCK_ADD_RULE, uintptr(ruleset), unix.LANDLOCK_RULE_PATH_BENEATH, uintptr(unsafe.Pointer(&beneath)), 0, 0, 0)
	if errno != 0 {
		return os.NewSyscallError("landlock_add_rule", errno)
	}
	return nil
}
