package account_test

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"

	"quoin/convert/cost"
	"quoin/convert/cost/account"
	"quoin/jdf/job"
	"quoin/validate/plant"
)

// entry is a run of a device, with times as RFC 3339 has them.
func entry(t testing.TB, device, from, to string) cost.Entry {
	t.Helper()
	start, err := time.Parse(time.RFC3339, from)
	require.NoError(t, err)
	end, err := time.Parse(time.RFC3339, to)
	require.NoError(t, err)
	return cost.Entry{
		Job: "J1", Device: device, State: job.StateRun, Start: start, End: end, Time: cost.Span(end.Sub(start)),
	}
}

// cut writes cells shortly: day, shift, time, good and waste.
func cut(p *plant.Plant, entries ...cost.Entry) []string {
	var all []string
	for _, c := range account.Cells(slices.Values(entries), p) {
		all = append(all, fmt.Sprintf("%s %q %s %s/%s %d", c.Day, c.Shift, c.Time, c.Good, c.Waste, c.Entries))
	}
	return all
}

func TestCutAtShifts(t *testing.T) {
	p := works(t)
	e := entry(t, "p1", "2026-03-02T12:00:00Z", "2026-03-03T07:00:00Z")
	e.Good, e.Waste = d("1900"), d("19")
	require.Equal(t, []string{ // 13:00 on Monday to 08:00 on Tuesday in Berlin
		`2026-03-02 "early" PT1H 100/1 1`,
		`2026-03-02 "late" PT8H 800/8 0`,
		`2026-03-02 "night" PT8H 800/8 0`, // belongs to the day it began, also past midnight
		`2026-03-03 "early" PT2H 200/2 0`,
	}, cut(p, e))

	// The folder has no night shift; the day changes at midnight.
	e.Device = "f1"
	require.Equal(t, []string{
		`2026-03-02 "" PT2H 200/2 0`,
		`2026-03-02 "early" PT1H 100/1 1`,
		`2026-03-02 "late" PT8H 800/8 0`,
		`2026-03-03 "" PT6H 600/6 0`,
		`2026-03-03 "early" PT2H 200/2 0`,
	}, cut(p, e))
}

// Source: the nights of the clock changes in the European Union, the last Sundays of March
// and October at 01:00 UTC (directive 2000/84/EC).
func TestClockChanges(t *testing.T) {
	p := works(t)
	spring := entry(t, "p1", "2026-03-28T22:00:00+01:00", "2026-03-29T22:00:00+02:00")
	require.Equal(t, []string{ // a day of 23 hours
		`2026-03-28 "night" PT7H 0/0 1`, `2026-03-29 "early" PT8H 0/0 0`, `2026-03-29 "late" PT8H 0/0 0`,
	}, cut(p, spring))
	autumn := entry(t, "p1", "2026-10-24T22:00:00+02:00", "2026-10-25T22:00:00+01:00")
	require.Equal(t, []string{ // a day of 25 hours
		`2026-10-24 "night" PT9H 0/0 1`, `2026-10-25 "early" PT8H 0/0 0`, `2026-10-25 "late" PT8H 0/0 0`,
	}, cut(p, autumn))
	// By the calendar alone, from midnight to midnight.
	p.CostCentres[0].Shifts = nil
	spring = entry(t, "p1", "2026-03-29T00:00:00+01:00", "2026-03-30T00:00:00+02:00")
	require.Equal(t, []string{`2026-03-29 "" PT23H 0/0 1`}, cut(p, spring))
	autumn = entry(t, "p1", "2026-10-25T00:00:00+02:00", "2026-10-26T00:00:00+01:00")
	require.Equal(t, []string{`2026-10-25 "" P1DT1H 0/0 1`}, cut(p, autumn))
}

func TestHolidayHasNoShift(t *testing.T) {
	p := works(t)
	p.Holidays = []plant.Day{{Year: 2026, Month: time.March, Day: 3}}
	e := entry(t, "p1", "2026-03-02T22:00:00+01:00", "2026-03-03T23:00:00+01:00")
	require.Equal(t, []string{
		`2026-03-02 "night" PT8H 0/0 1`, // began before, and runs on
		`2026-03-03 "" PT17H 0/0 0`,
	}, cut(p, e))
}

// A shift without a name is called by its times.
func TestShiftNames(t *testing.T) {
	p := works(t)
	p.CostCentres[0].Shifts = []plant.Shift{{Days: allDays, From: 22 * 60, To: 30*60 + 30}}
	e := entry(t, "p1", "2026-03-02T23:00:00+01:00", "2026-03-02T23:30:00+01:00")
	require.Equal(t, []string{`2026-03-02 "22:00-06:30" PT30M 0/0 1`}, cut(p, e))
	e.CostCentre = "dear" // whose shifts count then
	require.Equal(t, []string{`2026-03-02 "" PT30M 0/0 1`}, cut(p, e))
}

// chance makes random entries.
type chance struct {
	*rand.Rand
	t testing.TB
}

func (r chance) one(words ...string) string { return words[r.IntN(len(words))] }

