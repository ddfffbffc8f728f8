//go:build unix

package pgtest

import (
	"fmt"
	"os"
	"os/user"
	"strconv"
	"syscall"
)

// owner is who runs the server: PostgreSQL refuses to be run by root.
type owner struct {
	uid, gid int
	other    bool // than the user of this process
}

func unprivileged() (owner, error) {
	if os.Getuid() != 0 {
		return owner{}, nil
	}
	for _, name := range []string{"postgres", "nobody"} {
		if u, err := user.Lookup(name); err == nil {
			uid, _ := strconv.Atoi(u.Uid)
			gid, _ := strconv.Atoi(u.Gid)
			return owner{uid: uid, gid: gid, other: true}, nil
		}
	}
	return owner{}, fmt.Errorf("root cannot run PostgreSQL, and there is no user postgres or nobody to run it instead")
}

func (o owner) own(dir string) error {
	if !o.other {
		return nil
	}
	return os.Chown(dir, o.uid, o.gid)
}

func (o owner) attr() *syscall.SysProcAttr {
	if !o.other {
		return nil
	}
	return &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: uint32(o.uid), Gid: uint32(o.gid)}}
}
