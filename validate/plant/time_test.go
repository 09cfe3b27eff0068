package plant

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

func TestDemoTime(t *testing.T) {
	p := loadDemo(t)
	require.Equal(t, "Europe/Berlin", p.Zone.String())
	require.Equal(t, Day{2026, time.December, 24}, p.Holidays[0])
	b1 := p.Presses[1].CostCentre
	require.Equal(t, 2, b1.Crew)
	require.Equal(t, []Shift{
		{Days: On(1, 2, 3, 4, 5), From: 360, To: 840, Name: "early"},
		{Days: On(1, 2, 3, 4, 5), From: 840, To: 1320, Name: "late", Premium: b1.Shifts[1].Premium},
		{Days: On(time.Saturday), From: 360, To: 720, Name: "Saturday", Premium: b1.Shifts[2].Premium},
	}, b1.Shifts)
	require.Equal(t, 1, p.Presses[0].CostCentre.Crew)
}

// A day is a holiday by the clock of the plant, not of the moment.
func TestHoliday(t *testing.T) {
	p := loadDemo(t)
	for text, want := range map[string]bool{
		"2026-12-24T00:00:00+01:00": true, "2026-12-23T23:59:59+01:00": false,
		"2026-12-23T23:00:00Z": true, "2026-12-26T22:59:59Z": true, "2026-12-26T23:00:00Z": false,
	} {
		at, err := time.Parse(time.RFC3339, text)
		require.NoError(t, err)
		require.Equal(t, want, p.Holiday(at), text)
	}
	require.False(t, (&Plant{}).Holiday(time.Now()))
}

func TestWeekdays(t *testing.T) {
	for text, want := range map[string]string{
		"Mon - Fri": "Mon - Fri", "Sun": "Sun", "Sat, Mon": "Mon, Sat", "Mon - Wed, Fri - Sun": "Mon - Wed, Fri - Sun",
		"Mon,Tue": "Mon, Tue", "Mon–Sun": "Mon - Sun",
	} {
		w, bad := parseWeekdays(text)
		require.Nil(t, bad, text)
		require.Equal(t, want, w.String())
		again, bad := parseWeekdays(w.String())
		require.Nil(t, bad)
		require.Equal(t, w, again)
	}
	require.True(t, On(time.Sunday).Has(time.Sunday))
	require.False(t, On(time.Sunday).Has(time.Monday))
	require.Equal(t, "Mon 22:00 to 06:00 of the next day", Shift{Days: On(time.Monday), From: 1320, To: 1800}.String())
}

// Source: a worked critical path; A3 B2 start, C4 after A, D1 after A and B, E2 after C and D: A, C, E take 9.
func TestCriticalPath(t *testing.T) {
	minutes := func(n int) time.Duration { return time.Duration(n) * time.Minute }
	tasks := []Task{
		{Name: "A", Time: minutes(3)}, {Name: "B", Time: minutes(2)}, {Name: "C", Time: minutes(4), After: []string{"A"}},
		{Name: "D", Time: minutes(1), After: []string{"A", "B"}}, {Name: "E", Time: minutes(2), After: []string{"C", "D"}},
	}
	total, path := CriticalPath(tasks, 4)
	require.Equal(t, minutes(9), total)
	require.Equal(t, []string{"A", "C", "E"}, path)
	tasks[1].PerUnit = true // B takes 8, then D and E
	total, path = CriticalPath(tasks, 4)
	require.Equal(t, minutes(11), total)
	require.Equal(t, []string{"B", "D", "E"}, path)
	total, path = CriticalPath(nil, 4)
	require.Zero(t, total)
	require.Empty(t, path)
	ring := []Task{{Name: "A", Time: minutes(1), After: []string{"B"}},
		{Name: "B", Time: minutes(2), After: []string{"A"}}}
	total, _ = CriticalPath(ring, 1)
	require.Equal(t, minutes(3), total)
}

// The critical path is the longest of all chains, tried one by one.
func TestCriticalPathAgainstAllChains(t *testing.T) {
	seed := uint32(7)
	next := func(n int) int {
		seed = seed*1664525 + 1013904223
		return int(seed>>8) % n
	}
	for range 300 {
		tasks := make([]Task, 1+next(7))
		for i := range tasks {
			tasks[i] = Task{Name: string(rune('a' + i)), Time: time.Duration(next(9)), PerUnit: next(3) == 0}
			for k := range i {
				if next(3) == 0 {
					tasks[i].After = append(tasks[i].After, tasks[k].Name)
				}
			}
		}
		units := 1 + next(5)
		var longest func(i int) time.Duration
		longest = func(i int) time.Duration {
			most := time.Duration(0)
			for _, name := range tasks[i].After {
				most = max(most, longest(int(name[0]-'a')))
			}
			own := tasks[i].Time
			if tasks[i].PerUnit {
				own *= time.Duration(units)
			}
			return most + own
		}
		want := time.Duration(0)
		for i := range tasks {
			want = max(want, longest(i))
		}
		got, path := CriticalPath(tasks, units)
		require.Equal(t, want, got)
		sum := time.Duration(0)
		for _, name := range path {
			task := tasks[name[0]-'a']
			if task.PerUnit {
				task.Time *= time.Duration(units)
			}
			sum += task.Time
		}
		require.Equal(t, want, sum, "the path is as long as it says")
	}
}

func TestPace(t *testing.T) {
	p := loadDemo(t).Laminators[0].Speed
	require.Equal(t, "30", p.Metres.String())
	require.Equal(t, "2500", p.SheetsAnHour(720*Millimetre).String(), "30 m/min x 60 min / 0.72 m")
	require.Equal(t, "1764.7058", p.SheetsAnHour(1020*Millimetre).String())
	require.True(t, p.SheetsAnHour(0).IsZero())
	require.Equal(t, "3000", Pace{Sheets: p.Metres.Shift(2)}.SheetsAnHour(0).String())
}
