package rules

import (
	"fmt"
	"math"

	"quoin/jdf"
	"quoin/jdf/job"
	"quoin/jdf/value"
	"quoin/validate"
)

var mediaChecks = []check{
	{
		Rule: &validate.Rule{
			ID: "process/sheet-too-small", Severity: validate.Warning, Mends: validate.Sender,
			Say: "the layout takes {want}, and the sheet is {got}",
			Do:  "choose a larger sheet, or correct SurfaceContentsBox",
			Why: "What is placed must lie on the sheet, this way round or the other (from memory: Layout). Where the " +
				"box is that of the plate, it may be larger; hence a warning.",
		},
		kinds: tickets, run: sheetTooSmall,
		Bad: `<XJDF JobID="4711" Types="Stripping">
  <ResourceSet Name="Layout" Usage="Output"><Resource>
    <Layout PaperRef="M" SurfaceContentsBox="0 0 2041 1474"/></Resource></ResourceSet>
  <ResourceSet Name="Media"><Resource ID="M"><Media MediaType="Paper" Dimension="1984 1417"/></Resource></ResourceSet>
</XJDF>`,
		Good: `<XJDF JobID="4711" Types="Stripping">
  <ResourceSet Name="Layout" Usage="Output"><Resource>
    <Layout PaperRef="M" SurfaceContentsBox="0 0 1417 1984"/></Resource></ResourceSet>
  <ResourceSet Name="Media"><Resource ID="M"><Media MediaType="Paper" Dimension="1984 1417"/></Resource></ResourceSet>
</XJDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/paper-bulk", Severity: validate.Note, Mends: validate.Sender,
			Say: "a paper of {weight} g/m2 is {thickness} micrometres thick, which is a volume of {bulk} cm3/g; " +
				"want {least} to {most}",
			Do:  "check Weight, in g/m2, and Thickness, in micrometres{repair}",
			Why: "Paper weighs between some 0.5 and 1.7 g a cubic centimetre. Common practice, no source.",
		},
		kinds: tickets, run: paperBulk,
		Bad: `<XJDF JobID="4711" Types="Cutting"><ResourceSet Name="Media" Usage="Input"><Resource>
  <Media MediaType="Paper" Weight="80" Thickness="900"/>
</Resource></ResourceSet></XJDF>`,
		Good: `<XJDF JobID="4711" Types="Cutting"><ResourceSet Name="Media" Usage="Input"><Resource>
  <Media MediaType="Paper" Weight="80" Thickness="100"/>
</Resource></ResourceSet></XJDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/crease-missing", Severity: validate.Note, Mends: validate.Sender,
			Say: "{weight} g/m2 is folded, and no crease is asked for",
			Do:  "add a crease along the fold, or accept cracks",
			Why: "From some 170 g/m2 on paper cracks when it is folded without a crease. Common practice, no source.",
		},
		kinds: tickets, fragment: leftOut, run: creaseMissing,
		Bad: `<XJDF JobID="4711" Types="Product"><ProductList><Product>
  <Intent Name="MediaIntent"><MediaIntent MediaType="Paper" Weight="250"/></Intent>
  <Intent Name="FoldingIntent"><FoldingIntent FoldCatalog="F4-1"/></Intent>
</Product></ProductList></XJDF>`,
		Good: `<XJDF JobID="4711" Types="Product"><ProductList><Product>
  <Intent Name="MediaIntent"><MediaIntent MediaType="Paper" Weight="250"/></Intent>
  <Intent Name="FoldingIntent"><FoldingIntent FoldCatalog="F4-1"><Crease/></FoldingIntent></Intent>
</Product></ProductList></XJDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/coating-differs", Severity: validate.Note, Mends: validate.Sender,
			Say: "the paper is coated {got}, and the product asks for {want}",
			Do:  "check that the right paper was chosen",
			Why: "The paper in the ticket is the one that the product is made of. Plausibility, where there is one of each.",
		},
		kinds: tickets, run: coatingDiffers,
		Bad: `<XJDF JobID="4711" Types="Product Cutting">
  <ProductList><Product><Intent Name="MediaIntent"><MediaIntent MediaType="Paper" Coating="None"/></Intent>
    </Product></ProductList>
  <ResourceSet Name="Media" Usage="Input"><Resource><Media MediaType="Paper" Coating="Gloss"/></Resource></ResourceSet>
</XJDF>`,
		Good: `<XJDF JobID="4711" Types="Product Cutting">
  <ProductList><Product><Intent Name="MediaIntent"><MediaIntent MediaType="Paper" Coating="Gloss"/></Intent>
    </Product></ProductList>
  <ResourceSet Name="Media" Usage="Input"><Resource><Media MediaType="Paper" Coating="Gloss"/></Resource></ResourceSet>
</XJDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/weight-differs", Severity: validate.Note, Mends: validate.Sender,
			Say: "the paper weighs {got} g/m2, and the product asks for {want}",
			Do:  "check that the right paper was chosen",
			Why: "The paper in the ticket is the one that the product is made of. Plausibility, where there is one of " +
				"each; mills deliver within 5 % (common practice).",
		},
		kinds: tickets, run: weightDiffers,
		Bad: `<XJDF JobID="4711" Types="Product Cutting">
  <ProductList><Product><Intent Name="MediaIntent"><MediaIntent MediaType="Paper" Weight="115"/></Intent>
    </Product></ProductList>
  <ResourceSet Name="Media" Usage="Input"><Resource><Media MediaType="Paper" Weight="135"/></Resource></ResourceSet>
</XJDF>`,
		Good: `<XJDF JobID="4711" Types="Product Cutting">
  <ProductList><Product><Intent Name="MediaIntent"><MediaIntent MediaType="Paper" Weight="115"/></Intent>
    </Product></ProductList>
  <ResourceSet Name="Media" Usage="Input"><Resource><Media MediaType="Paper" Weight="118"/></Resource></ResourceSet>
</XJDF>`,
	},
}

