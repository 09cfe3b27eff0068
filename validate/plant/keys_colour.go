package plant

import (
	"fmt"
	"slices"
	"strings"

	"github.com/shopspring/decimal"
)

// colourGroup is the key "colour" of a plant.
func colourGroup() kind[*Colour] {
	return mapped(group("colour", colourSchema()), func(c Colour) *Colour { return &c })
}

func colourSchema() schema[Colour] {
	formula := oneOf(DifferenceOf1976, DifferenceOf2000)
	sheets := count("a count such as 8 sheets", 5, "sheets")
	own := []key[Colour]{
		may("measuring", group("measuring", measuringSchema()), func(c *Colour) *Measuring { return &c.Measuring },
			"conditions that the aims are for; what is measured under others is not judged"),
		need("formula", formula, func(c *Colour) *DifferenceFormula { return &c.Formula },
			"of the colour difference that is held against tolerances"),
		need("near", portion(1, 100), func(c *Colour) *float64 { return &c.Near },
			"share of a tolerance over which a value counts as near its edge"),
		need("within", portion(1, 100), func(c *Colour) *float64 { return &c.Within },
			"share of the measured sheets that has to keep a tolerance"),
		need("trend from", sheets, func(c *Colour) *int { return &c.TrendSheets },
			"measured sheets from which a trend is spoken of"),
		need("confidence", portion(50, 99.9), func(c *Colour) *float64 { return &c.Confidence },
			"of the interval around a trend"),
		need("look ahead", portion(1, 1000), func(c *Colour) *float64 { return &c.LookAhead },
			"share of the stretch measured so far that a trend is drawn out by"),
		may("yule-nielsen", factorFrom(1, 10), func(c *Colour) *float64 { return &c.YuleNielsen },
			"n of the tone value formula; 1 when not given"),
		may("register", someLength, func(c *Colour) *Length { return &c.Register },
			"deviation in either direction that is accepted; not judged when not given"),
		may("midtone spread", portion(0.1, 100), func(c *Colour) *float64 { return &c.MidtoneSpread },
			"of cyan, magenta and yellow in tone value; not judged when not given"),
		may("midtones", tints, func(c *Colour) *Range { return &c.Midtones }, "tints that the midtone spread is of"),
		may("ink zone", portion(0.1, 100), func(c *Colour) *float64 { return &c.InkZone },
			"deviation of an ink key from its presetting, of its full opening; not judged when not given"),
		may("ink zones", values(entries("presses with ink zones", "", zoneSchema(),
			func(*ZoneWidth) string { return "" })), func(c *Colour) *[]ZoneWidth { return &c.Zones },
			"how wide the ink zones of presses are, where tickets do not tell"),
		need("aims", entries("aims", "aims", aimsSchema(), func(a *Aims) string { return a.Name }),
			func(c *Colour) *[]*Aims { return &c.Aims }, "by kind of stock"),
	}
	return schema[Colour]{name: "colour", keys: own, senses: []sense[Colour]{{"aims", stockTwice}},
		fresh: func(c *Colour) { c.YuleNielsen = 1 },
		mark:  func(c *Colour) *Mark { return &c.Mark }}
}

// stockTwice tells of a kind of stock that two aims are for.
func stockTwice(c *Colour) string {
	seen := map[string]string{}
	for _, a := range c.Aims {
		for _, s := range a.Stock {
			if first, twice := seen[s]; twice {
				return fmt.Sprintf("the coating %q is in the aims %q and %q", s, clip(first), clip(a.Name))
			}
			seen[s] = a.Name
		}
	}
	return ""
}

func measuringSchema() schema[Measuring] {
	return schema[Measuring]{name: "measuring", keys: []key[Measuring]{
		may("density", oneOf("ANSIA", "ANSIE", "ANSII", "ANSIT", "DIN16536", "DIN16536NB"),
			func(m *Measuring) *string { return &m.Density }, "standard of the densities"),
		may("illumination", word, func(m *Measuring) *string { return &m.Illumination }, "such as D50"),
		may("observer", count("an angle such as 2 degrees", 2, "degrees"),
			func(m *Measuring) *int { return &m.Observer }, "field of the observer"),
		may("filter", oneOf("None", "Pol", "UV"), func(m *Measuring) *string { return &m.Filter },
			"of the instrument"),
		may("backing", oneOf("Black", "Substrate", "White"), func(m *Measuring) *string { return &m.Backing },
			"what lies under the sheet"),
	}}
}

func zoneSchema() schema[ZoneWidth] {
	return schema[ZoneWidth]{name: "ink zones", keys: []key[ZoneWidth]{
		need("press", word, func(z *ZoneWidth) *string { return &z.Press }, "id of the press"),
		need("width", someLength, func(z *ZoneWidth) *Length { return &z.Width }, "of one zone"),
		may("zones", count("a count such as 23", 1, "zones"), func(z *ZoneWidth) *int { return &z.Zones },
			"across the press"),
	}}
}

