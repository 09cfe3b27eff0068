package colour

import (
	"cmp"
	"slices"
	"strings"
	"time"

	"quoin/validate"
)

// sheetKey is one sheet of a run.
type sheetKey struct {
	sheet int64
	time  time.Time
}

func sheetOf(m *Measurement) sheetKey { return sheetKey{m.Sheet, m.Time} }

// patchKey is one sort of density patch on a sheet.
type patchKey struct {
	sheetKey
	zone       int // -1 for all of the sheet
	colorant   string
	nominal    float64
	conditions Conditions
}

func patchOf(m *Measurement) patchKey {
	return patchKey{sheetOf(m), m.Zone, strings.ToLower(m.Colorant), m.Nominal, m.Conditions}
}

const anyZone = -1

// increases works tone value increases out of densities, where the tint, the
// solid and the paper were measured on the same sheet. The solid is that of the
// zone where there is one, else the median of the sheet; the paper is the
// median of the sheet, and nothing where densities are relative to it.
func (b *runner) increases(measured []Measurement) []Measurement {
	n := 1.0
	if b.colour != nil && b.colour.YuleNielsen > 0 {
		n = b.colour.YuleNielsen
	}
	densities := map[patchKey][]float64{}
	reported := map[patchKey]bool{}
	for i := range measured {
		m := &measured[i]
		switch k := patchOf(m); m.Kind {
		case ToneIncrease:
			reported[k] = true
		case Density:
			densities[k] = append(densities[k], m.Value)
			k.zone = anyZone
			densities[k] = append(densities[k], m.Value)
		}
	}
	middle := map[patchKey]float64{}
	for k, all := range densities {
		middle[k] = median(all)
	}
	var all []Measurement
	for _, m := range measured {
		k := patchOf(&m)
		if m.Kind != Density || !(m.Nominal > 0 && m.Nominal < 100) || reported[k] {
			continue // what the instrument itself tells goes before what is worked out
		}
		paper, known := paperUnder(middle, k)
		k.nominal = 100
		solid, printed := middle[k]
		if !printed {
			k.zone = anyZone
			solid, printed = middle[k]
		}
		if !known || !printed {
			b.missing(&m, known)
			continue
		}
		if v, ok := ToneValue(paper, solid, m.Value, n); ok {
			m.Kind, m.Value = ToneIncrease, round(v-m.Nominal)
			all = append(all, m)
		}
	}
	return all
}

// missing tells what a tone value lacks.
func (b *runner) missing(m *Measurement, paper bool) {
	what := "paper"
	if paper {
		what = "solid"
	}
	b.once(ruleNoPaper, m.Source, validate.F("run", b.about()), validate.F("missing", what))
}

// paperUnder is the density of the paper beside a patch.
func paperUnder(middle map[patchKey]float64, k patchKey) (float64, bool) {
	if k.conditions.White == "Substrate" {
		return 0, true
	}
	k.zone, k.colorant, k.nominal = anyZone, strings.ToLower(Paper), 0
	v, ok := middle[k]
	return v, ok
}

// spreads works out the midtone spread of each sheet, zone and tint on which
// the increases of cyan, magenta and yellow are known and aimed at.
func (b *runner) spreads(measured []Measurement) []Measurement {
	if b.colour == nil || b.aims == nil {
		return nil
	}
	type tints struct {
		of     Measurement
		values [3][]float64
	}
	found := map[patchKey]*tints{}
	for _, m := range measured {
		i := slices.IndexFunc(process[:3], func(name string) bool { return strings.EqualFold(name, m.Colorant) })
		if m.Kind != ToneIncrease || i < 0 || m.Nominal < b.colour.Midtones.Min || m.Nominal > b.colour.Midtones.Max {
			continue
		}
		aim := b.aims.Tone(m.Colorant, m.Nominal)
		if aim == nil {
			continue
		}
		k := patchOf(&m)
		k.colorant = ""
		if found[k] == nil {
			found[k] = &tints{of: m}
		}
		found[k].values[i] = append(found[k].values[i], m.Value-aim.Increase)
	}
	var all []Measurement
	for _, t := range found {
		var deviations []float64
		for _, v := range t.values {
			if len(v) > 0 {
				deviations = append(deviations, median(v))
			}
		}
		if len(deviations) < len(t.values) {
			continue
		}
		m := t.of
		m.Kind, m.Colorant, m.Field = MidtoneSpread, strings.Join(process[:3], "+"), 0
		m.Value = round(spread(deviations))
		all = append(all, m)
	}
	slices.SortFunc(all, func(x, y Measurement) int {
		return cmp.Or(x.compare(&y), cmp.Compare(x.Nominal, y.Nominal), cmp.Compare(x.Conditions.key(), y.Conditions.key()))
	})
	return all
}
