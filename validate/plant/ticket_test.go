package plant

import (
	"fmt"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/jdf"
	"quoin/jdf/job"
	"quoin/jdf/value"
	"quoin/testdata/standard"
	"quoin/validate"
)

const xjdfHead = `<XJDF xmlns="http://www.CIP4.org/JDFSchema_2_0" JobID="J" Types="`

// decode reads a ticket.
func decode(t *testing.T, text string) *job.Job {
	t.Helper()
	doc, faults, err := jdf.Read("job.xjdf", strings.NewReader(text), jdf.Limits{})
	require.NoError(t, err)
	require.Empty(t, faults)
	return job.Decode(doc)
}

// set is an input of an XJDF.
func set(name, resources string) string {
	return fmt.Sprintf("<ResourceSet Name=%q Usage=\"Input\">\n%s\n</ResourceSet>\n", name, resources)
}

// A finding points at the attribute in the ticket and at the limit in the plant file.
func TestPlacesOfFindings(t *testing.T) {
	ticket := xjdfHead + `ConventionalPrinting">
` + set("Media", `<Resource><Media MediaType="Paper" Weight="400" Dimension="2040.94 2154.33"/></Resource>`) +
		set("Device", `<Resource><Device DeviceID="offset-b2"/></Resource>`) + `</XJDF>`
	found := check(decode(t, ticket), loadDemo(t))
	require.Equal(t, []string{"stock-too-heavy", "sheet-too-large"}, ids(found), "in the order of the ticket")

	size := found[1]
	require.Equal(t, "/XJDF/ResourceSet[1]/Resource/Media/@Dimension", size.Place.Path())
	require.Equal(t, "2040.94 2154.33", size.Place.Source.Text[size.Place.Start:size.Place.End])
	require.Equal(t, "sheet is 720 x 760 mm, too large: offset-b2 takes at most 750 x 530 mm "+
		"(off by 190 mm in width and 10 mm in height)", size.Message())
	require.Equal(t, "make it smaller by 190 mm in width and 10 mm in height, or name offset-b1 instead", size.Advice())
	require.Len(t, size.Related, 1)
	require.Equal(t, `presses[1] "offset-b2" / max sheet`, size.Related[0].Place.Path())
	require.Equal(t, "the limit of offset-b2", size.Related[0].Say)
}

// Another device is named when it can do all that is asked.
func TestAdviceNamesAnotherDevice(t *testing.T) {
	found := check(press("offset-b2", paper(640, 450, 400)), loadDemo(t))
	require.Equal(t, []string{"stock-too-heavy"}, ids(found))
	require.Equal(t, "take a stock that is 50 g/m2 lighter, or name offset-b1 instead", found[0].Advice())
}

// A device that is named for steps together counts for those that it can do.
func TestDeviceOfCombinedSteps(t *testing.T) {
	ticket := func(types, device string) string {
		named := set("Device", `<Resource><Device DeviceID="`+device+`"/></Resource>`)
		return xjdfHead + types + `">` + named + `</XJDF>`
	}
	p := loadDemo(t)
	require.Empty(t, lines(check(decode(t, ticket("ConventionalPrinting Cutting", "guillotine-1")), p)))
	require.Equal(t, []string{"wrong-device"}, ids(check(decode(t, ticket("ConventionalPrinting", "guillotine-1")), p)))
	require.Equal(t, []string{"unknown-device", "unknown-device"},
		ids(check(decode(t, ticket("ConventionalPrinting Cutting", "x")), p)))
	require.Empty(t, lines(check(decode(t, ticket("ImageSetting ConventionalPrinting", "platesetter")), p)),
		"it may be the device of the step that the plant file does not know")
}

// Both surfaces of a wish, and a coating of each kind.
func TestIntents(t *testing.T) {
	p := loadDemo(t)
	ticket := func(coatings, colors, size string) string {
		return `<XJDF xmlns="http://www.CIP4.org/JDFSchema_2_0" JobID="J" Types="Product"><ProductList>
<Product IsRoot="true" Amount="1000">
<Intent Name="ColorIntent"><ColorIntent>
<SurfaceColor Surface="Front" Coatings="` + coatings + `" ColorsUsed="` + colors + `"/></ColorIntent></Intent>
<Intent Name="LayoutIntent"><LayoutIntent FinishedDimensions="` + size + `" Sides="OneSided"/></Intent>
</Product></ProductList></XJDF>`
	}
	a4 := "595.28 841.89 0"
	for _, c := range []struct {
		coatings, colors, size string
		want                   []string
	}{
		{"None", "Cyan Magenta Yellow Black", a4, nil},
		{"UV", "Cyan Magenta Yellow Black", a4, nil}, // on one press, or beside the others
		{"Aqueous", "Black", a4, []string{"only-device"}},
		{"FullGloss", "Black", a4, nil},
		{"None", "Cyan Magenta Yellow Black Gold", a4, nil},
		{"None", "Cyan Magenta Yellow Black Gold Silver", a4, []string{"more-passes"}},
		{"None", "Black", "1700 2384 0", []string{"only-device"}},
		{"None", "Black", "2384 3370 0", []string{"size-too-large"}},
	} {
		found := check(decode(t, ticket(c.coatings, c.colors, c.size)), p)
		require.Equal(t, c.want, ids(found), "%s, %s, %s", c.coatings, c.colors, c.size)
	}
}

