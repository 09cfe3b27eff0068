package convert

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/jdf"
	"quoin/jdf/job"
)

const printTicket = `<XJDF xmlns="http://www.CIP4.org/JDFSchema_2_0" JobID="SPW-7" JobPartID="print"
  Types="ConventionalPrinting">
  <ResourceSet Name="Component" Usage="Output"><Resource ID="sheet">
    <AmountPool><PartAmount Amount="520" Waste="30"/></AmountPool>
    <Component Dimensions="2000 1400 0"/></Resource></ResourceSet>
  <ResourceSet Name="ConventionalPrintingParams" Usage="Input"><Resource>
    <ConventionalPrintingParams WorkStyle="Simplex"/></Resource></ResourceSet>
</XJDF>`

const cutTicket = `<XJDF xmlns="http://www.CIP4.org/JDFSchema_2_0" JobID="SPW-7" JobPartID="cut" Types="Cutting">
  <ResourceSet Name="Component" Usage="Input"><Resource ID="sheet"><AmountPool><PartAmount Amount="500"/></AmountPool>
    <Component Dimensions="2000 1400 0"/></Resource></ResourceSet>
  <ResourceSet Name="Component" Usage="Output"><Resource ID="piece">
    <Component Dimensions="1000 1400 0"/></Resource></ResourceSet>
  <ResourceSet Name="CuttingParams" Usage="Input"><Resource>
    <CuttingParams><CutBlock BlockName="A" Box="0 0 1000 1400"/></CuttingParams></Resource></ResourceSet>
</XJDF>`

// The tickets of one job become one tree: what one makes and the other takes is
// one resource with two links.
func TestTicketsOfOneJobAreMerged(t *testing.T) {
	other := strings.Replace(cutTicket, "SPW-7", "SPW-8", 1)
	docs := []*jdf.Document{read(t, "a", printTicket), read(t, "b", cutTicket), read(t, "c", other)}
	r, err := To(docs, jdf.KindJDF, Options{Clock: noon})
	require.NoError(t, err)
	require.Len(t, r.Outputs, 2, "one for each job")
	tree := reread(t, r.Outputs)[0]
	require.Empty(t, structureErrors(tree))
	sheets := 0
	for c := range tree.Root().Child("ResourcePool").ChildrenNamed("Component") {
		if c.Get("ID") == "sheet" {
			sheets++
		}
	}
	require.Equal(t, 1, sheets)
	j := job.Decode(tree)
	require.Equal(t, "SPW-7", j.ID.Value)
	require.Len(t, j.Operations, 2)
	require.Equal(t, "520", j.Operations[0].Outputs[0].Amounts.Good.Value.String())
	require.Equal(t, "30", j.Operations[0].Outputs[0].Amounts.Waste.Value.String())
	require.Equal(t, "500", j.Operations[1].Inputs[0].Amounts.Good.Value.String())
	require.Equal(t, "0 0 1000 1400", j.Operations[1].Cutting.Blocks[0].Box.Value.String())

	back, err := To([]*jdf.Document{tree}, jdf.KindXJDF, Options{Clock: noon})
	require.NoError(t, err)
	require.Len(t, back.Outputs, 2)
	require.Equal(t, "SPW-7.print.xjdf", back.Outputs[0].Name)
	require.Empty(t, differences(says(t, docs[0], docs[1]), says(t, reread(t, back.Outputs)...)))
}

const tree = `<JDF xmlns="http://www.CIP4.org/JDFSchema_1_1" ID="n0" Type="Product" Status="Waiting"
  JobID="SPW-1" Version="1.9">
  <ResourcePool>
    <Component ID="book" Class="Quantity" Status="Unavailable" ComponentType="FinalProduct" ProductType="Brochure"/>
    <Component ID="sheet" Class="Quantity" Status="Unavailable" ComponentType="Sheet"/>
    <BindingIntent ID="bi" Class="Intent" Status="Available">
      <BindingType DataType="EnumerationSpan" Preferred="SaddleStitch"/></BindingIntent>
    <LayoutIntent ID="li" Class="Intent" Status="Available" Sides="TwoSidedHeadToHead">
      <FinishedDimensions DataType="ShapeSpan" Actual="420 595 0"/></LayoutIntent>
    <ColorIntent ID="ci" Class="Intent" Status="Available">
      <ColorsUsed><SeparationSpec Name="Black"/><SeparationSpec Name="Signal red"/></ColorsUsed></ColorIntent>
  </ResourcePool>
  <ResourceLinkPool>
    <ComponentLink rRef="book" Usage="Output" Amount="2000"/>
    <BindingIntentLink rRef="bi" Usage="Input"/>
    <LayoutIntentLink rRef="li" Usage="Input"/><ColorIntentLink rRef="ci" Usage="Input"/>
  </ResourceLinkPool>
  <JDF ID="g" Type="ProcessGroup" Status="Waiting" JobPartID="postpress">
    <JDF ID="p1" Type="Folding" Status="Ready" JobPartID="fold"><ResourceLinkPool>
      <ComponentLink rRef="sheet" Usage="Output" Amount="2100"/></ResourceLinkPool></JDF>
    <JDF ID="p2" Type="Stitching" Status="Waiting" JobPartID="stitch"><ResourceLinkPool>
      <ComponentLink rRef="sheet" Usage="Input" CombinedProcessIndex="0"/></ResourceLinkPool></JDF>
  </JDF>
</JDF>`

// A tree is split as asked.
func TestSplit(t *testing.T) {
	doc := read(t, "tree.jdf", tree)
	for split, types := range map[Split][]string{
		Process: {"Product", "Folding", "Stitching"}, GrayBox: {"Product", "Folding Stitching"}, Product: {"Product"},
	} {
		r, err := To([]*jdf.Document{doc}, jdf.KindXJDF, Options{Clock: noon, Split: split})
		require.NoError(t, err)
		var got []string
		for _, d := range reread(t, r.Outputs) {
			require.Empty(t, structureErrors(d))
			got = append(got, d.Root().Get("Types"))
		}
		require.Equal(t, types, got, split)
		for i := range r.All() {
			require.NotEqual(t, notReached, i.Reason, "%s: %s", split, i.Path())
		}
	}
	r, err := To([]*jdf.Document{doc}, jdf.KindXJDF, Options{Clock: noon, Split: GrayBox})
	require.NoError(t, err)
	require.Contains(t, text(t, r.Outputs[1]), `<ResourceSet CombinedProcessIndex="1" Name="Component" Usage="Input">`)
	_, err = To([]*jdf.Document{doc}, jdf.KindXJDF, Options{Clock: noon, Limit: 2})
	require.EqualError(t, err,
		"convert tree.jdf: it would become 3 tickets; the limit is 2, split it by product or graybox")
}

// The product description of a tree, as it is written.
func TestProductTicket(t *testing.T) {
	r, err := To([]*jdf.Document{read(t, "tree.jdf", tree)}, jdf.KindXJDF, Options{Clock: noon})
	require.NoError(t, err)
	golden(t, "testdata/product.xjdf", text(t, r.Outputs[0]))
	var lines []string
	for f := range r.Findings() {
		lines = append(lines, f.Rule.ID+" "+f.Place.Path()+": "+f.Message())
	}
	golden(t, "testdata/product.txt", strings.Join(lines, "\n")+"\n")
}
