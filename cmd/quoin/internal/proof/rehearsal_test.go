package proof

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"quoin/cmd/quoin/internal/postgrestest"
)

// Jobs go from their sender through the service to machines that misbehave, and back;
// all of them come back once, and the books say what happened.
func TestRehearsal(t *testing.T) {
	for _, c := range []struct {
		store        string
		small, large int
	}{{"SQLite", 8, 200}, {"PostgreSQL", 3, 40}} {
		t.Run(c.store, func(t *testing.T) {
			store := ""
			if c.store == "PostgreSQL" {
				store = postgrestest.URL(t)
			}
			s := newStage(t, store, faults, 17)
			s.start(t)
			begun := time.Now()
			jobs := s.sender.submissions(t, s.plant, size(c.small, c.large), 23)
			made := time.Since(begun)
			require.NoError(t, s.sender.submitAll(within(t, 5*time.Minute), s.url(), jobs, 4))
			s.settled(t, len(jobs), 15*time.Minute)
			s.end(t)
			counted := s.count(t, jobs)
			t.Logf("%s in %s (orders made up in %s), %d faults of machines", counted, time.Since(begun).Round(time.Millisecond),
				made.Round(time.Millisecond), len(s.floor.Truth().Faults))
			require.Zero(t, counted.resent, "nothing had to be sent to machines again")
		})
	}
}
