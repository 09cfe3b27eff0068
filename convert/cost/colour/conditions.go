package colour

import (
	"fmt"
	"strings"

	"quoin/validate/plant"
)

// demand is one condition of measuring: what it was, and what the aims are for.
type demand struct{ name, got, want string }

// demands are the conditions that matter for a kind: densities depend on their
// standard, colours on light and observer, both on filter and backing.
func demands(kind Kind, c Conditions, want plant.Measuring) []demand {
	degrees := func(n int) string {
		if n == 0 {
			return ""
		}
		return fmt.Sprint(n)
	}
	both := []demand{{"filter", c.Filter, want.Filter}, {"backing", c.Backing, want.Backing}}
	switch kind {
	case Density, ToneIncrease, MidtoneSpread:
		return append([]demand{{"density standard", c.Density, want.Density}}, both...)
	case CIELAB:
		return []demand{
			{"illumination", c.Illumination, want.Illumination},
			{"observer", degrees(c.Observer), degrees(want.Observer)}, both[1],
		}
	}
	return nil
}

// unfit tells how a series was measured where the aims are for other
// conditions; "" when they are met or not told.
func (b *runner) unfit(s *Series) string {
	if b.colour == nil {
		return ""
	}
	var bad []string
	for _, d := range demands(s.Kind, s.measured, b.colour.Measuring) {
		if d.got != "" && d.want != "" && !strings.EqualFold(d.got, d.want) {
			bad = append(bad, d.name+" "+short(d.got))
		}
	}
	return strings.Join(bad, ", ")
}

// wanted lists the conditions that the aims for a kind are for.
func (b *runner) wanted(kind Kind) string {
	var all []string
	for _, d := range demands(kind, Conditions{}, b.colour.Measuring) {
		if d.want != "" {
			all = append(all, d.name+" "+d.want)
		}
	}
	return strings.Join(all, ", ")
}
