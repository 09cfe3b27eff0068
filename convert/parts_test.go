package convert

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/jdf"
)

// node puts resources and links into a process node with all that one may hold.
func node(resources, links, more string) string {
	return `<JDF xmlns="http://www.CIP4.org/JDFSchema_1_1" xmlns:own="http://saltmarsh.example/own" ID="n1" ` +
		`JobID="SPW-5" JobPartID="a" Type="Combined" Types="ConventionalPrinting Cutting" Status="InProgress" ` +
		`Version="1.9">` + more +
		`<ResourcePool>` + resources + `</ResourcePool><ResourceLinkPool>` + links + `</ResourceLinkPool></JDF>`
}

// namedParts are tickets, each with one part, and what it is in the other
// generation and after the way back.
var namedParts = map[string]struct {
	source string
	there  []string // in the 2.x generation
	back   []string // in the 1.x generation again
}{
	"combined processes and their indices": {
		node(`<CuttingParams Class="Parameter" ID="p" Status="Available"/>`,
			`<CuttingParamsLink rRef="p" Usage="Input" CombinedProcessIndex="1"/>`, ""),
		[]string{`Types="ConventionalPrinting Cutting"`, `CombinedProcessIndex="1" Name="CuttingParams" Usage="Input"`},
		[]string{`Type="Combined" Types="ConventionalPrinting Cutting"`, `CombinedProcessIndex="1"`},
	},
	"amounts of parts, good and waste": {
		node(`<Component Class="Quantity" ID="c" Status="Unavailable" ComponentType="Sheet" PartIDKeys="SheetName">`+
			`<Component SheetName="S1"/><Component SheetName="S2"/></Component>`,
			`<ComponentLink rRef="c" Usage="Output"><AmountPool>`+
				`<PartAmount Amount="500"><Part Condition="Good" SheetName="S2"/></PartAmount>`+
				`<PartAmount Amount="20"><Part Condition="Waste" SheetName="S2"/></PartAmount></AmountPool></ComponentLink>`, ""),
		[]string{`<PartAmount Amount="500" Waste="20"/>`, `<Part SheetName="S2"/>`},
		[]string{`<PartAmount Amount="500">`, `<Part Condition="Waste" SheetName="S2"/>`},
	},
	"the drops of a delivery": {
		`<JDF xmlns="http://www.CIP4.org/JDFSchema_1_1" ID="n1" JobID="SPW-5" JobPartID="a" Type="Delivery" ` +
			`Status="Waiting" Version="1.9"><ResourcePool>` +
			`<Component Class="Quantity" ID="c" Status="Available" ComponentType="FinalProduct"/>` +
			`<DeliveryParams Class="Parameter" ID="d" Status="Available"><Drop Method="Courier"><DropItem Amount="60">` +
			`<ComponentRef rRef="c"/></DropItem></Drop><Drop DropID="quay"><DropItem Amount="40"><ComponentRef rRef="c"/>` +
			`</DropItem></Drop></DeliveryParams></ResourcePool><ResourceLinkPool>` +
			`<DeliveryParamsLink rRef="d" Usage="Input"/><ComponentLink rRef="c" Usage="Output"/>` +
			`</ResourceLinkPool></JDF>`,
		[]string{`<Part DropID="Drop_1"/>`, `<DeliveryParams Method="Courier">`, `<Part DropID="quay"/>`,
			`<DropItem Amount="40" ItemRef="c"/>`},
		[]string{`<DeliveryParamsLink`, `DeliveryUnit0="quay"`, `<DropItem Amount="60">`, `<ComponentRef rRef="c"/>`},
	},
	"the one drop of a delivery": {
		`<JDF xmlns="http://www.CIP4.org/JDFSchema_1_1" ID="n1" JobID="SPW-5" JobPartID="a" Type="Delivery" ` +
			`Status="Waiting" Version="1.9"><ResourcePool>` +
			`<Component Class="Quantity" ID="c" Status="Available" ComponentType="FinalProduct"/>` +
			`<DeliveryParams Class="Parameter" ID="d" Status="Available" Method="Post"><Drop Method="Courier">` +
			`<DropItem Amount="60"><ComponentRef rRef="c"/></DropItem></Drop></DeliveryParams></ResourcePool>` +
			`<ResourceLinkPool><DeliveryParamsLink rRef="d" Usage="Input"/></ResourceLinkPool></JDF>`,
		[]string{`<Resource ID="d"`, `<DeliveryParams Method="Courier">`, `<DropItem Amount="60" ItemRef="c"/>`},
		[]string{`<DeliveryParamsLink`, `Method="Courier"`, `<DropItem Amount="60">`, `<ComponentRef rRef="c"/>`},
	},
	"dates, state and priority": {
		node(`<NodeInfo Class="Parameter" ID="i" Status="Available" JobPriority="70" LastEnd="2026-03-13T12:00:00Z"/>`,
			`<NodeInfoLink rRef="i" Usage="Input"/>`, ""),
		[]string{`<NodeInfo JobPriority="70" LastEnd="2026-03-13T12:00:00Z" Status="InProgress"/>`},
		[]string{`JobPriority="70"`, `Status="InProgress"`},
	},
	"customer with contact": {
		node(`<CustomerInfo Class="Parameter" ID="i" Status="Available" CustomerID="C-9" CustomerJobName="tides">`+
			`<Contact ContactTypes="Customer"><Person FamilyName="Marsh"/></Contact></CustomerInfo>`,
			`<CustomerInfoLink rRef="i" Usage="Input"/>`, ""),
		[]string{`<CustomerInfo CustomerID="C-9"`, `<Part ContactType="Customer"/>`, `<Person FamilyName="Marsh"/>`},
		[]string{`CustomerID="C-9"`, `<ContactRef`, `ContactTypes="Customer"`},
	},
	"audits": {
		node("", "", `<AuditPool><Created ID="a1" AgentName="MIS" TimeStamp="2026-03-02T08:00:00Z"/>`+
			`<PhaseTime Start="2026-03-02T09:00:00Z" End="2026-03-02T09:30:00Z" Status="InProgress" `+
			`TimeStamp="2026-03-02T09:30:00Z"><Device DeviceID="press"/></PhaseTime>`+
			`<ProcessRun Start="2026-03-02T09:00:00Z" End="2026-03-02T09:30:00Z" EndStatus="Completed" `+
			`TimeStamp="2026-03-02T09:30:00Z"/></AuditPool>`),
		[]string{`<AuditCreated>`, `StartTime="2026-03-02T09:00:00Z"`, `<ProcessRun End=`, `DeviceID="press"`},
		[]string{`<PhaseTime End="2026-03-02T09:30:00Z" Start="2026-03-02T09:00:00Z"`, `EndStatus="Completed"`},
	},
	"comments, general ids and private data": {
		node("", "", `<Comment Name="Instruction">dry &amp; cut</Comment><GeneralID IDUsage="Order" IDValue="O-7"/>`+
			`<own:Note own:kind="x">so <own:b>and</own:b> so</own:Note>`),
		[]string{`<Comment Type="Instruction">dry &amp; cut</Comment>`, `<GeneralID IDUsage="Order" IDValue="O-7"/>`,
			`<own:Note own:kind="x">so <own:b>and</own:b> so</own:Note>`},
		[]string{`<Comment Name="Instruction">dry &amp; cut</Comment>`, `IDValue="O-7"`, `so <own:b>and</own:b> so`},
	},
	"trims of cells": {
		node(`<StrippingParams Class="Parameter" ID="s" Status="Available"><BinderySignatureRef rRef="b"/>`+
			`<StripCellParams TrimSize="400 600" BleedFace="8"/></StrippingParams>`+
			`<BinderySignature Class="Parameter" ID="b" Status="Available" NumberUp="1 1"/>`,
			`<StrippingParamsLink rRef="s" Usage="Input"/>`, ""),
		[]string{`<SignatureCell BleedFace="8" TrimSize="400 600"/>`},
		[]string{`<StripCellParams BleedFace="8" TrimSize="400 600"/>`},
	},
	"keys that the other generation does not have": {
		node(`<Component Class="Quantity" ID="c" Status="Available" ComponentType="Sheet" `+
			`PartIDKeys="SignatureName SheetName">`+
			`<Component SignatureName="Sig1"><Component SheetName="Sheet 1"/></Component></Component>`,
			`<ComponentLink rRef="c" Usage="Input"/>`, ""),
		[]string{`SheetName="Sheet_1"`, `jdf:SheetName="Sheet 1"`, `jdf:SignatureName="Sig1"`},
		[]string{`PartIDKeys="SignatureName SheetName"`, `<Component SheetName="Sheet 1"`},
	},
	"resources that the other generation does not have": {
		node(`<ScanParams Class="Parameter" ID="y" Status="Available" BitDepth="8" OutputColorSpace="CMYK" `+
			`OutputResolution="300 300"/>`, `<ScanParamsLink rRef="y" Usage="Input"/>`, ""),
		[]string{`Name="jdf:ScanParams" Usage="Input"`, `<jdf:ScanParams `},
		[]string{`<ScanParams BitDepth="8" Class="Parameter" ID="y" `, `<ScanParamsLink Usage="Input" rRef="y"/>`},
	},
}

