package plant

import (
	"strings"
	"testing"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"

	"quoin/jdf"
	"quoin/jdf/job"
	"quoin/jdf/value"
	"quoin/validate"
)

// given makes a fact without place.
func given[T any](v T) job.Fact[T] { return job.Of(v, jdf.Place{}) }

// pair, shape and box are sizes in millimetres, in the points of tickets.
func pair(w, h float64) job.Fact[value.XYPair] {
	return given(value.XYPair{X: value.FromMM(w).Points(), Y: value.FromMM(h).Points()})
}

func shape(w, h float64) job.Fact[value.Shape] {
	return given(value.Shape{X: value.FromMM(w).Points(), Y: value.FromMM(h).Points()})
}

func box(llx, lly, urx, ury float64) job.Fact[value.Rectangle] {
	pt := func(mm float64) float64 { return value.FromMM(mm).Points() }
	return given(value.Rectangle{LLX: pt(llx), LLY: pt(lly), URX: pt(urx), URY: pt(ury)})
}

// paper is a sheet with its size in millimetres and its grammage.
func paper(w, h, weight float64) *job.Media {
	m := &job.Media{Size: pair(w, h)}
	if weight > 0 {
		m.Weight = given(weight)
	}
	return m
}

// op is an operation on a sheet, for the devices named.
func op(process string, sheet *job.Media, devices ...string) *job.Operation {
	o := &job.Operation{Type: process, Inputs: []*job.Use{{Kind: "Media", Media: sheet}}}
	if sheet == nil {
		o.Inputs = nil
	}
	for _, id := range devices {
		o.Devices = append(o.Devices, &job.Device{ID: given(id)})
	}
	return o
}

func jobOf(ops ...*job.Operation) *job.Job { return &job.Job{Operations: ops} }

// press is a run on a device, changed by some functions.
func press(device string, sheet *job.Media, change ...func(*job.Operation)) *job.Job {
	o := op("ConventionalPrinting", sheet)
	if device == "digital-1" {
		o.Type = "DigitalPrinting"
	}
	if device != "" {
		o.Devices = []*job.Device{{ID: given(device)}}
	}
	for _, f := range change {
		f(o)
	}
	return jobOf(o)
}

func inks(n int) job.Fact[[]string] {
	return given([]string{"Cyan", "Magenta", "Yellow", "Black", "Spot1", "Spot2", "Spot3"}[:n])
}

func withInks(front, back int) func(*job.Operation) {
	return func(o *job.Operation) { o.Front, o.Back = inks(front), inks(back) }
}

func withStyle(style string) func(*job.Operation) {
	return func(o *job.Operation) { o.Printing = &job.Printing{WorkStyle: given(style)} }
}

func withDrying(dry string) func(*job.Operation) {
	return func(o *job.Operation) { o.Printing = &job.Printing{Drying: given(dry)} }
}

func withSpeed(n int64) func(*job.Operation) {
	return func(o *job.Operation) { o.Printing = &job.Printing{Speed: given(decimal.NewFromInt(n))} }
}

func thick(m *job.Media, um float64) *job.Media {
	m.Thickness = given(um)
	return m
}

// printed is a run with one position of that size on its layout.
func printed(j *job.Job, w, h float64) *job.Job {
	j.Layouts = []*job.Layout{{Positions: []job.Position{{Box: box(10, 10, 10+w, 10+h)}}}}
	return j
}

func blocks(boxes ...job.Fact[value.Rectangle]) func(*job.Operation) {
	return func(o *job.Operation) {
		o.Cutting = &job.Cutting{}
		for i, b := range boxes {
			o.Cutting.Blocks = append(o.Cutting.Blocks,
				job.CutBlock{Name: given("B" + string(rune('1'+i))), Box: b})
		}
	}
}

func cut(sheet *job.Media, boxes ...job.Fact[value.Rectangle]) *job.Job {
	o := op("Cutting", sheet)
	blocks(boxes...)(o)
	return jobOf(o)
}

