package render

import (
	"fmt"
	"io"
	"slices"
	"strconv"

	"github.com/shopspring/decimal"

	"quoin/convert/cost"
	"quoin/convert/cost/account"
)

const (
	barLeft  = 190.0
	barRight = 820.0
)

// PlanActual draws the planned cost of rows above their actual cost: an outline above
// a filled bar, with both figures. Of many rows it draws the dearest; what has no key,
// such as time for no job, it leaves to the table. The id is as in Timeline, and the
// error that of the writer.
func PlanActual(w io.Writer, id string, rows []account.Row, currency string, places int32) error {
	drawn := slices.DeleteFunc(slices.Clone(rows), func(r account.Row) bool { return r.Key == "" })
	slices.SortStableFunc(drawn, func(a, b account.Row) int { return b.Actual.Total.Cmp(a.Actual.Total) })
	left := max(0, len(drawn)-mostDrawn)
	drawn = drawn[:len(drawn)-left]
	most := 0.0
	for _, r := range drawn {
		most = max(most, r.Actual.Total.InexactFloat64(), r.Plan.Total.InexactFloat64())
	}
	c := &canvas{id: id}
	c.box(barLeft, 3, 22, 8, "plan", "")
	c.label(barLeft+27, 12, "", "planned")
	c.box(barLeft+95, 3, 22, 8, "run", "")
	c.label(barLeft+122, 12, "", "actual, "+currency)
	bottom := 22 + 34*float64(len(drawn))
	scale := (barRight - barLeft) / max(most, 1)
	c.money(most, scale, bottom)
	for n, r := range drawn {
		y := 24 + 34*float64(n)
		name := r.Key
		c.label(barLeft-6, y+18, "e", clip(safe(name), 26))
		figures := money(r.Actual.Total, places)
		tip := name + ": actual " + figures
		if r.Plan.Known {
			planned := r.Plan.Total.InexactFloat64() * scale
			c.box(barLeft, y+1, planned, 11, "plan", name+": planned "+money(r.Plan.Total, places))
			figures += " (" + difference(r.Variance.Total, places) + ")"
		}
		actual := max(0, r.Actual.Total.InexactFloat64()*scale)
		c.box(barLeft, y+15, actual, 12, "run", tip)
		beside := barLeft + max(actual, 0) + 5
		class := ""
		if beside > chartWidth-150 {
			beside, class = chartWidth, "e"
			c.box(chartWidth-8*float64(len(figures))+4, y+14, 8*float64(len(figures))-4, 14, "idle", "")
		}
		c.label(beside, y+25, class, figures)
	}
	words := fmt.Sprintf("The dearest %d of %d rows.", len(drawn), len(drawn)+left)
	if left > 0 {
		c.label(barLeft, bottom+34, "q", "and "+count(left, "row more", "rows more")+", each of them cheaper")
	}
	return c.write(w, bottom+42, "Plan against actual", words)
}

// money draws the axis of an amount.
func (c *canvas) money(most, scale, bottom float64) {
	every := step(max(most, 1), 4)
	for v := 0.0; v <= most; v += every {
		c.line(barLeft+v*scale, 20, barLeft+v*scale, bottom, "grid")
		c.label(barLeft+v*scale, bottom+16, "q m", grouped(strconv.FormatFloat(v, 'f', -1, 64)))
	}
}

// effect is the effectiveness of a device in all its shifts of one name.
type effect struct {
	Device, Shift string
	OEE           cost.OEE
}

// effects adds up the shifts of each device by name.
func effects(shifts []account.Shift) []effect {
	type sum struct {
		busy, run, standard cost.Span
		good, made          decimal.Decimal
	}
	sums := map[[2]string]*sum{}
	var keys [][2]string
	for _, s := range shifts {
		key := [2]string{s.Device, s.Shift}
		if sums[key] == nil {
			sums[key] = &sum{}
			keys = append(keys, key)
		}
		t := sums[key]
		t.busy, t.run, t.standard = t.busy+s.Busy, t.run+s.Run, t.standard+s.Standard
		t.good, t.made = t.good.Add(s.Good), t.made.Add(s.Good).Add(s.Waste)
	}
	slices.SortFunc(keys, func(a, b [2]string) int { return slices.Compare(a[:], b[:]) })
	var all []effect
	for _, key := range keys {
		t := sums[key]
		all = append(all, effect{key[0], key[1], cost.Effectiveness(t.busy, t.run, t.standard, t.made, t.good)})
	}
	return all
}

// OEE draws the effectiveness of each device and shift as a bar, with its three
// factors in figures. The id is as in Timeline, and the error that of the writer.
func OEE(w io.Writer, id string, shifts []account.Shift) error {
	all := effects(shifts)
	const most = 2 * mostDrawn
	left := max(0, len(all)-most)
	all = all[:len(all)-left]
	c := &canvas{id: id}
	const right = 640.0
	scale := (right - barLeft) / 100
	bottom := 20 + 20*float64(len(all))
	for v := 0.0; v <= 100; v += 25 {
		c.line(barLeft+v*scale, 16, barLeft+v*scale, bottom, "grid")
		c.label(barLeft+v*scale, 11, "q m", at(v)+" %")
	}
	c.label(chartWidth, 11, "q e", "availability × performance × quality")
	for n, e := range all {
		y := 20 + 20*float64(n)
		shift := e.Shift
		if shift == "" {
			shift = "outside shifts"
		}
		name := clip(safe(e.Device), 14) + ", " + clip(safe(shift), 14)
		c.label(barLeft-6, y+14, "e", name)
		if o := e.OEE.Overall; o.Known {
			value := min(100, max(0, 100*o.Value.InexactFloat64()))
			c.box(barLeft, y+3, value*scale, 13, "run", name+": "+o.Percent())
			c.label(barLeft+value*scale+5, y+14, "", o.Percent())
		} else {
			c.label(barLeft+5, y+14, "q", "not known")
		}
		c.label(chartWidth, y+14, "e",
			e.OEE.Availability.Percent()+" × "+e.OEE.Performance.Percent()+" × "+e.OEE.Quality.Percent())
	}
	if left > 0 {
		c.label(barLeft, bottom+14, "q", "and "+count(left, "row more", "rows more"))
	}
	return c.write(w, bottom+22, "Effectiveness of devices by shift",
		"Overall equipment effectiveness in percent, with its factors.")
}
