//go:build man && !checker

package main

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestMan(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "man")
	status, _, errs := quoin(t, "", "man", dir)
	require.Equal(t, statusClean, status, errs)
	page, err := os.ReadFile(filepath.Join(dir, "quoin-validate.1"))
	require.NoError(t, err)
	require.Contains(t, string(page), "fail-on")
}
