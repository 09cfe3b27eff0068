package plant

import (
	"fmt"
	"strings"
	"time"

	"github.com/shopspring/decimal"
)

// since writes a time, "" for none.
func since(d time.Duration) string {
	if d == 0 {
		return ""
	}
	return spent(d)
}

func limited(coverage decimal.Decimal) string {
	if coverage.IsZero() {
		return ""
	}
	return coverage.String() + " % of a side"
}

func shares(of []StockSpeed) string {
	var all []string
	for _, s := range of {
		all = append(all, fmt.Sprintf("%s %s %% of the speed", s.Coating, s.Factor))
	}
	return strings.Join(all, ", ")
}

// wasteShares goes behind the waste.
func wasteShares(of []StockWaste) string {
	text := ""
	for _, s := range of {
		text += fmt.Sprintf("; on paper %s %s %% of the running waste", s.Coating, s.Factor)
	}
	return text
}

// readying says what a makeready is made of.
func readying(p *Press) string {
	text := spent(p.Makeready) + " a form"
	if len(p.MakereadyTasks) > 0 {
		total, path := CriticalPath(p.MakereadyTasks, p.Units)
		text = fmt.Sprintf("%s a form of %d colours, along %s", spent(total), p.Units, strings.Join(path, ", "))
	}
	if len(p.StockMakeready) > 0 {
		text += "; of all that " + paces(p.StockMakeready, "%")
	}
	if p.Kind == Offset {
		text += fmt.Sprintf("; plates %s for %d at once; wash-up %s a unit", spent(p.PlateChange), p.PlatesAtOnce,
			spent(p.WashUp))
	}
	if p.WashUpColor > 0 {
		text += ", " + spent(p.WashUpColor) + " more to a lighter or another special ink"
	}
	return text
}

func (s *sheet) finishing() {
	for _, m := range s.plant.Guillotines {
		s.heading(title(&m.Machine, "guillotine"))
		s.facts("sheet", Size{m.MaxWidth, m.MaxDepth}.String(), "smallest piece", m.MinCut.String(),
			"pile", m.Lift.String(), "times", fmt.Sprintf("setup %s, %s a lift, %s a cut", spent(m.Setup), spent(m.Load),
				spent(m.Cut)), "waste", losses(m.Spoilage, "cut"))
	}
	for _, m := range s.plant.Folders {
		s.heading(title(&m.Machine, "folder"))
		var folds []string
		for _, f := range m.Catalog {
			text := f.Code
			if f.Grammage != (Range{}) {
				text += " (" + f.Grammage.grams() + ")"
			}
			folds = append(folds, text)
		}
		creaser := "no"
		if m.Creaser {
			creaser = "yes"
		}
		s.facts("sheet", m.MinSheet.String()+" to "+m.MaxSheet.String(), "stock", m.Grammage.grams(),
			"folds", strings.Join(folds, ", "), "creaser", creaser, "speed", paces(m.Speed, "sheets/h"),
			"setup", spent(m.Setup)+" and "+spent(m.SetupPerFold)+" a fold", "waste", losses(m.Spoilage, "fold"))
	}
	for _, m := range s.plant.Stitchers {
		s.heading(title(&m.Machine, "saddle stitcher"))
		creep := ""
		if m.MaxCreep > 0 {
			creep = "up to " + m.MaxCreep.String()
		}
		s.facts("book", fmt.Sprintf("%d - %d pages, %s, %s to %s", m.Pages.Min, m.Pages.Max, m.Thickness.lengths(),
			m.MinTrim, m.MaxTrim), "creep", creep, "pockets", fmt.Sprint(m.Pockets),
			"speed", fmt.Sprintf("%d copies/h", m.Speed), "setup", spent(m.Setup)+" and "+spent(m.SetupPerPocket)+" a pocket",
			"waste", losses(m.Spoilage, "section"), "prices", s.money(m.WirePrice)+" for 1000 stitches")
	}
	for _, m := range s.plant.Binders {
		s.heading(title(&m.Machine, "perfect binder"))
		cover := ""
		if m.Cover != (Range{}) {
			cover = m.Cover.grams()
		}
		s.facts("book", fmt.Sprintf("%s, %s to %s", m.Thickness.lengths(), m.MinTrim, m.MaxTrim), "cover", cover,
			"stations", fmt.Sprint(m.Stations), "speed", fmt.Sprintf("%d copies/h", m.Speed),
			"setup", spent(m.Setup)+" and "+spent(m.SetupPerStation)+" a station",
			"waste", losses(m.Spoilage, "section"), "prices", s.money(m.GluePrice)+" for 1000 copies")
	}
}