// millimetres is a size for a sentence.
func millimetres(width, height float64) string {
	return fmt.Sprintf("%.0f x %.0f mm", value.Length(width).MM(), value.Length(height).MM())
}

func sheetTooSmall(p *pass) {
	for _, l := range p.job.Layouts {
		if l.Paper == nil || !l.Surface.Given || !l.Paper.Size.Given {
			continue
		}
		sheet, want := l.Paper.Size.Value, l.Surface.Value
		fits := func(w, h float64) bool {
			return value.AtMost(value.Length(want.Width()), value.Length(w)) &&
				value.AtMost(value.Length(want.Height()), value.Length(h))
		}
		roll := sheet.X == 0 || sheet.Y == 0
		if !roll && !fits(sheet.X, sheet.Y) && !fits(sheet.Y, sheet.X) {
			p.atWith(l.Surface.Place, l.Paper.Size.Place, "the sheet is here",
				fact("want", millimetres(want.Width(), want.Height())), fact("got", millimetres(sheet.X, sheet.Y)))
		}
	}
}

// The volume of paper and board in cubic centimetres a gram.
//
// Common practice, no source.
const leastBulk, mostBulk = 0.6, 2.2

func paperBulk(p *pass) {
	for n := range p.named("Media", "MediaIntent") {
		weight, errW := value.ParseDouble(inherited(n, "Weight").Value())
		at := n.Attr("Thickness")
		thickness, errT := value.ParseDouble(at.Value())
		if errW != nil || errT != nil || weight <= 0 || thickness <= 0 || inherited(n, "MediaType").Value() != "Paper" {
			continue
		}
		if bulk := thickness / weight; bulk < leastBulk || bulk > mostBulk {
			p.at(at.Place(), fact("weight", weight), fact("thickness", thickness),
				fact("bulk", fmt.Sprintf("%.2f", bulk)), fact("least", leastBulk), fact("most", mostBulk),
				fact("repair", bulkRepair(weight, thickness)))
		}
	}
}

