//go:build libxml2 && !checker

package main

import (
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/testdata/standard"
)

// Source: the published schemas of both generations. That of the first is
// mended in memory, and a note says so.
func TestXSD(t *testing.T) {
	dir := standard.Dir(t)
	status, out, errs := quoin(t, "", "validate", "--xsd", filepath.Join(dir, "jdf"), programme)
	require.Equal(t, statusClean, status, errs)
	require.Contains(t, out, "schema/xsd-mended")
	status, out, _ = quoin(t, "", "validate", "--no-house", "--only", "schema", "--xsd", filepath.Join(dir, "xjdf"), refused)
	require.Equal(t, statusFindings, status)
	require.Contains(t, out, "schema/xsd")
	status, _, errs = quoin(t, "", "validate", "--xsd", "absent.xsd", refused)
	require.Equal(t, statusFailed, status)
	require.Contains(t, errs, "absent.xsd")
	_, out, _ = quoin(t, "", "version")
	require.Contains(t, out, "libxml2 2.")
}