func (s *sheet) surfaces() {
	for _, m := range s.plant.DieCutters {
		s.heading(title(&m.Machine, "die cutter"))
		s.facts("sheet", m.MinSheet.String()+" to "+m.MaxSheet.String(),
			"stock", m.Grammage.grams()+", "+m.Caliper.lengths(), "speed", paces(m.Speed, "sheets/h"),
			"setup", spent(m.Setup), "waste", losses(m.Spoilage, "die"), "prices", s.money(m.DiePrice)+" a die")
	}
	for _, m := range s.plant.Laminators {
		s.heading(title(&m.Machine, "laminator"))
		sides := "one in a run"
		if m.BothSides {
			sides = "both in a run"
		}
		speed := m.Speed.Metres.String() + " m/min"
		if m.Speed.Sheets.IsPositive() {
			speed = m.Speed.Sheets.String() + " sheets/h"
		}
		s.facts("across", m.MinWidth.number()+" - "+m.MaxWidth.String(), "stock", m.Grammage.grams(),
			"films", strings.Join(m.Films, ", "), "sides", sides, "speed", speed, "setup", spent(m.Setup),
			"waste", losses(m.Spoilage, "side"), "prices", s.money(m.FilmPrice)+" a square metre")
	}
	for _, m := range s.plant.Coaters {
		s.heading(title(&m.Machine, "coater"))
		var prices []string
		for _, kind := range m.Coatings {
			if price, ok := s.plant.PriceOfCoating(m, kind); ok {
				prices = append(prices, s.money(price)+"/kg of "+kind)
			}
		}
		s.facts("sheet", m.MinSheet.String()+" to "+m.MaxSheet.String(), "stock", m.Grammage.grams(),
			"coatings", strings.Join(m.Coatings, ", "), "dryers", strings.Join(m.Dryers, ", "),
			"speed", paces(m.Speed, "sheets/h"), "setup", spent(m.Setup), "drying", since(m.DryingTime),
			"film", m.CoatingFilm.String()+" g/m2 wet", "waste", losses(m.Spoilage, "side"),
			"prices", strings.Join(prices, ", "))
	}
}

// goods are hand work, stocks and inks.
func (s *sheet) goods() {
	rows := [][]string{{"id", "name", "task", "1000 pieces", "setup", "charged at"}}
	for _, h := range s.plant.HandWork {
		centre := ""
		if h.CostCentre != nil {
			centre = h.CostCentre.ID
		}
		rows = append(rows, []string{h.ID, h.Name, h.Task, spent(h.PerThousand), spent(h.Setup), centre})
	}
	s.table("Hand work", rows)
	rows = [][]string{{"id", "name", "size", "grammage", "caliper", "coating", "grain", "1000 sheets", "pack",
		"least order"}}
	for _, k := range s.plant.Stocks {
		rows = append(rows, []string{k.ID, k.Name, k.Size.String(), grams.write(k.Grammage), gauge.write(k.Caliper),
			k.Coating, k.Grain, s.money(k.Price), orDash(k.Pack), orDash(k.MinimumOrder)})
	}
	s.table("Stocks", rows)
	rows = [][]string{{"id", "name", "kind", "kilogram", "film of a solid, g/m2"}}
	for _, i := range s.plant.Inks {
		var films []string
		for _, f := range i.Film {
			films = append(films, f.Coating+" "+f.Film.String())
		}
		rows = append(rows, []string{i.ID, i.Name, string(i.Kind), s.money(i.Price), strings.Join(films, ", ")})
	}
	s.table("Inks and coatings", rows)
}

func orDash(n int) string {
	if n == 0 {
		return "-"
	}
	return fmt.Sprint(n)
}
