package cost_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/convert/cost"
	"quoin/jdf"
)

func collect(docs ...*jdf.Document) (*cost.Ledger, []string) {
	l, found := cost.Collect(docs)
	return l, told(found)
}

func TestPhasesOfAPool(t *testing.T) {
	l, found := collect(pool(t, "a.jdf", "J1",
		made(phase("press-1", "Setup", "08:00", "08:45"), 0, 120),
		made(phase("press-1", "InProgress", "08:45", "10:15"), 5000, 92),
		phase("press-1", "Stopped", "10:15", "10:25", `StatusDetails="PaperJam"`),
		phase("press-1", "Cleanup", "10:25", "10:40"),
	))
	require.Empty(t, found)
	require.Equal(t, []string{
		"press-1 J1 makeready 08:00-08:45 PT45M 0/120",
		"press-1 J1 run 08:45-10:15 PT1H30M 5000/92",
		"press-1 J1 stopped 10:15-10:25 PT10M",
		"press-1 J1 wash-up 10:25-10:40 PT15M",
	}, lines(l))
	require.Equal(t, "PaperJam", l.Entries[2].Reason)
	require.Equal(t, 4, l.Entries[1].Source.Line)
	require.Equal(t, "/JDF/AuditPool/PhaseTime[2]", l.Entries[1].Source.Place.Path())
}

func TestOverlapIsCountedOnce(t *testing.T) {
	// The later start wins its hour; the earlier phase keeps what is before and after.
	l, found := collect(pool(t, "a.jdf", "J1", phase("press-1", "InProgress", "08:00", "11:00")),
		pool(t, "b.jdf", "J2", phase("press-1", "InProgress", "09:00", "10:00")))
	require.Equal(t, []string{
		"press-1 J1 run 08:00-11:00 PT2H",
		"press-1 J2 run 09:00-10:00 PT1H",
	}, lines(l))
	require.Equal(t, []string{
		`audit/overlap: run of "press-1" for job "J1" shares PT1H with another phase, which counts that time`,
	}, found)
}

func TestTheSameStartGoesToTheMoreProductive(t *testing.T) {
	l, _ := collect(pool(t, "a.jdf", "J1",
		phase("press-1", "Setup", "08:00", "09:00"), phase("press-1", "InProgress", "08:00", "08:30")))
	require.Equal(t, []string{
		"press-1 J1 makeready 08:00-09:00 PT30M",
		"press-1 J1 run 08:00-08:30 PT30M",
	}, lines(l))
}

func TestOtherDevicesWorkSideBySide(t *testing.T) {
	l, found := collect(pool(t, "a.jdf", "J1",
		phase("press-1", "InProgress", "08:00", "09:00"), phase("press-2", "InProgress", "08:00", "09:00")))
	require.Empty(t, found)
	require.Equal(t, []string{
		"press-1 J1 run 08:00-09:00 PT1H",
		"press-2 J1 run 08:00-09:00 PT1H",
	}, lines(l))
}

func TestParallelModulesCountOnce(t *testing.T) {
	module := func(id, end string) string {
		return `<PhaseTime TimeStamp="` + day(end) + `" Status="InProgress" Start="` + day("08:00") + `" End="` + day(end) +
			`"><ModulePhase DeviceID="press-1" ModuleID="` + id + `" ModuleType="PrintModule"/></PhaseTime>`
	}
	l, found := collect(pool(t, "a.jdf", "J1", module("M1", "09:00"), module("M2", "09:30")))
	require.Empty(t, found)
	require.Equal(t, []string{"press-1 J1 run 08:00-09:30 PT1H30M"}, lines(l))
}

