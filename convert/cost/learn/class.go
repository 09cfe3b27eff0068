package learn

import (
	"cmp"
	"slices"

	"github.com/shopspring/decimal"
)

// Class is a sort of work on a device that differs from the rest.
type Class struct {
	Words string   `json:"words"` // such as "stock of 170 g/m2 and over"
	In    Estimate `json:"in"`
	Out   Estimate `json:"out"` // of the rest
}

// test tells two sorts of work apart.
type test struct {
	words string
	take  func(*seen) bool
}

// class finds the sort of work whose ratios differ most from the rest, and what
// tells it apart, or nil.
// Each way to part the work is a test of its own, and shares the chance of a
// mistake with the others.
func (s *study) class(m *sample) (c *Class, take func(*seen) bool) {
	const least = 5
	type parting struct {
		test
		in, out *sample
		chance  float64
	}
	var all []parting
	for _, t := range tests(m) {
		in, out := m.only(t.take)
		if len(in.of) < least || len(out.of) < least {
			continue
		}
		_, chance := mannWhitney(in.logs, out.logs)
		all = append(all, parting{t, in, out, chance})
	}
	if len(all) == 0 {
		return nil, nil
	}
	best := slices.MinFunc(all, func(a, b parting) int { return cmp.Compare(a.chance, b.chance) })
	if best.chance*float64(len(all)) > 1-s.level {
		return nil, nil
	}
	level := s.lesson.Confidence / 100
	c = &Class{Words: best.words}
	c.In, _ = best.in.ratio(level)
	c.Out, _ = best.out.ratio(level)
	return c, best.take
}

// tests are the ways to part the work of a sample: by weight, kind of stock,
// colours, coating, sides and format, as far as they are known.
func tests(m *sample) []test {
	var all []test
	for _, g := range distinct(m, func(s *seen) decimal.Decimal { return s.task.Class.Grammage }) {
		all = append(all, test{"stock of " + g.String() + " g/m2 and over", func(s *seen) bool {
			return s.task.Class.Grammage.GreaterThanOrEqual(g)
		}})
	}
	for _, kind := range kinds(m, func(s *seen) string { return s.task.Class.Stock }) {
		words := "stock coated " + kind
		if kind == "none" {
			words = "uncoated stock"
		}
		all = append(all, test{words, func(s *seen) bool { return s.task.Class.Stock == kind }})
	}
	for _, kind := range kinds(m, func(s *seen) string { return s.task.Class.Coating }) {
		all = append(all, test{"work with coating " + kind, func(s *seen) bool { return s.task.Class.Coating == kind }})
	}
	colours := func(s *seen) decimal.Decimal {
		return decimal.NewFromInt(int64(max(s.task.Class.ColoursFront, s.task.Class.ColoursBack)))
	}
	for _, n := range distinct(m, colours) {
		all = append(all, test{"work in " + n.String() + " colours and more", func(s *seen) bool {
			return colours(s).GreaterThanOrEqual(n)
		}})
	}
	all = append(all, test{"work printed on both sides", func(s *seen) bool { return s.task.Class.ColoursBack > 0 }})
	area := func(s *seen) decimal.Decimal {
		c := s.task.Class
		return decimal.NewFromInt(int64(c.Width)).Mul(decimal.NewFromInt(int64(c.Height))).Shift(-12)
	}
	for _, a := range distinct(m, area) {
		all = append(all, test{"formats of " + a.Round(3).String() + " m2 and over", func(s *seen) bool {
			return area(s).GreaterThanOrEqual(a)
		}})
	}
	return all
}

// distinct is the values of a sample, rising, without the least: it parts nothing.
func distinct(m *sample, of func(*seen) decimal.Decimal) []decimal.Decimal {
	var all []decimal.Decimal
	for _, s := range m.of {
		all = append(all, of(s))
	}
	slices.SortFunc(all, decimal.Decimal.Cmp)
	all = slices.CompactFunc(all, decimal.Decimal.Equal)
	return all[min(1, len(all)):]
}

func kinds(m *sample, of func(*seen) string) []string {
	var all []string
	for _, s := range m.of {
		if k := of(s); k != "" {
			all = append(all, k)
		}
	}
	slices.Sort(all)
	return slices.Compact(all)
}
