package plant

import (
	"fmt"
	"slices"
	"strings"

	"quoin/jdf"
	"quoin/validate"
)

// Review looks for what does not fit together in a plant that Load gave without
// findings: machines that nothing can run on, cost centres that nothing uses,
// steps that are never reached, prices that are missing. All findings are
// warnings of the group plant, in the order of the file.
func Review(p *Plant) []validate.Finding {
	r := &review{plant: p}
	r.centres()
	r.makereadies()
	r.machineRanges()
	r.coatings()
	r.stocks()
	r.feeding()
	r.finishing()
	r.inks()
	r.colour()
	slices.SortStableFunc(r.found, validate.Finding.Compare)
	return r.found
}

type review struct {
	plant *Plant
	found []validate.Finding
}

func (r *review) add(rule *validate.Rule, at jdf.Place, facts ...validate.Fact) {
	r.found = append(r.found, rule.At(at, facts...))
}

// centres looks at cost centres and their shifts.
func (r *review) centres() {
	used := map[*CostCentre]bool{}
	for _, m := range r.plant.Machines() {
		used[m.CostCentre] = true
	}
	manned := slices.ContainsFunc(r.plant.CostCentres, func(c *CostCentre) bool { return len(c.Shifts) > 0 })
	for _, c := range r.plant.CostCentres {
		if !used[c] {
			r.add(unusedCentre, c.Entry, validate.F("id", c.ID))
		} else if manned && len(c.Shifts) == 0 {
			r.add(noShifts, c.Entry, validate.F("id", c.ID))
		}
	}
	if _, given := r.plant.mark.Keys["time zone"]; manned && !given {
		r.add(noZone, r.plant.mark.Entry)
	}
}

// makereadies holds the tasks of a makeready against its flat time.
func (r *review) makereadies() {
	for _, m := range r.plant.Presses {
		perUnit := slices.ContainsFunc(m.MakereadyTasks, func(t Task) bool { return t.PerUnit })
		if len(m.MakereadyTasks) == 0 || perUnit {
			continue // with tasks by unit there is no one time to compare with
		}
		if path, names := CriticalPath(m.MakereadyTasks, m.Units); path != m.Makeready {
			r.add(twoMakereadies, m.At("makeready tasks"), validate.F("id", m.ID),
				validate.F("flat", spent(m.Makeready)), validate.F("tasks", spent(path)),
				validate.F("path", clip(strings.Join(names, ", "))))
		}
	}
}

func (r Range) within(outer Range) bool {
	return r.Min >= outer.Min && (outer.Max == 0 || r.Max != 0 && r.Max <= outer.Max)
}

func (r Range) grams() string { return decimals(r.Min) + " - " + grams.write(r.Max) }

// machineRanges looks for parts of machines that take more than the machine,
// and for steps of speed that no sheet of the machine reaches.
func (r *review) machineRanges() {
	for _, m := range r.plant.Presses {
		if f := m.Perfecting; f != nil && !f.Grammage.within(m.Grammage) {
			r.add(rangeOutside, m.At("perfecting / grammage"), validate.F("id", m.ID), validate.F("what", "perfecting"),
				validate.F("inner", f.Grammage.grams()), validate.F("outer", m.Grammage.grams()))
		}
		r.steps(&m.Machine, "speed", m.Speed, m.Grammage)
		r.steps(&m.Machine, "duplex speed", m.DuplexSpeed, m.Grammage)
	}
	for _, m := range r.plant.Folders {
		for _, s := range m.Catalog {
			if s.Grammage != (Range{}) && !s.Grammage.within(m.Grammage) {
				r.add(rangeOutside, s.At("grammage"), validate.F("id", m.ID), validate.F("what", "the fold "+s.Code),
					validate.F("inner", s.Grammage.grams()), validate.F("outer", m.Grammage.grams()))
			}
		}
		r.steps(&m.Machine, "speed", m.Speed, m.Grammage)
	}
	for _, m := range r.plant.DieCutters {
		r.steps(&m.Machine, "speed", m.Speed, m.Grammage)
	}
	for _, m := range r.plant.Coaters {
		r.steps(&m.Machine, "speed", m.Speed, m.Grammage)
	}
}