func (r chance) entry() cost.Entry {
	// Two months with the clock change between them.
	start := time.Date(2026, time.Month(3+r.IntN(2)), 1+r.IntN(28), 0, 0, 0, 0, time.UTC).
		Add(time.Duration(r.Int64N(int64(24 * time.Hour))))
	length := time.Duration(r.Int64N(int64(60 * time.Hour)))
	if r.IntN(3) > 0 {
		length /= 30
	}
	e := cost.Entry{
		Job: r.one("J1", "J2", "J3", ""), Part: r.one("", "S1", "S2"), Device: r.one("p1", "p2", "f1", "strange"),
		CostCentre: r.one("", "", "", "dear", "gone"), Employee: r.one("", "ann", "bob"),
		State: job.State(r.IntN(7)), Reason: r.one("", "jam", "feeder"), Work: r.one("", "Original", "Rework"),
		Start: start, End: start.Add(length), Time: cost.Span(length),
		Good: decimal.New(r.Int64N(9000), 0), Waste: decimal.New(r.Int64N(900), -int32(r.IntN(3))),
	}
	if r.IntN(3) == 0 {
		e.Time = cost.Span(r.Int64N(int64(length) + 1)) // others claim a share
	}
	return e
}

// Cutting makes and loses nothing: time, amounts and money stay, by every key that an
// entry has, and whole pieces stay whole.
func TestCuttingConserves(t *testing.T) {
	type sum struct {
		time        cost.Span
		good, waste string
		entries     int
	}
	pieces := 0
	for seed := range uint64(60) {
		r := chance{rand.New(rand.NewPCG(seed, 3)), t}
		p := works(t)
		var entries []cost.Entry
		for range 1 + r.IntN(40) {
			entries = append(entries, r.entry())
		}
		keyed := func(device, id string, s job.State) string { return fmt.Sprint(device, "|", id, "|", s) }
		want, got := map[string]account.Cell{}, map[string]account.Cell{}
		for _, e := range entries {
			c := want[keyed(e.Device, e.Job, e.State)]
			c.Time, c.Entries = c.Time+e.Time, c.Entries+1
			c.Good, c.Waste = c.Good.Add(e.Good), c.Waste.Add(e.Waste)
			want[keyed(e.Device, e.Job, e.State)] = c
		}
		cells := account.Cells(slices.Values(entries), p)
		pieces += len(cells)
		for _, cell := range cells {
			require.GreaterOrEqual(t, cell.Time, cost.Span(0))
			require.True(t, cell.Good.IsInteger(), "whole pieces stay whole: %s", cell.Good)
			c := got[keyed(cell.Device, cell.Job, cell.State)]
			c.Time, c.Entries = c.Time+cell.Time, c.Entries+cell.Entries
			c.Good, c.Waste = c.Good.Add(cell.Good), c.Waste.Add(cell.Waste)
			got[keyed(cell.Device, cell.Job, cell.State)] = c
		}
		short := func(c account.Cell) sum { return sum{c.Time, c.Good.String(), c.Waste.String(), c.Entries} }
		require.Len(t, got, len(want))
		for key, c := range want {
			require.Equal(t, short(c), short(got[key]), "seed %d, %s", seed, key)
		}

		// The order of the entries makes no difference.
		r.Shuffle(len(entries), func(i, j int) { entries[i], entries[j] = entries[j], entries[i] })
		again := account.Cells(slices.Values(entries), p)
		require.Equal(t, fmt.Sprint(cells), fmt.Sprint(again))
	}
	require.Greater(t, pieces, 2000)
}

// Money does not depend on where entries are cut, as long as rates do not.
func TestCuttingConservesMoney(t *testing.T) {
	for seed := range uint64(30) {
		r := chance{rand.New(rand.NewPCG(seed, 4)), t}
		var entries []cost.Entry
		for range 1 + r.IntN(40) {
			entries = append(entries, r.entry())
		}
		total := func(shifts bool) account.Figures {
			p := works(t)
			for _, c := range p.CostCentres {
				c.Overtime, c.Wage = decimal.Zero, decimal.Zero
				for i := range c.Shifts {
					c.Shifts[i].Premium = decimal.Zero
				}
				if !shifts {
					c.Shifts = nil
				}
			}
			cells := account.Cells(slices.Values(entries), p)
			s, _ := account.Make(account.Books{Plant: p, Cells: slices.Values(cells)}, account.ByDay, account.Filter{})
			return s.Total.Figures
		}
		require.Equal(t, fmt.Sprint(total(true)), fmt.Sprint(total(false)), "seed %d", seed)
	}
}

// An entry of no length keeps its amounts, and one of a hundred years is cut in the
// end.
func TestOddEntries(t *testing.T) {
	p := works(t)
	e := entry(t, "p1", "2026-03-02T12:00:00Z", "2026-03-02T12:00:00Z")
	e.Good = d("10")
	require.Equal(t, []string{`2026-03-02 "early" PT0S 10/0 1`}, cut(p, e))
	old := entry(t, "f1", "1926-03-02T12:00:00Z", "2026-03-02T12:00:00Z")
	var sum cost.Span
	for _, c := range account.Cells(slices.Values([]cost.Entry{old}), p) {
		sum += c.Time
	}
	require.Equal(t, old.Time, sum)
}
