package schedule

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"quoin/convert/plan"
	"quoin/validate/plant"
)

func form(style plan.Style, front, back []string) *plan.Sheet {
	return &plan.Sheet{Style: style, Front: front, Back: back}
}

// TestWashes: what is washed between two forms on five units.
//
// Common practice, no source: the order of the process inks, black darkest.
func TestWashes(t *testing.T) {
	blue := []string{"Harbour Blue"}
	black, yellow, cyan := []string{"Black"}, []string{"Yellow"}, []string{"Cyan"}
	five := append([]string{"Harbour Blue"}, process...)
	other := append([]string{"Signal Red"}, process...)
	for name, c := range map[string]struct {
		from, to     *plan.Sheet
		units        int
		plain, color int
	}{
		"same colours":                {form(plan.Simplex, process, nil), form(plan.Simplex, process, nil), 5, 0, 0},
		"both sides keep their units": {form(plan.WorkAndBack, process, black), form(plan.Simplex, process, nil), 5, 0, 0},
		"fewer colours":               {form(plan.Simplex, process, nil), form(plan.Simplex, black, nil), 5, 3, 0},
		"special on a clean unit":     {form(plan.Simplex, process, nil), form(plan.Simplex, five, nil), 5, 0, 0},
		"special for special":         {form(plan.Simplex, five, nil), form(plan.Simplex, other, nil), 5, 1, 1},
		"light to dark":               {form(plan.Simplex, yellow, nil), form(plan.Simplex, black, nil), 1, 1, 0},
		"dark to light":               {form(plan.Simplex, black, nil), form(plan.Simplex, yellow, nil), 1, 1, 1},
		"dark to light, clean unit":   {form(plan.Simplex, black, nil), form(plan.Simplex, yellow, nil), 2, 1, 0},
		"special to process":          {form(plan.Simplex, blue, nil), form(plan.Simplex, cyan, nil), 1, 1, 1},
		"perfecting has black twice":  {form(plan.Perfecting, black, black), form(plan.Simplex, black, nil), 4, 1, 0},
		"more colours than units":     {form(plan.Simplex, five, nil), form(plan.Simplex, nil, nil), 4, 4, 0},
	} {
		plain, color := washes(inkOf(c.from, c.units), inkOf(c.to, c.units), c.units)
		require.Equal(t, [2]int{c.plain, c.color}, [2]int{plain, color}, name)
	}
}

// TestChangeover: two forms on the press of the small plant, one after the other.
func TestChangeover(t *testing.T) {
	two := func(a, b *plan.Sheet, device string, ready int) *Schedule {
		a.Name, b.Name = "S1", "S2"
		pl := &plan.Plan{JobID: "SM-1", Sheets: []*plan.Sheet{a, b}, Operations: []*plan.Operation{
			op(plan.StepPrint, "S1", device, ready, 30), op(plan.StepPrint, "S2", device, ready, 30),
		}}
		s, _ := laid(t, []Work{{Plan: pl}}, works(nil, time.UTC), Options{Now: monday})
		return s
	}
	coated := func(kind string) *plan.Sheet {
		s := form(plan.Simplex, process, nil)
		s.CoatFront = kind
		return s
	}
	minutes := func(s *Schedule) float64 { return s.Machines[0].Changeover.Minutes() }
	// The wash-up of four units, 24 minutes, comes once, at the end.
	require.Equal(t, 20+20+24.0, minutes(two(coated(""), coated(""), "press", 20)))
	// A coater that goes on saves its 10 minutes.
	require.Equal(t, 30+20+24.0, minutes(two(coated("UV"), coated("UV"), "press", 30)))
	require.Equal(t, 30+30+24.0, minutes(two(coated("UV"), coated("aqueous"), "press", 30)))
	// The forms of a part are one series of a digital press.
	require.Equal(t, 5.0, minutes(two(coated(""), coated(""), "digital", 5)))
	other := coated("")
	other.Part = "Cover"
	require.Equal(t, 10.0, minutes(two(coated(""), other, "digital", 5)))
}

// TestOvernight: a makeready that no longer fits waits for the morning, a run
// stops in the evening and goes on, and a makeready longer than any shift is
// split.
func TestOvernight(t *testing.T) {
	days := plant.On(time.Monday, time.Tuesday, time.Wednesday)
	shift := []plant.Shift{{Days: days, From: 8 * 60, To: 16 * 60}}
	lay := func(shifts []plant.Shift, ready, run int, drying bool) *Operation {
		pl := &plan.Plan{JobID: "SM-1", Operations: []*plan.Operation{op(plan.StepPrint, "S1", "press", 0, 7*60)}}
		if drying {
			pl.Operations = append(pl.Operations, op(plan.StepCut, "S1", "knife", ready, run))
		} else {
			pl.Operations = []*plan.Operation{op(plan.StepCut, "S1", "knife", ready, run)}
		}
		s, _ := laid(t, []Work{{Plan: pl}}, works(shifts, time.UTC), Options{Now: monday})
		return s.Jobs[0].Operations[len(pl.Operations)-1]
	}
	// Printed until 15:00, dry at 17:00: cut in the morning.
	o := lay(shift, 20, 60, true)
	require.Equal(t, "Tue 11-24 08:00", clock(o.Start))
	require.Equal(t, "Tue 11-24 09:20", clock(o.End))
	o = lay(shift, 60, 10*60, false)
	require.Equal(t, []string{"Mon 11-23 08:00", "Mon 11-23 09:00", "Tue 11-24 08:00"},
		[]string{clock(o.Slices[0].From), clock(o.Slices[1].From), clock(o.Slices[2].From)})
	require.Equal(t, "Tue 11-24 11:00", clock(o.End))
	o = lay(shift, 9*60, 60, false)
	require.Equal(t, "Tue 11-24 10:00", clock(o.End))
	require.Equal(t, Makeready, o.Slices[1].Activity)
	// With a short shift in front it waits for the long one.
	o = lay(append(shift, plant.Shift{Days: days, From: 6 * 60, To: 7 * 60}), 120, 60, false)
	require.Equal(t, "Mon 11-23 08:00", clock(o.Start))
}