func TestSignalsAndPoolAreOnePhase(t *testing.T) {
	// The press told of its run from 08:02; the pool says it began at 08:00.
	l, found := collect(
		xjmf(t, "press-1", "08:02", "Production", `<JobPhase JobID="J1" Status="InProgress" Amount="50" Waste="3"/>`),
		xjmf(t, "press-1", "08:30", "Production", `<JobPhase JobID="J1" Status="InProgress" Amount="900" Waste="9"/>`),
		xjmf(t, "press-1", "09:00", "Idle", ""),
		pool(t, "a.jdf", "J1", phase("press-1", "InProgress", "08:00", "08:55")),
	)
	// The pool is silent on amounts, so that the last signal tells them.
	// The idle press, of which nothing more is known, spent no time yet.
	require.Equal(t, []string{"press-1 J1 run 08:00-08:55 PT55M 900/9"}, lines(l))
	require.Empty(t, found)

	l, _ = collect(
		xjmf(t, "press-1", "08:30", "Production", `<JobPhase JobID="J1" Status="InProgress" Amount="900" Waste="9"/>`),
		pool(t, "a.jdf", "J1", made(phase("press-1", "InProgress", "08:00", "08:55"), 1800, 20)),
	)
	require.Equal(t, []string{"press-1 J1 run 08:00-08:55 PT55M 1800/20"}, lines(l), "the pool's word is the last")
}

func TestSignalsWithoutStart(t *testing.T) {
	run := `<JobPhase JobID="J1" Status="InProgress"/>`
	l, found := collect(
		xjmf(t, "press-1", "08:00", "Setup", `<JobPhase JobID="J1" Status="Setup"/>`),
		xjmf(t, "press-1", "08:20", "Production", run),
		xjmf(t, "press-1", "08:40", "Production", run),
		xjmf(t, "press-1", "09:00", "Stopped", `<JobPhase JobID="J1" Status="Stopped" StatusDetails="Jam"/>`),
		xjmf(t, "press-1", "09:10", "Production", run),
		xjmf(t, "press-1", "09:30", "Idle", `<JobPhase JobID="J1" Status="Completed"/>`),
		xjmf(t, "press-1", "09:30", "Idle", ""),
		xjmf(t, "press-1", "10:00", "Production", `<JobPhase JobID="J2" Status="InProgress"/>`),
		xjmf(t, "press-1", "11:00", "Offline", ""),
	)
	require.Empty(t, found)
	require.Equal(t, []string{
		"press-1 J1 makeready 08:00-08:20 PT20M",
		"press-1 J1 run 08:20-09:00 PT40M",
		"press-1 J1 stopped 09:00-09:10 PT10M",
		"press-1 J1 run 09:10-09:30 PT20M",
		"press-1  idle 09:30-10:00 PT30M",
		"press-1 J2 run 10:00-11:00 PT1H",
	}, lines(l))
}

func TestSuspendedJobTakesNoTime(t *testing.T) {
	l, found := collect(pool(t, "a.jdf", "J1",
		phase("press-1", "InProgress", "08:00", "09:00"),
		phase("press-1", "Suspended", "09:00", "13:00"),
		phase("press-1", "InProgress", "13:00", "14:00")))
	require.Empty(t, found, "a suspension explains the gap")
	require.Equal(t, []string{
		"press-1 J1 run 08:00-09:00 PT1H",
		"press-1 J1 run 13:00-14:00 PT1H",
	}, lines(l))
}

func TestGapIsReported(t *testing.T) {
	_, found := collect(pool(t, "a.jdf", "J1",
		phase("press-1", "InProgress", "08:00", "09:00"), phase("press-1", "InProgress", "09:20", "10:00")))
	require.Equal(t, []string{
		`audit/gap: nothing is reported of "press-1" for PT20M before this phase of job "J1"`,
	}, found)
}

func TestJobCountersOfJMF(t *testing.T) {
	total := func(status, good, waste string) string {
		return `<JobPhase JobID="J1" Status="` + status + `" Amount="` + good + `" Waste="` + waste + `"/>`
	}
	// By hand: 130 of waste come in the setup, told as the run begins; 5000 and
	// 45 in the run, of which the last 200 and 5 are told with the wash-up.
	l, found := collect(
		jmf(t, "press-1", "08:00", total("Setup", "0", "0")),
		jmf(t, "press-1", "08:30", total("Setup", "0", "100")),
		jmf(t, "press-1", "08:45", total("InProgress", "0", "130")),
		jmf(t, "press-1", "09:30", total("InProgress", "4800", "170")),
		jmf(t, "press-1", "09:40", total("Cleanup", "5000", "175")),
		jmf(t, "press-1", "09:55", total("Completed", "5000", "175")),
	)
	require.Empty(t, found)
	require.Equal(t, []string{
		"press-1 J1 makeready 08:00-08:45 PT45M 0/130",
		"press-1 J1 run 08:45-09:40 PT55M 5000/45",
		"press-1 J1 wash-up 09:40-09:55 PT15M",
	}, lines(l))
}

