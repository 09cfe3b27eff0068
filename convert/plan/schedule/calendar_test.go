package schedule

import (
	"math/rand/v2"
	"sort"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"quoin/validate/plant"
)

// TestWall: times that a clock change leaves out or that come twice.
//
// Source: the two examples for New York are those of RFC 5545, 3.3.5. The rest
// follows from the IANA time zone database: Europe/Berlin goes from 02:00 to
// 03:00 on 2026-03-29 and from 03:00 back to 02:00 on 2026-10-25, both at 01:00
// UTC; Australia/Lord_Howe goes back half an hour on 2026-04-05, at 15:00 UTC
// the day before; Pacific/Apia had no 2011-12-30.
func TestWall(t *testing.T) {
	for _, c := range []struct {
		zone             string
		year, month, day int
		hour, minute     int
		want             string // UTC
	}{
		{"America/New_York", 2007, 3, 11, 2, 30, "2007-03-11T07:30:00Z"},
		{"America/New_York", 2007, 11, 4, 1, 30, "2007-11-04T05:30:00Z"},
		{"Europe/Berlin", 2026, 3, 29, 1, 59, "2026-03-29T00:59:00Z"},
		{"Europe/Berlin", 2026, 3, 29, 2, 0, "2026-03-29T01:00:00Z"},
		{"Europe/Berlin", 2026, 3, 29, 2, 30, "2026-03-29T01:30:00Z"},
		{"Europe/Berlin", 2026, 3, 29, 3, 0, "2026-03-29T01:00:00Z"},
		{"Europe/Berlin", 2026, 10, 25, 1, 59, "2026-10-24T23:59:00Z"},
		{"Europe/Berlin", 2026, 10, 25, 2, 0, "2026-10-25T00:00:00Z"},
		{"Europe/Berlin", 2026, 10, 25, 2, 59, "2026-10-25T00:59:00Z"},
		{"Europe/Berlin", 2026, 10, 25, 3, 0, "2026-10-25T02:00:00Z"},
		{"Australia/Lord_Howe", 2026, 4, 5, 1, 45, "2026-04-04T14:45:00Z"},
		{"Pacific/Apia", 2011, 12, 30, 12, 0, "2011-12-30T22:00:00Z"},
		{"UTC", 2026, 1, 1, 24, 0, "2026-01-02T00:00:00Z"},
	} {
		got := wall(c.year, time.Month(c.month), c.day, c.hour*60+c.minute, zone(t, c.zone))
		require.Equal(t, c.want, got.UTC().Format(time.RFC3339), "%+v", c)
	}
}

// TestClockChange: a night shift from 22:00 to 06:00 is eight hours, seven in
// the night in which clocks go forward and nine in that in which they go back.
//
// Source: IANA time zone database, Europe/Berlin, 2026-03-29 and 2026-10-25.
func TestClockChange(t *testing.T) {
	berlin := zone(t, "Europe/Berlin")
	night := []plant.Shift{{Days: plant.On(time.Saturday), From: 22 * 60, To: 30 * 60}}
	for day, hours := range map[string]int64{"2026-03-21": 8, "2026-03-28": 7, "2026-10-24": 9, "2026-10-31": 8} {
		noon, err := time.ParseInLocation(time.DateTime, day+" 12:00:00", berlin)
		require.NoError(t, err)
		c := newCalendar(night, &plant.Plant{Zone: berlin}, noon)
		require.Equal(t, hours*3600, c.spans[0].to-c.spans[0].from, day)
		begin, _, end := c.run(noon.Unix(), 0, 8*3600, false)
		require.Equal(t, day+" 22:00", time.Unix(begin, 0).In(berlin).Format("2006-01-02 15:04"))
		next := time.Unix(end, 0).In(berlin).Format("Mon 15:04")
		require.Equal(t, map[int64]string{7: "Sat 23:00", 8: "Sun 06:00", 9: "Sun 05:00"}[hours], next, day)
	}
}

