package plan

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"

	"quoin/jdf/job"
	"quoin/validate/plant"
)

// coverOf gives a book a cover in two colours outside and none inside.
func coverOf(j *job.Job) *job.Job {
	root := j.Products[0]
	body, cover := *root, *root
	body.Type, body.Root, body.Binding = given("Body"), false, job.Binding{}
	cover.Type, cover.Root, cover.Binding, cover.Pages = given("Cover"), false, job.Binding{}, given(4)
	cover.Front.Colors, cover.Back.Colors = given([]string{"Black", "Red"}), given([]string{})
	root.Parts = []*job.Product{&cover, &body}
	return j
}

// everyBook tries every book that the tiny plant can make: each number of
// sections, each stock and press of each part, each sequence of sections, each
// lay of each section. Only the cost of a single form is the planner's.
func everyBook(t *testing.T, j *job.Job, p *plant.Plant) (decimal.Decimal, bool) {
	r := &request{job: j, plant: p, coverage: decimal.NewFromInt(20)}
	require.True(t, r.read())
	s := &search{request: r, count: tally{}, best: map[string]way{}}
	m := p.Stitchers[0]
	var best decimal.Decimal
	found := false
	if s.stitcherTakes(m) != "" {
		return best, false
	}
	groups := map[*part][][]lay{}
	for _, q := range r.parts {
		groups[q] = everyGroup(s, q, q.stocks, s.sectionPieces(q, m.Lap, 0, s.count))
	}
	for k := 1; k <= m.Pockets; k++ {
		op, ok := s.stitchOp(m, k)
		require.True(t, ok)
		wire := s.line(Wire, "", r.stitches*op.In, "stitches", m.WirePrice, 1000)
		parts, fits := everyPart(s, r.parts, groups, k, op.In)
		if !fits {
			continue
		}
		if cost := parts.Add(op.Cost).Add(wire.Cost); !found || cost.LessThan(best) {
			best, found = cost, true
		}
	}
	return best, found
}

// everyGroup is the lays of a part by stock and press.
func everyGroup(s *search, p *part, stocks []*plant.Stock, pieces []piece) (all [][]lay) {
	for _, stock := range stocks {
		for _, press := range s.plant.Presses {
			var lays []lay
			for _, piece := range pieces {
				lays = append(lays, s.lays(piece, stock, press, s.count)...)
			}
			all = append(all, lays)
		}
	}
	return all
}

// everyPart shares k sections among the parts that are left.
func everyPart(
	s *search, parts []*part, groups map[*part][][]lay, k, need int,
) (best decimal.Decimal, found bool) {
	if len(parts) == 0 {
		return best, k == 0
	}
	for n := 1; n <= k; n++ {
		rest, fits := everyPart(s, parts[1:], groups, k-n, need)
		if !fits {
			continue
		}
		for _, lays := range groups[parts[0]] {
			mine, ok := everySequence(s, lays, parts[0].pages, n, need, true)
			if cost := mine.Add(rest); ok && (!found || cost.LessThan(best)) {
				best, found = cost, true
			}
		}
	}
	return best, found
}

// everyGlued tries every perfect-bound book that the tiny plant can make, each
// pair of stocks by itself.
func everyGlued(t *testing.T, j *job.Job, p *plant.Plant) (best decimal.Decimal, found bool) {
	r := &request{job: j, plant: p, coverage: decimal.NewFromInt(20)}
	require.True(t, r.read())
	s := &search{request: r, count: tally{}, best: map[string]way{}}
	m := p.Binders[0]
	if !between(r.page, m.MinTrim, m.MaxTrim) {
		return best, false
	}
	cover, body := r.parts[0], r.parts[1]
	for _, outside := range cover.stocks {
		for _, inside := range body.stocks {
			block := float64(body.pages/2) * inside.Caliper
			if block < m.Thickness.Min || block > m.Thickness.Max || outside.Grammage > m.Cover.Max {
				continue
			}
			spine := plant.Length(math.Round(block)) + plant.Length(math.Round(2*outside.Caliper))
			groups := map[*part][][]lay{
				cover: everyGroup(s, cover, []*plant.Stock{outside}, []piece{s.coverPiece(cover, spine)}),
				body:  everyGroup(s, body, []*plant.Stock{inside}, s.blockPieces(body)),
			}
			for k := 2; k <= m.Stations+1; k++ {
				op, ok := s.bindOp(m, k-1)
				require.True(t, ok)
				parts, fits := everyPart(s, r.parts, groups, k, op.In)
				glue := s.line(Glue, "", op.In, "copies", m.GluePrice, 1000)
				if cost := parts.Add(op.Cost).Add(glue.Cost); fits && (!found || cost.LessThan(best)) {
					best, found = cost, true
				}
			}
		}
	}
	return best, found
}

