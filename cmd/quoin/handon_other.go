//go:build checker && !unix

package main

import (
	"errors"
	"fmt"
	"os"
	"os/exec"
	"os/signal"
)

// replace runs a program in the place of this one, with the same arguments,
// environment and streams. What interrupts this program reaches the other too,
// through the console that both have; so this one waits.
func replace(path string) (status int, err error) {
	signal.Ignore(os.Interrupt)
	cmd := exec.Command(path, os.Args[1:]...)
	cmd.Stdin, cmd.Stdout, cmd.Stderr = os.Stdin, os.Stdout, os.Stderr
	var ended *exec.ExitError
	switch err := cmd.Run(); {
	case errors.As(err, &ended):
		return ended.ExitCode(), nil
	case err != nil:
		return statusFailed, fmt.Errorf("which can not be run in its folder: %w", err)
	}
	return statusClean, nil
}
