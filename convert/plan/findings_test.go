package plan

import (
	"fmt"
	"strings"
	"testing"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"

	"quoin/jdf/job"
	"quoin/jdf/value"
	"quoin/validate"
	"quoin/validate/plant"
)

const flatTicket = `<XJDF xmlns="http://www.CIP4.org/JDFSchema_2_0" Version="2.2"
JobID="T" Types="Product"><ProductList>
<Product Amount="500" IsRoot="true" DescriptiveName="Notice">
<Intent Name="LayoutIntent"><LayoutIntent FinishedDimensions="419.528 595.276 0" Pages="2"
Sides="TwoSidedHeadToHead"/></Intent>
<Intent Name="MediaIntent"><MediaIntent MediaType="Paper" Weight="100"/></Intent>
<Intent Name="ColorIntent"><ColorIntent><SurfaceColor Surface="Front" ColorsUsed="Black"/>
<SurfaceColor Surface="Back" ColorsUsed="Black"/></ColorIntent></Intent>
</Product></ProductList></XJDF>`

const binding = `<Intent Name="BindingIntent"><BindingIntent BindingType="SaddleStitch"/></Intent></Product>`

// broken breaks a ticket that can be planned, one fact at a time.
var broken = []struct {
	name     string
	old, new string
	want     string // id line:column path
	say      string
}{
	{
		"no amount", ` Amount="500"`, ``, "process/amount-missing 3:2 /XJDF/ProductList/Product",
		`product "Notice" has no amount`,
	},
	{
		"amount zero", `Amount="500"`, `Amount="0"`, "process/amount-unusable 3:18 /XJDF/ProductList/Product/@Amount",
		`product "Notice" has the amount "0"; want a number from 1 to 10000000`,
	},
	{
		"no size", ` FinishedDimensions="419.528 595.276 0"`, ``, "process/size-missing 3:2 /XJDF/ProductList/Product",
		`product "Notice" has no finished size that can be laid on a sheet`,
	},
	{
		"size zero", `419.528 595.276 0`, `0 595.276 0`,
		"process/size-missing 4:63 /XJDF/ProductList/Product/Intent[1]/LayoutIntent/@FinishedDimensions",
		`product "Notice" has no finished size that can be laid on a sheet`,
	},
	{
		"no weight", ` Weight="100"`, ``, "process/stock-missing 6:29 /XJDF/ProductList/Product/Intent[2]/MediaIntent",
		`product "Notice" has no stock weight`,
	},
	{
		"weight not held", `Weight="100"`, `Weight="90" Coating="Gloss"`,
		"plant/no-stock 6:67 /XJDF/ProductList/Product/Intent[2]/MediaIntent/@Weight",
		`no stock of plant "Tiny" is 90 g/m2 gloss; it has 100 g/m2`,
	},
	{
		"too large", `419.528 595.276 0`, `2000 3000 0`, "plant/no-plan 3:2 /XJDF/ProductList/Product",
		`plant "Tiny" has no way of making product "Notice": piece larger than the printable area (`,
	},
	{
		"glued", `</Product>`, strings.Replace(binding, "SaddleStitch", "HardCover", 1),
		"plant/work-not-planned 9:58 /XJDF/ProductList/Product/Intent[4]/BindingIntent/@BindingType",
		"binding HardCover can not be planned; flat, folded and die-cut sheets, saddle-stitched and perfect-bound books can",
	},
	{
		"pages", `Pages="2"`, `Pages="78"`,
		"process/pages-not-multiple 4:89 /XJDF/ProductList/Product/Intent[1]/LayoutIntent/@Pages",
		`product "Notice" has 78 pages; want a multiple of 4 for saddle stitching`,
	},
	{
		"no pages", ` Pages="2"`, ``, "process/pages-missing 3:2 /XJDF/ProductList/Product",
		`product "Notice" has no number of pages`,
	},
	{
		"two products", `</ProductList>`, `<Product IsRoot="true"/></ProductList>`,
		"process/amount-missing 9:12 /XJDF/ProductList/Product[2]", `product "product" has no amount`,
	},
	{
		"no product", `ProductList>`, `Other>`, "process/nothing-printed 1:2 /XJDF",
		"the ticket describes no product and no step of work",
	},
	{
		"no printing", `Types="Product"`, `Types="Folding Stitching"`, "process/nothing-printed 1:2 /XJDF",
		"the ticket describes no product and prints nothing; it is for Folding, Stitching",
	},
	{
		"versions", `</Product>`, `<Intent Name="VariableIntent"><VariableIntent ChildRefs="A B"/></Intent></Product>`,
		"plant/work-not-planned 9:58 /XJDF/ProductList/Product/Intent[4]/VariableIntent/@ChildRefs",
		"a product of several versions can not be planned",
	},
	{
		"quality", `Weight="100"`, `MediaQuality="IVORY"`,
		"process/quality-unknown 6:73 /XJDF/ProductList/Product/Intent[2]/MediaIntent/@MediaQuality",
		`product "Notice" names its paper "IVORY" and no weight; no stock of plant "Tiny" goes by that name`,
	},
	{
		"lamination", `</Product>`, `<Intent Name="LaminatingIntent"><LaminatingIntent Surface="Front"/></Intent></Product>`,
		"plant/no-plan 9:60 /XJDF/ProductList/Product/Intent[4]/LaminatingIntent/@Surface",
		`plant "Tiny" has no way of making product "Notice": plant has no laminator`,
	},
	{
		"die", `</Product>`, `<Intent Name="ShapeCuttingIntent"/></Product>`,
		"plant/no-plan 9:15 /XJDF/ProductList/Product/Intent[4]/@Name",
		`plant "Tiny" has no way of making product "Notice": plant has no die cutter`,
	},
	{
		"die by operation", `Types="Product"`, `Types="Product ShapeCutting"`, "plant/no-plan 2:18 /XJDF/@Types",
		`plant "Tiny" has no way of making product "Notice": plant has no die cutter`,
	},
	{
		"UV", "ColorsUsed=\"Black\"/>\n<S", "ColorsUsed=\"Black\" Coatings=\"UV\"/>\n<S",
		"plant/no-plan 3:2 /XJDF/ProductList/Product",
		`plant "Tiny" has no way of making product "Notice": press can not lay the coating (`,
	},
	{
		"holes", `</Product>`, `<Intent Name="HoleMakingIntent"/></Product>`,
		"plant/work-not-planned 9:15 /XJDF/ProductList/Product/Intent[4]/@Name",
		"HoleMakingIntent can not be planned; flat, folded and die-cut sheets, saddle-stitched and perfect-bound books can",
	},
	{
		"foil", `MediaType="Paper"`, `MediaType="Foil"`,
		"plant/work-not-planned 6:52 /XJDF/ProductList/Product/Intent[2]/MediaIntent/@MediaType",
		"printing on Foil can not be planned; flat, folded and die-cut sheets, saddle-stitched and perfect-bound books can",
	},
	{
		"blank", `ColorsUsed="Black"`, `ColorsUsed="None"`,
		"plant/work-not-planned 3:2 /XJDF/ProductList/Product",
		"a part that is not printed can not be planned; flat, folded and die-cut sheets, saddle-stitched and perfect-bound books can",
	},
	{
		"spot", "ColorsUsed=\"Black\"/>\n<S", "ColorsUsed=\"Black\" Coatings=\"SpotGloss\"/>\n<S",
		"plant/work-not-planned 7:100 /XJDF/ProductList/Product/Intent[3]/ColorIntent/SurfaceColor[1]/@Coatings",
		"coating SpotGloss can not be planned; flat, folded and die-cut sheets, saddle-stitched and perfect-bound books can",
	},
	{
		"operation", `Types="Product"`, `Types="Product Embossing"`, "plant/work-not-planned 2:18 /XJDF/@Types",
		"operation Embossing can not be planned; flat, folded and die-cut sheets, saddle-stitched and perfect-bound books can",
	},
}

