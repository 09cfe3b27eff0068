package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/testdata/standard"
)

// All bars are measured, on tickets so small that whether they are reached says
// nothing.
//
// Source: the published schemas, through xmllint.
func TestMeasure(t *testing.T) {
	dir := standard.Dir(t)
	if _, err := exec.LookPath("xmllint"); err != nil {
		require.Empty(t, os.Getenv("CI"), "CI needs xmllint of libxml2")
		t.Skip("xmllint of libxml2 is not installed; there is nothing to measure against")
	}
	program := filepath.Join(t.TempDir(), "quoin")
	out, err := exec.Command("go", "build", "-o", program, "quoin/cmd/quoin").CombinedOutput()
	require.NoError(t, err, "%s", out)
	bars, err := measure(settings{
		quoin: program, standard: dir, rounds: 1, small: 2 << 10, many: 20, large: 400 << 10, findings: 800,
	})
	require.NoError(t, err)
	var table strings.Builder
	write(&table, bars)
	t.Log(table.String())
	require.GreaterOrEqual(t, len(bars), 8)
	require.Equal(t, len(bars)+1, strings.Count(table.String(), "\n"))
	for _, b := range bars {
		for _, cell := range []string{b.what, b.ours, b.reference, b.compared, b.want} {
			require.NotEmpty(t, cell)
			require.NotRegexp(t, `NaN|Inf|^0\.0 `, cell)
		}
	}
	require.True(t, allReached(nil))
	require.False(t, allReached([]bar{{reached: true}, {}}))
}

// A program that ends otherwise than it should is never measured.
func TestRunRefusesWrongStatus(t *testing.T) {
	self, err := os.Executable()
	require.NoError(t, err)
	took, err := command{[]string{self, "-test.run", "^$"}, 0}.run()
	require.NoError(t, err)
	require.Positive(t, took.wall)
	_, err = command{[]string{self, "-test.run", "^$"}, 1}.run()
	require.ErrorContains(t, err, "ended with 0, want 1")
	_, err = command{[]string{filepath.Join(t.TempDir(), "none")}, 0}.run()
	require.Error(t, err)
	_, err = measure(settings{standard: t.TempDir()})
	require.Error(t, err)
}
