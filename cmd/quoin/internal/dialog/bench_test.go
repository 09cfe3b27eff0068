package dialog_test

import (
	"context"
	"testing"

	"quoin/cmd/quoin/internal/dialog"
)

// BenchmarkAnswer measures reading, checking and answering, without a store.
func BenchmarkAnswer(b *testing.B) {
	status := `<Signal ID="S1" Type="Status"><StatusQuParams/><DeviceInfo DeviceStatus="Running" DeviceID="press-1">` +
		`<JobPhase JobID="J1" Status="InProgress" PhaseAmount="180" PhaseStartTime="2026-11-25T11:59:00Z"/>` +
		`</DeviceInfo></Signal>`
	for name, in := range map[string]dialog.Incoming{
		"signal": {Body: []byte(jmf(status))},
		"query":  {Body: []byte(jmf(`<Query ID="Q1" Type="QueueStatus"/>`))},
		"submit": inPackage(b,
			jmf(`<Command ID="C1" Type="SubmitQueueEntry"><QueueSubmissionParams URL="cid:ticket"/></Command>`)),
	} {
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				r := endpoint(&memory{}).Answer(context.Background(), in)
				if r.Status != 200 || r.Code != 0 {
					b.Fatal(r.Status, r.Code)
				}
			}
		})
	}
}
