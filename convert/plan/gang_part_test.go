package plan

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/jdf/job"
)

// TestPartlyBruteForce: several products cost as much as the best way of parting
// them in two, each part planned by itself, or they are all on one form.
func TestPartlyBruteForce(t *testing.T) {
	p := tinyPlant()
	rng := rand.New(rand.NewPCG(8, 31))
	kinds := map[string]int{}
	for i := range 40 {
		j := gangJob(rng, 3+rng.IntN(2))
		if rng.IntN(2) == 0 {
			j.Products[0].Front.Colors = given([]string{"Red"})
		}
		pl, _ := Make(j, p, Options{})
		if pl == nil {
			continue
		}
		name := fmt.Sprintf("case %d", i)
		n, met := len(j.Products), false
		for mask := 1; mask < 1<<n-1; mask++ {
			a, _ := Make(some(j, mask), p, Options{})
			b, _ := Make(some(j, 1<<n-1-mask), p, Options{})
			if a == nil || b == nil {
				continue
			}
			sum := a.Totals.Cost.Add(b.Totals.Cost)
			require.True(t, pl.Totals.Cost.LessThanOrEqual(sum), "%s: %s over %s of two parts", name, pl.Totals.Cost, sum)
			met = met || pl.Totals.Cost.Equal(sum)
		}
		require.True(t, met || len(pl.Sheets) == 1, name)
		switch len(pl.Sheets) {
		case 1:
			kinds["together"]++
		case n:
			kinds["apart"]++
		default:
			kinds["partly"]++
		}
		for k, product := range pl.Products {
			require.Positive(t, product.Ups, "%s: product %d", name, k)
		}
	}
	for _, k := range []string{"together", "partly"} {
		require.Greater(t, kinds[k], 3, "%v", kinds)
	}
}

// some is a job of some of the products of another.
func some(j *job.Job, mask int) *job.Job {
	c := *j
	c.Products = nil
	for i, p := range j.Products {
		if mask&(1<<i) != 0 {
			c.Products = append(c.Products, p)
		}
	}
	return &c
}

// TestManyProducts puts more products together than every way of sharing can be
// tried for; each is made, and the plan says how it was found.
func TestManyProducts(t *testing.T) {
	j := gangJob(rand.New(rand.NewPCG(2, 9)), 9)
	pl := made(t, j, tinyPlant())
	require.Len(t, pl.Products, 9)
	for _, p := range pl.Products {
		require.Positive(t, p.Ups)
		require.GreaterOrEqual(t, p.OverRun, 0)
	}
	require.Contains(t, strings.Join(pl.Notes, "\n"), "two by two")
	for i := range j.Products {
		apart, _ := Make(some(j, 1<<i), tinyPlant(), Options{})
		require.NotNil(t, apart)
	}
}