// everySequence makes the pages out of n sections, one lay after the other.
func everySequence(s *search, lays []lay, pages, n, need int, first bool) (best decimal.Decimal, found bool) {
	if n == 0 {
		return best, pages == 0
	}
	tails := map[int]decimal.Decimal{}
	impossible := map[int]bool{}
	for _, l := range lays {
		left := pages - l.pages()
		if left < 0 || impossible[left] {
			continue
		}
		if _, known := tails[left]; !known {
			tail, ok := everySequence(s, lays, left, n-1, need, false)
			if !ok {
				impossible[left] = true
				continue
			}
			tails[left] = tail
		}
		f, ok := s.make(l, need, first)
		if cost := f.cost.Add(tails[left]); ok && (!found || cost.LessThan(best)) {
			best, found = cost, true
		}
	}
	return best, found
}

// TestBooksBruteForce compares stitched books with every book there is.
func TestBooksBruteForce(t *testing.T) {
	p := tinyPlant()
	p.Stitchers[0].Pockets = 4
	rng := rand.New(rand.NewPCG(5, 9))
	planned := map[bool]int{}
	for range 25 {
		w, h := float64(70+rng.IntN(90)), float64(90+rng.IntN(140))
		pages, quantity := 4*(1+rng.IntN(9)), 1+rng.IntN(4000)
		j := bookJob(w, h, pages, quantity, inkSets[rng.IntN(3)])
		covered := rng.IntN(2) == 0
		if covered {
			j = coverOf(j)
		}
		name := fmt.Sprintf("%v x %v mm, %d pages, %d copies, cover %v", w, h, pages, quantity, covered)
		want, possible := everyBook(t, j, p)
		pl, _ := Make(j, p, Options{})
		require.Equal(t, possible, pl != nil, name)
		if possible {
			require.Equal(t, want.String(), pl.Totals.Cost.String(), name)
			planned[covered]++
		}
	}
	require.NotZero(t, planned[true])
	require.NotZero(t, planned[false])
}

// TestGluedBruteForce compares perfect-bound books with every book there is.
func TestGluedBruteForce(t *testing.T) {
	p := tinyPlant()
	p.Binders[0].Stations = 4
	rng := rand.New(rand.NewPCG(8, 3))
	planned, won := 0, map[string]bool{}
	for range 25 {
		w, h := float64(70+rng.IntN(90)), float64(90+rng.IntN(140))
		pages, quantity := 2*(20+rng.IntN(30)), 1+rng.IntN(2000)
		if rng.IntN(3) > 0 {
			pages, quantity = pages-pages%16, quantity%200+1
		}
		j := coverOf(bookJob(w, h, pages, quantity, inkSets[rng.IntN(3)]))
		j.Products[0].Binding.Type = given(softCover)
		name := fmt.Sprintf("%v x %v mm, %d pages, %d copies", w, h, pages, quantity)
		want, possible := everyGlued(t, j, p)
		pl, _ := Make(j, p, Options{})
		require.Equal(t, possible, pl != nil, name)
		if !possible {
			continue
		}
		require.Equal(t, want.String(), pl.Totals.Cost.String(), name)
		planned++
		for _, s := range pl.Sheets {
			won[fmt.Sprintf("%s %v", s.Fold, s.Leaves > 0)] = true
		}
	}
	require.Greater(t, planned, 10)
	require.True(t, won["F16-6 false"] && won[" true"], "sections and runs of leaves: %v", won)
}
