package colour

import (
	"math"
	"strings"

	"quoin/jdf"
	"quoin/jdf/value"
)

// placing is where a control strip lies on the sheet.
//
// From memory: the Center of a field counts from the lower left corner of the
// rectangle that Center and Size of its strip describe.
type placing struct {
	known        bool
	center, size value.XYPair // points
	turn         float64      // radians
}

func (r *reader) placing(l *level) placing {
	center, ok := r.pair(l.with("Center"), "Center")
	size, sized := r.pair(l.with("Size"), "Size")
	turn, _ := r.number(l.with("Rotation"), "Rotation")
	return placing{ok && sized, center, size, turn * math.Pi / 180}
}

// across is the position of a field across the sheet in mm, to the micrometre;
// 0 when it is not known.
func (p placing) across(r *reader, n jdf.Node) float64 {
	at, ok := r.pair(n, "Center")
	if !ok || !p.known {
		return 0
	}
	x, y := at.X-p.size.X/2, at.Y-p.size.Y/2
	mm := value.Length(p.center.X + x*math.Cos(p.turn) - y*math.Sin(p.turn)).MM()
	return math.Round(mm*1000) / 1000
}

// zoning is how the sheet is divided into ink zones.
type zoning struct{ left, width float64 } // mm

// zoning reads the width of ink zones; the first begins at the left edge of the
// printable area.
func (r *reader) zoning(n jdf.Node) zoning {
	width, err := value.ParseDouble(n.Get("ZoneWidth"))
	if err != nil || !(width > 0 && width <= most) {
		return zoning{}
	}
	z := zoning{width: value.Length(width).MM()}
	if area, err := value.ParseList(n.Get("PrintableArea"), value.ParseDouble); err == nil && len(area) == 4 &&
		sound(area[0]) {
		z.left = value.Length(area[0]).MM()
	}
	return z
}

// maxZones is more than any press has.
const maxZones = 1000

// at is the zone of a position, 0 when one of the two is not known.
func (z zoning) at(across float64) int {
	if z.width <= 0 || across == 0 {
		return 0
	}
	zone := math.Floor((across-z.left)/z.width) + 1
	if !(zone >= 1 && zone <= maxZones) {
		return 0
	}
	return int(zone)
}

// keys reads the settings of the ink keys of an InkZoneProfile.
//
// From memory: a setting is from 0, closed, to 1, fully open.
func (r *reader) keys(l *level) {
	settings, ok := r.numbers(l.node, "ZoneSettingsX")
	if !ok {
		return
	}
	if len(settings) > maxZones {
		r.report(l.node.Attr("ZoneSettingsX"), "one number for each ink zone")
		return
	}
	m := r.about(l.node)
	m.Usage, m.Nominal, m.Kind = Preset, Unknown, InkZone
	if r.told(l.node) {
		m.Usage = Standard
	}
	m.Source = sourceAt(l.node.Attr("ZoneSettingsX").Place())
	for i, v := range settings {
		m.Zone, m.Value = i+1, math.Round(v*1e6)/1e4
		r.all = append(r.all, m)
	}
}

// told reports whether a resource is what a message or an audit reports, rather
// than what a ticket asks for.
func (r *reader) told(n jdf.Node) bool {
	for p := n; p.Valid(); p = p.Parent() {
		if _, audited := r.audit[p.Get("ID")]; p.Is("ResourceInfo") || audited && p.Has("ID") {
			return true
		}
	}
	return false
}

// conditions takes over what a ColorMeasurementConditions says; its attributes
// that JDF has defaults for have them there.
//
// Source: JDFResource.xsd, attribute group ColorMeasurementConditionsAttribs_r.
func (s *stripReader) conditions(n jdf.Node) {
	if !n.Valid() {
		return
	}
	get := func(name, standard string) string {
		if v := strings.TrimSpace(n.Get(name)); v != "" || s.doc.Kind.Second() {
			return v
		}
		return standard
	}
	c := Conditions{
		Density: get("DensityStandard", "ANSIT"), Illumination: get("Illumination", "D50"),
		Filter: get("MeasurementFilter", ""), Backing: get("SampleBacking", ""), White: get("WhiteBase", ""),
		Ink: get("InkState", ""), Mode: get("MeasurementMode", ""),
	}
	if text := get("Observer", "2"); text != "" {
		if v, err := value.ParseInt(text); err != nil {
			s.report(n.Attr("Observer"), "a number of degrees such as 2")
		} else {
			c.Observer = int(v)
		}
	}
	s.base.Conditions = c
}