// TestFindings finds what was broken, at its place.
func TestFindings(t *testing.T) {
	for _, c := range broken {
		t.Run(c.name, func(t *testing.T) {
			require.Contains(t, flatTicket, c.old)
			text := strings.Replace(flatTicket, c.old, c.new, 1)
			if c.name == "no product" || c.name == "no printing" {
				text = strings.ReplaceAll(text, `ProductList>`, `Other>`)
			}
			if c.name == "blank" {
				text = strings.ReplaceAll(flatTicket, c.old, c.new)
			}
			if strings.Contains(c.name, "pages") {
				text = strings.Replace(text, "</Product>", binding, 1)
			}
			pl, findings := Make(inline(t, text), tinyPlant(), Options{})
			require.Nil(t, pl)
			if c.name == "two products" {
				// All that the second lacks is told at once: amount, size and stock.
				require.Len(t, findings, 3)
			} else {
				require.Len(t, findings, 1)
			}
			f := findings[0]
			pos := f.Place.Pos()
			require.Equal(t, c.want, fmt.Sprintf("%s %d:%d %s", f.Rule.ID, pos.Line, pos.Column, f.Place.Path()))
			require.True(t, strings.HasPrefix(f.Message(), c.say), f.Message())
			require.NotContains(t, f.Message()+f.Advice(), "{")
			require.NotEmpty(t, f.Advice())
		})
	}
	pl, findings := Make(inline(t, flatTicket), tinyPlant(), Options{})
	require.Empty(t, findings)
	require.NotNil(t, pl)
}

