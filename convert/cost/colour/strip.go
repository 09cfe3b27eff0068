package colour

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"quoin/jdf"
	"quoin/jdf/value"
	"quoin/validate"
	"quoin/validate/plant"
)

// process are the colorants in the order of the four densities of a
// DensityMeasuringField, and of percentages where no separations are named.
//
// From memory: JDF 1.4 lists the filters of a DensityMeasuringField so.
var process = []string{"Cyan", "Magenta", "Yellow", "Black"}

// stripReader reads the fields of one control strip.
type stripReader struct {
	*reader
	base        Measurement
	separations []string // that percentages are of
	place       placing
	count       int // fields so far
}

// strip reads a ColorControlStrip.
func (r *reader) strip(n jdf.Node, base Measurement) {
	if !n.Valid() {
		return
	}
	l := levelOf(n)
	s := stripReader{reader: r, base: base, place: r.placing(l)}
	s.separations = strings.Fields(l.get("Separations"))
	for _, spec := range l.children("SeparationSpec") {
		s.separations = append(s.separations, spec.Get("Name"))
	}
	s.conditions(r.childOf(n, "ColorMeasurementConditions"))
	for c := range n.Children() {
		if c.Is("DensityMeasuringFieldRef", "CIELABMeasuringFieldRef") {
			c = r.meant(c)
		}
		if c.Is("Patch", "CIELABMeasuringField", "DensityMeasuringField") {
			s.field(c)
		}
	}
}

// field reads one field of the strip, or one that stands alone.
func (s *stripReader) field(n jdf.Node) {
	s.count++
	base := s.base
	defer func() { s.base = base }()
	s.base.Field = s.count
	s.base.Across = s.place.across(s.reader, n)
	if s.base.Zone == 0 {
		s.base.Zone = s.zones.at(s.base.Across)
	}
	s.conditions(s.childOf(n, "ColorMeasurementConditions"))
	switch {
	case n.Is("Patch"):
		s.patch(n)
	case n.Is("CIELABMeasuringField"):
		s.cielab(n)
	case n.Is("DensityMeasuringField"):
		s.density(n)
	}
}

// add keeps a value of the field.
func (s *stripReader) add(a jdf.Attr, kind Kind, v float64) {
	m := s.base
	m.Kind, m.Value, m.Source = kind, v, sourceAt(a.Place())
	s.all = append(s.all, m)
}

// addLab keeps a colour of the field.
func (s *stripReader) addLab(n jdf.Node, name string) {
	a := n.Attr(name)
	if !a.Valid() {
		return
	}
	c, err := value.ParseLabColor(a.Value())
	if err != nil || !sound(c.L) || !sound(c.A) || !sound(c.B) {
		s.report(a, "a colour such as 55 -37 -50")
		return
	}
	m := s.base
	m.Kind, m.Lab, m.Source = CIELAB, plant.Lab(c), sourceAt(a.Place())
	s.all = append(s.all, m)
}

// patch reads a Patch. Patches that are to be ignored, that are part of the
// image or serve the device only are left out.
func (s *stripReader) patch(n jdf.Node) {
	if usage := n.Get("PatchUsage"); usage != "Color" && usage != "" {
		return
	}
	var names []string
	var percents []float64
	for c := range n.ChildrenNamed("SeparationTint") {
		tint, ok := s.tint(c)
		if !ok {
			return // without it nobody knows what the values are of
		}
		names, percents = append(names, c.Get("Name")), append(percents, tint)
	}
	s.base.Colorant, s.base.Nominal = mixture(names, percents)
	s.addLab(n, "Lab")
	if v, ok := s.number(n, "Density"); ok {
		s.add(n.Attr("Density"), Density, v)
	}
	if v, ok := s.number(n, "NeutralDensity"); ok {
		s.add(n.Attr("NeutralDensity"), NeutralDensity, v)
	}
}