// Only sheets that are printed count as the sheet of a press.
func TestPlatesAreNoSheets(t *testing.T) {
	plate := paper(1030, 790, 0)
	plate.Type = given("Plate")
	require.Empty(t, lines(check(press("offset-b2", plate), loadDemo(t))))
}

// The work style may stand in the layout alone, and each sheet has its own.
func TestWorkStyleOfLayout(t *testing.T) {
	j := press("offset-b1", paper(640, 450, 135))
	perfecting := &job.Layout{Part: job.NewPart("SheetName", "S1"), WorkStyle: given("Perfecting")}
	j.Layouts = []*job.Layout{perfecting}
	require.Equal(t, []string{"no-perfecting"}, ids(check(j, loadDemo(t))))
	j.Layouts = append(j.Layouts, &job.Layout{Part: job.NewPart("SheetName", "S2")})
	require.Empty(t, ids(check(j, loadDemo(t))), "the ticket does not say which sheet it is")
	j.Operations[0].Inputs[0].Part = job.NewPart("SheetName", "S1")
	require.Equal(t, []string{"no-perfecting"}, ids(check(j, loadDemo(t))))
	j.Operations[0].Inputs[0].Part = job.NewPart("SheetName", "S2")
	require.Empty(t, ids(check(j, loadDemo(t))))
}

// A contents box of the whole sheet tells nothing of what is printed; blocks
// that are trimmed off all edges do.
func TestPrintedAreaOfOtherKinds(t *testing.T) {
	p := loadDemo(t)
	j := press("offset-b2", paper(640, 450, 135))
	j.Layouts = []*job.Layout{{Surface: box(0, 0, 640, 450)}}
	require.Empty(t, ids(check(j, p)))
	j.Layouts[0].Surface = box(0, 0, 640, 440)
	require.Equal(t, []string{"print-area"}, ids(check(j, p)))

	j.Layouts = nil
	j.Operations = append(j.Operations, cut(nil, box(10, 2, 630, 448)).Operations...)
	require.Equal(t, []string{"print-area"}, ids(check(j, p)))
	blocks(box(0, 0, 320, 450), box(320, 0, 640, 450))(j.Operations[1])
	require.Empty(t, ids(check(j, p)), "halves of the sheet have its margins")
}

// A plant without machines of a kind, and one with more than a message can name.
func TestNoneAndMany(t *testing.T) {
	found := check(fold("F4-1", nil), &Plant{Name: "Small works"})
	require.Equal(t, []string{"no-device"}, ids(found))
	require.Equal(t, "no folder of Small works can do Folding: it has none", found[0].Message())

	many := &Plant{Name: "Large works"}
	for i := range 12 {
		many.Guillotines = append(many.Guillotines, &Guillotine{
			Machine: Machine{ID: fmt.Sprintf("cut-%02d", i)}, MaxWidth: 500 * Millimetre, MaxDepth: 500 * Millimetre,
		})
	}
	found = check(cut(paper(640, 450, 0)), many)
	require.Equal(t, []string{"cut-too-wide"}, ids(found))
	require.Equal(t, 8, strings.Count(found[0].Message(), "takes at most"))
	require.True(t, strings.HasSuffix(found[0].Message(), " and 4 more"))
}

// Wishes are not held against the machines where an operation tells more.
func TestOperationsComeFirst(t *testing.T) {
	j := sheetProduct(func(p *job.Product) { p.Size = shape(2000, 2000) })
	require.Equal(t, []string{"size-too-large"}, ids(check(j, loadDemo(t))))
	j.Operations = press("offset-b2", paper(640, 450, 135)).Operations
	require.Empty(t, lines(check(j, loadDemo(t))))
}

