//go:build checker && unix

package main

import (
	"fmt"
	"os"
	"syscall"
)

// replace puts a program in the place of this one, under the same process id and
// with the same arguments, environment and streams.
func replace(path string) (status int, err error) {
	return statusFailed, fmt.Errorf("which can not be run in its folder: %w", syscall.Exec(path, os.Args, os.Environ()))
}
