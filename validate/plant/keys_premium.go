package plant

import "github.com/shopspring/decimal"

// premium is what is paid on top of a rate. Night and Sunday work is seldom paid
// more than twice on top.
var premium = share(200)

// sameName finds two shifts that begin on one day and have the same name, so that
// a report could not tell them apart.
func sameName(all []Shift) (name, day string, twice bool) {
	for i, a := range all {
		for _, b := range all[:i] {
			if both := a.Days & b.Days; a.Name != "" && a.Name == b.Name && both != 0 {
				return a.Name, both.String(), true
			}
		}
	}
	return "", "", false
}

// PremiumAnHour is what a premium of so many percent adds to a rate, in currency an
// hour: the percentage of the wages of the crew, or of the rate where the plant file
// states no wage. It is exact.
func (c *CostCentre) PremiumAnHour(rate, percent decimal.Decimal) decimal.Decimal {
	base := rate
	if c.Wage.IsPositive() {
		base = c.Wage.Mul(decimal.NewFromInt(int64(c.Crew)))
	}
	return base.Mul(percent).Shift(-2)
}
