package flow_test

import (
	"bytes"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"quoin/cmd/quoin/internal/works"
	"quoin/cmd/quoin/internal/works/flow"
	"quoin/convert/emit"
	"quoin/convert/plan"
	"quoin/jdf"
	"quoin/jdf/job"
	"quoin/validate/plant"
)

const testdata = "../../../../../testdata"

// The steps of the demo's plans are named as their device tickets are, are on the
// same devices, and each waits for some that come before it.
func TestSteps(t *testing.T) {
	p, findings, err := plant.LoadFile(filepath.Join(testdata, "plant", "saltmarsh.yaml"))
	require.NoError(t, err)
	require.Empty(t, findings)
	files, err := filepath.Glob(filepath.Join(testdata, "demo", "*.*df"))
	require.NoError(t, err)
	planned := 0
	for _, file := range files {
		src, err := os.ReadFile(file)
		require.NoError(t, err)
		doc, faults, err := jdf.Read(file, bytes.NewReader(src), jdf.Limits{})
		require.NoError(t, err)
		require.Empty(t, faults)
		j := job.Decode(doc)
		pl, _ := plan.Make(j, p, plan.Options{})
		if pl == nil {
			continue
		}
		planned++
		start := time.Date(2026, 11, 25, 6, 0, 0, 0, time.UTC)
		times := map[int]emit.Span{0: {Start: start, End: start.Add(time.Hour)}}
		steps := flow.Steps(pl, times)
		var parts, devices, wantParts, wantDevices []string
		for i, n := range steps {
			parts, devices = append(parts, n.Part), append(devices, n.Device)
			require.Equal(t, times[n.Number].Start, n.Start)
			require.True(t, n.Target.IsPositive())
			for _, need := range n.Needs {
				require.True(t, slices.ContainsFunc(steps[:i], func(b works.NewStep) bool { return b.Number == need }))
			}
		}
		last := steps[len(steps)-1]
		require.True(t, len(steps) == 1 || len(last.Needs) > 0, "the last step of %s waits for another", file)
		for i, ticket := range emit.Tickets(pl, j, emit.Options{Times: times}) {
			root := ticket.Doc.Root()
			if pl.Operations[i].Device == "" {
				continue
			}
			wantParts = append(wantParts, root.SelectAttrValue("JobPartID", ""))
			wantDevices = append(wantDevices, root.FindElement("//Device").SelectAttrValue("DeviceID", ""))
		}
		require.Equal(t, wantParts, parts)
		require.Equal(t, wantDevices, devices)
	}
	require.GreaterOrEqual(t, planned, 2)
}
