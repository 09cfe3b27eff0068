package plant

import (
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/jdf/job"
	"quoin/jdf/value"
)

// What is saddle-stitched is printed as spreads, across the spine.
func TestOpenSize(t *testing.T) {
	c := newChecker(&job.Job{}, loadDemo(t), nil)
	open := func(j *job.Job, change ...func(*job.Product)) string {
		for _, f := range change {
			f(j.Products[0])
		}
		return c.openSize(j.Products[0]).Value.String()
	}
	side := func(s string) func(*job.Product) {
		return func(p *job.Product) { p.Binding.Side = given(s) }
	}
	require.Equal(t, "426 x 303 mm", open(book("SaddleStitch", 16, 100, 210, 297)))
	require.Equal(t, "216 x 600 mm", open(book("SaddleStitch", 16, 100, 210, 297), side("Top")))
	require.Equal(t, "216 x 303 mm", open(book("SoftCover", 160, 100, 210, 297)), "leaves are glued one by one")
	require.Equal(t, "220 x 307 mm", open(book("SoftCover", 160, 100, 210, 297), func(p *job.Product) {
		p.Bleed = given(value.FromMM(5))
	}))
	require.Equal(t, "406 x 303 mm", open(book("SaddleStitch", 16, 100, 210, 297), func(p *job.Product) {
		p.Flat = pair(400, 297)
	}), "the ticket's own flat size stands")
}

// The spine of a calendar runs along its width.
func TestTrimAtTheTop(t *testing.T) {
	j := book("SaddleStitch", 16, 100, 440, 305)
	require.Contains(t, ids(check(j, loadDemo(t))), "trim-format")
	j.Products[0].Binding.Side = given("Top")
	require.NotContains(t, ids(check(j, loadDemo(t))), "trim-format")
}

// Either side of the sheet may be the one that the first units print.
func TestPerfectingEitherWay(t *testing.T) {
	p := loadDemo(t)
	b2 := *p.Presses[0]
	b2.Perfecting = &Perfecting{Front: 3, Back: 1, Grammage: b2.Perfecting.Grammage}
	w := &work{style: given("Perfecting"), front: inks(1), back: inks(3)}
	require.Nil(t, perfectingMiss(&b2, w))
	w.back = inks(4)
	require.NotNil(t, perfectingMiss(&b2, w))
}

// The coating asked for comes before the thinnest, whatever the order of the stocks.
func TestCaliperOfCoating(t *testing.T) {
	p := &Plant{Stocks: []*Stock{
		{Grammage: 90, Caliper: 112, Coating: "none"}, {Grammage: 90, Caliper: 68, Coating: "gloss"},
	}}
	got, _ := p.caliper(job.Stock{Weight: given(90.0), FrontCoating: given("None")})
	require.Equal(t, 112.0, got)
}

// A UV coating takes a coater for it and lamps; a press without coater is told of that alone.
func TestCoatingUV(t *testing.T) {
	p := *loadDemo(t)
	coated := sheetProduct(func(product *job.Product) { product.Front.Coatings = given([]string{"UV"}) })
	b1 := *p.Presses[1]
	b1.Dryers = []string{"IR"}
	p.Presses, p.Coaters = []*Press{&b1}, nil
	require.Equal(t, []string{"no-dryer"}, ids(check(coated, &p)))
	b1.Dryers, b1.Coatings = []string{"UV"}, []string{"aqueous"}
	require.Equal(t, []string{"no-coater"}, ids(check(coated, &p)))
	b1.Dryers, b1.Coatings = nil, nil
	require.Equal(t, []string{"no-coater"}, ids(check(coated, &p)))
}

// A machine of the plant that does none of the steps is wrong, also beside a step that is not known.
func TestWrongDeviceBesideUnknownStep(t *testing.T) {
	j := press("folder-1", paper(640, 450, 135))
	j.Operations = append(j.Operations, &job.Operation{Type: "ImageSetting", Devices: j.Operations[0].Devices})
	require.Equal(t, []string{"wrong-device"}, ids(check(j, loadDemo(t))))
}