// steps looks for steps of a table by grammage that nothing reaches.
func (r *review) steps(m *Machine, key string, table []Step, of Range) {
	below := 0.0 // where the step begins
	for i, s := range table {
		limit, name := s.UpTo.InexactFloat64(), "up to "+s.UpTo.String()+" g/m2"
		if s.UpTo.IsZero() {
			name = above
		}
		early := !s.UpTo.IsZero() && limit < of.Min
		late := i > 0 && of.Max != 0 && below >= of.Max
		if early || late {
			r.add(deadStep, m.At(key), validate.F("id", m.ID), validate.F("step", name), validate.F("key", key),
				validate.F("range", of.grams()))
		}
		below = limit
	}
}

// coatings looks for coatings without price or lamps.
func (r *review) coatings() {
	lamps := func(m *Machine, coatings, dryers []string) {
		if slices.Contains(coatings, "UV") && !slices.Contains(dryers, "UV") {
			r.add(noLamps, m.At("coatings"), validate.F("id", m.ID))
		}
	}
	for _, m := range r.plant.Presses {
		lamps(&m.Machine, m.Coatings, m.Dryers)
	}
	for _, m := range r.plant.Coaters {
		lamps(&m.Machine, m.Coatings, m.Dryers)
		for _, kind := range m.Coatings {
			if _, priced := r.plant.PriceOfCoating(m, kind); !priced {
				r.add(noPrice, m.At("coatings"), validate.F("id", m.ID), validate.F("kind", kind))
			}
		}
	}
}

// stocks looks at how stocks are sold, and for those that no press runs.
func (r *review) stocks() {
	for _, s := range r.plant.Stocks {
		if s.Pack > 0 && s.MinimumOrder%s.Pack != 0 {
			r.add(oddOrder, s.At("minimum order"), validate.F("id", s.ID), validate.F("order", s.MinimumOrder),
				validate.F("pack", s.Pack))
		}
		if len(r.plant.Presses) == 0 {
			continue
		}
		runs, whole := false, false
		var problems []string
		for _, m := range r.plant.Presses {
			why := m.refuses(s)
			runs = runs || why == ""
			whole = whole || why == "" && tooLarge(s.Size, m.MaxSheet).none()
			problems = append(problems, m.ID+" "+why)
		}
		switch {
		case !runs:
			r.add(unrunStock, s.Entry, validate.F("id", s.ID), validate.F("problem", few(problems)))
		case !whole && !r.cuts(s.Size):
			r.add(uncutLarge, s.At("size"), validate.F("id", s.ID), validate.F("size", s.Size))
		}
	}
}

// cuts reports whether a guillotine takes a sheet.
func (r *review) cuts(s Size) bool {
	return slices.ContainsFunc(r.plant.Guillotines, func(g *Guillotine) bool {
		return tooLarge(s, Size{g.MaxWidth, g.MaxDepth}).none()
	})
}

// sheeter is what of a machine decides which stocks run on it.
type sheeter struct {
	machine     *Machine
	least, most Size
	grammage    Range
	caliper     Range
}

func (m *Press) sheeter() sheeter {
	return sheeter{&m.Machine, m.MinSheet, m.MaxSheet, m.Grammage, m.Caliper}
}

func (m *Press) refuses(s *Stock) string { return m.sheeter().refuses(s) }

// refuses says why a stock, cut down to the machine's format where it is
// larger, does not run; "" when it does.
func (m sheeter) refuses(s *Stock) string {
	switch {
	case !m.grammage.Contains(s.Grammage):
		return "takes " + m.grammage.grams() + ", and it has " + grams.write(s.Grammage)
	case m.caliper != (Range{}) && !m.caliper.Contains(s.Caliper):
		return fmt.Sprintf("takes %s to %s, and it has %s",
			gauge.write(m.caliper.Min), gauge.write(m.caliper.Max), gauge.write(s.Caliper))
	case m.least.Height == 0 && max(s.Size.Width, s.Size.Height) < m.least.Width:
		return "takes at least " + m.least.Width.String() + " across, and it has " + s.Size.String()
	case !tooSmall(s.Size, m.least).none():
		return "takes at least " + m.least.String() + ", and it has " + s.Size.String()
	}
	return ""
}