// bulkRepair looks whether the bulk comes right when the thickness was given in
// millimetres, or the weight in kilogrammes.
func bulkRepair(weight, thickness float64) string {
	right := func(bulk float64) bool { return bulk >= leastBulk && bulk <= mostBulk }
	switch {
	case thickness < 2 && right(thickness*1000/weight):
		return fmt.Sprintf("; %g mm are %.5g micrometres", thickness, thickness*1000)
	case weight < 2 && right(thickness/(weight*1000)):
		return fmt.Sprintf("; %g kg/m2 are %.5g g/m2", weight, weight*1000)
	}
	return ""
}

// creaseFrom is the weight in g/m2 from which a fold wants a crease.
//
// Common practice, no source.
const creaseFrom = 170

func creaseMissing(p *pass) {
	for range p.named("Crease", "CreasingParams") {
		return
	}
	for _, n := range p.index.nodes {
		if n.runs("Creasing") {
			return
		}
	}
	for _, product := range p.job.Products {
		weight := product.Media.Weight
		if product.Fold.Given && product.Fold.Value != "F2-1" && weight.Given && weight.Value >= creaseFrom {
			p.atWith(product.Fold.Place, weight.Place, "the weight is here", fact("weight", weight.Value))
		}
	}
}

// pair is the one product and the one paper of a ticket, where there is just
// one of each.
func (p *pass) pair() (want, got job.Stock, ok bool) {
	papers := 0
	for _, m := range p.job.Media {
		if m.Type.Value == "Paper" {
			got = m.Stock
			papers++
		}
	}
	if papers != 1 || len(p.job.Products) != 1 {
		return want, got, false
	}
	return p.job.Products[0].Media.Stock, got, true
}

func coatingDiffers(p *pass) {
	want, got, ok := p.pair()
	if ok && want.FrontCoating.Given && got.FrontCoating.Given && want.FrontCoating.Value != got.FrontCoating.Value {
		p.atWith(got.FrontCoating.Place, want.FrontCoating.Place, "asked for here",
			fact("got", got.FrontCoating.Value), fact("want", want.FrontCoating.Value))
	}
}

func weightDiffers(p *pass) {
	want, got, ok := p.pair()
	if !ok || !want.Weight.Given || !got.Weight.Given {
		return
	}
	const tolerance = 0.05
	if math.Abs(got.Weight.Value-want.Weight.Value) > tolerance*want.Weight.Value {
		p.atWith(got.Weight.Place, want.Weight.Place, "asked for here",
			fact("got", got.Weight.Value), fact("want", want.Weight.Value))
	}
}

// sheet is the size of what a process works on, and where it is given.
type sheet struct {
	size  value.XYPair
	at    jdf.Place
	known bool
}

// sheetSize is the size of what a process works on: the one component that it
// takes, or the paper that this is made of. It is not known when the process
// takes several sizes.
func sheetSize(t *node, p *pass) (size value.XYPair, at jdf.Place, known bool) {
	s, asked := p.index.sizes[t]
	if !asked {
		s = p.inputSize(t)
		p.index.sizes[t] = s
	}
	return s.size, s.at, s.known
}

func (p *pass) inputSize(t *node) sheet {
	var s sheet
	for _, op := range p.index.steps[t.Node] {
		for _, u := range op.Inputs {
			next, place := useSize(u)
			if next == (value.XYPair{}) {
				continue
			}
			if s.known && next != s.size {
				return sheet{}
			}
			s = sheet{next, place, true}
		}
	}
	return s
}

func useSize(u *job.Use) (value.XYPair, jdf.Place) {
	switch {
	case u.Component != nil && u.Component.Size.Given && u.Component.Size.Value.X > 0 && u.Component.Size.Value.Y > 0:
		s := u.Component.Size
		return value.XYPair{X: s.Value.X, Y: s.Value.Y}, s.Place
	case u.Component != nil && u.Component.Media != nil:
		m := u.Component.Media.Size
		return m.Value, m.Place
	case u.Media != nil && (u.Media.Type.Value == "Paper" || !u.Media.Type.Given):
		return u.Media.Size.Value, u.Media.Size.Place
	}
	return value.XYPair{}, jdf.Place{}
}