// TestHolidays: on a holiday no shift begins; one of the evening before goes on
// into it. A machine without shifts stands still for the day.
func TestHolidays(t *testing.T) {
	christmas := plant.Day{Year: 2026, Month: time.December, Day: 25} // a Friday
	p := &plant.Plant{Holidays: []plant.Day{christmas}}
	thursday := time.Date(2026, 12, 24, 12, 0, 0, 0, time.UTC)
	spans := func(shifts []plant.Shift) []string {
		var all []string
		for _, s := range newCalendar(shifts, p, thursday).pieces(thursday.Unix(), 30*3600) {
			all = append(all, clock(time.Unix(s.from, 0).UTC())+" "+clock(time.Unix(s.to, 0).UTC()))
		}
		return all
	}
	require.Equal(t, []string{"Thu 12-24 12:00 Fri 12-25 00:00", "Sat 12-26 00:00 Sat 12-26 18:00"}, spans(nil))
	night := []plant.Shift{{Days: plant.On(0, 1, 2, 3, 4, 5, 6), From: 20 * 60, To: 35 * 60}}
	require.Equal(t, []string{"Thu 12-24 20:00 Fri 12-25 11:00", "Sat 12-26 20:00 Sun 12-27 11:00"}, spans(night))
}

// TestCalendar checks laying and laying back against a minute by minute walk.
func TestCalendar(t *testing.T) {
	start := time.Date(2026, 3, 27, 9, 20, 0, 0, time.UTC)
	for seed := range uint64(60) {
		random := rand.New(rand.NewPCG(seed, 1))
		var shifts []plant.Shift
		for range 1 + random.IntN(3) {
			from := random.IntN(24 * 60)
			shifts = append(shifts, plant.Shift{
				Days: plant.Weekdays(1 + random.IntN(127)), From: from, To: from + 30 + random.IntN(12*60),
			})
		}
		c := newCalendar(shifts, &plant.Plant{Zone: zone(t, "Europe/Berlin")}, start)
		at := start.Unix() + 60*random.Int64N(10*24*60)
		work := 60 * (1 + random.Int64N(16*60))
		end := c.add(at, work)
		worked := int64(0)
		for m := at; m < end; m += 60 {
			if open(c, m) {
				worked += 60
			}
		}
		require.Equal(t, work, worked, "seed %d", seed)
		require.True(t, open(c, end-60), "seed %d", seed)
		require.True(t, c.resume(at) >= at && open(c, c.resume(at)))

		latest := c.sub(end, work)
		require.GreaterOrEqual(t, latest, at)
		require.Equal(t, end, c.add(latest, work), "seed %d", seed)
		require.Greater(t, c.add(latest+1, work), end, "seed %d", seed)

		total := int64(0)
		for _, s := range c.pieces(at, work) {
			total += s.to - s.from
		}
		require.Equal(t, work, total)
		checkFit(t, c, at, min(work, c.longest))
	}
}

func open(c *calendar, at int64) bool {
	i := sort.Search(len(c.spans), func(i int) bool { return c.spans[i].from > at }) - 1
	return i >= 0 && at < c.spans[i].to
}

// checkFit: a piece of work in one go begins as soon, and as late, as it can.
func checkFit(t *testing.T, c *calendar, at, work int64) {
	t.Helper()
	begin := c.fit(at, work, false)
	whole := func(from int64) bool {
		for m := from; m < from+work; m += 60 {
			if !open(c, m) {
				return false
			}
		}
		return true
	}
	require.True(t, whole(begin))
	for m := at; m < begin; m += 60 {
		if whole(m) {
			require.Failf(t, "could begin sooner", "at %d, not %d", m, begin)
		}
	}
	latest := c.fitBack(begin+work, work, false)
	require.Equal(t, begin, latest)
}

// TestNeverWorked: a calendar that has no working time ends at the horizon.
func TestNeverWorked(t *testing.T) {
	now := time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC)
	c := newCalendar([]plant.Shift{{From: 0, To: 60}}, &plant.Plant{}, now)
	start, ready, end := c.run(now.Unix(), 60, 60, false)
	require.Equal(t, [3]int64{c.far, c.far, c.far}, [3]int64{start, ready, end})
	require.Equal(t, now.Unix(), c.sub(now.Unix(), 0))
}
