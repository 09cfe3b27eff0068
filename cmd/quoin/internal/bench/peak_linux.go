package main

import (
	"os"
	"syscall"
)

// peak is the most memory that a process had, in bytes.
func peak(state *os.ProcessState) int64 {
	usage, ok := state.SysUsage().(*syscall.Rusage)
	if !ok {
		return 0
	}
	return usage.Maxrss << 10 // in kilobytes
}
