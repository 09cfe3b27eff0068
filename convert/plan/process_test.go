package plan

import (
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/jdf"
	"quoin/jdf/job"
	"quoin/testdata/standard"
	"quoin/validate/plant"
)

// TestProcessTicket plans from a ticket that describes no product: its sheet, work
// style, positions, fold and coating are kept, and the rest is worked out.
func TestProcessTicket(t *testing.T) {
	pl := made(t, ticket(t, "folder-steps.xjdf"), saltmarsh(t))
	require.Equal(t, Flat, pl.Kind)
	require.Equal(t, 3000, pl.Quantity)
	require.Equal(t, Format{99 * mm, 210 * mm}, pl.Finished)
	s := pl.Sheets[0]
	require.Equal(t, "640 x 450 mm", s.Size.String())
	require.Equal(t, []any{WorkAndBack, 2, "F6-2", "gloss-135-640x900"}, []any{s.Style, s.Ups(), s.Fold, s.Stock.ID})
	require.Equal(t, []string{"Cyan", "Magenta", "Yellow", "Black"}, s.Front)
	require.Equal(t, []string{"Black"}, s.Back)
	require.Empty(t, s.CoatFront)
	var steps []string
	for _, o := range pl.Operations {
		steps = append(steps, string(o.Step)+" "+o.Device)
	}
	require.Equal(t, "plates , stock guillotine-1, print offset-b2, varnish varnisher-1, cut guillotine-1, fold folder-1",
		strings.Join(steps, ", "))

	// What the ticket fixes and the plant can not make is said to be so.
	for _, c := range []struct{ name, old, new, say string }{
		{"positions", `        <Position BinderySignatureID="folder" AbsoluteBox="901.42 51.02 1743.31 646.3"/>`, "",
			"ticket prints the sheet in another way ("},
		{"sheet", `"1814.17 1275.59"`, `"1500 1000"`, "ticket fixes another sheet size ("},
		{"coating", `DescriptiveName="UV"`, `DescriptiveName="aqueous"`, "varnishing machine can not lay the coating ("},
	} {
		text := read(t, "folder-steps.xjdf")
		require.Contains(t, text, c.old, c.name)
		pl, findings := Make(inline(t, strings.Replace(text, c.old, c.new, 1)), saltmarsh(t), Options{})
		require.Nil(t, pl, c.name)
		require.Len(t, findings, 1, c.name)
		require.Contains(t, findings[0].Message(), c.say, c.name)
	}
}

// TestNumbered: copies that differ are printed on a digital press, and the piles of
// its positions hold them in their order, without a gap.
func TestNumbered(t *testing.T) {
	text := strings.Replace(flatTicket, `</Product>`,
		`<Intent Name="VariableIntent"><VariableIntent VariableType="OneLine"/></Intent></Product>`, 1)
	text = strings.Replace(text, `419.528 595.276 0`, `200 300 0`, 1)
	pl := made(t, inline(t, strings.Replace(text, `Amount="500"`, `Amount="9000"`, 1)), tinyPlant())
	s := pl.Sheets[0]
	require.Equal(t, "digital", s.Press)
	require.Positive(t, s.Stack)
	require.GreaterOrEqual(t, s.Stack*s.Ups(), pl.Quantity)
	require.Less(t, (s.Stack-1)*s.Ups(), pl.Quantity)
	require.Contains(t, strings.Join(pl.Notes, "\n"), "digital presses alone")
	plain := made(t, inline(t, strings.Replace(flatTicket, `Amount="500"`, `Amount="9000"`, 1)), tinyPlant())
	require.Zero(t, plain.Sheets[0].Stack)
	require.NotEqual(t, "digital", plain.Sheets[0].Press)
}

// TestSampleMagazines plans the published magazines in A4 across on a plant that
// has their papers and the fold that their sections name.
// Source: the samples of the published standard.
func TestSampleMagazines(t *testing.T) {
	p := saltmarsh(t)
	paper := func(id, quality string, grammage, caliper float64) *plant.Stock {
		return &plant.Stock{ID: id, Name: id, Size: size(720, 1020), Grammage: grammage, Caliper: caliper, Coating: "matt",
			Grain: "long", Price: dec("90"), Qualities: []string{quality}}
	}
	p.Stocks = append(p.Stocks, paper("matt-80", "80_MATT", 80, 76), paper("matt-135", "135_MATT", 135, 128))
	p.Folders[0].Catalog = append(p.Folders[0].Catalog, plant.FoldScheme{Code: "F16-7", Columns: 2, Rows: 4, Folds: 3})
	for name, want := range map[string]string{
		"further/book-gb-collecting.xjdf":     "COVER-ID 4 F4-1, BODY-ID 16 F16-7, BODY-ID 4 F4-1",
		"further/book-gb-collecting-2.xjdf":   "COVER-ID 4 F4-1, BODY-ID 16 F16-7, BODY-ID 4 F4-1",
		"further/graybox-collecting.xjdf":     "COVER-ID 4 F4-1, BODY-ID 16 F16-7, BODY-ID 4 F4-1",
		"further/book-product-complex-1.xjdf": "",
	} {
		doc, _, err := jdf.ReadFile(filepath.Join(standard.Dir(t), "xjdf", "samples", filepath.FromSlash(name)), jdf.Limits{})
		require.NoError(t, err)
		pl, findings := Make(job.Decode(doc), p, Options{})
		for _, f := range findings {
			t.Log(f.Message())
		}
		require.NotNil(t, pl, name)
		require.Equal(t, Stitched, pl.Kind, name)
		require.Equal(t, 24, pl.Pages, name)
		require.Equal(t, "297 x 210 mm", pl.Finished.String(), name)
		if want == "" {
			continue
		}
		var sections []string
		for _, s := range pl.Sheets {
			sections = append(sections, strings.Join([]string{s.Part, count(s.PiecePages), s.Fold}, " "))
		}
		require.Equal(t, want, strings.Join(sections, ", "), name)
	}
}