func aimsSchema() schema[Aims] {
	return schema[Aims]{name: "aims", keys: []key[Aims]{
		need("name", text, func(a *Aims) *string { return &a.Name }, "what reports call them"),
		need("stock", words(paperCoatings...), func(a *Aims) *[]string { return &a.Stock },
			"coatings of the paper that they are for"),
		may("solids", values(entries("solids", "", solidSchema(), func(*Solid) string { return "" })),
			func(a *Aims) *[]Solid { return &a.Solids }, "full tones, and the paper"),
		may("tones", values(entries("tones", "", toneSchema(), func(*Tone) string { return "" })),
			func(a *Aims) *[]Tone { return &a.Tones }, "tints"),
	}, senses: []sense[Aims]{{"solids", solidTwice}, {"tones", toneTwice}},
		mark: func(a *Aims) *Mark { return &a.Mark }}
}

func solidTwice(a *Aims) string {
	seen := map[string]bool{}
	for _, s := range a.Solids {
		k := colorantKey(s.Colorant)
		if seen[k] {
			return fmt.Sprintf("two solids are of %q", clip(s.Colorant))
		}
		seen[k] = true
	}
	return ""
}

func toneTwice(a *Aims) string {
	type what struct {
		tint     float64
		colorant string
	}
	seen := map[what]bool{}
	for _, t := range a.Tones {
		names := t.Colorants
		if len(names) == 0 {
			names = []string{""}
		}
		for _, name := range names {
			w := what{t.Tint, colorantKey(name)}
			if seen[w] {
				return fmt.Sprintf("two tones are of the tint %s %%", decimals(t.Tint))
			}
			seen[w] = true
		}
	}
	return ""
}

func solidSchema() schema[Solid] {
	difference := factorFrom(0.1, 100)
	return schema[Solid]{name: "solid", keys: []key[Solid]{
		need("colorant", text, func(s *Solid) *string { return &s.Colorant },
			"name of the separation, several joined by +, or Paper"),
		may("lab", cielab, func(s *Solid) **Lab { return &s.Lab }, "aim in CIELAB"),
		may("accept", difference, func(s *Solid) *float64 { return &s.Accept },
			"colour difference of the approved sheet against the aim"),
		may("vary", difference, func(s *Solid) *float64 { return &s.Vary },
			"colour difference of the run against the approved sheet"),
		may("density", factorFrom(0.01, 5), func(s *Solid) *float64 { return &s.Density }, "aim"),
		may("density vary", factorFrom(0.01, 2), func(s *Solid) *float64 { return &s.DensityVary },
			"deviation from the approved sheet, or from the aim where none is approved"),
	}, senses: []sense[Solid]{{"accept", func(s *Solid) string {
		if s.Accept > 0 && s.Lab == nil {
			return "a difference is stated, and no aim that it is against"
		}
		return ""
	}}}, mark: func(s *Solid) *Mark { return &s.Mark }}
}

func toneSchema() schema[Tone] {
	deviation := portion(0.1, 100)
	names := listOf("a list such as [Cyan, Magenta]", text)
	return schema[Tone]{name: "tone", keys: []key[Tone]{
		need("tint", portion(0.1, 99.9), func(t *Tone) *float64 { return &t.Tint }, "in the data"),
		may("colorants", names, func(t *Tone) *[]string { return &t.Colorants },
			"that it is for; all process colours when not given"),
		need("increase", portion(0, 100), func(t *Tone) *float64 { return &t.Increase }, "of its tone value in print"),
		may("accept", deviation, func(t *Tone) *float64 { return &t.Accept },
			"deviation of the approved sheet from the increase"),
		may("vary", deviation, func(t *Tone) *float64 { return &t.Vary },
			"deviation of the run from the approved sheet"),
	}, mark: func(t *Tone) *Mark { return &t.Mark }}
}

// within bounds a number from both sides.
func within(n decimal.Decimal, bad *fault, least, most float64, unit string) (float64, *fault) {
	v := n.InexactFloat64()
	if bad == nil && (v < least || v > most) {
		bad = badSense("it has to be from %s to %s%s", decimals(least), decimals(most), unit)
	}
	return v, bad
}

// portion is a percentage within bounds.
func portion(least, most float64) kind[float64] {
	return scalar("a percentage such as 5 %", func(_ *reader, text string) (float64, *fault) {
		n, bad := percent.read(text)
		return within(n, bad, least, most, " %")
	})
}

// factorFrom is a bare number within bounds.
func factorFrom(least, most float64) kind[float64] {
	return scalar("a number such as 1.5", func(_ *reader, text string) (float64, *fault) {
		n, bad := dimension{bare: true}.read(text)
		return within(n, bad, least, most, "")
	})
}

// tints is a range of percentages.
var tints = span("a range such as 40 - 50 %", percent)

// cielab is a colour: L* from 0 to 100, a* and b* from -200 to 200.
var cielab = scalar("a colour such as 55 -37 -50", func(_ *reader, text string) (*Lab, *fault) {
	words := strings.Fields(text)
	if len(words) != 3 {
		return nil, badValue("it is not three numbers with spaces between")
	}
	var v [3]float64
	for i, w := range words {
		minus := strings.HasPrefix(w, "-")
		n, bad := dimension{bare: true}.read(strings.TrimPrefix(w, "-"))
		if bad != nil {
			return nil, bad
		}
		if v[i] = n.InexactFloat64(); minus {
			v[i] = -v[i]
		}
	}
	if v[0] < 0 || v[0] > 100 {
		return nil, badSense("L* goes from 0 to 100")
	}
	if slices.Max(v[1:]) > 200 || slices.Min(v[1:]) < -200 {
		return nil, badSense("a* and b* go from -200 to 200")
	}
	return &Lab{v[0], v[1], v[2]}, nil
})
