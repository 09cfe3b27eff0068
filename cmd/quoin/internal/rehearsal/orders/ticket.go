package orders

import (
	"math"
	"strconv"
	"strings"
	"time"

	"github.com/beevik/etree"

	"quoin/jdf"
	"quoin/jdf/value"
	"quoin/validate/plant"
)

// ticket is an XJDF of a product in the making.
type ticket struct {
	doc      *etree.Document
	products *etree.Element
}

func newTicket(o Order) *ticket {
	doc := etree.NewDocument()
	doc.CreateProcInst("xml", `version="1.0" encoding="UTF-8"`)
	root := set(doc.CreateElement("XJDF"), "xmlns", jdf.NamespaceXJDF, "JobID", o.Job, "Types", "Product",
		"Version", "2.1", "DescriptiveName", o.Name)
	set(root.CreateElement("AuditPool").CreateElement("AuditCreated").CreateElement("Header"),
		"AgentName", "Order desk", "DeviceID", "order-desk", "Time", stamp(o.Placed))
	t := &ticket{doc: doc, products: root.CreateElement("ProductList")}
	number := o.Job[strings.LastIndexByte(o.Job, '-')+1:]
	set(resource(root, "CustomerInfo", "Input").CreateElement("CustomerInfo"),
		"CustomerID", o.Customer.ID, "CustomerJobName", o.Name,
		"CustomerOrderID", strconv.Itoa(o.Placed.Year())+"/"+number)
	set(resource(root, "NodeInfo", "Input").CreateElement("NodeInfo"), "LastEnd", stamp(o.Due))
	contact := resource(root, "Contact", "Input")
	set(contact.CreateElement("Part"), "ContactType", "Customer")
	set(contact.CreateElement("Contact").CreateElement("Company"), "OrganizationName", o.Customer.Name)
	return t
}

func (t *ticket) product(id string, amount int, name, kind string, root bool) *etree.Element {
	p := t.products.CreateElement("Product")
	if amount > 0 {
		set(p, "Amount", strconv.Itoa(amount))
	}
	return set(p, "DescriptiveName", name, "ID", id, "IsRoot", strconv.FormatBool(root), "ProductType", kind)
}

func resource(root *etree.Element, name, usage string) *etree.Element {
	return set(root.CreateElement("ResourceSet"), "Name", name, "Usage", usage).CreateElement("Resource")
}

func intent(product *etree.Element, name string) *etree.Element {
	return set(product.CreateElement("Intent"), "Name", name).CreateElement(name)
}

func colors(product *etree.Element, front, back string, coverage int) {
	c := intent(product, "ColorIntent")
	side := func(name, used string) {
		if used != "" {
			all := coverage * len(strings.Fields(used)) // of all colours together, percent
			set(c.CreateElement("SurfaceColor"), "ColorsUsed", used, "Coverage", strconv.Itoa(all), "Surface", name)
		}
	}
	side("Front", front)
	side("Back", back)
}

func layout(product *etree.Element, format [2]int, pages int, both bool) {
	l := set(intent(product, "LayoutIntent"), "Bleed", points(3), "FinishedDimensions",
		points(format[0])+" "+points(format[1])+" 0")
	if pages > 0 {
		set(l, "Pages", strconv.Itoa(pages))
		sides := "OneSided"
		if both {
			sides = "TwoSidedHeadToHead"
		}
		set(l, "Sides", sides)
	}
}

func media(product *etree.Element, s *plant.Stock) {
	coating := map[string]string{"gloss": "Gloss", "silk": "Satin", "matt": "Matte"}[s.Coating]
	if coating == "" {
		coating = "None"
	}
	set(intent(product, "MediaIntent"), "Coating", coating, "MediaType", "Paper",
		"Weight", strconv.FormatFloat(s.Grammage, 'f', -1, 64))
}

// points turns millimetres into the unit of tickets.
func points(mm int) string {
	return value.FormatDouble(math.Round(value.FromMM(float64(mm)).Points()*1000) / 1000)
}

func stamp(t time.Time) string { return t.Format(time.RFC3339) }

// set gives an element attributes, by name and value, but for the empty ones.
func set(e *etree.Element, pairs ...string) *etree.Element {
	for i := 0; i+1 < len(pairs); i += 2 {
		if pairs[i+1] != "" {
			e.CreateAttr(pairs[i], pairs[i+1])
		}
	}
	return e
}
