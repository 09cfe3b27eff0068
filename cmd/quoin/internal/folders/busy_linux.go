package folders

import (
	"os"
	"syscall"
)

// Commands of fcntl.
//
// Source: fcntl(2) of Linux, F_SETLEASE.
const (
	setLease  = 1024
	readLease = 0 // F_RDLCK
	noLease   = 2 // F_UNLCK
)

// busy reports whether a file is open for writing: then no lease for reading it is
// given. Where the system does not tell, as for files of others, it is not.
func busy(path string) bool {
	f, err := os.Open(path)
	if err != nil {
		return false
	}
	defer f.Close()
	_, _, failed := syscall.Syscall(syscall.SYS_FCNTL, f.Fd(), setLease, readLease)
	if failed == 0 {
		_, _, _ = syscall.Syscall(syscall.SYS_FCNTL, f.Fd(), setLease, noLease)
	}
	return failed == syscall.EAGAIN
}
