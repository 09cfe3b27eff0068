package plant

import (
	"time"

	"github.com/shopspring/decimal"
)

func dieCutterSchema() schema[DieCutter] {
	return schema[DieCutter]{
		name: "die cutter",
		keys: machineKeys(func(d *DieCutter) *Machine { return &d.Machine }, []key[DieCutter]{
			need("min sheet", size, func(d *DieCutter) *Size { return &d.MinSheet }, "smallest sheet"),
			need("max sheet", size, func(d *DieCutter) *Size { return &d.MaxSheet }, "largest sheet"),
			may("gripper", length, func(d *DieCutter) *Length { return &d.Gripper }, "leading edge that it holds"),
			need("grammage", grammages, func(d *DieCutter) *Range { return &d.Grammage }, "sheets that it takes"),
			need("caliper", calipers, func(d *DieCutter) *Range { return &d.Caliper }, "sheets that it takes"),
			need("speed", byGrammage, func(d *DieCutter) *[]Step { return &d.Speed }, "by grammage"),
			need("setup", duration, func(d *DieCutter) *time.Duration { return &d.Setup }, "of a job, with its die"),
			need("die price", money("a price such as 180.00 EUR each", "each", "per die"),
				func(d *DieCutter) *decimal.Decimal { return &d.DiePrice }, "of a new die"),
			need("waste", waste("sheets", "die"), func(d *DieCutter) *Spoilage { return &d.Spoilage },
				"sheets that are spoilt"),
		}),
		senses: []sense[DieCutter]{
			{"min sheet", func(d *DieCutter) string { return smaller(d.MinSheet, d.MaxSheet) }},
		},
		mark: func(d *DieCutter) *Mark { return &d.Mark },
	}
}

// pace is a speed over length or in sheets.
var pace = scalar("a speed such as 25 m/min or 3000 sheets/h", func(_ *reader, text string) (Pace, *fault) {
	n, rest, bad := readNumber(text)
	if bad != nil {
		return Pace{}, bad
	}
	d := dimension{units: append(counted("m/min").units, counted("sheets/h").units...)}
	if _, bad = positive(d.apply(n, rest)); bad != nil {
		return Pace{}, bad
	}
	if n.GreaterThan(decimal.NewFromInt(maxCount)) {
		return Pace{}, badSense("no machine is as fast")
	}
	if _, bad = counted("m/min").apply(n, rest); bad == nil {
		return Pace{Metres: n}, nil
	}
	return Pace{Sheets: n}, nil
})

func laminatorSchema() schema[Laminator] {
	return schema[Laminator]{
		name: "laminator",
		keys: machineKeys(func(l *Laminator) *Machine { return &l.Machine }, []key[Laminator]{
			may("min width", length, func(l *Laminator) *Length { return &l.MinWidth }, "of the sheet across the run"),
			need("max width", someLength, func(l *Laminator) *Length { return &l.MaxWidth },
				"of the sheet across the run"),
			need("grammage", grammages, func(l *Laminator) *Range { return &l.Grammage }, "sheets that it takes"),
			need("films", words("gloss", "matt", "soft touch"), func(l *Laminator) *[]string { return &l.Films },
				"kinds of film that it lays"),
			may("both sides", yes, func(l *Laminator) *bool { return &l.BothSides },
				"whether it lays film on both sides in one pass"),
			need("speed", pace, func(l *Laminator) *Pace { return &l.Speed }, "of production"),
			need("setup", duration, func(l *Laminator) *time.Duration { return &l.Setup }, "of a job"),
			need("film price", money("a price such as 0.19 EUR per m2", "per m2", "/m2", "per m²", "/m²"),
				func(l *Laminator) *decimal.Decimal { return &l.FilmPrice }, "of a square metre of film"),
			need("waste", waste("sheets", "side"), func(l *Laminator) *Spoilage { return &l.Spoilage },
				"sheets that are spoilt"),
		}),
		senses: []sense[Laminator]{{"min width", func(l *Laminator) string {
			if l.MinWidth > l.MaxWidth {
				return "the least width of " + l.MinWidth.String() + " is over the greatest of " + l.MaxWidth.String()
			}
			return ""
		}}},
		mark: func(l *Laminator) *Mark { return &l.Mark },
	}
}

func coaterSchema() schema[Coater] {
	return schema[Coater]{
		name: "coater",
		keys: machineKeys(func(c *Coater) *Machine { return &c.Machine }, []key[Coater]{
			need("min sheet", size, func(c *Coater) *Size { return &c.MinSheet }, "smallest sheet"),
			need("max sheet", size, func(c *Coater) *Size { return &c.MaxSheet }, "largest sheet"),
			need("grammage", grammages, func(c *Coater) *Range { return &c.Grammage }, "sheets that it takes"),
			need("coatings", words(pressCoatings...), func(c *Coater) *[]string { return &c.Coatings },
				"what it can lay"),
			may("dryers", words(pressDryers...), func(c *Coater) *[]string { return &c.Dryers }, "what dries the sheet"),
			need("speed", byGrammage, func(c *Coater) *[]Step { return &c.Speed }, "by grammage"),
			need("setup", duration, func(c *Coater) *time.Duration { return &c.Setup }, "of a job"),
			may("drying time", duration, func(c *Coater) *time.Duration { return &c.DryingTime },
				"before the sheets can go on"),
			need("coating film", film, func(c *Coater) *decimal.Decimal { return &c.CoatingFilm },
				"wet coating of a full sheet"),
			may("coating price", kilo, func(c *Coater) *decimal.Decimal { return &c.CoatingPrice },
				"of all coatings; that of the inks when not given"),
			need("waste", waste("sheets", "side"), func(c *Coater) *Spoilage { return &c.Spoilage },
				"sheets that are spoilt"),
		}),
		senses: []sense[Coater]{
			{"min sheet", func(c *Coater) string { return smaller(c.MinSheet, c.MaxSheet) }},
		},
		mark: func(c *Coater) *Mark { return &c.Mark },
	}
}

func handWorkSchema() schema[HandWork] {
	perThousand := scalar("a time such as 240 min per 1000 pieces", func(r *reader, text string) (time.Duration, *fault) {
		return timePer(text, "per 1000 pieces", "per 1000 copies", "per 1000")
	})
	return schema[HandWork]{
		name: "hand work",
		keys: machineKeys(func(h *HandWork) *Machine { return &h.Machine }, []key[HandWork]{
			need("task", word, func(h *HandWork) *string { return &h.Task },
				"process or binding of the standard that is done by hand, such as Inserting or HardCover"),
			need("time", perThousand, func(h *HandWork) *time.Duration { return &h.PerThousand }, "of all hands together"),
			need("setup", duration, func(h *HandWork) *time.Duration { return &h.Setup }, "of a job"),
		}),
		mark: func(h *HandWork) *Mark { return &h.Mark },
	}
}