// tint reads a SeparationTint in percent.
//
// Source: the published sample of QualityControlParams, which writes 0.9.
func (s *stripReader) tint(n jdf.Node) (float64, bool) {
	v, ok := s.number(n, "Tint")
	switch a := n.Attr("Tint"); {
	case !ok:
		if !a.Valid() {
			s.found = append(s.found, ruleUnreadable.At(n.NamePlace(), validate.F("name", "SeparationTint/@Tint"),
				validate.F("got", ""), validate.F("want", "a number from 0 to 1")))
		}
		return 0, false
	case v < 0 || v > 100:
		s.report(a, "a number from 0 to 1")
		return 0, false
	case v > 1:
		s.found = append(s.found, ruleTintPercent.At(a.Place(), validate.F("name", nameOf(a)),
			validate.F("got", short(a.Value())), validate.F("want", plain(v/100))))
		return v, true
	}
	return math.Round(v*1e6) / 1e4, true // percent, without what doubles add to a decimal fraction
}

// mixture names what a field is printed with, and how full. Colorants of tint
// 0 are not printed; none at all is the paper.
func mixture(names []string, percents []float64) (colorant string, nominal float64) {
	type part struct {
		name    string
		percent float64
	}
	var parts []part
	for i, p := range percents {
		if p > 0 {
			parts = append(parts, part{names[i], p})
		}
	}
	if len(parts) == 0 {
		return Paper, 0
	}
	slices.SortFunc(parts, func(a, b part) int { return strings.Compare(a.name, b.name) })
	same := !slices.ContainsFunc(parts, func(p part) bool { return p.percent != parts[0].percent })
	var words []string
	for _, p := range parts {
		if same {
			words = append(words, p.name)
		} else {
			words = append(words, fmt.Sprintf("%s %s", p.name, plain(p.percent)))
		}
	}
	if !same {
		return strings.Join(words, "+"), Unknown
	}
	return strings.Join(words, "+"), parts[0].percent
}

// cielab reads a CIELABMeasuringField. Its percentages are of the separations
// of the strip in their order; four without names are of the process colours.
func (s *stripReader) cielab(n jdf.Node) {
	names := s.separations
	percents, ok := s.numbers(n, "Percentages")
	if len(names) == 0 && len(percents) == len(process) {
		names = process
	}
	switch {
	case ok && len(names) == len(percents):
		if slices.Min(percents) < 0 || slices.Max(percents) > 100 {
			s.report(n.Attr("Percentages"), "numbers from 0 to 100")
			return
		}
		s.base.Colorant, s.base.Nominal = mixture(names, percents)
	case ok:
		s.report(n.Attr("Percentages"), fmt.Sprintf("as many numbers as the strip has separations, which is %d", len(names)))
		return
	default:
		s.base.Nominal = Unknown // the colorant is that of the partition, if any
	}
	s.addLab(n, "CIELab")
}

// density reads a DensityMeasuringField. The density that counts is that of
// the filter of its separation, or the highest where that is no process colour.
//
// A field of XJDF does not tell its tint: without dot gain it counts as a
// solid, for a tint without any is not met in print.
func (s *stripReader) density(n jdf.Node) {
	s.base.Colorant = n.Get("Separation")
	gain, hasGain := s.number(n, "DotGain")
	nominal, ok := s.number(n, "Percentage")
	switch {
	case ok && (nominal < 0 || nominal > 100):
		s.report(n.Attr("Percentage"), "a number from 0 to 100")
		return
	case ok:
	case hasGain && gain != 0:
		nominal = Unknown
	default:
		nominal = 100
	}
	s.base.Nominal = nominal
	if nominal == 0 {
		s.base.Colorant = Paper
	}
	if all, ok := s.numbers(n, "Density"); ok {
		s.add(n.Attr("Density"), Density, filtered(all, s.base.Colorant))
	}
	if hasGain && nominal != 0 && nominal != 100 {
		s.add(n.Attr("DotGain"), ToneIncrease, gain)
	}
}

// filtered picks the density of a separation among those through each filter.
func filtered(all []float64, separation string) float64 {
	if len(all) == len(process) {
		for i, name := range process {
			if strings.EqualFold(name, separation) {
				return all[i]
			}
		}
	}
	return slices.Max(all)
}

// plain writes a number in as few digits as tell it, at most four behind the point.
func plain(v float64) string {
	return value.FormatDouble(math.Round(v*1e4) / 1e4)
}
