package plant

import (
	"fmt"
	"strings"
)

// String writes the colour as plant files have it.
func (l Lab) String() string {
	return decimals(l.L) + " " + decimals(l.A) + " " + decimals(l.B)
}

// colour shows what is printed to.
func (s *sheet) colour() {
	c := s.plant.Colour
	if c == nil {
		return
	}
	s.heading("Colour")
	observer := ""
	if c.Measuring.Observer > 0 {
		observer = fmt.Sprintf("%d degrees", c.Measuring.Observer)
	}
	m := c.Measuring
	register, spread, zone := "", "", ""
	if c.Register > 0 {
		register = c.Register.String()
	}
	if c.MidtoneSpread > 0 {
		spread = fmt.Sprintf("%s %% at %s - %s %%", decimals(c.MidtoneSpread), decimals(c.Midtones.Min),
			decimals(c.Midtones.Max))
	}
	if c.InkZone > 0 {
		zone = decimals(c.InkZone) + " % of the full opening"
	}
	var widths []string
	for _, z := range c.Zones {
		widths = append(widths, strings.TrimSpace(z.Press+" "+z.Width.String()))
	}
	s.facts("measured", strings.Join(spoken(m.Density, m.Illumination, observer, m.Filter, m.Backing), ", "),
		"difference by", string(c.Formula),
		"near", "over "+decimals(c.Near)+" % of a tolerance",
		"within", decimals(c.Within)+" % of the sheets",
		"trend", fmt.Sprintf("from %d sheets, confidence %s %%, drawn out by %s %%", c.TrendSheets,
			decimals(c.Confidence), decimals(c.LookAhead)),
		"tone value", "n = "+decimals(c.YuleNielsen), "register", register, "midtone spread", spread,
		"ink keys", zone, "ink zones", strings.Join(widths, ", "))
	for _, a := range c.Aims {
		s.aims(a)
	}
}

func (s *sheet) aims(a *Aims) {
	title := "Aims: " + a.Name + " (" + strings.Join(a.Stock, ", ") + ")"
	rows := [][]string{{"solid", "L* a* b*", "accept", "vary", "density", "density vary"}}
	for _, x := range a.Solids {
		lab := "-"
		if x.Lab != nil {
			lab = x.Lab.String()
		}
		rows = append(rows, []string{x.Colorant, lab, stated(x.Accept), stated(x.Vary), optical(x.Density),
			optical(x.DensityVary)})
	}
	s.table(title, rows)
	rows = [][]string{{"tint", "colorants", "increase", "accept", "vary"}}
	for _, t := range a.Tones {
		names := strings.Join(t.Colorants, ", ")
		if names == "" {
			names = "process colours"
		}
		rows = append(rows, []string{decimals(t.Tint) + " %", names, decimals(t.Increase) + " %", stated(t.Accept),
			stated(t.Vary)})
	}
	s.table(title+", tints", rows)
}

// stated writes a number, or a dash for one that is not stated.
func stated(v float64) string {
	if v == 0 {
		return "-"
	}
	return decimals(v)
}

// optical writes a density as instruments show it.
func optical(v float64) string {
	if v == 0 {
		return "-"
	}
	return fmt.Sprintf("%.2f", v)
}

// spoken leaves out what is empty.
func spoken(words ...string) []string {
	var all []string
	for _, w := range words {
		if w != "" {
			all = append(all, w)
		}
	}
	return all
}
