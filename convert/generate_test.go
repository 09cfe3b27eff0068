package convert

import (
	"fmt"
	"math/rand/v2"
	"strings"
)

// writerOf writes one ticket from a seed. The same seed gives the same ticket.
type writerOf struct {
	strings.Builder
	r    *rand.Rand
	next int // of ids
}

func (w *writerOf) f(format string, args ...any) { fmt.Fprintf(w, format, args...) }

// maybe reports whether something is written, about as often as not.
func (w *writerOf) maybe() bool { return w.r.IntN(2) == 0 }

func (w *writerOf) id(prefix string) string {
	w.next++
	return fmt.Sprint(prefix, w.next)
}

func oneOf[T any](w *writerOf, all ...T) T { return all[w.r.IntN(len(all))] }

// generateJDF writes a JDF tree: products with parts and intents, groups, plain
// and combined processes and gray boxes, partitioned resources in and around
// them, amounts, audits, comments, general ids and private data.
func generateJDF(seed uint64) string {
	w := &writerOf{r: rand.New(rand.NewPCG(seed, 1))}
	w.f(`<JDF xmlns="http://www.CIP4.org/JDFSchema_1_1" xmlns:own="http://saltmarsh.example/own" ID="root" `+
		`JobID="SPW-%d" Status="Waiting" Version="1.9" `, seed)
	switch w.r.IntN(3) {
	case 0:
		w.f(`Type="Product" DescriptiveName="Tide tables %d">`, seed)
		w.productJDF(2)
	case 1:
		w.f(`Type="ProcessGroup">`)
		w.f(`<ResourcePool><NodeInfo Class="Parameter" ID="ni" Status="Available" JobPriority="%d"/>`+
			`</ResourcePool>`, w.r.IntN(100))
		w.f(`<ResourceLinkPool><NodeInfoLink rRef="ni" Usage="Input"/></ResourceLinkPool>`)
		for range 1 + w.r.IntN(3) {
			w.processNode()
		}
	default:
		w.f(`Type="ProcessGroup" JobPartID="all">`)
		w.processNode()
	}
	w.f(`</JDF>`)
	return w.String()
}

// productJDF writes what is in a product node.
func (w *writerOf) productJDF(depth int) {
	c, l, m, col := w.id("c"), w.id("li"), w.id("mi"), w.id("ci")
	w.f(`<ResourcePool><Component Class="Quantity" ID=%q Status="Unavailable" ComponentType=%q/>`, c,
		oneOf(w, "FinalProduct", "PartialProduct"))
	w.f(`<LayoutIntent Class="Intent" ID=%q Status="Available" Sides=%q>`+
		`<FinishedDimensions DataType="ShapeSpan" Actual="%d %d 0"/><Pages DataType="IntegerSpan"`+
		` Actual="%d"/></LayoutIntent>`,
		l, oneOf(w, "TwoSidedHeadToHead", "OneSided"), 300+w.r.IntN(300), 400+w.r.IntN(400), 4*(1+w.r.IntN(20)))
	w.f(`<MediaIntent Class="Intent" ID=%q Status="Available">`+
		`<FrontCoatings DataType="EnumerationSpan" Actual=%q/>`+
		`<MediaType DataType="EnumerationSpan" Actual="Paper"/><Weight DataType="NumberSpan"`+
		` Actual="%d"/></MediaIntent>`, m, oneOf(w, "None", "Glossy", "Satin"), 80+w.r.IntN(200))
	w.f(`<ColorIntent Class="Intent" ID=%q Status="Available"><ColorsUsed>`, col)
	for _, name := range []string{"Cyan", "Black", "Signal"}[:1+w.r.IntN(3)] {
		w.f(`<SeparationSpec Name=%q/>`, name)
	}
	w.f(`</ColorsUsed></ColorIntent></ResourcePool><ResourceLinkPool>`)
	w.f(`<ComponentLink rRef=%q Usage="Output" Amount="%d"/>`, c, 100*(1+w.r.IntN(99)))
	w.f(`<LayoutIntentLink rRef=%q Usage="Input"/>`, l)
	w.f(`<MediaIntentLink rRef=%q Usage="Input"/><ColorIntentLink rRef=%q Usage="Input"/>`+
		`</ResourceLinkPool>`, m, col)
	if depth > 0 {
		for range w.r.IntN(3) {
			w.f(`<JDF ID=%q Type="Product" Status="Waiting" JobPartID=%q>`, w.id("p"), w.id("part"))
			w.productJDF(depth - 1)
			w.f(`</JDF>`)
		}
	}
	if w.maybe() {
		w.processNode()
	}
}

