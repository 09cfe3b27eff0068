//go:build unix

package packages_test

import (
	"path/filepath"
	"syscall"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/validate"
	"quoin/validate/packages"
)

// A named pipe that nobody writes to is refused, and not waited for.
func TestNamedPipe(t *testing.T) {
	path := filepath.Join(t.TempDir(), "order.jdf")
	require.NoError(t, syscall.Mkfifo(path, 0o600))
	_, err := packages.Check(t.Context(), &validate.Engine{}, path, packages.Options{})
	require.ErrorContains(t, err, "is not a regular file")
}
