package plant

import (
	"fmt"
	"time"

	"github.com/shopspring/decimal"
)

var (
	sheetSpeed = speed("a speed such as 12000 sheets/h", "sheets/h")
	kilo       = money("a price such as 12.50 EUR/kg", "/kg", "per kg")
	film       = amount("a film weight such as 1.5 g/m2", weights)
	click      = money("a price such as 0.0480 EUR per side", "per side", "per click")
)

// pressCoatings and pressDryers are what coaters lay and what dries a sheet.
var (
	pressCoatings = []string{"aqueous", "UV", "varnish"}
	pressDryers   = []string{"IR", "UV", "hot air"}
)

// speed is a rate of production above zero.
func speed(form string, units ...string) kind[decimal.Decimal] {
	d := counted(units...)
	return scalar(form, func(_ *reader, text string) (decimal.Decimal, *fault) {
		n, bad := positive(d.read(text))
		if bad == nil && n.GreaterThan(decimal.NewFromInt(maxCount)) {
			bad = badSense("no machine is as fast")
		}
		return n, bad
	})
}

// byGrammage is a table of speeds by the grammage of the sheet.
var byGrammage = steps("250 g/m2", weights, sheetSpeed)

func pressSchema() schema[Press] {
	return schema[Press]{
		name: "press",
		keys: machineKeys(func(p *Press) *Machine { return &p.Machine },
			pressSheetKeys(), offsetKeys(), coaterKeys(), digitalKeys(),
			[]key[Press]{
				need("waste", waste("sheets", "colour"), func(p *Press) *Spoilage { return &p.Setup },
					"sheets that are spoilt"),
				may("stock waste", mapped(group("stock waste", stockWasteSchema()),
					func(s stockWastes) []StockWaste { return s.list }), func(p *Press) *[]StockWaste { return &p.StockWaste },
					"share of the running waste by the coating of the paper; all of it when not given"),
			}),
		senses: pressSenses(),
		mark:   func(p *Press) *Mark { return &p.Mark },
	}
}

func pressSheetKeys() []key[Press] {
	stockSpeed := mapped(group("stock speed", stockSpeedSchema()), func(s stockSpeeds) []StockSpeed { return s.list })
	return []key[Press]{
		need("kind", oneOf(Offset, Digital), func(p *Press) *PressKind { return &p.Kind }, "how it prints"),
		need("min sheet", size, func(p *Press) *Size { return &p.MinSheet },
			"smallest sheet, across the cylinder x along the run"),
		need("max sheet", size, func(p *Press) *Size { return &p.MaxSheet },
			"largest sheet, across the cylinder x along the run"),
		need("gripper", length, func(p *Press) *Length { return &p.Gripper }, "unprinted leading edge"),
		need("tail", length, func(p *Press) *Length { return &p.Tail }, "unprinted trailing edge"),
		need("side", length, func(p *Press) *Length { return &p.Side }, "unprinted margin at each side"),
		may("colour bar", length, func(p *Press) *Length { return &p.ColorBar },
			"strip at the tail for the control bar, beside the margin there"),
		need("grammage", grammages, func(p *Press) *Range { return &p.Grammage }, "sheets that it feeds"),
		need("caliper", calipers, func(p *Press) *Range { return &p.Caliper }, "sheets that it feeds"),
		need("units", count("a count such as 4", 1, "units", "colours"), func(p *Press) *int { return &p.Units },
			"colours in one pass"),
		may("dryers", words(pressDryers...), func(p *Press) *[]string { return &p.Dryers },
			"what dries the sheet in the press"),
		need("speed", byGrammage, func(p *Press) *[]Step { return &p.Speed }, "one side, by grammage"),
		may("stock speed", stockSpeed, func(p *Press) *[]StockSpeed { return &p.StockSpeed },
			"share of the speed by the coating of the paper; all of it when not given"),
		may("ink limit", share(400), func(p *Press) *decimal.Decimal { return &p.InkLimit },
			"total coverage of a side that it lays dry"),
		need("makeready", duration, func(p *Press) *time.Duration { return &p.Makeready },
			"of one form, plates apart"),
		may("makeready tasks", tasks, func(p *Press) *[]Task { return &p.MakereadyTasks },
			"what the makeready consists of; then their critical path counts instead of it"),
		may("stock makeready", steps("250 g/m2", weights, part("a percentage such as 125 %", 500)),
			func(p *Press) *[]Step { return &p.StockMakeready },
			"share of the makeready, with plates and coater, by grammage; all of it when not given"),
		may("drying time", duration, func(p *Press) *time.Duration { return &p.DryingTime },
			"before the sheets can go on; adds to the lead time, not to the cost"),
	}
}