// Each named part of a ticket is where the other generation has it, and back.
//
// Source: the published schemas, for the names. From memory: that they mean the
// same.
func TestNamedParts(t *testing.T) {
	for name, c := range namedParts {
		x := goThereAndBack(t, Options{Clock: noon}, read(t, "a.jdf", c.source))
		middle, end := x.middle[0].Source.Text, x.end[0].Source.Text
		for _, want := range c.there {
			require.Contains(t, middle, want, name)
		}
		for _, want := range c.back {
			require.Contains(t, end, want, name)
		}
		for _, d := range []*jdf.Document{x.middle[0], x.end[0]} {
			require.Empty(t, structureErrors(d), "%s\n%s", name, d.Source.Text)
		}
	}
}

// Spawning and merging do not exist in the 2.x generation: what they leave in a
// ticket is reported, piece by piece.
//
// Source: the published schemas.
func TestSpawnedPartsAreReported(t *testing.T) {
	source := node("", "", `<AncestorPool><Ancestor NodeID="n0"/></AncestorPool><AuditPool>`+
		`<Spawned ID="a1" jRef="n1" NewSpawnID="s1" Status="InProgress" TimeStamp="2026-03-02T08:00:00Z"/>`+
		`<Merged ID="a2" jRef="n1" MergeID="s1" TimeStamp="2026-03-02T09:00:00Z"/></AuditPool>`)
	source = strings.Replace(source, `JobPartID="a"`, `JobPartID="a" SpawnID="s1"`, 1)
	r, err := To([]*jdf.Document{read(t, "a.jdf", source)}, jdf.KindXJDF, Options{Clock: noon})
	require.NoError(t, err)
	lost := map[string]bool{}
	for i := range r.Losses() {
		if i.Outcome == Lost {
			lost[i.Name] = true
		}
	}
	for _, name := range []string{
		"JDF/@SpawnID", "AncestorPool", "Ancestor/@NodeID", "Spawned", "Spawned/@NewSpawnID", "Merged/@MergeID",
	} {
		require.True(t, lost[name], name)
	}
}