// processNode writes one process, a combined one, or a gray box.
func (w *writerOf) processNode() {
	types := oneOf(w, "ConventionalPrinting", "ConventionalPrinting Cutting", "Cutting", "Folding", "Folding Stitching")
	kind, list := types, ""
	if strings.Contains(types, " ") {
		kind, list = oneOf(w, "Combined", "ProcessGroup"), fmt.Sprintf(" Types=%q", types)
	}
	w.f(`<JDF ID=%q Type=%q%s Status=%q JobPartID=%q>`, w.id("n"), kind, list,
		oneOf(w, "Waiting", "InProgress", "Completed"), w.id("step"))
	if w.maybe() {
		w.f(`<Comment Name="Description">careful, %d &amp; more</Comment>`, w.r.IntN(9))
	}
	if w.maybe() {
		w.f(`<GeneralID IDUsage="Order" IDValue="O-%d"/>`, w.r.IntN(999))
	}
	in, out, media := w.id("r"), w.id("r"), w.id("r")
	var pool, links writerOf
	pool.r, links.r, pool.next = w.r, w.r, w.next
	pool.f(`<Media Class="Consumable" ID=%q Status="Available" MediaType="Paper" Weight="%d"`+
		` Dimension="2000 1400"/>`,
		media, 80+w.r.IntN(200))
	pool.partitioned(in, media, "Available")
	pool.partitioned(out, media, "Unavailable")
	links.f(`<ComponentLink rRef=%q Usage="Input"/>`, in)
	links.f(`<ComponentLink rRef=%q Usage="Output">%s</ComponentLink>`, out, w.amountPool())
	for process := range strings.FieldsSeq(types) {
		id := pool.id("r")
		if pool.params(process, id) {
			links.f(`<%sParamsLink rRef=%q Usage="Input"/>`, process, id)
		}
	}
	w.next = pool.next
	if w.maybe() {
		w.f(`<AuditPool><Created AgentName="MIS" TimeStamp="2026-03-02T08:00:00Z"/>`)
		w.f(`<PhaseTime Start="2026-03-02T09:00:00Z" End="2026-03-02T09:%02d:00Z"`+
			` Status=%q TimeStamp="2026-03-02T10:00:00Z">`+
			`<Device DeviceID="press-%d"/></PhaseTime>`+
			`</AuditPool>`, w.r.IntN(60), oneOf(w, "Setup", "InProgress", "Stopped"), w.r.IntN(3))
	}
	w.f(`<ResourcePool>%s</ResourcePool><ResourceLinkPool>%s</ResourceLinkPool>`, pool.String(), links.String())
	if w.maybe() {
		w.f(`<own:Note own:kind="x" plain="%d">text <own:b>bold</own:b> and more</own:Note>`, w.r.IntN(9))
	}
	w.f(`</JDF>`)
}

// params writes the parameters of a process that has some.
func (w *writerOf) params(process, id string) bool {
	head := fmt.Sprintf(`<%sParams Class="Parameter" ID=%q Status="Available"`, process, id)
	switch process {
	case "ConventionalPrinting":
		w.f(`%s WorkStyle=%q own:mark="%d"/>`, head, oneOf(w, "Simplex", "Perfecting", "WorkAndTurn"), w.r.IntN(9))
	case "Cutting":
		w.f(`%s><CutBlock BlockName="A" BlockType="CutBlock" BlockSize="%d 400"`+
			` BlockTrf="1 0 0 1 %d 20"/></CuttingParams>`,
			head, 200+w.r.IntN(99), w.r.IntN(99))
	case "Folding":
		w.f(`%s FoldCatalog=%q/>`, head, oneOf(w, "F4-1", "F8-7", "F16-7"))
	case "Stitching":
		w.f(`%s StitchType="Saddle" NumberOfStitches="%d"/>`, head, 1+w.r.IntN(4))
	default:
		return false
	}
	return true
}

