package account_test

import (
	"encoding/json"
	"flag"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/convert/cost"
	"quoin/convert/cost/account"
	"quoin/jdf/job"
)

var update = flag.Bool("update", false, "rewrite the golden files")

func golden(t *testing.T, path, got string) {
	t.Helper()
	if *update {
		require.Empty(t, os.Getenv("CI"), "golden files are not rewritten in CI")
		require.NoError(t, os.WriteFile(path, []byte(got), 0o644))
	}
	want, err := os.ReadFile(path)
	require.NoError(t, err)
	require.Equal(t, string(want), got)
}

// week is two jobs on press and folder: one about as planned, one that went wrong.
func week(t *testing.T) account.Books {
	wrong := []account.Cell{
		cell("p1", "J2", job.StateMakeready, "1h50m"), cell("p1", "J2", job.StateRun, "1h10m", "5000", "700"),
		cell("p1", "J2", job.StateStopped, "25m"), cell("p1", "J2", job.StateStopped, "6m"),
		cell("p1", "J2", job.StateWash, "12m"), cell("f1", "J2", job.StateRun, "1h", "4950", "50"),
	}
	wrong[0].Entries, wrong[2].Entries = 3, 4
	wrong[2].Reason, wrong[3].Reason = "PaperJam", "InkLow"
	for i := range wrong {
		wrong[i].Day, wrong[i].Shift, wrong[i].Part, wrong[i].Operator = "2026-03-03", "late", "S1", "ann"
	}
	b := books(t, append(wrong,
		cell("p1", "J1", job.StateMakeready, "40m"), cell("p1", "J1", job.StateRun, "30m", "4000", "400"),
		cell("p1", "", job.StateIdle, "20m"))...)
	b.Tasks = []cost.Task{
		{Job: "J1", Device: "p1", Makeready: span("40m"), Run: span("33m"),
			In: d("4400"), Good: d("4000"), Waste: d("400"), Class: gloss},
		{Job: "J2", Part: "S1", Device: "p1", Makeready: span("40m"), Run: span("42m"), WashUp: span("12m"),
			In: d("5400"), Good: d("5000"), Waste: d("400"), Class: gloss},
		{Job: "J2", Part: "S1", Device: "f1", Makeready: span("20m"), Run: span("45m"), Good: d("4950"), Waste: d("50")},
	}
	b.Orders = []cost.Order{
		{Job: "J1", Name: "Tide tables", Customer: "Reedbed Ferries", Ordered: d("4000")},
		{Job: "J2", Name: "Bird atlas", Customer: "Marsh Trust", Ordered: d("4500")},
	}
	b.Purchases = []account.Purchase{
		{Job: "J2", Day: "2026-03-05", What: "foil blocking", Cost: d("180.50"), Planned: d("150")},
	}
	b.Colour = []account.Colour{{Job: "J2", Device: "p1", Day: "2026-03-03", In: 20, Near: 3, Out: 1}}
	return b
}

func TestStatement(t *testing.T) {
	s, findings := account.Make(week(t), account.ByJob, account.Filter{})
	addsUp(t, s)
	text, err := json.MarshalIndent(s, "", " ")
	require.NoError(t, err)
	golden(t, "testdata/week.json", string(text)+"\n")
	var words []string
	for _, dev := range s.Deviations {
		words = append(words, dev.Words)
	}
	golden(t, "testdata/week.txt", strings.Join(append(words, told(findings)...), "\n")+"\n")
	require.Equal(t, 24, s.Total.Colour.In+s.Total.Colour.Near+s.Total.Colour.Out)
	require.Equal(t, s.Total.Colour, s.Rows[2].Colour)
}

