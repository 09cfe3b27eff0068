//go:build !checker

package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestCollectIntoLedger(t *testing.T) {
	file := filepath.Join(t.TempDir(), "works.ledger")
	args := []string{"collect", demo + "returned", "--plant", saltmarsh, "--ledger", file}
	status, out, problem := quoin(t, "", args...)
	require.Equal(t, statusClean, status, problem)
	require.Contains(t, out, "5 documents read")
	require.Contains(t, out, "records of time              18        1")
	require.Contains(t, out, "the ledger has 14 entries")
	require.Contains(t, out, "audit/open-phase")

	status, out, problem = quoin(t, "", append(args, "--format", "json")...)
	require.Equal(t, statusClean, status, problem)
	var again imported
	require.NoError(t, json.Unmarshal([]byte(out), &again))
	require.Equal(t, 0, again.Imported.Records.New)
	require.Equal(t, 19, again.Imported.Records.Known)
	require.Equal(t, 0, again.Imported.Devices)
	require.Equal(t, 14, again.Imported.Entries)
	require.Equal(t, map[string]int{"error": 0, "warning": 0, "note": 0}, again.Findings)
}

// A plan goes into the ledger by itself; its device tickets tell the same tasks.
func TestCollectPlanIntoLedger(t *testing.T) {
	dir := t.TempDir()
	plans, file := filepath.Join(dir, "plan"), filepath.Join(dir, "works.ledger")
	works := saltmarsh
	status, _, problem := quoin(t, "", "plan", leaflet, "--plant", works, "--out", plans)
	require.Equal(t, statusClean, status, problem)
	status, out, problem := quoin(t, "", "collect", "--plan", plans, "--ledger", file)
	require.Equal(t, statusClean, status, problem)
	require.Contains(t, out, "planned tasks                 2        0")
	status, out, problem = quoin(t, "", "collect", "--plan", plans, "--ledger", file)
	require.Equal(t, statusClean, status, problem)
	require.Contains(t, out, "planned tasks                 0        2")
}

func TestCollectLedgerFails(t *testing.T) {
	dir := t.TempDir()
	returned := demo + "returned"
	for _, test := range []struct {
		args []string
		want string
	}{
		{[]string{"collect", returned}, "--plant"},
		{[]string{"collect", "--ledger", filepath.Join(dir, "x")}, "nothing to work on"},
		{[]string{"collect", returned, "--ledger", filepath.Join(dir, "none", "x")}, "its folder is missing"},
		{[]string{"collect", returned, "--ledger", filepath.Join(dir, "y"), "--format", "xml"}, "want text or json"},
		{[]string{"collect", "--plan", dir, "--ledger", filepath.Join(dir, "z")}, "read plan"},
		{[]string{"collect", filepath.Join(dir, "nowhere"), "--ledger", filepath.Join(dir, "w")}, "nowhere"},
	} {
		status, _, problem := quoin(t, "", test.args...)
		require.Equal(t, statusFailed, status, test.args)
		require.Contains(t, problem, test.want)
	}
	_, err := os.Stat(filepath.Join(dir, "w"))
	require.ErrorIs(t, err, os.ErrNotExist, "no ledger is made for nothing")
}