// partitioned writes a component, partitioned or not.
func (w *writerOf) partitioned(id, media, status string) {
	w.f(`<Component Class="Quantity" ID=%q Status=%q ComponentType="Sheet" Dimensions="2000 1400 0"`, id, status)
	if w.maybe() {
		w.f(`><MediaRef rRef=%q/></Component>`, media)
		return
	}
	keys := oneOf(w, "SheetName", "SignatureName SheetName", "SheetName Side")
	w.f(` PartIDKeys=%q><MediaRef rRef=%q/>`, keys, media)
	for i := range 1 + w.r.IntN(3) {
		switch keys {
		case "SheetName":
			w.f(`<Component SheetName="S%d" DescriptiveName="sheet %d"/>`, i, i)
		case "SignatureName SheetName":
			w.f(`<Component SignatureName="Sig%d"><Component SheetName="S1" ProductID="P%d"/></Component>`, i, i)
		default:
			w.f(`<Component SheetName="S%d"><Component Side="Front" ProductID="F%d"/>`+
				`<Component Side="Back"/></Component>`, i, i)
		}
	}
	w.f(`</Component>`)
}

func (w *writerOf) amountPool() string {
	switch w.r.IntN(3) {
	case 0:
		return ""
	case 1:
		return fmt.Sprintf(`<AmountPool><PartAmount Amount="%d"><Part Condition="Good"/></PartAmount>`+
			`<PartAmount Amount="%d"><Part Condition="Waste"/></PartAmount>`+
			`</AmountPool>`, 500+w.r.IntN(500), w.r.IntN(99))
	}
	return fmt.Sprintf(`<AmountPool><PartAmount Amount="%d"><Part Condition="Good"/></PartAmount>`+
		`</AmountPool>`, 500+w.r.IntN(500))
}

// generateXJDF writes an XJDF: a product description or a process, or both.
func generateXJDF(seed uint64) string {
	w := &writerOf{r: rand.New(rand.NewPCG(seed, 2))}
	types := oneOf(w, "Product", "ConventionalPrinting", "ConventionalPrinting Cutting", "Cutting", "Folding",
		"ImageSetting")
	w.f(`<XJDF xmlns="http://www.CIP4.org/JDFSchema_2_0" xmlns:own="http://saltmarsh.example/own" Version="2.2" `+
		`JobID="SPW-%d" JobPartID="step-%d" Types=%q>`, seed, seed%7, types)
	w.f(`<AuditPool><AuditCreated><Header AgentName="MIS" DeviceID="mis" Time="2026-03-02T08:00:00Z"/>` +
		`</AuditCreated></AuditPool>`)
	if w.maybe() {
		w.f(`<Comment Type="Instruction">careful, %d &lt; 9</Comment>`, w.r.IntN(9))
	}
	if w.maybe() {
		w.f(`<GeneralID IDUsage="Order" IDValue="O-%d"/>`, w.r.IntN(999))
	}
	if types == "Product" {
		w.products()
	}
	w.f(`<ResourceSet Name="NodeInfo" Usage="Input"><Resource><NodeInfo JobPriority="%d" Status=%q/>`+
		`</Resource></ResourceSet>`,
		w.r.IntN(100), oneOf(w, "Waiting", "InProgress", "Completed"))
	if types != "Product" {
		w.process(types)
	}
	if w.maybe() {
		w.f(`<ResourceSet Name="own:Finish"><Resource>`+
			`<own:Finish kind="%d">so <own:b>and</own:b> so</own:Finish></Resource></ResourceSet>`,
			w.r.IntN(9))
	}
	w.f(`</XJDF>`)
	return w.String()
}

