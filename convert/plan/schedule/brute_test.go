package schedule

import (
	"context"
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// brute is the best objective of all orders on all machines.
func brute(p *problem) (best objective, orders int) {
	t := newTiming(p)
	waiting := make([]int, len(p.tasks))
	for x := range p.tasks {
		waiting[x] = len(p.tasks[x].before)
	}
	laid := make([]bool, len(p.tasks))
	seen := map[string]bool{}
	var next func(n int)
	next = func(n int) {
		if n == len(p.tasks) {
			// Only the orders on the machines count.
			if key := machineOrders(p, t.order); !seen[key] {
				seen[key] = true
				t.lay(0, math.MaxInt64)
				if orders++; orders == 1 || t.value.compare(best) < 0 {
					best = t.value
				}
			}
			return
		}
		for x := range p.tasks {
			if laid[x] || waiting[x] > 0 {
				continue
			}
			laid[x], t.order[n] = true, x
			for _, l := range p.tasks[x].after {
				waiting[l.task]--
			}
			next(n + 1)
			laid[x] = false
			for _, l := range p.tasks[x].after {
				waiting[l.task]++
			}
		}
	}
	next(0)
	return best, orders
}

func machineOrders(p *problem, order []int) string {
	key := make([]byte, 0, 2*len(order))
	for m := range p.machines {
		key = append(key, 255)
		for _, x := range order {
			if p.tasks[x].machine == m {
				key = append(key, byte(x))
			}
		}
	}
	return string(key)
}

// TestBruteForce: on small works the search finds what trying all orders finds.
func TestBruteForce(t *testing.T) {
	berlin := zone(t, "Europe/Berlin")
	now := time.Date(2026, 11, 23, 6, 0, 0, 0, berlin)
	cases, orders := 0, 0
	for seed := uint64(0); cases < 60; seed++ {
		random := rand.New(rand.NewPCG(seed, 7))
		plant := works(nil, berlin)
		if seed%3 > 0 {
			plant = works(twoShifts(), berlin)
		}
		jobs := randomWorks(random, 2+random.IntN(3), 2, now, 1)
		p := newProblem(jobs, plant, now, true)
		require.Empty(t, p.findings)
		if n := len(p.tasks); n < 4 || n > 9 {
			continue
		}
		cases++
		want, n := brute(p)
		orders += n
		bound := newBounds(p).bound(want.makespan)
		found, err := p.find(context.Background(), Options{Trials: 3000, Seed: seed}, bound)
		require.NoError(t, err)
		require.Equal(t, want, found.best.value, "seed %d", seed)
		require.LessOrEqual(t, bound.late, want.late, "seed %d", seed)
		require.LessOrEqual(t, bound.makespan, want.makespan, "seed %d", seed)
		require.LessOrEqual(t, bound.changeover, want.changeover, "seed %d", seed)
	}
	require.Greater(t, orders, 1000)
	t.Logf("%d works, %d orders tried", cases, orders)
}