// Inserts of a product go both ways, with the pages that they stand at.
//
// Source: the published schemas. From memory: that the parts go in the order of their nodes.
func TestInsertsGoBothWays(t *testing.T) {
	source := `<XJDF xmlns="http://www.CIP4.org/JDFSchema_2_0" JobID="SPW-6" Types="Product"><ProductList>
	  <Product ID="all" IsRoot="true"><Intent Name="AssemblingIntent"><AssemblingIntent Container="book">
	    <BlowIn ChildRef="card" FolioFrom="8" FolioTo="9"/></AssemblingIntent></Intent></Product>
	  <Product ID="book" IsRoot="false"/><Product ID="card" IsRoot="false"/></ProductList></XJDF>`
	x := goThereAndBack(t, Options{Clock: noon}, read(t, "a.xjdf", source))
	require.Contains(t, x.middle[0].Source.Text, `<Insert Folio="8 ~ 9">`)
	require.Contains(t, x.middle[0].Source.Text, `<Method Actual="BlowIn" DataType="EnumerationSpan"/>`)
	require.Contains(t, x.end[0].Source.Text, `<AssemblingIntent Container="book">`)
	require.Contains(t, x.end[0].Source.Text, `<BlowIn ChildRef="card" FolioFrom="8" FolioTo="9"/>`)
	require.Empty(t, structureErrors(x.middle[0]))
	require.Empty(t, structureErrors(x.end[0]))
}

// The answer to a command tells of the queue entry where the version has a place
// for it; elsewhere the report says that it has none.
//
// Source: the published schemas: ResponseModifyQueueEntry holds a QueueEntry, the
// answers of the 1.x generation a Queue, until version 1.4.
func TestAnswersKeepQueueEntries(t *testing.T) {
	source := `<XJMF xmlns="http://www.CIP4.org/JDFSchema_2_0"><Header DeviceID="press" Time="2026-03-02T08:00:00Z"/>
	  <ResponseModifyQueueEntry ReturnCode="0"><Header DeviceID="press" ID="r1" refID="c1" Time="2026-03-02T08:00:00Z"/>
	    <QueueEntry QueueEntryID="q7" Status="InProgress"/></ResponseModifyQueueEntry></XJMF>`
	doc := read(t, "a.xjmf", source)
	opt := Options{Clock: noon, Version: jdf.Version{Major: 1, Minor: 4}}
	r, err := To([]*jdf.Document{doc}, jdf.KindJMF, opt)
	require.NoError(t, err)
	old := reread(t, r.Outputs)[0]
	require.Contains(t, old.Source.Text, `<QueueEntry QueueEntryID="q7" Status="Running"/>`)
	require.Empty(t, structureErrors(old))
	r, err = To([]*jdf.Document{old}, jdf.KindXJMF, Options{Clock: noon})
	require.NoError(t, err)
	require.Contains(t, text(t, r.Outputs[0]), `<QueueEntry QueueEntryID="q7" Status="InProgress"/>`)

	r, err = To([]*jdf.Document{doc}, jdf.KindJMF, Options{Clock: noon})
	require.NoError(t, err)
	reasons := map[string]string{}
	for i := range r.Losses() {
		reasons[i.Name] = i.Reason
	}
	require.Equal(t, "Queue in Response ended with version 1.4", reasons["QueueEntry/@QueueEntryID"])
}