// products writes a product list with parts.
func (w *writerOf) products() {
	parts := w.r.IntN(4)
	w.f(`<ProductList><Product ID="book" IsRoot="true" Amount="%d"`+
		` DescriptiveName="Tide tables">`, 100*(1+w.r.IntN(99)))
	if parts > 1 {
		var ids []string
		for i := range parts {
			ids = append(ids, fmt.Sprint("part", i))
		}
		w.f(`<Intent Name="BindingIntent"><BindingIntent BindingType=%q ChildRefs=%q/></Intent>`,
			oneOf(w, "SaddleStitch", "None"), strings.Join(ids, " "))
	}
	w.intents()
	w.f(`</Product>`)
	if parts > 1 {
		for i := range parts {
			w.f(`<Product ID="part%d" IsRoot="false">`, i)
			w.intents()
			w.f(`</Product>`)
		}
	}
	w.f(`</ProductList>`)
}

func (w *writerOf) intents() {
	w.f(`<Intent Name="ColorIntent"><ColorIntent><SurfaceColor Surface="Front" ColorsUsed=%q/>`+
		`</ColorIntent></Intent>`,
		oneOf(w, "Black", "Cyan Magenta Yellow Black"))
	w.f(`<Intent Name="LayoutIntent"><LayoutIntent FinishedDimensions="%d %d 0" Pages="%d" Sides=%q/></Intent>`,
		300+w.r.IntN(300), 400+w.r.IntN(400), 4*(1+w.r.IntN(20)), oneOf(w, "OneSided", "TwoSidedHeadToHead"))
	w.f(`<Intent Name="MediaIntent"><MediaIntent MediaType="Paper" Weight="%d" Coating=%q/>`+
		`</Intent>`, 80+w.r.IntN(200),
		oneOf(w, "None", "Gloss"))
}

// process writes the sets of a process.
func (w *writerOf) process(types string) {
	w.f(`<ResourceSet Name="Media"><Resource ID="paper" ExternalID="stock-%d"><Media MediaType="Paper"`+
		` Weight="%d"/></Resource></ResourceSet>`,
		w.r.IntN(99), 80+w.r.IntN(200))
	for _, usage := range []string{"Input", "Output"} {
		kind := "Component"
		if types == "ImageSetting" {
			kind = map[string]string{"Input": "Media", "Output": "ExposedMedia"}[usage]
		}
		w.f(`<ResourceSet Name=%q Usage=%q>`, kind, usage)
		for i := range 1 + w.r.IntN(3) {
			w.f(`<Resource ID="%s%d"><AmountPool><PartAmount Amount="%d"`, usage, i, 100+w.r.IntN(900))
			if w.maybe() {
				w.f(` Waste="%d"`, 1+w.r.IntN(99))
			}
			w.f(`/></AmountPool><Part SheetName="S%d"/>`, i)
			switch kind {
			case "Media":
				w.f(`<Media MediaType="Plate" Thickness="%d"/>`, 150+w.r.IntN(200))
			case "ExposedMedia":
				w.f(`<ExposedMedia MediaRef="paper"/>`)
			default:
				w.f(`<Component Dimensions="2000 1400 0" MediaRef="paper"/>`)
			}
			w.f(`</Resource>`)
		}
		w.f(`</ResourceSet>`)
	}
	if w.maybe() || types == "ImageSetting" {
		w.f(`<ResourceSet Name="Layout" Usage="Input"><Resource><Part SheetName="S0"/>`+
			`<Layout WorkStyle="Simplex" PaperRef="paper">`+
			`<Position AbsoluteBox="0 0 %d 600" BinderySignatureID="BS1" Orientation="Rotate0"/></Layout>`+
			`</Resource></ResourceSet>`+
			`<ResourceSet Name="BinderySignature" Usage="Input"><Resource><Part BinderySignatureID="BS1"/>`+
			`<BinderySignature BinderySignatureType="Grid" NumberUp="%d 1"/></Resource>`+
			`</ResourceSet>`, 300+w.r.IntN(300), 1+w.r.IntN(4))
	}
	if w.maybe() {
		w.f(`<ResourceSet Name="Content"><Resource ID="pages"><Content ContentType="Page"/></Resource></ResourceSet>`)
	}
}