// TestColorsAssumed: a ticket without colours is planned, with a warning.
func TestColorsAssumed(t *testing.T) {
	text := strings.Replace(flatTicket, ` ColorsUsed="Black"`, "", 2)
	pl, findings := Make(inline(t, text), tinyPlant(), Options{})
	require.Len(t, findings, 1)
	require.Equal(t, "process/colors-missing", findings[0].Rule.ID)
	require.Equal(t, processColors, pl.Sheets[0].Front)
	require.Equal(t, processColors, pl.Sheets[0].Back)
	require.Contains(t, strings.Join(pl.Notes, "\n"), "no colours")
}

func TestRules(t *testing.T) {
	seen := map[string]bool{}
	for _, r := range Rules() {
		require.False(t, seen[r.ID], r.ID)
		seen[r.ID] = true
		require.Contains(t, validate.Groups(), r.Group())
		require.NotEmpty(t, r.Do+r.Why)
		require.NotZero(t, r.Severity)
		require.False(t, strings.HasSuffix(r.Say, "."), r.ID)
	}
	require.Len(t, seen, 12)
}

// withPress adds a press operation to a job.
func withPress(j *job.Job, kind string, change func(*job.Operation)) *job.Job {
	op := &job.Operation{Type: kind, Printing: &job.Printing{}}
	change(op)
	j.Operations = append(j.Operations, op)
	return j
}

// TestConstraints: what the ticket fixes is kept, also where it costs more.
func TestConstraints(t *testing.T) {
	four := []string{"Cyan", "Magenta", "Yellow", "Black"}
	flat := func() *job.Job { return flatJob(148, 210, 8000, four, four) }
	p := tinyPlant()
	free := made(t, flat(), p)
	for _, s := range []Style{WorkAndBack, WorkAndTurn, WorkAndTumble} {
		pl := made(t, withPress(flat(), "ConventionalPrinting", func(op *job.Operation) {
			op.Printing.WorkStyle = given(string(s))
		}), p)
		require.Equal(t, s, pl.Sheets[0].Style)
		require.True(t, pl.Totals.Cost.GreaterThanOrEqual(free.Totals.Cost))
	}
	t.Run("process", func(t *testing.T) {
		pl := made(t, withPress(flat(), "DigitalPrinting", func(*job.Operation) {}), p)
		require.Equal(t, "digital", pl.Sheets[0].Press)
	})
	t.Run("device", func(t *testing.T) {
		pl := made(t, withPress(flatJob(148, 210, 50, four, four), "ConventionalPrinting", func(op *job.Operation) {
			op.Devices = []*job.Device{{ID: given("offset")}}
		}), p)
		require.Equal(t, "offset", pl.Sheets[0].Press)
		none, findings := Make(withPress(flat(), "ConventionalPrinting", func(op *job.Operation) {
			op.Devices = []*job.Device{{ID: given("elsewhere")}}
		}), p, Options{})
		require.Nil(t, none)
		require.Contains(t, findings[0].Message(), "ticket names another press")
	})
	t.Run("sheet", func(t *testing.T) {
		for _, want := range []plant.Size{size(450, 640), size(450, 320), size(225, 320)} {
			pl := made(t, withPress(flat(), "ConventionalPrinting", func(op *job.Operation) {
				m := &job.Media{Size: given(value.XYPair{X: want.Width.Ticket().Points(), Y: want.Height.Ticket().Points()})}
				m.Type = given("Paper")
				op.Inputs = []*job.Use{{Media: m}}
			}), p)
			got := plant.Size(pl.Sheets[0].Size)
			require.True(t, got == want || got == want.Turned(), "%s", got)
		}
	})
	t.Run("fold", func(t *testing.T) {
		for _, code := range []string{"F8-7", "F8-X"} {
			j := bookJob(148, 210, 32, 3000, four)
			j.Operations = []*job.Operation{{Type: "Folding", Folding: &job.Folding{Catalog: given(code)}}}
			for _, s := range made(t, j, p).Sheets {
				require.Equal(t, "F8-7", s.Fold)
			}
		}
	})
}

