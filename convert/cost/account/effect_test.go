package account_test

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/convert/cost"
	"quoin/convert/cost/account"
	"quoin/jdf/job"
	"quoin/validate/plant"
)

// Source: the formulas of ISO 22400-2:2014, as restated in OPC 40501-1, annex C.2.4: 450 min
// planned busy, 360 min production, 12,000 an hour, 64,000 made, 62,500 good give
// 0.8 x 0.888889 x 0.9765625 = 0.694444.
func TestEffectivenessOfAShift(t *testing.T) {
	b := books(t,
		cell("p1", "J1", job.StateMakeready, "90m"),
		cell("p1", "J1", job.StateRun, "6h", "62500", "1500"),
	)
	b.Plant.CostCentres[0].Shifts = []plant.Shift{{Days: allDays, From: 6 * 60, To: 13*60 + 30, Name: "early"}}
	s := make1(t, b, account.ByDay, account.Filter{})
	require.Len(t, s.Shifts, 1)
	require.Equal(t, span("450m"), s.Shifts[0].Busy)
	require.Equal(t, span("5h20m"), s.Shifts[0].Standard)
	for _, oee := range []cost.OEE{s.Shifts[0].OEE, s.Devices[0].OEE, s.Rows[0].OEE, s.Total.OEE} {
		require.Equal(t, "0.8", oee.Availability.Value.String())
		require.Equal(t, "0.888889", oee.Performance.Value.String())
		require.Equal(t, "0.976563", oee.Quality.Value.String())
		require.Equal(t, "0.694444", oee.Overall.Value.String())
	}
	// A plan counts instead of the speed of the machine.
	b.Tasks = []cost.Task{{Job: "J1", Device: "p1", Run: span("5h24m"), Good: d("64000"), Waste: d("800")}}
	s = make1(t, b, account.ByDay, account.Filter{})
	require.Equal(t, span("5h20m"), s.Shifts[0].Standard)
}

// The shifts of the calendar count as busy, those that are silent too, and none on
// holidays; what is worked outside counts as it was worked.
func TestBusyByTheCalendar(t *testing.T) {
	sunday := cell("f1", "J1", job.StateRun, "1h", "7000", "0")
	sunday.Day = "2026-03-08"
	extra := cell("f1", "J1", job.StateRun, "2h", "14000", "0")
	extra.Day, extra.Shift = "2026-03-04", ""
	b := books(t, cell("f1", "J1", job.StateRun, "8h", "56000", "0"), sunday, extra)
	b.Plant.Holidays = []plant.Day{{Year: 2026, Month: 3, Day: 4}}
	s := make1(t, b, account.ByDevice, account.Filter{})
	require.Len(t, s.Shifts, 2*6+1) // seven days less the holiday, and the work on it
	require.Equal(t, span("98h"), s.Devices[0].Busy)
	require.Equal(t, "0.112245", s.Devices[0].OEE.Availability.Value.String()) // 11 of 98 hours
	require.Equal(t, "1", s.Devices[0].OEE.Performance.Value.String())
	require.Equal(t, s.Devices[0].OEE, s.Rows[0].OEE)

	// The time of one job is busy as it was reported.
	s = make1(t, b, account.ByDevice, account.Filter{Jobs: []string{"J1"}})
	require.Equal(t, "1", s.Rows[0].OEE.Availability.Value.String()[:1])
}

// Source: the clock changes in the European Union, the last Sundays of March and October.
func TestBusyNightsOfClockChanges(t *testing.T) {
	for day, want := range map[string]string{"2026-03-27": "8h", "2026-03-28": "7h", "2026-10-24": "9h"} {
		c := cell("p1", "J1", job.StateRun, "4h", "40000", "0")
		c.Day, c.Shift = day, "night"
		s := make1(t, books(t, c), account.ByShift, account.Filter{Shifts: []string{"night"}})
		require.Len(t, s.Shifts, 1)
		require.Equal(t, span(want), s.Shifts[0].Busy, day)
	}
}

// Where there is nothing to share there is no value.
func TestNoValue(t *testing.T) {
	// No production, nothing made.
	s := make1(t, books(t, cell("p1", "J1", job.StateMakeready, "1h")), account.ByDay, account.Filter{})
	require.True(t, s.Shifts[0].OEE.Availability.Known)
	require.False(t, s.Shifts[0].OEE.Performance.Known)
	require.False(t, s.Shifts[0].OEE.Quality.Known)
	require.False(t, s.Shifts[0].OEE.Overall.Known)
	// No time at all, outside the shifts.
	c := cell("p1", "J1", job.StateRun, "0s", "10", "0")
	c.Shift = ""
	c.Day = "2026-03-02"
	s = make1(t, books(t, c), account.ByDay, account.Filter{Shifts: []string{""}})
	require.False(t, s.Shifts[0].OEE.Availability.Known)
	require.False(t, s.Shifts[0].OEE.Performance.Known)
	require.False(t, s.Total.OEE.Overall.Known)
	// No standard speed.
	b := books(t, cell("p1", "J1", job.StateRun, "1h", "1000", "0"))
	b.Plant.Presses[0].Speed = nil
	s = make1(t, b, account.ByDay, account.Filter{})
	require.False(t, s.Devices[0].OEE.Performance.Known)
	require.True(t, s.Devices[0].OEE.Quality.Known)
}

// A performance over 1 is shown as it is, and reported once a device.
func TestTooFast(t *testing.T) {
	next := cell("f1", "J1", job.StateRun, "1h", "7001", "0")
	next.Day = "2026-03-03"
	b := books(t, cell("f1", "J1", job.StateRun, "1h", "14000", "0"), next)
	s, findings := account.Make(b, account.ByDay, account.Filter{})
	require.Equal(t, []string{`audit/too-fast: "f1" has a performance over 1 in 2 of 2 shifts, ` +
		`2.00 on 2026-03-02; the planned speed is too low`}, told(findings))
	i := slices.IndexFunc(s.Shifts, func(s account.Shift) bool { return s.Run > 0 })
	require.Equal(t, "2", s.Shifts[i].OEE.Performance.Value.String())
}

// Devices have no common pieces; together they count by planned time.
func TestSeveralDevices(t *testing.T) {
	b := books(t,
		cell("p1", "J1", job.StateRun, "2h", "9000", "3000"), // an hour's work, three quarters of it good
		cell("f1", "J1", job.StateRun, "1h", "7000", "0"),    // an hour's work
	)
	s := make1(t, b, account.ByJob, account.Filter{})
	oee := s.Rows[0].OEE
	require.Equal(t, "1", oee.Availability.Value.String())
	require.Equal(t, "0.666667", oee.Performance.Value.String())
	require.Equal(t, "0.875", oee.Quality.Value.String())
	require.Equal(t, "0.583333", oee.Overall.Value.String())
}