func TestCounterReset(t *testing.T) {
	run := func(good string) string {
		return `<JobPhase JobID="J1" Status="InProgress" StartTime="` + day("08:00") + `" Amount="` + good + `"/>`
	}
	l, found := collect(
		xjmf(t, "press-1", "08:10", "Production", run("1000")),
		xjmf(t, "press-1", "08:20", "Production", run("2000")),
		xjmf(t, "press-1", "08:30", "Production", run("300")),
		xjmf(t, "press-1", "08:40", "Production", run("900")),
		xjmf(t, "press-1", "08:41", "Offline", ""),
	)
	require.Equal(t, []string{"press-1 J1 run 08:00-08:41 PT41M 2900/0"}, lines(l))
	require.Equal(t, []string{
		`audit/counter-reset: Amount of "press-1" fell from 2000 to 300; the counter is taken to have started again from 0`,
	}, found)
}

func TestAmountWithoutPhase(t *testing.T) {
	_, found := collect(xjmf(t, "press-1", "08:10", "Idle", `<JobPhase JobID="J1" Status="Completed" Amount="40"/>`))
	require.Equal(t, []string{`audit/amount-without-phase: Amount adds 40 for job "J1" on "press-1", ` +
		`but no phase is known in which it was made`}, found)
}

// Source: differences of trade arithmetic by instants: 06:00:00Z to 13:45:30Z is
// 27,930 s, 06:00:00+02:00 to 05:10:00Z is 4,200 s. On 29 March 2026 clocks in
// central Europe go from 02:00 to 03:00: 01:30+01:00 to 03:30+02:00 is one hour.
func TestZones(t *testing.T) {
	ranges := []struct {
		start, end string
		want       string
	}{
		{"2026-06-10T06:00:00Z", "2026-06-10T13:45:30Z", "7h45m30s"},
		{"2026-06-10T06:00:00+02:00", "2026-06-10T05:10:00Z", "1h10m"},
		{"2026-03-29T01:30:00+01:00", "2026-03-29T03:30:00+02:00", "1h"},
		{"2026-10-25T02:30:00+02:00", "2026-10-25T02:30:00+01:00", "1h"},
		{"2025-12-31T23:50:00Z", "2026-01-01T00:10:00Z", "20m"},
		{"2026-06-10T24:00:00Z", "2026-06-11T00:00:00.25Z", "250ms"},
	}
	for _, r := range ranges {
		l, found := collect(pool(t, "a.jdf", "J1", `<PhaseTime TimeStamp="`+r.end+`" Status="InProgress" Start="`+r.start+
			`" End="`+r.end+`"><Device DeviceID="press-1"/></PhaseTime>`))
		require.Empty(t, found, r.start)
		require.Equal(t, span(r.want), l.Entries[0].Time, r.start)
	}
}

func TestBadRecords(t *testing.T) {
	_, found := collect(pool(t, "a.jdf", "J1",
		phase("press-1", "InProgress", "09:00", "08:30"),
		made(phase("press-1", "InProgress", "10:00", "11:00"), -5, 3),
		`<PhaseTime TimeStamp="2026-03-02T12:00:00" Status="Part" Start="2026-03-02T11:00:00Z" End="2026-03-02T12:00:00Z"/>`,
		phase("press-2", "Stopped", "08:00", "08:10"),
		phase("press-2", "InProgress", "08:10", "about nine"),
		`<PhaseTime Status="InProgress"><Device DeviceID="press-3"/></PhaseTime>`,
	))
	require.Equal(t, []string{
		"audit/end-before-start: PhaseTime/@End is 2026-03-02T08:30:00Z, PT30M before the start 2026-03-02T09:00:00Z; " +
			"no time is counted",
		`audit/gap: nothing is reported of "press-1" for PT1H before this phase of job "J1"`,
		"audit/negative-amount: PartAmount/@ActualAmount is -5; want 0 or more; it is not counted",
		"audit/no-device: PhaseTime names no device",
		`audit/unknown-state: status "Part" of "" does not say what the device does; its time is not priced`,
		`audit/no-zone: PhaseTime/@TimeStamp is "2026-03-02T12:00:00" without a zone and is taken as UTC`,
		`audit/no-reason: "press-2" stopped for PT10M without a reason`,
	}, found[:7])
	require.Len(t, found, 11)
	require.Contains(t, found[7], "audit/open-phase")
	require.Contains(t, found[8], `audit/unreadable: PhaseTime/@TimeStamp is "2026-03-02Tabout nine:00Z"`)
	require.Contains(t, found[9], `audit/unreadable: PhaseTime/@End`)
	require.Contains(t, found[10], "audit/no-time: PhaseTime has neither")
}

