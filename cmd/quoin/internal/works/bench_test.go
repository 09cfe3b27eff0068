package works_test

import (
	"fmt"
	"path/filepath"
	"sync/atomic"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/cmd/quoin/internal/database"
	"quoin/cmd/quoin/internal/postgrestest"
	"quoin/cmd/quoin/internal/works"
)

// BenchmarkReceive stores messages of 4 kB from 64 senders, each on the disk before
// it counts: alone, and with the ticket and the answer that it gives.
func BenchmarkReceive(b *testing.B) {
	for _, kind := range []struct {
		name string
		at   func(testing.TB) string
	}{
		{"SQLite", func(b testing.TB) string { return filepath.Join(b.TempDir(), "store.db") }},
		{"PostgreSQL", func(b testing.TB) string { return postgrestest.Start(b).Database(b) }},
	} {
		b.Run(kind.name, func(b *testing.B) {
			db, err := database.Open(b.Context(), kind.at(b))
			require.NoError(b, err)
			defer db.Close()
			s, err := works.Open(b.Context(), db, works.Options{})
			require.NoError(b, err)
			b.Run("store", func(b *testing.B) { benchmarkReceive(b, s, "a", false) })
			b.Run("submit", func(b *testing.B) { benchmarkReceive(b, s, "b", true) })
		})
	}
}

func benchmarkReceive(b *testing.B, s *works.Store, prefix string, submit bool) {
	var n atomic.Int64
	b.SetParallelism(32)
	b.RunParallel(func(pb *testing.PB) {
		for pb.Next() {
			id := fmt.Sprint(prefix, b.N, "/", n.Add(1))
			got, err := s.Receive(b.Context(), works.Incoming{
				Partner: "mis", Source: works.ByMessage, MessageID: id, Body: fmt.Appendf(nil, "%4096s", id),
			})
			if err == nil && submit {
				err = s.Write(b.Context(), "mis", func(tx *works.Tx) error {
					if _, err := tx.Submit(works.Submission{Job: id, Inbox: got.ID}); err != nil {
						return err
					}
					_, err := tx.Answer(got.ID, works.Answer{Status: 200, Body: []byte(id)})
					return err
				})
			}
			if err != nil {
				b.Error(err)
				return
			}
		}
	})
	b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "messages/s")
}