func TestStops(t *testing.T) {
	s, _ := account.Make(week(t), account.ByDevice, account.Filter{})
	require.Len(t, s.Stops, 2)
	require.Equal(t, account.Stop{
		Reason: "PaperJam", Devices: []string{"p1"}, Time: span("25m"), Count: 4, Cost: s.Stops[0].Cost,
		ByTime: 1, ByCount: 1, ByCost: 1,
	}, s.Stops[0])
	require.Equal(t, "22.5", s.Stops[0].Cost.String()) // 25 min at 54.00
	require.Equal(t, "5.4", s.Stops[1].Cost.String())
	require.Equal(t, "27.9", s.Total.Actual.Stopped.String())

	// What is equal has the same rank.
	a, b := cell("p1", "J1", job.StateStopped, "5m"), cell("f1", "J1", job.StateStopped, "5m")
	a.Reason, b.Reason, b.Entries = "jam", "feeder", 3
	s = make1(t, books(t, a, b), account.ByDevice, account.Filter{})
	var ranks [][3]int
	for _, stop := range s.Stops {
		ranks = append(ranks, [3]int{stop.ByTime, stop.ByCount, stop.ByCost})
	}
	require.Equal(t, [][3]int{{1, 1, 2}, {1, 2, 1}}, ranks)
}

// Source: the trade custom as taught by citytech.cuny.edu: of 10,000 ordered, 9,000 and 11,000 are inside the
// 10 % of the trade, 8,999 is short, 11,001 over and at most 11,000 billed, 10,600 bills 10,600.
func TestTolerance(t *testing.T) {
	for delivered, want := range map[string]struct {
		outcome account.Outcome
		bill    string
	}{
		"9000": {account.Inside, "9000"}, "11000": {account.Inside, "11000"}, "10600": {account.Inside, "10600"},
		"8999": {account.Short, "8999"}, "11001": {account.Over, "11000"},
	} {
		got := account.Judge(d("10000"), d(delivered), d("10"))
		require.Equal(t, want.outcome, got.Outcome, delivered)
		require.Equal(t, want.bill, got.Bill.String(), delivered)
	}
	// Only whole copies are billed.
	require.Equal(t, "115", account.Judge(d("105"), d("116"), d("10")).Bill.String())
}

func TestDeliveries(t *testing.T) {
	b := week(t)
	s, _ := account.Make(b, account.ByJob, account.Filter{})
	require.Len(t, s.Deliveries, 2)
	require.Equal(t, "4000", s.Deliveries[0].Delivered.String())
	require.Equal(t, "4950", s.Deliveries[1].Delivered.String(), "the folder made the last of it")
	require.Equal(t, account.Inside, s.Deliveries[1].Outcome)
	b.Shipped = []account.Shipment{{Job: "J2", Quantity: d("2000")}, {Job: "J2", Quantity: d("2000")}}
	s, _ = account.Make(b, account.ByJob, account.Filter{})
	require.Equal(t, account.Short, s.Deliveries[1].Outcome)
	require.Equal(t, "4000", s.Deliveries[1].Bill.String())
	require.True(t, s.Deliveries[1].Shipped)
}

// Without plans the machine that stands last in the way of work tells what was made.
func TestLastMachine(t *testing.T) {
	b := week(t)
	b.Tasks, b.Purchases = nil, nil
	s, _ := account.Make(b, account.ByJob, account.Filter{})
	require.Equal(t, "4950", s.Deliveries[1].Delivered.String())
	require.Empty(t, s.Deviations, "nothing is planned")
	require.False(t, s.Total.Plan.Time.IsPositive())
}

func TestFilters(t *testing.T) {
	b := week(t)
	for name, c := range map[string]struct {
		filter account.Filter
		want   string
	}{
		"all":      {account.Filter{}, "6h13m"},
		"day":      {account.Filter{From: "2026-03-03", To: "2026-03-03"}, "4h43m"},
		"job":      {account.Filter{Jobs: []string{"J1"}}, "1h10m"},
		"no job":   {account.Filter{Jobs: []string{""}}, "20m"},
		"device":   {account.Filter{Devices: []string{"f1"}}, "1h"},
		"customer": {account.Filter{Customers: []string{"Marsh Trust"}}, "4h43m"},
		"operator": {account.Filter{Operators: []string{"ann"}}, "4h43m"},
		"shift":    {account.Filter{Shifts: []string{"early"}}, "1h30m"},
		"both":     {account.Filter{Jobs: []string{"J1", "J2"}, Devices: []string{"p1"}}, "4h53m"},
		"nothing":  {account.Filter{Jobs: []string{"J9"}}, "0s"},
	} {
		s, _ := account.Make(b, account.ByDay, c.filter)
		require.Equal(t, span(c.want).String(), s.Total.Times.Total().String(), name)
	}
}

