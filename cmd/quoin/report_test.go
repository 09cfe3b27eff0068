//go:build !checker

package main

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

func reported(t *testing.T, args ...string) (string, error) {
	t.Helper()
	var out bytes.Buffer
	cmd := newReport(streams{nil, &out, &out})
	cmd.SilenceErrors, cmd.SilenceUsage = true, true
	cmd.SetArgs(args)
	err := cmd.ExecuteContext(t.Context())
	return out.String(), err
}

// TestReportOfLedgerAndFiles holds a report of a ledger against that of the files.
func TestReportOfLedgerAndFiles(t *testing.T) {
	dir := t.TempDir()
	file, returned := filepath.Join(dir, "works.ledger"), "../../testdata/demo/returned"
	collect := newCollect(streams{nil, &bytes.Buffer{}, &bytes.Buffer{}})
	collect.SilenceErrors, collect.SilenceUsage = true, true
	collect.SetArgs([]string{"--plant", saltmarshFile, "--ledger", file, returned})
	_ = collect.ExecuteContext(t.Context()) // findings are a status; the report is what counts
	for _, format := range []string{"text", "csv", "json", "html"} {
		kept, err := reported(t, file, "--plant", saltmarshFile, "--by", "device", "--format", format)
		require.NoError(t, err)
		require.Contains(t, kept, "offset")
		read, err := reported(t, returned, "--plant", saltmarshFile, "--by", "device", "--format", format)
		require.NoError(t, err)
		require.Equal(t, kept, read, format)
	}
	out := filepath.Join(dir, "r.xlsx")
	_, err := reported(t, file, "--plant", saltmarshFile, "--format", "xlsx", "--out", out)
	require.NoError(t, err)
	book, err := os.ReadFile(out)
	require.NoError(t, err)
	require.Equal(t, "PK", string(book[:2]))
	left, err := filepath.Glob(filepath.Join(dir, ".quoin-*"))
	require.NoError(t, err)
	require.Empty(t, left, "no temporary file stays")
}

func TestReportRefuses(t *testing.T) {
	for want, args := range map[string][]string{
		`--format is "pdf"; want`:              {"x", "--plant", saltmarshFile, "--format", "pdf"},
		`there is no report by "colour"; want`: {"x", "--plant", saltmarshFile, "--by", "colour"},
		`--from is "March"; want a day`:        {"x", "--plant", saltmarshFile, "--from", "March"},
		`want the first day before the last`:   {"x", "--plant", saltmarshFile, "--from", "2026-03-02", "--to", "2026-03-01"},
		`name its file with --plant`:           {"x"},
		`nothing to work on`:                   {"--plant", saltmarshFile},
		`no-such`:                              {"no-such", "--plant", saltmarshFile},
	} {
		_, err := reported(t, args...)
		require.ErrorContains(t, err, want)
	}
}
