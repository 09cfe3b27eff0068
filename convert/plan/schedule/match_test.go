package schedule

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// TestMatch: against all ways of giving out the columns.
func TestMatch(t *testing.T) {
	for seed := range uint64(200) {
		random := rand.New(rand.NewPCG(seed, 2))
		n := 1 + random.IntN(6)
		cost := make([][]int64, n)
		for i := range cost {
			for range n {
				cost[i] = append(cost[i], random.Int64N(20))
			}
		}
		best := int64(1 << 60)
		used := make([]bool, n)
		var next func(row int, sum int64)
		next = func(row int, sum int64) {
			if row == n {
				best = min(best, sum)
				return
			}
			for k := range used {
				if !used[k] {
					used[k] = true
					next(row+1, sum+cost[row][k])
					used[k] = false
				}
			}
		}
		next(0, 0)
		require.Equal(t, best, match(cost), "seed %d", seed)
	}
	require.Zero(t, match(nil))
}

// TestMeets: the textbook case in which only interrupting helps.
func TestMeets(t *testing.T) {
	long, short := piece{release: 0, work: 10, deadline: 12}, piece{release: 2, work: 2, deadline: 4}
	require.True(t, meets([]piece{long, short}))
	long.deadline = 11
	require.False(t, meets([]piece{long, short}))
}

// TestShortestFirst: the places of leaving, with interruptions.
func TestShortestFirst(t *testing.T) {
	require.Equal(t, []int64{4, 12, 20}, shortestFirst([]share{
		{release: 0, work: 10}, {release: 2, work: 2}, {release: 15, work: 5},
	}))
	require.Empty(t, shortestFirst(nil))
}
