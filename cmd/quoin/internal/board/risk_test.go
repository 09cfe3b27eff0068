package board

import (
	"testing"
	"time"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"

	"quoin/cmd/quoin/internal/works"
)

func TestJudge(t *testing.T) {
	now := time.Date(2026, 3, 9, 9, 0, 0, 0, time.UTC)
	hours := func(n float64) time.Time { return now.Add(time.Duration(n * float64(time.Hour))) }
	step := func(state works.StepState, start, end, began, ended float64) *works.Step {
		s := &works.Step{NewStep: works.NewStep{Start: hours(start), End: hours(end)}, State: state}
		if began != 0 {
			s.Began = hours(began)
		}
		if ended != 0 {
			s.Ended = hours(ended)
		}
		return s
	}
	planned := works.Ticket{State: works.Planned, Due: hours(10), End: hours(6)}
	for _, c := range []struct {
		name  string
		k     works.Ticket
		steps []*works.Step
		want  standing
	}{
		{"no due time", works.Ticket{State: works.Running}, nil, standing{}},
		{"refused", works.Ticket{State: works.Refused, Due: hours(-1)}, nil, standing{}},
		{"aborted", works.Ticket{State: works.Returned, Outcome: works.Aborted, Due: hours(-1)}, nil, standing{}},
		{"late", works.Ticket{State: works.Running, Due: hours(-1.5)}, nil, standing{"late", "late by 1 h 30 min"}},
		{"not planned, soon", works.Ticket{State: works.Accepted, Due: hours(30)}, nil,
			standing{"risk", "at risk: due in 1 d 6 h and not planned"}},
		{"not planned, far", works.Ticket{State: works.Accepted, Due: hours(300)}, nil, standing{}},
		{"planned too late", works.Ticket{State: works.Planned, Due: hours(5), End: hours(6)}, nil,
			standing{"risk", "at risk: planned to end 1 h after it is due"}},
		{"in time", planned, []*works.Step{step(works.StepWaiting, 1, 6, 0, 0)}, standing{"ok", "in time, 4 h to spare"}},
		{"a little behind", planned, []*works.Step{step(works.StepWaiting, -1, 6, 0, 0)},
			standing{"ok", "in time, though 1 h behind the plan"}},
		{"too far behind", planned, []*works.Step{step(works.StepDone, -9, -8, -9, -8),
			step(works.StepRunning, -8, -5, -8, 0)},
			standing{"risk", "at risk: 5 h behind the plan"}},
		{"begun late", planned, []*works.Step{step(works.StepRunning, -5, 3, -0.5, 0)},
			standing{"risk", "at risk: 4 h 30 min behind the plan"}},
		{"done in time", works.Ticket{State: works.Done, Outcome: works.Done, Due: hours(-1)},
			[]*works.Step{step(works.StepDone, -9, -8, -9, -3)}, standing{"ok", "done 2 h before it was due"}},
		{"done late", works.Ticket{State: works.Returned, Outcome: works.Done, Due: hours(-5)},
			[]*works.Step{step(works.StepDone, -9, -8, -9, -3)}, standing{"late", "done 2 h late"}},
	} {
		require.Equal(t, c.want, judge(&c.k, c.steps, now), c.name)
	}
}

func TestWords(t *testing.T) {
	zone, err := time.LoadLocation("Europe/Berlin")
	require.NoError(t, err)
	w := &words{zone: zone, now: func() time.Time {
		return time.Date(2026, 3, 29, 22, 30, 0, 0,
			time.UTC)
	}} // the 30th in Berlin
	at := func(text string) time.Time {
		m, err := time.Parse(time.RFC3339, text)
		require.NoError(t, err)
		return m
	}
	require.Equal(t, "Europe/Berlin (CEST)", w.zoneName())
	for moment, want := range map[string]string{
		"2026-03-29T22:00:00Z": "today 00:00", "2026-03-29T21:59:00Z": "yesterday 23:59",
		"2026-03-28T23:30:00Z": "yesterday 00:30", // the day of the clock change, which has 23 hours
		"2026-03-31T10:00:00Z": "tomorrow 12:00", "2026-04-02T10:00:00Z": "Thu 2 Apr 12:00",
		"2027-01-02T10:00:00Z": "Sat 2 Jan 2027 11:00",
	} {
		require.Equal(t, want, w.when(at(moment)), moment)
	}
	require.Equal(t, "–", w.when(time.Time{}))
	require.Equal(t, "never", w.ago(time.Time{}))
	for d, want := range map[time.Duration]string{
		0: "0 s", 59 * time.Second: "59 s", 60 * time.Minute: "1 h", 61 * time.Minute: "1 h 01 min",
		26 * time.Hour: "1 d 2 h",
		48 * time.Hour: "2 d", -time.Minute: "−1 min", 59*time.Minute + 45*time.Second: "1 h",
	} {
		require.Equal(t, want, spanned(d))
	}
	for v, want := range map[string]string{
		"": "–", "0": "0", "999": "999", "1000": "1\u202f000", "-1234567.5": "−1\u202f234\u202f567.5", "a few": "a few",
	} {
		require.Equal(t, want, amount(v))
	}
	require.Equal(t, "+1\u202f234.50", signed(decimal.RequireFromString("1234.5"), 2))
	require.Equal(t, "−0.50", signed(decimal.RequireFromString("-0.499"), 2))
}

// TestShapes makes sure that every state has a shape, and no two of a kind the same.
func TestShapes(t *testing.T) {
	kinds := map[string][]string{"alerts": {"open", "acknowledged", "closed"}, "findings": {"note", "warning", "error"},
		"devices":  {"makeready", "run", "wash-up", "idle", "stopped", "done", "off", "unknown"},
		"standing": {"late", "risk", "ok"}, "deliveries": nil, "tickets": {"held", "suspended"}, "steps": nil}
	for _, s := range works.States() {
		kinds["tickets"] = append(kinds["tickets"], string(s))
	}
	for _, s := range works.StepStates() {
		kinds["steps"] = append(kinds["steps"], string(s))
	}
	for _, s := range deliveryStates {
		kinds["deliveries"] = append(kinds["deliveries"], string(s))
	}
	for kind, states := range kinds {
		require.GreaterOrEqual(t, len(states), 3, kind)
		seen := map[glyph]string{}
		for _, s := range states {
			g, ok := glyphs[s]
			require.True(t, ok, "%s: %q has no shape", kind, s)
			require.Empty(t, seen[g], "%s: %q looks like another", kind, s)
			seen[g] = s
		}
	}
}

func TestCutOut(t *testing.T) {
	line := "    <Media Name=\"Grün\"/>"
	e := cutOut(line, place{Line: 3, Column: 18, EndLine: 3, EndColumn: 22})
	require.Equal(t, &excerpt{Line: 3, Before: "<Media Name=\"", Marked: "Grün", After: "\"/>"}, e)
	long := cutOut(string(make([]rune, 5000))+"here"+string(make([]rune, 5000)),
		place{Line: 1, Column: 5001, EndLine: 1, EndColumn: 5005})
	require.Equal(t, "here", long.Marked)
	require.LessOrEqual(t, len([]rune(long.Before+long.Marked+long.After)), excerptWidth+2)
	require.Equal(t, &excerpt{Line: 1}, cutOut("", place{Line: 1, Column: 40}))
}
