package proof

import (
	"context"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"quoin/cmd/quoin/internal/postgrestest"
)

// The process is killed again and again, at moments that a seed draws, while tickets come
// in, machines report, and tickets go back. Everything goes on with the next process, and
// in the end nothing that was acknowledged is lost and nothing was done twice.
func TestKill(t *testing.T) {
	for _, c := range []struct {
		store        string
		jobs, kills  int
		fully, often int
	}{{"SQLite", 4, 6, 120, 150}, {"PostgreSQL", 2, 3, 40, 50}} {
		t.Run(c.store, func(t *testing.T) {
			store := ""
			if c.store == "PostgreSQL" {
				store = postgrestest.URL(t)
			}
			s := newStage(t, store, faults, 5)
			jobs := s.sender.submissions(t, s.plant, size(c.jobs, c.fully), 29)
			s.start(t)
			kills := size(c.kills, c.often)
			begun := time.Now()
			submitted := make(chan error, 1)
			go func() { submitted <- s.submitSlowly(within(t, 20*time.Minute), jobs, kills) }()
			s.killOften(t, kills, 31)
			require.NoError(t, <-submitted)
			s.settled(t, len(jobs), 15*time.Minute)
			s.end(t)
			counted := s.count(t, jobs)
			t.Logf("%d kills, %s in %s; %d answers were cut off", s.kills, counted, time.Since(begun).Round(time.Millisecond),
				s.road.broken)
			require.Equal(t, kills, s.kills)
		})
	}
}

// The pauses from the start of a process to its end. The shortest falls into its first
// work, the longest lets it come to rest.
const (
	shortest = 5 * time.Millisecond
	longest  = 900 * time.Millisecond
)

// killOften kills the process and starts it again.
func (s *stage) killOften(t testing.TB, times int, seed uint64) {
	t.Helper()
	dice := rand.New(rand.NewPCG(seed, 1))
	for range times {
		time.Sleep(shortest + time.Duration(dice.Float64()*dice.Float64()*float64(longest-shortest)))
		s.kill(0)
		s.start(t)
	}
}

// submitSlowly sends tickets in the time that so many kills take, so that all of them
// fall into work.
func (s *stage) submitSlowly(ctx context.Context, jobs []submission, kills int) error {
	pause := time.Duration(kills) * 400 * time.Millisecond / time.Duration(len(jobs))
	for _, j := range jobs {
		if err := s.sender.submitAll(ctx, s.url(), []submission{j}, 1); err != nil {
			return err
		}
		select {
		case <-time.After(pause):
		case <-ctx.Done():
			return ctx.Err()
		}
	}
	return nil
}

// Two instances on one PostgreSQL share the work, while one and then the other is killed.
func TestTwoInstances(t *testing.T) {
	s := newStage(t, postgrestest.URL(t), faults, 7)
	jobs := s.sender.submissions(t, s.plant, size(4, 60), 37)
	s.start(t)
	s.start(t)
	begun := time.Now()
	submitted := make(chan error, 1)
	go func() { submitted <- s.sender.submitAll(within(t, 10*time.Minute), s.url(), jobs, 4) }()
	for range size(2, 20) {
		time.Sleep(700 * time.Millisecond)
		s.kill(0)
		s.start(t)
	}
	require.NoError(t, <-submitted)
	s.settled(t, len(jobs), 15*time.Minute)
	s.end(t)
	counted := s.count(t, jobs)
	t.Logf("two instances, %d kills, %s in %s", s.kills, counted, time.Since(begun).Round(time.Millisecond))
	require.GreaterOrEqual(t, s.instances(t), 2, "both instances have worked")
}