func offsetKeys() []key[Press] {
	offset := condition[Press]{"offset presses", "kind", string(Offset), func(p *Press) bool { return p.Kind == Offset }}
	perfecting := may("perfecting", group("perfecting", perfectingSchema()), func(p *Press) *Perfecting {
		p.Perfecting = new(Perfecting)
		return p.Perfecting
	}, "printing both sides in one pass")
	return when(offset,
		perfecting,
		need("plate change", duration, func(p *Press) *time.Duration { return &p.PlateChange },
			"for as many plates as are changed at once"),
		need("plates at once", count("a count such as 1", 1, "plates"),
			func(p *Press) *int { return &p.PlatesAtOnce }, "plates that are changed together"),
		need("wash-up", duration, func(p *Press) *time.Duration { return &p.WashUp },
			"after a job, each unit used"),
		may("colour wash-up", duration, func(p *Press) *time.Duration { return &p.WashUpColor },
			"beside the wash-up, for a unit that goes from dark to light or to another special ink"),
		may("dampening", oneOf("alcohol", "alcohol reduced", "alcohol free", "waterless"),
			func(p *Press) *string { return &p.Dampening }, "how the plates are kept from taking ink"),
		need("plate price", money("a price such as 9.40 EUR each", "each", "per plate"),
			func(p *Press) *decimal.Decimal { return &p.PlatePrice }, "of one plate"),
		need("ink price", kilo, func(p *Press) *decimal.Decimal { return &p.InkPrice }, "of all inks"),
		need("ink film", film, func(p *Press) *decimal.Decimal { return &p.InkFilm }, "ink that a solid takes"),
	)
}

func coaterKeys() []key[Press] {
	offset := condition[Press]{"offset presses", "kind", string(Offset), func(p *Press) bool { return p.Kind == Offset }}
	coater := condition[Press]{"presses with coatings", "coatings", "", func(p *Press) bool { return len(p.Coatings) > 0 }}
	keys := when(offset, may("coatings", words(pressCoatings...),
		func(p *Press) *[]string { return &p.Coatings }, "what the coater can lay; none without a coater"))
	return append(keys, when(coater,
		need("coating makeready", duration, func(p *Press) *time.Duration { return &p.CoatingMakeready },
			"of the coater, beside the makeready of the form"),
		need("coating waste", count("a count such as 50 sheets", 0, "sheets"),
			func(p *Press) *int { return &p.CoatingSetup }, "sheets a makeready, beside the setup waste"),
		need("coating film", film, func(p *Press) *decimal.Decimal { return &p.CoatingFilm },
			"wet coating of a full sheet"),
		need("coating price", kilo, func(p *Press) *decimal.Decimal { return &p.CoatingPrice }, "of all coatings"),
	)...)
}

func digitalKeys() []key[Press] {
	digital := condition[Press]{"digital presses", "kind", string(Digital),
		func(p *Press) bool { return p.Kind == Digital }}
	return when(digital,
		may("duplex speed", byGrammage, func(p *Press) *[]Step { return &p.DuplexSpeed },
			"sheets with both sides; half the speed when not given"),
		need("click price", click, func(p *Press) *decimal.Decimal { return &p.ClickPrice },
			"a colour impression of one side"),
		need("black click price", click, func(p *Press) *decimal.Decimal { return &p.BlackClickPrice },
			"a black impression of one side"),
	)
}

func perfectingSchema() schema[Perfecting] {
	unitCount := count("a count such as 2", 1, "units", "colours")
	return schema[Perfecting]{name: "perfecting", keys: []key[Perfecting]{
		need("front", unitCount, func(p *Perfecting) *int { return &p.Front }, "units that print the front"),
		need("back", unitCount, func(p *Perfecting) *int { return &p.Back }, "units that print the back"),
		need("grammage", grammages, func(p *Perfecting) *Range { return &p.Grammage }, "sheets that it turns"),
		need("speed", share(100), func(p *Perfecting) *decimal.Decimal { return &p.Speed },
			"share of the straight speed"),
		need("setup", count("a count such as 100 sheets", 0, "sheets"), func(p *Perfecting) *int { return &p.Setup },
			"sheets a makeready, beside the setup waste"),
	}, senses: []sense[Perfecting]{
		{"speed", func(p *Perfecting) string {
			if p.Speed.IsZero() {
				return "it has to be above zero"
			}
			return ""
		}},
	}}
}

func pressSenses() []sense[Press] {
	return []sense[Press]{
		{"min sheet", func(p *Press) string { return smaller(p.MinSheet, p.MaxSheet) }},
		{"side", func(p *Press) string {
			if 2*p.Side >= p.MinSheet.Width {
				return "margins of " + p.Side.String() + " leave nothing of a sheet of " + p.MinSheet.String()
			}
			return ""
		}},
		{"gripper", func(p *Press) string {
			if used := p.Gripper + p.Tail + p.ColorBar; used >= p.MinSheet.Height {
				return "gripper, tail and colour bar take " + used.String() + " of a sheet of " + p.MinSheet.String()
			}
			return ""
		}},
		{"perfecting", func(p *Press) string {
			if f := p.Perfecting; f != nil && f.Front+f.Back > p.Units {
				return fmt.Sprintf("%d over %d takes %d units, and the press has %d",
					f.Front, f.Back, f.Front+f.Back, p.Units)
			}
			return ""
		}},
		{"stock waste", func(p *Press) string {
			for _, s := range p.StockWaste {
				for _, step := range p.Setup.Running {
					if percent := step.Value.Mul(s.Factor).Shift(-2); percent.GreaterThanOrEqual(decimal.NewFromInt(100)) {
						return fmt.Sprintf("%s %% of a running waste of %s %% leaves nothing of the sheets", s.Factor, step.Value)
					}
				}
			}
			return ""
		}},
		{"plates at once", func(p *Press) string {
			if p.PlatesAtOnce > p.Units {
				return fmt.Sprintf("%d plates at once on %d units", p.PlatesAtOnce, p.Units)
			}
			return ""
		}},
	}
}

// smaller says so when the least format is over the greatest.
func smaller(least, most Size) string {
	if least.Width > most.Width || least.Height > most.Height {
		return "the least format of " + least.String() + " is over the greatest of " + most.String()
	}
	return ""
}
