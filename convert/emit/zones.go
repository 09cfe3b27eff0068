package emit

import (
	"strings"

	"github.com/beevik/etree"

	"quoin/convert/plan"
)

// inkZones presets the ink zones of a press, one profile for each separation of
// each form.
func (w *writer) inkZones(o *plan.Operation) {
	if len(o.Print.Zones) == 0 {
		return
	}
	all := w.resources("InkZoneProfile", "Input")
	for _, z := range o.Print.Zones {
		r := all.CreateElement("Resource")
		set(r.CreateElement("Part"), "Separation", w.names[z.Separation], "SheetName", o.Sheet, "Side", zoneSide(z))
		profile(r.CreateElement("InkZoneProfile"), o, z)
	}
}

func zoneSide(z plan.Zones) string {
	if z.Back {
		return "Back"
	}
	return "Front"
}

// profile writes the settings; both generations name them alike.
func profile(e *etree.Element, o *plan.Operation, z plan.Zones) {
	settings := make([]string, len(z.Settings))
	for i, v := range z.Settings {
		settings[i] = number(v)
	}
	set(e, "ZoneSettingsX", strings.Join(settings, " "), "ZoneWidth", points(o.Print.ZoneWidth))
}

// inkZones presets the ink zones of a press for a step of a node.
func (t *tree) inkZones(o *plan.Operation, step string) {
	if len(o.Print.Zones) == 0 {
		return
	}
	all := set(t.params("InkZoneProfile", step), "PartIDKeys", "SheetName Side Separation")
	// The root of a partition has to hold what the schema asks of every profile.
	profile(all, o, o.Print.Zones[0])
	sheet := set(all.CreateElement("InkZoneProfile"), "SheetName", o.Sheet)
	for _, z := range o.Print.Zones {
		side := leaf(sheet, "Side", zoneSide(z))
		profile(set(side.CreateElement("InkZoneProfile"), "Separation", z.Separation), o, z)
	}
}

// zones says that the ink zones are preset.
func (n *notes) zones() {
	p := n.op.Print
	if len(p.Zones) == 0 {
		return
	}
	zones := p.Zones[0].Settings
	n.line("ink zones", "%s of %s, preset in the ticket from the mean coverage of the pieces above each",
		many(len(zones), "zone"), p.ZoneWidth)
}