func fold(code string, sheet *job.Media) *job.Job {
	o := op("Folding", sheet)
	o.Folding = &job.Folding{Catalog: given(code)}
	return jobOf(o)
}

// book is a product of so many pages, bound in a way.
func book(binding string, pages int, caliper, w, h float64) *job.Job {
	p := &job.Product{
		Root: true, Pages: given(pages), Size: shape(w, h),
		Binding: job.Binding{Type: given(binding)},
	}
	p.Media.Thickness = given(caliper)
	return &job.Job{Products: []*job.Product{p}}
}

func sheetProduct(change func(*job.Product)) *job.Job {
	p := &job.Product{Root: true, Size: shape(210, 297), Sides: given(job.TwoSided)}
	change(p)
	return &job.Job{Products: []*job.Product{p}}
}

func check(j *job.Job, p *Plant) []validate.Finding {
	r := validate.NewReport(0)
	Check(j, p, r.Add)
	r.Finish()
	return r.Findings
}

func ids(findings []validate.Finding) []string {
	var all []string
	for _, f := range findings {
		all = append(all, strings.TrimPrefix(f.Rule.ID, "plant/"))
	}
	return all
}

// limitCases are pairs of a job that breaks a limit and one that just keeps it.
// The limits are those of the demo plant.
var limitCases = []struct {
	rule       string
	name       string
	bad, good  *job.Job
	badMessage string // in full, for some
}{
	{"sheet-too-large", "0.1 mm over", press("offset-b2", paper(750.1, 530, 0)), press("offset-b2", paper(750, 530, 0)),
		"sheet is 750.1 x 530 mm, too large: offset-b2 takes at most 750 x 530 mm (off by 0.1 mm in width)"},
	{"sheet-too-large", "turned", press("offset-b2", paper(530.1, 750, 0)), press("offset-b2", paper(530, 750, 0)), ""},
	{"sheet-too-large", "both sides",
		press("offset-b2", paper(760, 560, 0)), press("offset-b2", paper(750.04, 530.04, 0)),
		"sheet is 760 x 560 mm, too large: offset-b2 takes at most 750 x 530 mm " +
			"(off by 10 mm in width and 30 mm in height)"},
	{"sheet-too-large", "every press", press("", paper(1050.1, 740, 0)), press("offset-b1", paper(1050, 740, 0)),
		"sheet is 1050.1 x 740 mm, too large: offset-b2 takes at most 750 x 530 mm " +
			"(off by 300.1 mm in width and 210 mm in height); " +
			"offset-b1 takes at most 1050 x 740 mm (off by 0.1 mm in width)"},
	{"sheet-too-small", "0.1 mm under", press("offset-b1", paper(479.9, 340, 0)), press("offset-b1", paper(480, 340, 0)),
		"sheet is 479.9 x 340 mm, too small: offset-b1 takes at least 480 x 340 mm (off by 0.1 mm in width)"},
	{"sheet-too-small", "turned", press("offset-b1", paper(340, 479.9, 0)), press("offset-b1", paper(340, 480, 0)), ""},
	// 1050 - 2 x 6 wide, 740 - 12 - 6 - 6 high, less 3 mm of bleed at each edge.
	{"size-too-large", "one to a sheet", sheetProduct(func(p *job.Product) { p.Size = shape(1032.1, 710) }),
		sheetProduct(func(p *job.Product) { p.Size = shape(710, 1032) }), ""},
	{"print-area", "height", printed(press("offset-b2", paper(640, 450, 0)), 630, 429.1),
		printed(press("offset-b2", paper(640, 450, 0)), 630, 429),
		"printed area is 630 x 429.1 mm, larger than the printable area of the sheet: " +
			"offset-b2 prints 630 x 429 mm of a sheet of 640 x 450 mm (off by 0.1 mm in height)"},
	{"print-area", "gripper at both ends",
		printed(press("offset-b2", paper(640, 450, 0), withStyle("WorkAndTumble")), 630, 429),
		printed(press("offset-b2", paper(640, 450, 0), withStyle("WorkAndTurn")), 630, 429), ""},
	{"stock-too-heavy", "press", press("offset-b2", paper(640, 450, 350.1)), press("offset-b2", paper(640, 450, 350)),
		"stock is 350.1 g/m2, too heavy: offset-b2 takes at most 350 g/m2 (off by 0.1 g/m2)"},
	{"stock-too-heavy", "perfecting", press("offset-b2", paper(640, 450, 201), withStyle("Perfecting")),
		press("offset-b2", paper(640, 450, 200), withStyle("Perfecting")), ""},
	{"stock-too-heavy", "folder", fold("F16-6", paper(640, 450, 151)), fold("F16-6", paper(640, 450, 150)), ""},
	{"stock-too-heavy", "no press takes it", sheetProduct(func(p *job.Product) { p.Media.Weight = given(451.0) }),
		sheetProduct(func(p *job.Product) { p.Media.Weight = given(350.0) }), ""},
	{"stock-too-light", "press", press("offset-b1", paper(640, 450, 79.9)), press("offset-b1", paper(640, 450, 80)), ""},
	{"stock-too-light", "perfecting", press("offset-b2", paper(640, 450, 69), withStyle("Perfecting")),
		press("offset-b2", paper(640, 450, 70), withStyle("Perfecting")), ""},
	{"stock-too-light", "folder", fold("F6-2", paper(640, 450, 69)), fold("F6-2", paper(640, 450, 70)), ""},
	{"stock-too-thick", "press", press("offset-b2", thick(paper(640, 450, 0), 451)),
		press("offset-b2", thick(paper(640, 450, 0), 450)),
		"stock is 0.451 mm, too thick: offset-b2 takes at most 0.45 mm (off by 0.001 mm)"},
	{"stock-too-thin", "press", press("offset-b2", thick(paper(640, 450, 0), 59)),
		press("offset-b2", thick(paper(640, 450, 0), 60)), ""},
	{"more-passes", "offset", press("offset-b2", nil, withInks(5, 0)), press("offset-b2", nil, withInks(4, 4)),
		"front has 5 colours, more than one pass prints: offset-b2 takes at most 4 colours (off by 1 colour)"},
	{"too-many-colors", "digital", press("digital-1", nil, withInks(5, 0)), press("digital-1", nil, withInks(4, 4)), ""},
	{"no-perfecting", "named press", press("offset-b1", nil, withStyle("Perfecting")),
		press("offset-b1", nil, withStyle("WorkAndBack")), "work style is Perfecting: offset-b1 can not perfect"},
	{"perfecting-colors", "3 over 1", press("offset-b2", nil, withStyle("Perfecting"), withInks(3, 1)),
		press("offset-b2", nil, withStyle("Perfecting"), withInks(2, 2)),
		"run is 3 over 1 colours: offset-b2 perfects at most 2 over 2 (off by 1 colour)"},
	{"no-coater", "named press", press("offset-b2", nil, func(o *job.Operation) { o.Varnish = &job.Varnish{} }),
		press("offset-b1", nil, func(o *job.Operation) { o.Varnish = &job.Varnish{} }),
		"coating is varnish: offset-b2 has no coater"},
	{"no-dryer", "UV", press("offset-b2", nil, withDrying("UV")), press("offset-b1", nil, withDrying("UV")),
		"drying is UV: offset-b2 dries with IR only"},
	{"no-dryer", "hot air",
		press("offset-b1", nil, withDrying("Heatset")), press("offset-b1", nil, withDrying("On")), ""},
	{"too-fast", "highest speed",
		press("offset-b2", nil, withSpeed(11001)), press("offset-b2", nil, withSpeed(11000)), ""},
	{"too-fast", "for the stock", press("offset-b2", paper(640, 450, 251), withSpeed(8801)),
		press("offset-b2", paper(640, 450, 250), withSpeed(8801)), ""},
	{"cut-too-wide", "sheet", cut(paper(1150.1, 900, 0)), cut(paper(900, 1150, 0)), ""},
	{"cut-too-small", "block",
		cut(paper(640, 450, 0), box(0, 0, 24.9, 100)), cut(paper(640, 450, 0), box(0, 0, 25, 100)), ""},
	{"block-outside", "right edge", cut(paper(640, 450, 0), box(540.1, 0, 640.1, 100)),
		cut(paper(640, 450, 0), box(540, 0, 640, 100)),
		`block "B1" reaches 0.1 mm in width beyond the 640 x 450 mm that it is cut from`},
	{"block-outside", "below the corner", cut(paper(640, 450, 0), box(0, -1, 100, 100)),
		cut(paper(640, 450, 0), box(0, 0, 100, 450)), ""},
	{"blocks-overlap", "by 0.1 mm", cut(paper(640, 450, 0), box(0, 0, 100, 100), box(99.9, 0, 200, 100)),
		cut(paper(640, 450, 0), box(0, 0, 100, 100), box(100, 0, 200, 100), box(0, 100, 100, 200)), ""},
	{"fold-unknown", "scheme", fold("F16-7", nil), fold("F16-6", nil),
		"fold is F16-7: folder-1 is equipped for F16-6, F4-1, F6-2, F8-2, F8-7"},
	{"fold-unknown", "pages only", fold("F32-X", nil), fold("F16-X", nil), ""},
	{"fold-format", "large", fold("F4-1", paper(1050.1, 740, 0)), fold("F4-1", paper(740, 1050, 0)), ""},
	{"fold-format", "small", fold("F4-1", paper(139.9, 100, 0)), fold("F4-1", paper(100, 140, 0)), ""},
	// Source: a bindery's published article "Sweet Sixteen": pages in multiples of 4, so 78 become 80.
	{"stitch-pages", "no multiple of 4", book("SaddleStitch", 78, 60, 210, 297), book("SaddleStitch", 80, 60, 210, 297),
		"book has 78 pages: stitcher-1 stitches multiples of 4, such as 76 or 80 (off by 2 pages)"},
	{"stitch-pages", "too many", book("SaddleStitch", 132, 60, 210, 297), book("SaddleStitch", 128, 60, 210, 297), ""},
	{"stitch-pages", "too few", book("SaddleStitch", 4, 100, 210, 297), book("SaddleStitch", 8, 100, 210, 297), ""},
	{"stitch-thickness", "thick", book("SaddleStitch", 120, 100.1, 210, 297), book("SaddleStitch", 120, 100, 210, 297),
		"closed book is 6.006 mm: stitcher-1 takes at most 6 mm (off by 0.006 mm)"},
	{"stitch-thickness", "thin", book("SaddleStitch", 8, 49.9, 210, 297), book("SaddleStitch", 8, 60, 210, 297), ""},
	{"trim-format", "wide", book("SaddleStitch", 16, 100, 305.1, 297), book("SaddleStitch", 16, 100, 305, 440), ""},
	{"trim-format", "not turned", book("SaddleStitch", 16, 100, 440, 305), book("SaddleStitch", 16, 100, 305, 440), ""},
	{"trim-format", "binder", book("SoftCover", 160, 100, 99.9, 140), book("SoftCover", 160, 100, 100, 140), ""},
	{"block-thickness", "thick", book("SoftCover", 1002, 100, 210, 297), book("SoftCover", 1000, 100, 210, 297), ""},
	{"block-thickness", "thin", book("SoftCover", 58, 100, 210, 297), book("SoftCover", 60, 100, 210, 297), ""},
	{"sheet-too-large", "die cutter", step1("ShapeCutting", paper(1050.1, 740, 300)),
		step1("ShapeCutting", paper(740, 1050, 300)), ""},
	{"sheet-too-small", "die cutter", step1("ShapeCutting", paper(399.9, 300, 300)),
		step1("ShapeCutting", paper(400, 300, 300)), ""},
	{"stock-too-light", "die cutter", step1("ShapeCutting", paper(500, 400, 149.9)),
		step1("ShapeCutting", paper(500, 400, 150)), ""},
	{"stock-too-heavy", "die cutter", step1("ShapeCutting", paper(500, 400, 600.1)),
		step1("ShapeCutting", paper(500, 400, 600)), ""},
	{"stock-too-thick", "die cutter", step1("ShapeCutting", thick(paper(500, 400, 0), 1001)),
		step1("ShapeCutting", thick(paper(500, 400, 0), 1000)), ""},
	{"stock-too-thin", "die cutter", step1("ShapeCutting", thick(paper(500, 400, 0), 119)),
		step1("ShapeCutting", thick(paper(500, 400, 0), 120)), ""},
	{"film-width", "wide", step1("Laminating", paper(740.1, 900, 200)), step1("Laminating", paper(900, 740, 200)),
		"sheet is 740.1 x 900 mm, and neither side suits the film: laminator-1 takes 297 mm to 740 mm across " +
			"(off by 0.1 mm)"},
	{"film-width", "narrow", step1("Laminating", paper(200, 296.9, 200)), step1("Laminating", paper(200, 297, 200)), ""},
	{"stock-too-light", "film", step1("Laminating", paper(500, 400, 114)), step1("Laminating", paper(500, 400, 115)), ""},
	{"stock-too-heavy", "film", step1("Laminating", paper(500, 400, 451)), step1("Laminating", paper(500, 400, 450)), ""},
	{"two-film-runs", "both sides", filmed("Front Back", "Gloss"), filmed("Front", "Gloss"), ""},
	{"stitch-creep", "20 sheets inside", book("SaddleStitch", 84, 100.1, 210, 297),
		book("SaddleStitch", 84, 100, 210, 297), "creep is 2.002 mm, so that the outer margins of the inner pages " +
			"grow too narrow: stitcher-1 takes at most 2 mm (off by 0.002 mm)"},
	{"cover-weight", "light", covered(169.9), covered(170), ""},
	{"cover-weight", "heavy", covered(350.1), covered(350),
		"cover is 350.1 g/m2: binder-1 takes at most 350 g/m2 (off by 0.1 g/m2)"},
	{"ink-limit", "named press", inked("320.1"), inked("320"),
		"ink coverage is 320.1 %, more than dries: offset-b2 takes at most 320 % (off by 0.1 %)"},
	{"score-first", "grain not known", fold("F4-1", paper(420, 297, 170)), fold("F4-1", paper(420, 297, 169.9)),
		"stock is 170 g/m2, which wants a crease first: folder-1 has no creaser, and the plant creases from 170 g/m2 on"},
	{"score-first", "across the grain", fold("F4-1", grain(paper(420, 297, 150), "LongEdge")),
		fold("F4-1", grain(paper(420, 297, 149.9), "LongEdge")), ""},
	{"score-first", "along the grain", fold("F4-1", grain(paper(420, 297, 170), "ShortEdge")),
		fold("F4-1", grain(paper(420, 297, 169.9), "ShortEdge")), ""},
	{"score-first", "creased", fold("F4-1", paper(420, 297, 200)), creased(fold("F4-1", paper(420, 297, 200))), ""},
	{"fold-against-grain", "edges", fold("F4-1", grain(paper(420, 297, 100), "LongEdge")),
		fold("F4-1", grain(paper(420, 297, 100), "ShortEdge")),
		"fold F4-1 runs across the grain of the sheet, which lies along its width of 420 mm"},
	{"fold-against-grain", "directions", fold("F6-2", grain(paper(630, 297, 100), "XDirection")),
		fold("F6-2", grain(paper(630, 297, 100), "YDirection")), ""},
	{"fold-against-grain", "folds both ways", fold("F16-6", grain(paper(630, 297, 100), "XDirection")),
		fold("F16-6", grain(paper(630, 297, 100), "YDirection")), ""},
	{"drying-time", "offset-b2", dried("offset-b2", "2026-11-25T13:59:00Z"), dried("offset-b2", "2026-11-25T14:00:00Z"),
		"Cutting begins 3 h 59 min after the end of printing: offset-b2 dries 4 h"},
	{"drying-time", "the quickest press", dried("", "2026-11-25T11:59:59Z"), dried("", "2026-11-25T12:00:00Z"), ""},
	{"no-binding", "by hand", book("HardCover", 160, 100, 210, 297), book("None", 160, 100, 210, 297), ""},
	{"unknown-device", "mistyped", press("ofset-b2", paper(640, 450, 135)), press("offset-b2", paper(640, 450, 135)),
		`device "ofset-b2" is not one of Saltmarsh Print Works; want offset-b1, offset-b2`},
	{"wrong-device", "a folder prints",
		press("folder-1", paper(640, 450, 135)), press("offset-b2", paper(640, 450, 135)),
		`device "folder-1" is a folder; ConventionalPrinting needs an offset press`},
	// The B2 press takes no such sheet, and the B1 press can not perfect.
	{"no-device", "each for another reason", press("", paper(1000, 700, 135), withStyle("Perfecting")),
		press("", paper(700, 500, 135), withStyle("Perfecting")), ""},
	{"only-device", "large sheet", press("", paper(1000, 700, 135)), press("", paper(700, 500, 135)),
		"only offset-b1 can do ConventionalPrinting: offset-b2 takes at most 750 x 530 mm " +
			"(off by 250 mm in width and 170 mm in height), and the sheet is 1000 x 700 mm"},
}