// feeding looks for machines that no stock runs on.
func (r *review) feeding() {
	if len(r.plant.Stocks) == 0 {
		return
	}
	for _, m := range r.plant.Presses {
		if r.fed(m.sheeter()) {
			r.asBought(m)
		}
	}
	for _, m := range r.plant.Folders {
		r.fed(sheeter{&m.Machine, m.MinSheet, m.MaxSheet, m.Grammage, Range{}})
	}
	for _, m := range r.plant.DieCutters {
		r.fed(sheeter{&m.Machine, m.MinSheet, m.MaxSheet, m.Grammage, m.Caliper})
	}
	for _, m := range r.plant.Laminators {
		r.fed(sheeter{&m.Machine, Size{m.MinWidth, 0}, Size{}, m.Grammage, Range{}})
	}
	for _, m := range r.plant.Coaters {
		r.fed(sheeter{&m.Machine, m.MinSheet, m.MaxSheet, m.Grammage, Range{}})
	}
}

// fed reports whether some stock runs on a machine, and else adds a finding
// with the stock that comes nearest.
func (r *review) fed(m sheeter) bool {
	problem, nearest := "", 0.0
	for _, s := range r.plant.Stocks {
		why := m.refuses(s)
		if why == "" {
			return true
		}
		middle := (m.grammage.Min + m.grammage.Max) / 2
		if gap := share64(middle, s.Grammage); problem == "" || gap < nearest {
			problem, nearest = fmt.Sprintf("%q comes nearest, and the machine %s", s.ID, why), gap
		}
	}
	r.add(unfedMachine, m.machine.Entry, validate.F("id", m.machine.ID), validate.F("problem", problem))
	return false
}

// asBought looks for presses that no stock fits before it is cut.
func (r *review) asBought(m *Press) {
	var least *Stock
	for _, s := range r.plant.Stocks {
		if m.refuses(s) != "" {
			continue
		}
		if tooLarge(s.Size, m.MaxSheet).none() {
			return
		}
		if least == nil || s.Size.Width+s.Size.Height < least.Size.Width+least.Size.Height {
			least = s
		}
	}
	r.add(uncutStock, m.At("max sheet"), validate.F("id", m.ID), validate.F("most", m.MaxSheet),
		validate.F("stock", least.ID), validate.F("size", least.Size))
}

// finishing looks for steps that the plant has no machine for.
func (r *review) finishing() {
	p := r.plant
	creases := len(p.DieCutters) > 0 || slices.ContainsFunc(p.Folders, func(f *Folder) bool { return f.Creaser })
	if p.Score.Across > 0 && !creases && !p.handWork("Creasing") {
		r.add(noCreaser, p.mark.At("score from"), validate.F("from", grams.write(p.Score.Across)))
	}
	if len(p.Folders) == 0 && !p.handWork("Folding") {
		for _, m := range p.Stitchers {
			r.add(noFolder, m.Entry, validate.F("id", m.ID))
		}
		for _, m := range p.Binders {
			r.add(noFolder, m.Entry, validate.F("id", m.ID))
		}
	}
	if len(p.Presses) > 0 && len(p.Guillotines) == 0 {
		r.add(noCutter, p.mark.At("presses"))
	}
}

// inks looks for papers of the plant that an ink states no film on.
func (r *review) inks() {
	for _, i := range r.plant.Inks {
		told := map[string]bool{}
		for _, s := range r.plant.Stocks {
			if _, ok := i.FilmOn(s.Coating); !ok && len(i.Film) > 0 && !told[s.Coating] {
				told[s.Coating] = true
				r.add(noFilmWeight, i.At("film"), validate.F("id", i.ID), validate.F("coating", s.Coating),
					validate.F("stock", s.ID))
			}
		}
	}
}
