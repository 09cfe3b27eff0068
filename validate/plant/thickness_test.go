package plant

import (
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/jdf/job"
)

// Closed thickness of a stitched book and block of a glued one: pages / 2 x caliper.
func TestThickness(t *testing.T) {
	p := loadDemo(t)
	c := newChecker(&job.Job{}, p, nil)
	for _, v := range []struct {
		pages   int
		caliper float64
		want    float64 // micrometres
	}{
		// Common practice, no source; worked by hand.
		{64, 120, 3840},
		{320, 100, 16000},
		// Common practice, no source: at 512 pages an inch, 320 pages are 0.625 in = 15.875 mm.
		{320, 25400.0 * 2 / 512, 15875},
		// Common practice, no source. The last leaf of an odd count has a blank back.
		{7, 100, 400},
	} {
		product := book("SoftCover", v.pages, v.caliper, 148, 210).Products[0]
		require.InDelta(t, v.want, c.bindingWork(product, true).thickness.Value, 1e-6)
	}
}

// Common practice, no source; worked by hand: 16 pages of 0.15 mm and 192 of 0.09 mm with two leaves
// of 0.28 mm cover are 10.4 mm, glue apart.
func TestThicknessOfParts(t *testing.T) {
	part := func(kind string, pages int, caliper float64) *job.Product {
		p := book("", pages, caliper, 148, 210).Products[0]
		p.Binding.Type, p.Type = job.Fact[string]{}, given(kind)
		return p
	}
	whole := &job.Product{Root: true, Binding: job.Binding{Type: given("SoftCover")}, Parts: []*job.Product{
		part("Cover", 4, 280), part("Body", 16, 150), part("Body", 192, 90),
	}}
	j := &job.Job{Products: append([]*job.Product{whole}, whole.Parts...)}
	c := newChecker(j, loadDemo(t), nil)
	w := c.bindingWork(whole, false)
	require.Equal(t, 212.0, w.pages.Value)
	require.InDelta(t, 10400, w.thickness.Value, 1e-6)
	require.InDelta(t, 9840, c.bindingWork(whole, true).thickness.Value, 1e-6, "the block has no cover")
	require.Equal(t, "148 x 210 mm", w.trim.Value.String())

	whole.Parts[1].Media.Thickness = job.Fact[float64]{}
	w = newChecker(j, loadDemo(t), nil).bindingWork(whole, false)
	require.False(t, w.thickness.Given, "a sum with an unknown part is not known")
	require.True(t, w.pages.Given)
}

// A product that holds itself comes to an end.
func TestProductsInARing(t *testing.T) {
	a := book("SaddleStitch", 16, 100, 148, 210).Products[0]
	b := &job.Product{Parts: []*job.Product{a}}
	a.Parts = []*job.Product{b}
	require.NotPanics(t, func() { check(&job.Job{Products: []*job.Product{a, b}}, loadDemo(t)) })
}

// The caliper of a stock: the ticket's own, else that of a stock of the plant.
func TestCaliper(t *testing.T) {
	p := loadDemo(t)
	weight := func(g float64, coating string) job.Stock {
		s := job.Stock{Weight: given(g)}
		if coating != "" {
			s.FrontCoating = given(coating)
		}
		return s
	}
	for _, c := range []struct {
		stock job.Stock
		want  float64
	}{
		{job.Stock{Thickness: given(97.75)}, 97.75},
		{weight(90, "Gloss"), 68},
		{weight(90, "None"), 112},
		{weight(90, ""), 68}, // the thinnest
		{weight(135, "Matte"), 121},
		{weight(135, "HighGloss"), 104},
		{weight(400, ""), 560},
		{weight(137, ""), 0},
		{job.Stock{}, 0},
	} {
		got, ok := p.caliper(c.stock)
		require.Equal(t, c.want, got)
		require.Equal(t, c.want > 0, ok)
	}
}

// The demo's calipers have a bulk that its coating can have.
// From memory: gloss coated 0.70-0.85 cm3/g, silk 0.85-1.00, uncoated offset 1.15-1.30, folding board 1.2-1.6.
func TestDemoBulk(t *testing.T) {
	for _, s := range loadDemo(t).Stocks {
		bulk := s.Caliper / s.Grammage
		least, most := 0.70, 0.85
		switch {
		case s.Grammage >= 400:
			least, most = 1.2, 1.6
		case s.Coating == "silk":
			least, most = 0.85, 1.00
		case s.Coating == "none":
			least, most = 1.15, 1.30
		}
		require.True(t, bulk >= least && bulk <= most, "%s has a bulk of %.2f", s.ID, bulk)
	}
}