// The last step of looking into a row: the entries that have a share in it.
func TestEntriesOfARow(t *testing.T) {
	night := entry(t, "p1", "2026-03-02T20:00:00+01:00", "2026-03-03T01:00:00+01:00")
	night.Source = cost.Source{File: "night.jdf", Line: 7}
	day := entry(t, "p1", "2026-03-03T08:00:00+01:00", "2026-03-03T09:00:00+01:00")
	day.Job, day.Source = "J2", cost.Source{File: "day.jdf", Line: 3}
	all := slices.Values([]cost.Entry{night, day})
	b := account.Books{Plant: works(t)}
	b.Cells = slices.Values(account.Cells(all, b.Plant))
	files := func(f account.Filter) []string {
		var names []string
		for e := range account.Entries(all, b, f) {
			names = append(names, e.Source.File)
		}
		return names
	}
	s, _ := account.Make(b, account.ByShift, account.Filter{From: "2026-03-02", To: "2026-03-02"})
	require.Len(t, s.Rows, 2)
	require.Equal(t, []string{"late", "night"}, []string{s.Rows[0].Key, s.Rows[1].Key})
	require.Equal(t, []string{"J1"}, s.Rows[1].Parts)
	require.Equal(t, []string{"night.jdf"}, files(s.Rows[1].Only))
	// The night belongs to the day it began.
	require.Equal(t, []string{"day.jdf"}, files(account.Filter{From: "2026-03-03"}))
	require.Equal(t, []string{"night.jdf", "day.jdf"}, files(account.Filter{}))
}

func TestWeeksAndMonths(t *testing.T) {
	// Source: ISO 8601, the week with the first Thursday is the first: 2026-12-31 and
	// 2027-01-03 are in week 53 of 2026, 2027-01-04 in the first of 2027.
	var cells []account.Cell
	for _, day := range []string{"2026-12-31", "2027-01-03", "2027-01-04"} {
		c := cell("p1", "J1", job.StateRun, "1h")
		c.Day = day
		cells = append(cells, c)
	}
	s := make1(t, books(t, cells...), account.ByWeek, account.Filter{})
	require.Len(t, s.Rows, 2)
	require.Equal(t, "2026-W53", s.Rows[0].Key)
	require.Equal(t, account.Filter{From: "2026-12-28", To: "2027-01-03"}, s.Rows[0].Only)
	require.Equal(t, "2027-W01", s.Rows[1].Key)
	require.Equal(t, account.Filter{From: "2027-01-04", To: "2027-01-10"}, s.Rows[1].Only)
	s = make1(t, books(t, cells...), account.ByMonth, account.Filter{To: "2027-01-03"})
	require.Equal(t, account.Filter{From: "2027-01-01", To: "2027-01-03"}, s.Rows[1].Only)
	require.Equal(t, []string{"2026-W53"}, s.Rows[1].Parts)
}

func TestParseBy(t *testing.T) {
	for _, by := range account.Dimensions() {
		got, err := account.ParseBy(string(by))
		require.NoError(t, err)
		require.Equal(t, by, got)
	}
	_, err := account.ParseBy("jobs")
	require.EqualError(t, err, `there is no report by "jobs"; `+
		`want cost-centre, customer, day, device, job, month, operator, part and 2 more`)
}

func TestNoBooks(t *testing.T) {
	s := make1(t, account.Books{Plant: works(t)}, account.ByMonth, account.Filter{})
	require.Empty(t, s.Rows)
	require.True(t, s.Total.Actual.Total.IsZero())
}
