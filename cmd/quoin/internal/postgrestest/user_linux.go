package postgrestest

import (
	"errors"
	"os"
	"os/exec"
	"os/user"
	"strconv"
	"syscall"
)

// other is the user that the server runs as when the test is root's, as whom it
// refuses to: postgres, whom Debian's package makes, or nobody.
func other() (uid, gid int, err error) {
	u, err := user.Lookup("postgres")
	if err != nil {
		u, err = user.Lookup("nobody")
	}
	if err != nil {
		return 0, 0, err
	}
	uid, wrong := strconv.Atoi(u.Uid)
	gid, bad := strconv.Atoi(u.Gid)
	return uid, gid, errors.Join(wrong, bad)
}

// give makes a folder that of the server.
func give(dir string) error {
	if os.Geteuid() != 0 {
		return nil
	}
	uid, gid, err := other()
	if err != nil {
		return err
	}
	return os.Chown(dir, uid, gid)
}

// become makes a program run as the user of the server, and end with the test
// even when that is killed.
func become(cmd *exec.Cmd) {
	cmd.SysProcAttr = &syscall.SysProcAttr{Pdeathsig: syscall.SIGQUIT}
	if os.Geteuid() != 0 {
		return
	}
	if uid, gid, err := other(); err == nil { // else give has failed before
		cmd.SysProcAttr.Credential = &syscall.Credential{Uid: uint32(uid), Gid: uint32(gid)}
	}
}