func TestRuns(t *testing.T) {
	run := func(more string) string {
		return `<ProcessRun TimeStamp="` + day("12:00") + `" Start="` + day("08:00") + `" End="` + day("11:00") +
			`" EndStatus="Completed" ` + more + `/>`
	}
	phases := []string{
		phase("press-1", "Setup", "08:00", "08:30"),
		phase("press-1", "InProgress", "08:30", "10:00"),
		phase("press-1", "Stopped", "10:00", "10:40", `StatusDetails="Jam"`),
		phase("press-1", "Cleanup", "10:40", "11:00"),
	}
	_, found := collect(pool(t, "a.jdf", "J1", append(phases, run(`Duration="PT2H20M"`))...))
	require.Empty(t, found, "30 + 90 + 20 minutes at work")
	_, found = collect(pool(t, "a.jdf", "J1", append(phases, run(""))...))
	require.Empty(t, found, "all phases fill the run")
	_, found = collect(pool(t, "a.jdf", "J1", append(phases, run(`Duration="PT2H"`))...))
	require.Equal(t, []string{
		`audit/run-differs: process run of job "J1" took PT2H, but its phases add up to PT2H20M, PT20M more`,
	}, found)
	_, found = collect(pool(t, "a.jdf", "J1", phases[0], phases[1], phases[3], run("")))
	require.Contains(t, found[len(found)-1], "took PT3H, but its phases add up to PT2H20M, PT40M less")

	l, found := collect(pool(t, "a.jdf", "J1", run(`Duration="PT2H20M"`)))
	require.Empty(t, found)
	require.Equal(t, []string{" J1 run 08:00-11:00 PT2H20M"}, lines(l), "a run without phases stands for them")
	require.True(t, l.Entries[0].FromRun)
}

func TestRevisedPhase(t *testing.T) {
	l, found := collect(
		pool(t, "a.jdf", "J1", made(phase("press-1", "InProgress", "08:00", "09:00"), 500, 5)),
		pool(t, "b.jdf", "J1", made(phase("press-1", "InProgress", "08:00", "09:10"), 600, 6)),
	)
	require.Equal(t, []string{"press-1 J1 run 08:00-09:10 PT1H10M 600/6"}, lines(l))
	require.Equal(t, []string{`audit/phase-revised: the run of "press-1" from 2026-03-02T08:00:00Z is reported again ` +
		`with other figures; the later report counts`}, found)
}

func TestAmountsAgainstResourceAudit(t *testing.T) {
	audit := `<ResourceAudit TimeStamp="` + day("12:00") + `">` +
		`<ComponentLink rRef="c" Usage="Output" ActualAmount="5000"/></ResourceAudit>`
	_, found := collect(pool(t, "a.jdf", "J1", made(phase("press-1", "InProgress", "08:00", "09:00"), 5000, 5), audit))
	require.Empty(t, found)
	_, found = collect(pool(t, "a.jdf", "J1", made(phase("press-1", "InProgress", "08:00", "09:00"), 4800, 5), audit))
	require.Equal(t, []string{
		`audit/amount-differs: job "J1" part "" made 5000 good by its resource audit, ` +
			`but its phases add up to 4800, 200 less`,
	}, found)
}
