package learn

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"quoin/convert/cost"
)

// tried is a sample with one task a job, so many hours apart.
func tried(apart time.Duration, logs []float64) *sample {
	s := &sample{device: "folder-1", quantity: Run, logs: logs}
	at := time.Date(2026, 3, 2, 6, 0, 0, 0, time.UTC)
	for i := range logs {
		s.of = append(s.of, &seen{task: cost.Task{Job: fmt.Sprintf("J-%03d", i)}, last: at})
		at = at.Add(apart)
	}
	return s
}

func repeated(n int, pattern ...float64) []float64 {
	var all []float64
	for i := range n {
		all = append(all, pattern[i%len(pattern)])
	}
	return all
}

func TestTrial(t *testing.T) {
	day := 24 * time.Hour
	slow := tried(day, repeated(56, .2, .19, .21)).trial(nil)
	require.True(t, slow.passed())
	require.Equal(t, Trial{"week", 8, 8, slow.Before, slow.After}, *slow)
	require.InDelta(t, 100*(1-math.Exp(-.2)), slow.Before, 1e-9)
	require.InDelta(t, 100*(math.Exp(.01)-1), slow.After, 0.02) // two in three are a hundredth off

	// Most tasks are as planned and some take longer: their middle is not 1, but any
	// other figure makes most plans worse.
	skew := tried(day, repeated(60, 0, 0.001, 0.12, 0, 0.11))
	require.Greater(t, skew.teaches(nil), 1.005)
	worse := skew.trial(nil)
	require.False(t, worse.passed())
	require.Greater(t, worse.After, worse.Before)
	require.Contains(t, worse.words(), "kept: there is no better figure; tried by weeks, the median error goes from 0.")

	days := tried(6*time.Hour, repeated(20, .2)).trial(nil)
	require.Equal(t, "day", days.By)
	require.Equal(t, 6, days.Folds) // from Monday at 6 to Saturday at midnight
	require.True(t, days.passed())

	one := tried(time.Minute, repeated(20, .2)).trial(nil)
	require.False(t, one.passed())
	require.Contains(t, one.words(), "one day")
}

// Two classes that deviate to different sides have no deviation in common.
func TestTrialOfClasses(t *testing.T) {
	s := tried(24*time.Hour, repeated(40, .3, .1))
	long := map[*seen]bool{}
	for i, one := range s.of {
		long[one] = i%2 == 0
	}
	take := func(one *seen) bool { return long[one] }
	require.InDelta(t, math.Exp(.1), s.teaches(take), 1e-9)
	require.True(t, s.trial(take).passed())
	s.logs = repeated(40, .3, -.1)
	require.Equal(t, 1.0, s.teaches(take))
	require.False(t, s.trial(take).passed())
}

// The ranks are those of the means themselves, built and sorted.
func TestPairRank(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 7))
	for n := 1; n <= 40; n++ {
		values := make([]float64, n)
		for i := range values {
			values[i] = r.NormFloat64()
			if n%3 == 0 {
				values[i] = math.Round(2 * values[i]) // equal ones and zeros
			}
		}
		slices.Sort(values)
		var means []float64
		for i, a := range values {
			for _, b := range values[i:] {
				means = append(means, (a+b)/2)
			}
		}
		slices.Sort(means)
		for k, want := range means {
			require.Equal(t, want+0, pairRank(values, k+1), "%d of %d", k, n)
		}
		require.Equal(t, median(means)+0, pairMean(values))
	}
	require.True(t, math.IsNaN(pairMean(nil)))
}

// A device of many years takes memory for its own tasks, not for their pairs: of
// those there are five thousand million, of 40 GB.
func TestManyTasksFitInMemory(t *testing.T) {
	values := make([]float64, 100_000)
	r := rand.New(rand.NewPCG(8, 8))
	for i := range values {
		values[i] = .1 + r.NormFloat64()/5
	}
	e, ok := hodgesLehmann(values, .95)
	require.True(t, ok)
	require.InDelta(t, .1, e.Middle, .005)
	require.Less(t, e.Low, e.Middle)
	require.Greater(t, e.High, e.Middle)
}
