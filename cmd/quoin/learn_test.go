//go:build !checker

package main

import (
	"bytes"
	"context"
	"encoding/json"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/convert/cost/learn"
)

// learned runs the command by itself.
func learned(args ...string) (string, error) {
	var out, problem bytes.Buffer
	cmd := newLearn(streams{nil, &out, &problem})
	cmd.SilenceErrors, cmd.SilenceUsage = true, true
	cmd.SetArgs(args)
	err := cmd.ExecuteContext(context.Background())
	return out.String(), err
}

// A rehearsed month has habits that the plant file does not know, see
// rehearsal.HabitsOf.
func TestLearnFromRehearsedMonth(t *testing.T) {
	if raceDetector {
		t.Skip("a month takes minutes under the race detector; make test runs it once more without")
	}
	dir := t.TempDir()
	month, file := filepath.Join(dir, "month"), filepath.Join(dir, "works.ledger")
	proposed := filepath.Join(dir, "new.yaml")
	status, _, problem := quoin(t, "", "rehearse", "--plant", saltmarsh, "--folder", month, "--jobs", "140", "--days", "28")
	require.Equal(t, statusClean, status, problem)
	returned := filepath.Join(month, "returned")
	args := []string{"collect", returned, "--plant", saltmarsh, "--ledger", file, "--format", "json"}
	plans, err := filepath.Glob(filepath.Join(month, "plans", "*"))
	require.NoError(t, err)
	require.Len(t, plans, 140)
	for _, p := range plans {
		args = append(args, "--plan", p)
	}
	quoin(t, "", args...)

	before, err := os.ReadFile(saltmarsh)
	require.NoError(t, err)
	out, err := learned(file, "--plant", saltmarsh, "--out", proposed, "--format", "json")
	require.NoError(t, err)
	var l learn.Lesson
	require.NoError(t, json.Unmarshal([]byte(out), &l))
	found := map[string]*learn.Finding{}
	for _, f := range l.Findings {
		found[f.Device+" "+string(f.Quantity)] = f
	}
	require.InDelta(t, 1.22/0.965, found["folder-1 run time"].Factor, 0.05)
	require.InDelta(t, 0.85, found["digital-1 makeready"].Factor, 0.06)
	require.InDelta(t, 1.3, found["offset-b1 wash-up"].Factor, 0.15)
	heavy := found["offset-b2 makeready"]
	require.Equal(t, "stock of 170 g/m2 and over", heavy.Class.Words)
	require.InDelta(t, 1.25, heavy.Class.In.Middle, 0.1)
	require.Zero(t, heavy.Factor)
	require.Equal(t, "uncoated stock", found["offset-b1 running waste"].Class.Words)
	for _, e := range l.Errors {
		t.Logf("%-14s %-13s %3d tasks: median %5.1f to %5.1f, bias %+6.1f to %+6.1f", e.Quantity, e.Device, e.Tasks,
			e.Before.Median, e.After.Median, e.Before.Bias, e.After.Bias)
		if e.Device == "folder-1" && e.Quantity == learn.Run {
			require.Less(t, e.After.Median, e.Before.Median/2)
		}
		if e.Device == "" {
			require.LessOrEqual(t, e.After.Median, e.Before.Median)
		}
	}

	status, _, problem = quoin(t, "", "plant", proposed)
	require.Equal(t, statusClean, status, problem)
	after, err := os.ReadFile(saltmarsh)
	require.NoError(t, err)
	require.Equal(t, before, after)
	again, err := learned(file, "--plant", saltmarsh, "--format", "json")
	require.NoError(t, err)
	require.Equal(t, out, again)
}

func TestLearnRefuses(t *testing.T) {
	dir := t.TempDir()
	link := filepath.Join(dir, "link.yaml")
	source, err := filepath.Abs(saltmarsh)
	require.NoError(t, err)
	require.NoError(t, os.Symlink(source, link))
	empty := filepath.Join(dir, "works.ledger")
	quoin(t, "", "collect", demo+"returned", "--plant", saltmarsh, "--ledger", empty)
	for _, c := range []struct {
		args []string
		want string
	}{
		{[]string{empty}, "--plant"},
		{[]string{filepath.Join(dir, "none"), "--plant", saltmarsh}, "make one with `quoin collect --ledger`"},
		{[]string{empty, "--plant", saltmarsh, "--out", link}, "never overwritten"},
		{[]string{empty, "--plant", saltmarsh, "--hold", "soon"}, `--hold is "soon"`},
		{[]string{empty, "--plant", saltmarsh, "--hold", "100%"}, "want days such as 7"},
		{[]string{empty, "--plant", saltmarsh, "--confidence", "4"}, "--confidence is 4"},
		{[]string{empty, "--plant", saltmarsh, "--format", "xml"}, "want text or json"},
		{[]string{empty, "--plant", saltmarsh}, "learn from"},
	} {
		_, err := learned(c.args...)
		require.ErrorContains(t, err, c.want)
	}
	require.NoFileExists(t, filepath.Join(dir, "none"))
}
