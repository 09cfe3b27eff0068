//go:build checker

package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
)

// worksName is the whole program, as it stands beside the checker.
const worksName = "quoin-works"

// handOn gives way to the whole program. It returns where the system has no way
// to do so but to wait for it, or where the program can not be run.
func handOn(asked string, trouble io.Writer) (status int) {
	path, err := besides()
	if err == nil {
		status, err = replace(path)
	}
	switch {
	case err == nil:
		return status
	case errors.Is(err, fs.ErrNotExist):
		err = fmt.Errorf("which is not in %s", filepath.Dir(path))
	}
	fmt.Fprintf(trouble, "quoin: %s is done by %s, %v; put that program there, or build all in one with: "+
		"go build ./cmd/quoin\n", asked, worksName, err)
	return statusFailed
}

// besides is the path of the whole program: in the folder of this one, wherever
// links to this one lie.
func besides() (string, error) {
	self, err := os.Executable()
	if err == nil {
		self, err = filepath.EvalSymlinks(self)
	}
	if err != nil {
		return "", fmt.Errorf("find the folder of this program: %w", err)
	}
	name := worksName
	if runtime.GOOS == "windows" {
		name += ".exe"
	}
	path := filepath.Join(filepath.Dir(self), name)
	if path == self {
		return path, fmt.Errorf("which this one is called in %s without being it", filepath.Dir(path))
	}
	return path, nil
}
