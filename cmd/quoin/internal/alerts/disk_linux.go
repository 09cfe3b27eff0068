package alerts

import (
	"fmt"
	"path/filepath"
	"syscall"
)

// disk is what is free for us, and the whole, of the disk of a file, in bytes.
func disk(file string) (free, whole uint64, err error) {
	var s syscall.Statfs_t
	if err := syscall.Statfs(filepath.Dir(file), &s); err != nil {
		return 0, 0, fmt.Errorf("ask for the disk of %q: %w", file, err)
	}
	return s.Bavail * uint64(s.Bsize), s.Blocks * uint64(s.Bsize), nil
}