// Blocks that are cut again are counted in the block that they come from.
func TestNestedBlocks(t *testing.T) {
	ticket := func(right string) string {
		return xjdfHead + `Cutting Cutting">
<ResourceSet CombinedProcessIndex="0" Name="CuttingParams" Usage="Input"><Resource><CuttingParams>
<CutBlock BlockName="A" Box="0 0 400 600"/><CutBlock BlockName="B" Box="400 0 1200 600"/>
</CuttingParams></Resource></ResourceSet>
<ResourceSet CombinedProcessIndex="1" Name="CuttingParams" Usage="Input">
<Resource><Part BlockName="A"/><CuttingParams><CutBlock BlockName="A1" Box="0 0 400 300"/></CuttingParams></Resource>
<Resource><Part BlockName="B"/><CuttingParams><CutBlock BlockName="B1" Box="` + right + `"/></CuttingParams></Resource>
</ResourceSet>` + set("Component", `<Resource><Component Dimensions="1200 600 0"/></Resource>`) + `</XJDF>`
	}
	p := loadDemo(t)
	require.Empty(t, lines(check(decode(t, ticket("0 0 800 300")), p)))
	found := check(decode(t, ticket("0 0 801 300")), p)
	require.Equal(t, []string{"block-outside"}, ids(found))
	require.Equal(t, `block "B1" reaches 0.35 mm in width beyond the 282.22 x 211.67 mm that it is cut from`,
		found[0].Message())
}

// Blocks of several sheets under one operation do not overlap.
func TestBlocksOfSeveralSheets(t *testing.T) {
	block := `<CuttingParams><CutBlock BlockName="B" Box="0 0 400 600"/></CuttingParams></Resource>`
	ticket := xjdfHead + `Cutting">` + set("CuttingParams",
		`<Resource><Part SheetName="S1"/>`+block+`<Resource><Part SheetName="S2"/>`+block) + `</XJDF>`
	require.Empty(t, lines(check(decode(t, ticket), loadDemo(t))))
	same := strings.Replace(ticket, "S2", "S1", 1)
	require.Equal(t, []string{"blocks-overlap"}, ids(check(decode(t, same), loadDemo(t))))
}

// The sweep finds overlaps as comparing each with each does: a block overlaps
// some other if and only if one of the two is reported.
func TestOverlapsAgainstAllPairs(t *testing.T) {
	p := loadDemo(t)
	seed := uint32(1)
	next := func(n int) float64 {
		seed = seed*1664525 + 1013904223
		return float64(int(seed>>8) % n)
	}
	clean, dirty := 0, 0
	for range 2000 {
		var rects [][4]float64
		for range 2 + int(next(4)) {
			x, y := 40*next(8), 40*next(8)
			rects = append(rects, [4]float64{x, y, x + 40*(1+next(2)), y + 40*(1+next(2))})
		}
		overlap := false
		var facts []job.Fact[value.Rectangle]
		for i, a := range rects {
			facts = append(facts, box(a[0], a[1], a[2], a[3]))
			for _, b := range rects[i+1:] {
				overlap = overlap || a[0] < b[2] && b[0] < a[2] && a[1] < b[3] && b[1] < a[3]
			}
		}
		found := strings.Contains(strings.Join(ids(check(cut(nil, facts...), p)), " "), "blocks-overlap")
		require.Equal(t, overlap, found, "%v", rects)
		if overlap {
			dirty++
		} else {
			clean++
		}
	}
	require.Greater(t, clean, 100)
	require.Greater(t, dirty, 100)
}

// What the demo plant finds in the published samples, which are of other plants.
// Source: the samples of the published release of the standard.
func TestSamples(t *testing.T) {
	p := loadDemo(t)
	base := standard.Dir(t)
	var out strings.Builder
	for _, file := range standard.Samples(t) {
		doc, _, err := jdf.ReadFile(file, jdf.Limits{})
		require.NoError(t, err)
		name, err := filepath.Rel(base, file)
		require.NoError(t, err)
		for _, f := range check(job.Decode(doc), p) {
			require.NotContains(t, f.Message()+f.Advice(), "{")
			require.True(t, f.Place.Known(), "%s: %s", name, f.Message())
			fmt.Fprintf(&out, "%s %s %s\n", f.Rule.ID, filepath.ToSlash(name), f.Place.Path())
		}
	}
	require.NotEmpty(t, out.String())
	golden(t, "testdata/samples.golden", out.String())
}

// Checks of a job do not disturb each other.
func TestCheckIsConcurrent(t *testing.T) {
	p := loadDemo(t)
	done := make(chan []validate.Finding)
	for range 4 {
		go func() { done <- check(press("", paper(1000, 700, 135)), p) }()
	}
	for range 4 {
		require.Equal(t, []string{"only-device"}, ids(<-done))
	}
}

func BenchmarkCheck(b *testing.B) {
	p := loadDemo(b)
	j := press("offset-b2", paper(640, 450, 135), withInks(4, 4), withStyle("WorkAndTurn"))
	for b.Loop() {
		check(j, p)
	}
}

// A sheet of 10,000 blocks that touch each other.
func BenchmarkBlocks(b *testing.B) {
	p := loadDemo(b)
	var all []job.Fact[value.Rectangle]
	for i := range 10_000 {
		x, y := float64(i%100)*30, float64(i/100)*30
		all = append(all, box(x, y, x+30, y+30))
	}
	j := cut(nil, all...)
	for b.Loop() {
		if found := check(j, p); len(found) != 0 {
			b.Fatal(lines(found))
		}
	}
}