func TestLimits(t *testing.T) {
	p := loadDemo(t)
	tried := map[string]bool{}
	for _, c := range limitCases {
		t.Run(c.rule+"/"+c.name, func(t *testing.T) {
			tried["plant/"+c.rule] = true
			found := check(c.bad, p)
			require.Contains(t, ids(found), c.rule)
			for _, f := range found {
				require.NotContains(t, f.Message()+f.Advice(), "{")
				if c.badMessage != "" && f.Rule.ID == "plant/"+c.rule {
					require.Equal(t, c.badMessage, f.Message())
				}
			}
			require.NotContains(t, ids(check(c.good, p)), c.rule)
		})
	}
	for _, r := range checkRules() {
		if r != noFilm { // TestFilmKinds: the demo plant lays all
			require.True(t, tried[r.ID], "%s has no case", r.ID)
		}
	}
}

// A job that keeps all limits has no findings at all.
func TestGoodJob(t *testing.T) {
	j := press("offset-b2", paper(640, 450, 135), withInks(4, 4), withStyle("WorkAndTurn"))
	o := op("Folding", paper(640, 450, 135), "folder-1")
	o.Folding = &job.Folding{Catalog: given("F16-6")}
	j.Operations = append(j.Operations, o)
	require.Empty(t, lines(check(j, loadDemo(t))))
	require.Empty(t, lines(check(&job.Job{}, loadDemo(t))))
}

func TestRules(t *testing.T) {
	seen := map[string]bool{}
	for _, r := range Rules() {
		require.Regexp(t, `^plant/[a-z-]+$`, r.ID)
		require.False(t, seen[r.ID], r.ID)
		seen[r.ID] = true
		require.Equal(t, validate.GroupPlant, r.Group())
		require.NotEmpty(t, r.Say, r.ID)
		require.NotEmpty(t, r.Why, r.ID)
		require.NotEmpty(t, r.Mends, r.ID)
		require.False(t, strings.HasSuffix(r.Say, "."), r.ID)
	}
	require.Greater(t, len(seen), 40)
}
