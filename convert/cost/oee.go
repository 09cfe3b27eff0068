package cost

import (
	"encoding/json"

	"github.com/shopspring/decimal"
)

// Ratio is a share of 1, or no value where there was nothing to share.
type Ratio struct {
	Value decimal.Decimal
	Known bool
}

// ratioPlaces is how exactly ratios are worked out.
const ratioPlaces = 6

func ratio(part, whole decimal.Decimal) Ratio {
	if whole.IsZero() {
		return Ratio{}
	}
	return Ratio{part.DivRound(whole, ratioPlaces), true}
}

// MarshalJSON writes the number, or null for no value.
func (r Ratio) MarshalJSON() ([]byte, error) {
	if !r.Known {
		return []byte("null"), nil
	}
	return json.Marshal(r.Value)
}

// Percent writes the ratio as in "86.1 %", or "-" for no value.
func (r Ratio) Percent() string {
	if !r.Known {
		return "-"
	}
	return r.Value.Shift(2).StringFixed(1) + " %"
}

// OEE is the overall equipment effectiveness of a device. Makeready and wash-up
// count as setup, not as production, so that they lower the availability; a
// plant that leaves planned makeready out of its busy time gets a higher figure.
// Busy time is the time that the device reported, idle time with it; a plant whose
// calendar counts silent hours as busy gets a lower one.
// A performance above 1 means that the planned speed is wrong, and is not cut.
type OEE struct {
	Availability Ratio `json:"availability"` // production time / busy time
	Performance  Ratio `json:"performance"`  // planned time of what was made / production time
	Quality      Ratio `json:"quality"`      // good / made
	Overall      Ratio `json:"overall"`      // the product: planned time of what was good / busy time
}

// Effectiveness works out the OEE: busy and production time, the planned time
// of what was made, which is 0 where no plan tells it, and how much of what was
// made was good.
//
// Source: ISO 22400-2:2014, as restated in OPC 40501-1 (Machine Tools), annex C.2.4.
func Effectiveness(busy, production, planned Span, made, good decimal.Decimal) OEE {
	number := func(s Span) decimal.Decimal { return decimal.NewFromInt(int64(s)) }
	o := OEE{
		Availability: ratio(number(production), number(busy)),
		Quality:      ratio(good, made),
	}
	if planned > 0 {
		o.Performance = ratio(number(planned), number(production))
	}
	if o.Availability.Known && o.Performance.Known && o.Quality.Known {
		// From the amounts themselves, not from rounded factors.
		o.Overall = ratio(number(planned).Mul(good), number(busy).Mul(made))
	}
	return o
}
