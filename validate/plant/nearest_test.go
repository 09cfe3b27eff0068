package plant

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/jdf/job"
	"quoin/validate"
)

// What the nearest change is, worked out on the demo plant.
func TestNearestChange(t *testing.T) {
	for _, c := range []struct {
		name string
		job  *job.Job
		want string // at the end of the advice; "" when there is no change that helps
	}{
		{"narrower", press("", paper(1060, 740, 135)), "; 10 mm narrower fits offset-b1"},
		{"less high", press("", paper(1050, 755, 135)), "; 15 mm less high fits offset-b1"},
		{"turned", press("", paper(740, 1060, 135)), "; 10 mm less high fits offset-b1"},
		{"higher", press("", paper(300, 205, 135)), "; 5 mm higher fits offset-b2"},
		// Of 400, 300, 250, …: the nearest that a press takes.
		{"stock", press("", paper(700, 500, 480)), "; 400 instead of 480 g/m2 fits offset-b1"},
		{"style before stock", press("offset-b2", paper(740, 520, 251), withStyle("Perfecting")),
			"; WorkAndBack instead of Perfecting fits offset-b2"},
		{"two at once", press("", paper(1060, 740, 480)), "; 10 mm narrower and 400 instead of 480 g/m2 fits offset-b1"},
		{"style", press("", paper(1000, 700, 135), withStyle("Perfecting")),
			"; WorkAndBack instead of Perfecting fits offset-b1"},
		{"colours", press("digital-1", nil, withInks(6, 0)), "; 2 colours less fits digital-1"},
		{"fold", fold("F16-7", nil), "; F16-6 instead of F16-7 fits folder-1"},
		{"no fold of as many pages", fold("F32-2", nil), ""},
		{"lighter for the fold", fold("F16-6", paper(640, 450, 170)), "; 150 instead of 170 g/m2 fits folder-1"},
		{"pages", book("SaddleStitch", 78, 60, 210, 297), "; 80 instead of 78 pages fits stitcher-1"},
		{"far more pages", book("SaddleStitch", 200, 60, 210, 297), "; 128 instead of 200 pages fits stitcher-1"},
		{"thinner book", book("SaddleStitch", 120, 105, 210, 297), "; 112 instead of 120 pages fits stitcher-1"},
		{"trim", book("SaddleStitch", 16, 100, 310, 297), "; 5 mm narrower fits stitcher-1"},
		{"block", book("SoftCover", 56, 100, 210, 297), "; 60 instead of 56 pages fits binder-1"},
		{"cover", covered(360), "; 300 instead of 360 g/m2 fits binder-1"},
		{"piece", cut(paper(640, 450, 0), box(0, 0, 20, 100)), "; 5 mm larger fits guillotine-1"},
	} {
		t.Run(c.name, func(t *testing.T) {
			found := check(c.job, loadDemo(t))
			require.NotEmpty(t, found)
			for _, f := range found {
				if f.Rule.Severity != validate.Error {
					continue
				}
				if c.want == "" {
					require.NotContains(t, f.Advice(), " fits ")
				} else {
					require.Contains(t, f.Advice(), c.want)
				}
			}
		})
	}
}

// A change that is proposed lets the device that is named take the work, and
// none that is less by a tenth of a millimetre does.
func TestNearestIsEnoughAndNoMore(t *testing.T) {
	p := loadDemo(t)
	tried := 0
	for over := 1; over <= 400; over += 7 {
		for _, high := range []int{700, 740, 741, 900} {
			w, h := float64(1050+over), float64(high)
			c := newChecker(&job.Job{}, p, nil)
			sheet := pairSize(pair(w, h))
			presses := p.pressesOf(Offset)
			say := closest(c, &work{sheet: sheet}, presses, pressLimits())
			s := sheet.Value
			most := Size{1050 * Millimetre, 740 * Millimetre}
			want := tooLarge(s, most)
			require.Equal(t, "; "+described(want)+" fits offset-b1", say, fmt.Sprint(w, h))
			tried++
		}
	}
	require.Greater(t, tried, 200)
}

// described says an excess in the words of a proposal.
func described(over Size) string {
	switch {
	case over.Height <= 0:
		return over.Width.String() + " narrower"
	case over.Width <= 0:
		return over.Height.String() + " less high"
	}
	return over.Width.String() + " narrower and " + over.Height.String() + " less high"
}

// The search equals trying every stock by hand.
func TestNearestStockAgainstAll(t *testing.T) {
	p := loadDemo(t)
	c := newChecker(&job.Job{}, p, nil)
	able := func(w *work) bool {
		for _, l := range folderLimits() {
			if l.rule.Severity == validate.Error && l.test(p.Folders[0], w) != nil {
				return false
			}
		}
		return true
	}
	tried := 0
	for asked := 20; asked < 900; asked += 7 {
		w := &work{grammage: given(float64(asked)), fold: given("F16-6")}
		if able(w) {
			continue
		}
		best, gap := "", 0.0
		for _, s := range p.Stocks {
			other := *w
			other.grammage.Value = s.Grammage
			if d := math.Abs(s.Grammage - float64(asked)); able(&other) && (best == "" || d < gap) {
				best, gap = fmt.Sprintf("; %s instead of %d g/m2 fits folder-1", decimals(s.Grammage), asked), d
			}
		}
		require.NotEmpty(t, best)
		require.Equal(t, best, closest(c, w, p.Folders, folderLimits()), asked)
		tried++
	}
	require.Greater(t, tried, 100)
}

// A search in a plant of many machines and stocks ends soon, and finds the same.
func BenchmarkNearest(b *testing.B) {
	p := *loadDemo(b)
	for i := range 500 {
		s := *p.Stocks[0]
		s.Grammage, s.Caliper = 60+float64(i), 50+float64(i)
		p.Stocks = append(p.Stocks, &s)
	}
	for range 20 {
		p.Presses = append(p.Presses, p.Presses[:3]...)
	}
	j := press("", paper(1060, 755, 600), withStyle("Perfecting"))
	for b.Loop() {
		if len(check(j, &p)) == 0 {
			b.Fatal("no finding")
		}
	}
}