// TestFolded: the open size follows from the fold, or the fold from the open size.
func TestFolded(t *testing.T) {
	p := tinyPlant()
	j := flatJob(99, 210, 2000, []string{"Black"}, []string{"Black"})
	j.Products[0].Fold = given("F6-2")
	byCode := made(t, j, p)
	require.Equal(t, "F6-2", byCode.Sheets[0].Fold)
	require.ElementsMatch(t, []plant.Length{297 * mm, 210 * mm},
		[]plant.Length{byCode.Sheets[0].Piece.Width, byCode.Sheets[0].Piece.Height})
	j = flatJob(99, 210, 2000, []string{"Black"}, []string{"Black"})
	j.Products[0].Flat = given(value.XYPair{X: value.FromMM(297).Points(), Y: value.FromMM(210).Points()})
	require.Equal(t, "F6-2", made(t, j, p).Sheets[0].Fold)
	j.Products[0].Flat = given(value.XYPair{X: value.FromMM(500).Points(), Y: value.FromMM(210).Points()})
	none, findings := Make(j, p, Options{})
	require.Nil(t, none)
	require.Contains(t, findings[0].Message(), "fold is not the one wanted")
}

// TestLimits: the boundaries of stitching.
func TestLimits(t *testing.T) {
	p := tinyPlant()
	black := []string{"Black"}
	for _, c := range []struct {
		pages  int
		reason string
	}{
		{4, "number of pages outside what the stitcher takes"},
		{8, ""},
		{96, ""},
		{100, "number of pages outside what the stitcher takes"},
	} {
		pl, findings := Make(bookJob(105, 148, c.pages, 500, black), p, Options{})
		if c.reason == "" {
			require.NotNil(t, pl, "%d pages", c.pages)
			continue
		}
		require.Nil(t, pl, "%d pages", c.pages)
		require.Contains(t, findings[0].Message(), c.reason)
	}
	p.Stitchers[0].Thickness.Max = 2000 // 40 leaves of 97.75 are 3910 um
	pl, findings := Make(bookJob(105, 148, 80, 500, black), p, Options{})
	require.Nil(t, pl)
	require.Contains(t, findings[0].Message(), "book thicker or thinner than the stitcher takes")
	p = tinyPlant()
	p.Stitchers[0].Pockets = 2
	_, findings = Make(bookJob(105, 148, 96, 500, black), p, Options{})
	require.Contains(t, findings[0].Message(), "pages do not split into sections for the pockets of the stitcher")
}

// TestBackOnly: a sheet printed on its back alone is printed on one side, with
// the colours and the coating of the back.
func TestBackOnly(t *testing.T) {
	j := flatJob(148, 210, 5000, nil, []string{"Black", "Red"})
	j.Products[0].Media.Weight = given(135.0)
	j.Products[0].Sides = given(job.OneSidedBack)
	j.Products[0].Back.Coatings = given([]string{"FullGloss"})
	s := made(t, j, saltmarsh(t)).Sheets[0]
	require.Equal(t, Simplex, s.Style)
	require.Equal(t, []string{"Black", "Red"}, s.Front)
	require.Empty(t, s.Back)
	require.Equal(t, "aqueous", s.CoatFront)
}

// TestNothingToWorkWith: a plant without machines answers, and says what it lacks.
func TestNothingToWorkWith(t *testing.T) {
	black := []string{"Black"}
	p := tinyPlant()
	p.Guillotines = nil
	_, findings := Make(flatJob(100, 100, 10, black, nil), p, Options{})
	require.Contains(t, findings[0].Message(), "plant has no guillotine")
	p = tinyPlant()
	p.Folders = nil
	_, findings = Make(bookJob(100, 100, 8, 10, black), p, Options{})
	require.Contains(t, findings[0].Message(), "plant has no folder")
	p = tinyPlant()
	p.Stitchers = nil
	_, findings = Make(bookJob(100, 100, 8, 10, black), p, Options{})
	require.Contains(t, findings[0].Message(), "plant has no stitcher")
	p = tinyPlant()
	p.Presses = nil
	_, findings = Make(flatJob(100, 100, 10, black, nil), p, Options{})
	require.Contains(t, findings[0].Message(), "it has no press")
	_, findings = Make(flatJob(100, 100, 10, black, nil), &plant.Plant{Name: "Empty"}, Options{})
	require.Equal(t, "plant/no-stock", findings[0].Rule.ID)
	_, findings = Make(&job.Job{}, p, Options{})
	require.Equal(t, "process/nothing-printed", findings[0].Rule.ID)
}

// TestCoating goes to the press with the coater, and pays for it.
func TestCoating(t *testing.T) {
	p := saltmarsh(t)
	j := flatJob(148, 210, 5000, []string{"Black"}, []string{"Black"})
	j.Products[0].Media.Weight = given(135.0)
	plain := made(t, j, p)
	j.Products[0].Front.Coatings = given([]string{"FullGloss"})
	coated := made(t, j, p)
	require.Equal(t, "offset-b1", coated.Sheets[0].Press)
	require.True(t, coated.Totals.Cost.GreaterThan(plain.Totals.Cost))
	var found decimal.Decimal
	for _, m := range coated.Materials {
		if m.Kind == Coating {
			found = m.Cost
		}
	}
	require.Equal(t, 1, found.Sign())
}
