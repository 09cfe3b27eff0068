package plan

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/validate/plant"
)

// TestSpine: spines of blocks and covers, from caliper and pages.
// Common practice, no source: leaves by caliper, and the cover twice; the glue
// has no thickness of its own here.
func TestSpine(t *testing.T) {
	stock := func(um float64) *plant.Stock { return &plant.Stock{Caliper: um} }
	s := &search{request: &request{parts: []*part{{pages: 4, cover: true}, {pages: 320}}}}
	require.Equal(t, 16*mm, s.block([]*plant.Stock{stock(300), stock(100)}))
	require.Equal(t, "600", leaves(2, stock(300)).String(), "so the spine is 16.6 mm")
	s.parts = []*part{{pages: 4, cover: true}, {pages: 16}, {pages: 192}}
	block := s.block([]*plant.Stock{stock(280), stock(150), stock(90)})
	require.Equal(t, 9840*plant.Micrometre, block, "10.9 mm with 2 x 0.28 of cover and 0.5 of glue")
}

// TestGluedBook: the spine widens the cover, every page lies once, and the parts
// of the spine are ground off.
func TestGluedBook(t *testing.T) {
	pl := made(t, ticket(t, "pilotbook.xjdf"), saltmarsh(t))
	require.Equal(t, Glued, pl.Kind)
	block := 73 * 112 * plant.Micrometre
	require.Equal(t, block+2*230, pl.Spine)
	cover := pl.Sheets[0]
	wide := max(cover.Piece.Width, cover.Piece.Height)
	require.Equal(t, 2*(148+3)*mm+pl.Spine, wide)
	require.Equal(t, "1-2, 149-150", cover.Pages)
	require.Equal(t, "3-18", pl.Sheets[1].Pages)
	last := pl.Operations[len(pl.Operations)-1]
	require.Equal(t, StepBind, last.Step)
	require.Equal(t, len(pl.Sheets)-1, last.Bind.Sections)
	require.Greater(t, pl.Sheets[len(pl.Sheets)-1].PiecePages, 2, "a leaf does not lie at the end")
	for _, s := range pl.Sheets[1:] {
		require.Equal(t, 3*mm, s.GrindOff)
	}
}

// TestGluedLimits: what a binder does not take.
func TestGluedLimits(t *testing.T) {
	for _, c := range []struct {
		change func(*plant.Plant)
		reason string
	}{
		{func(p *plant.Plant) { p.Binders = nil }, "plant has no binder"},
		{func(p *plant.Plant) { p.Binders[0].Thickness.Min = 9000 }, "block thicker or thinner than the binder takes"},
		{func(p *plant.Plant) { p.Binders[0].Cover.Min = 260 }, "cover weight outside what the binder takes"},
		{func(p *plant.Plant) { p.Binders[0].MinTrim = size(200, 200) }, "finished size outside what the binder trims"},
		{func(p *plant.Plant) { p.Binders[0].Stations = 0 }, "binder has fewer stations than the book has parts"},
		{func(p *plant.Plant) { p.Binders[0].Speed = 0 }, "plant states no speed for the binder"},
		{
			func(p *plant.Plant) { p.Binders[0].Stations, p.Presses = 4, p.Presses[:2] },
			"pages do not split into sections for the stations",
		},
	} {
		p := saltmarsh(t)
		c.change(p)
		pl, findings := Make(ticket(t, "pilotbook.xjdf"), p, Options{})
		require.Nil(t, pl, c.reason)
		require.Contains(t, findings[0].Message(), c.reason)
	}
	j := ticket(t, "pilotbook.xjdf")
	j.Products[0].Parts = j.Products[0].Parts[1:]
	_, findings := Make(j, saltmarsh(t), Options{})
	require.Contains(t, findings[0].Message(), "a soft-cover book without a cover and a body")
	j = ticket(t, "pilotbook.xjdf")
	for _, p := range j.Products[0].Parts {
		if !strings.Contains(p.Type.Value, "Cover") {
			p.Pages.Value++
		}
	}
	_, findings = Make(j, saltmarsh(t), Options{})
	require.Contains(t, findings[0].Message(), "has 147 pages; want a multiple of 2 for perfect binding")
}
