// Package tickets writes tickets of any size for measuring: the same text each
// time, valid, and shaped as those of a plant are, with partitioned plates and
// sheets, parts, amounts and comments. All names in them are invented.
package tickets

import (
	"bufio"
	"fmt"
	"io"
)

// Faults says how many resources of a ticket get an attribute that no version of
// the standard knows, the first ones; the zero Faults leaves the ticket valid.
type Faults int

// attribute is what is wrong with resource i.
func (f Faults) attribute(i int) string {
	if i < int(f) {
		return ` Colour="blue"`
	}
	return ""
}

// counter counts what is written, and keeps the first error.
type counter struct {
	out *bufio.Writer
	n   int
	err error
}

func (c *counter) print(format string, args ...any) {
	n, err := fmt.Fprintf(c.out, format, args...)
	c.n += n
	if c.err == nil {
		c.err = err
	}
}

func (c *counter) done(what string) error {
	if err := c.out.Flush(); c.err == nil {
		c.err = err
	}
	if c.err != nil {
		return fmt.Errorf("write %s: %w", what, c.err)
	}
	return nil
}

// separations are those of a sheet in process colours with a spot colour.
var separations = []string{"Cyan", "Magenta", "Yellow", "Black", "MarshGreen"}

// JDF writes a 1.x ticket of size bytes or a little more: a node that prints
// many sheets, with their plates by side and separation.
func JDF(w io.Writer, size int, faults Faults) error {
	c := &counter{out: bufio.NewWriter(w)}
	c.print("%s\n", `<?xml version="1.0" encoding="UTF-8"?>`)
	c.print("%s\n", `<JDF xmlns="http://www.CIP4.org/JDFSchema_1_1" xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance"`+
		` xsi:type="ConventionalPrinting" ID="N1" Type="ConventionalPrinting" Status="Waiting" Version="1.5"`+
		` JobID="SPW-4711" JobPartID="P1" DescriptiveName="Gezeitentafeln für Müller &amp; Söhne">`)
	c.print("  <ResourcePool>\n")
	c.print("%s\n", `    <ConventionalPrintingParams ID="CPP" Class="Parameter" Status="Available"`+
		` WorkStyle="WorkAndBack"/>`)
	c.print("%s\n", `    <Media ID="M1" Class="Consumable" Status="Available" MediaType="Paper" Weight="135"`+
		` Dimension="2040.94 1474.02" Brand="Marsh Silk" Thickness="110" FrontCoatings="Glossy"/>`)
	resources := 0
	c.sheets(size, faults, &resources, (*counter).jdfPlate, `    <ExposedMedia ID="Plates" Class="Handling" `+
		`Status="Available" PartIDKeys="SheetName Side Separation"><MediaRef rRef="M1"/>`, "    </ExposedMedia>")
	c.print("%s\n", `    <Component ID="Out" Class="Quantity" Status="Unavailable" ComponentType="Sheet"`+
		` Dimensions="2040.94 1474.02 0.1"/>`)
	c.print("  </ResourcePool>\n  <ResourceLinkPool>\n")
	c.print("%s\n", `    <ConventionalPrintingParamsLink rRef="CPP" Usage="Input"/>`)
	c.print("%s\n", `    <MediaLink rRef="M1" Usage="Input"/>`)
	c.print("%s\n", `    <ExposedMediaLink rRef="Plates" Usage="Input"/>`)
	c.print("%s\n", `    <ComponentLink rRef="Out" Usage="Output" Amount="12000"/>`)
	c.print("  </ResourceLinkPool>\n</JDF>\n")
	return c.done("JDF ticket")
}

// sheets writes sheet by sheet until the size is reached.
func (c *counter) sheets(size int, faults Faults, resources *int,
	one func(c *counter, sheet int, faults Faults, resources *int), head, foot string) {
	const rest = 600 // bytes behind the sheets
	c.print("%s\n", head)
	for sheet := 1; sheet == 1 || c.n < size-rest && c.err == nil; sheet++ {
		one(c, sheet, faults, resources)
	}
	c.print("%s\n", foot)
}

func (c *counter) jdfPlate(sheet int, faults Faults, resources *int) {
	c.print("      <ExposedMedia SheetName=\"Sheet%d\" DescriptiveName=\"Bogen %d\">\n", sheet, sheet)
	for _, side := range []string{"Front", "Back"} {
		c.print("        <ExposedMedia Side=\"%s\">\n", side)
		for i, s := range separations {
			c.print("          <ExposedMedia Separation=\"%s\" Status=\"Available\" ProductID=\"plate-%d-%d\""+
				" Resolution=\"2400 2400\" PlateType=\"Exposed\"%s/>\n", s, sheet, i, faults.attribute(*resources))
			*resources++
		}
		c.print("        </ExposedMedia>\n")
	}
	c.print("        <Comment Name=\"Description\">mind the grain of sheet %d</Comment>\n      </ExposedMedia>\n", sheet)
}

// XJDF writes a 2.x ticket of size bytes or a little more, with the same content.
func XJDF(w io.Writer, size int, faults Faults) error {
	c := &counter{out: bufio.NewWriter(w)}
	c.print("%s\n", `<?xml version="1.0" encoding="UTF-8"?>`)
	c.print("%s\n", `<XJDF xmlns="http://www.CIP4.org/JDFSchema_2_0" JobID="SPW-4711" JobPartID="P1" Version="2.1"`+
		` Types="ConventionalPrinting" DescriptiveName="Gezeitentafeln für Müller &amp; Söhne">`)
	c.print("%s\n", `  <ResourceSet Name="ConventionalPrintingParams" Usage="Input">`+
		`<Resource><ConventionalPrintingParams WorkStyle="WorkAndBack"/></Resource></ResourceSet>`)
	c.print("%s\n", `  <ResourceSet Name="Media" Usage="Input"><Resource ID="M1"><Media MediaType="Paper" Weight="135"`+
		` Dimension="2040.94 1474.02" Thickness="110"/></Resource></ResourceSet>`)
	resources := 0
	c.sheets(size, faults, &resources, (*counter).xjdfPlate,
		`  <ResourceSet Name="ExposedMedia" Usage="Input">`, "  </ResourceSet>")
	c.print("%s\n", `  <ResourceSet Name="Component" Usage="Output"><Resource>`+
		`<AmountPool><PartAmount Amount="12000"/></AmountPool><Component Dimensions="2040.94 1474.02 0.1"/>`+
		`</Resource></ResourceSet>`)
	c.print("</XJDF>\n")
	return c.done("XJDF ticket")
}

func (c *counter) xjdfPlate(sheet int, faults Faults, resources *int) {
	for _, side := range []string{"Front", "Back"} {
		for i, s := range separations {
			c.print("    <Resource ID=\"P%d.%s.%d\" Status=\"Available\" DescriptiveName=\"Bogen %d\"%s>\n",
				sheet, side, i, sheet, faults.attribute(*resources))
			c.print("      <Part SheetName=\"Sheet%d\" Side=\"%s\" Separation=\"%s\"/>\n", sheet, side, s)
			c.print("      <ExposedMedia MediaRef=\"M1\" PlateType=\"Exposed\" Resolution=\"2400 2400\"/>\n    </Resource>\n")
			*resources++
		}
	}
}
