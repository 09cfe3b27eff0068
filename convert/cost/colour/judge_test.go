package colour

import (
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"quoin/validate/plant"
)

// findings are those of a run, a line each.
func findings(ms []Measurement, c *plant.Colour) []string {
	_, found := Judge(ms, c, gloss)
	return messages(found)
}

// The whole of a small run, as reports get it.
func TestJudgeGolden(t *testing.T) {
	ms := measured(t, "run.xjdf", "signal.xjmf")
	runs, found := Judge(ms, aims(t), gloss)
	text, err := json.MarshalIndent(map[string]any{
		"runs": runs[:1], "summary": Summarise(runs, time.FixedZone("CET", 3600)),
	}, "", " ")
	require.NoError(t, err)
	golden(t, "judged.json.golden", string(text)+"\n")
	golden(t, "judged.txt.golden", strings.Join(messages(found), "\n")+"\n")
}

// The same measurements in any order, some of them repeated, and some told by
// the other generation too, give the same runs.
func TestOrderAndRepetition(t *testing.T) {
	ms := measured(t, "run.xjdf", "signal.xjmf")
	c := aims(t)
	show := func(ms []Measurement) string {
		runs, found := Judge(ms, c, gloss)
		text, err := json.Marshal(runs)
		require.NoError(t, err)
		return string(text) + strings.Join(messages(found), "\n")
	}
	want := show(ms)
	r := rand.New(rand.NewPCG(5, 6))
	for range 20 {
		mixed := slices.Clone(ms)
		for i := range mixed {
			mixed[i].Time = mixed[i].Time.In(time.FixedZone("", 3600*r.IntN(5)))
		}
		for range 50 {
			mixed = append(mixed, ms[r.IntN(len(ms))])
		}
		r.Shuffle(len(mixed), func(i, k int) { mixed[i], mixed[k] = mixed[k], mixed[i] })
		require.Equal(t, want, show(mixed))
	}
	both := append(slices.Clone(ms), measured(t, "run.jdf", "signal.jmf")...)
	runs, _ := Judge(both, c, gloss)
	once, _ := Judge(ms, c, gloss)
	for i, run := range runs {
		for k, s := range run.Series {
			for j, p := range s.Points {
				require.Equal(t, once[i].Series[k].Points[j].Count, p.Count, "told twice, counted once")
			}
		}
	}
}

// along makes a run of one quantity, measured every 500 sheets and 4 minutes.
func along(kind Kind, colorant string, values ...float64) []Measurement {
	var all []Measurement
	for i, v := range values {
		m := Measurement{
			Job: "J", Part: "P", Device: "offset-b2", SheetName: "S1", Side: "Front", Sheet: int64(500 * (i + 1)),
			Time: time.Date(2026, 11, 25, 8, 4*i, 0, 0, time.UTC), Zone: 3, Colorant: colorant, Kind: kind, Nominal: 100,
			Value: v, Usage: Standard, Source: Source{File: "run.xjdf", Line: i + 1, Column: 7},
		}
		switch kind {
		case CIELAB:
			m.Lab, m.Value = plant.Lab{L: 55 + v, A: -37, B: -50}, 0
		case RegisterX:
			m.Zone, m.Nominal, m.Reference = 0, Unknown, "Black"
		case ToneIncrease:
			m.Nominal = 50
		}
		all = append(all, m)
	}
	return all
}

// ramp is n values from first on, each larger by step, with a ripple.
func ramp(n int, first, step, ripple float64) []float64 {
	all := make([]float64, n)
	for i := range all {
		all[i] = first + step*float64(i) + ripple*float64(i%3-1)
	}
	return all
}

func only(t *testing.T, ms []Measurement, c *plant.Colour) *Series {
	t.Helper()
	runs, _ := Judge(ms, c, gloss)
	require.Len(t, runs, 1)
	require.Len(t, runs[0].Series, 1)
	return runs[0].Series[0]
}

func TestVerdicts(t *testing.T) {
	c := aims(t)
	for _, v := range []struct {
		kind     Kind
		colorant string
		value    float64
		want     Verdict
	}{
		{Density, "Cyan", 1.45, In}, {Density, "Cyan", 1.525, In}, {Density, "Cyan", 1.526, Near},
		{Density, "Cyan", 1.55, Near}, {Density, "Cyan", 1.551, Out}, {Density, "Cyan", 1.35, Near},
		{Density, "Cyan", 1.34, Out}, {Density, "CYAN", 1.34, Out}, {Density, "Gold", 1.34, NotJudged},
		{CIELAB, "Cyan", 3.75, In}, {CIELAB, "Cyan", 5, Near}, {CIELAB, "Cyan", -5.1, Out},
		{CIELAB, "Saltmarsh Green", 0, Out},
		{ToneIncrease, "Magenta", 14, In}, {ToneIncrease, "Magenta", 18, Near}, {ToneIncrease, "Magenta", 9.9, Out},
		{RegisterX, "Cyan", 0.07, In}, {RegisterX, "Cyan", -0.09, Near}, {RegisterX, "Cyan", -0.11, Out},
		{NeutralDensity, "Cyan", 0.4, NotJudged}, {InkZone, "Cyan", 30, NotJudged},
	} {
		s := only(t, along(v.kind, v.colorant, v.value), c)
		require.Equal(t, v.want, s.Verdict, v)
		require.Equal(t, v.want == NotJudged, s.Why != "", v)
	}
	none := only(t, along(Density, "Cyan", 1.45), nil)
	require.Equal(t, NotJudged, none.Verdict)
	require.Equal(t, "the plant file states no colour", none.Why)
}

// An edge that doubles can not hold exactly is not over the edge.
func TestEdges(t *testing.T) {
	for i := 1; i < 1000; i++ {
		tolerance := float64(i) / 100
		require.NotEqual(t, Out, verdictOf(math.Abs((1.45+tolerance)-1.45), tolerance, 75))
		require.Equal(t, Out, verdictOf(tolerance+1e-6, tolerance, 75))
	}
}

// Both formulas are shown, and the plant's decides.
func TestFormula(t *testing.T) {
	c := *aims(t)
	c.Formula = plant.DifferenceOf2000
	p := only(t, along(CIELAB, "Cyan", 5), &c).Points[0]
	require.InDelta(t, 5, *p.DE76, 1e-9)
	require.InDelta(t, DE00(plant.Lab{L: 55, A: -37, B: -50}, plant.Lab{L: 60, A: -37, B: -50}), *p.DE00, 1e-6)
	require.Equal(t, *p.DE00, p.Deviation)
}

// The run is held against its OK sheet, the OK sheet against the aim; a second
// OK sheet holds from there on.
func TestOKSheets(t *testing.T) {
	ms := along(Density, "Cyan", 1.50, 1.52, 1.62, 1.58, 1.62, 1.70)
	ms[1].Usage, ms[3].Usage = Master, Master
	s := only(t, ms, aims(t))
	var got []string
	for _, p := range s.Points {
		got = append(got, fmt.Sprintf("%s %+.2f %s", p.Against, p.Deviation, p.Verdict))
	}
	require.Equal(t, []string{
		"OK sheet -0.02 in", "aim +0.07 in", "OK sheet +0.10 near", "aim +0.13 out", "OK sheet +0.04 in",
		"OK sheet +0.12 out",
	}, got)
	require.Equal(t, []any{OKSheet, 1.58, 0.10, 2, 1, 1}, []any{s.Against, s.Target, s.Tolerance, s.In, s.Near, s.Out})
	text := strings.Join(findings(ms, aims(t)), "\n")
	require.Contains(t, text, "run.xjdf:4:7: warning audit/colour-ok-sheet: the OK sheet of job \"J\" part \"P\" sheet "+
		"\"S1\" Front on \"offset-b2\": Cyan density in zone 3 is off the aim: 1.58, +0.13 from the aim, want at most 0.10")
	require.Contains(t, text, "run.xjdf:6:7: warning audit/colour-sheets-out: ")

	register := along(RegisterX, "Cyan", 0.2, 0.2)
	register[0].Usage = Master
	s = only(t, register, aims(t))
	require.Equal(t, Coincidence, s.Points[1].Against, "approving a sheet does not put its register right")
	require.Equal(t, 2, s.Out)

	alone := along(Density, "Cyan", 1.45)
	alone[0].Usage = Master
	require.Equal(t, In, only(t, alone, aims(t)).Verdict)
}

// A run is out when fewer sheets than the plant asks for keep the tolerance.
func TestShareOfSheets(t *testing.T) {
	ms := along(Density, "Cyan", 1.45, 1.45, 1.60, 1.45, 1.60, 1.45) // 67 %
	require.Equal(t, Out, only(t, ms, aims(t)).Verdict)
	require.Contains(t, findings(ms, aims(t))[0], "error audit/colour-out: job \"J\" part \"P\" sheet \"S1\" Front on "+
		"\"offset-b2\": Cyan density in zone 3 is out of tolerance on 2 of 6 sheets, at first on sheet 1500: 1.60, +0.15 "+
		"from the aim, want at most 0.10; at worst +0.15; set the ink feed of Cyan in zone 3 right and take a new OK sheet; "+
		"look through what was printed since sheet 1500 (operator)")
	ms = along(Density, "Cyan", 1.45, 1.45, 1.60, 1.45) // 75 %
	require.Equal(t, Near, only(t, ms, aims(t)).Verdict)
	require.Contains(t, findings(ms, aims(t))[0], "audit/colour-sheets-out")
}

// A drift is found before the run is out, with the sheet on which it will be.
func TestDrift(t *testing.T) {
	ms := along(Density, "Cyan", ramp(10, 1.45, 0.008, 0.002)...)
	s := only(t, ms, aims(t))
	require.Zero(t, s.Out)
	require.NotNil(t, s.Drift)
	require.InDelta(t, 0.016, s.Trend.Slope, 0.001, "by 1000 sheets")
	// 1.55 is 0.1 above the first of 500 sheets, at 0.016 by 1000 sheets.
	require.InDelta(t, 500+0.1/0.016*1000, s.Drift.Out, 150)
	require.LessOrEqual(t, s.Drift.Soonest, s.Drift.Out)
	require.GreaterOrEqual(t, s.Drift.Latest, s.Drift.Out)
	text := findings(ms, aims(t))
	require.Len(t, text, 1)
	require.Regexp(t, `^run.xjdf:10:7: warning audit/colour-drift: job "J" part "P" sheet "S1" Front on "offset-b2": `+
		`Cyan density in zone 3 drifts by \+0.0\d+ by 1000 sheets \(\+0.0\d+ to \+0.0\d+ at 95 %\) and will be out of `+
		`tolerance at sheet 6\d\d\d \(sheet \d+ to sheet \d+\); correct the ink feed of Cyan in zone 3 before that `+
		`\(operator\)$`, text[0])

	down := only(t, along(Density, "Cyan", ramp(10, 1.45, -0.008, 0.002)...), aims(t))
	require.True(t, down.Drift.Downward)
	require.InDelta(t, s.Drift.Out, down.Drift.Out, 150)

	// The OK sheet moves the band, and the points before it do not count.
	ms[1].Usage = Master
	s = only(t, ms, aims(t))
	require.Equal(t, 9, s.Trend.Points)
	require.InDelta(t, 1000+0.1/0.016*1000, s.Drift.Out, 200)
}

// What does not lead out, or not soon, is no drift.
func TestNoDrift(t *testing.T) {
	c := aims(t)
	for name, values := range map[string][]float64{
		"steady":            ramp(12, 1.45, 0, 0.01),
		"too slow":          ramp(12, 1.45, 0.001, 0.0001),
		"towards the aim":   ramp(9, 1.545, -0.004, 0.001),
		"out already":       ramp(10, 1.57, 0.01, 0.002),
		"too few sheets":    ramp(7, 1.45, 0.008, 0.002),
		"one sheet is wild": {1.45, 1.45, 1.45, 1.46, 1.45, 1.45, 1.44, 1.45, 1.45, 1.54},
	} {
		s := only(t, along(Density, "Cyan", values...), c)
		require.Nil(t, s.Drift, name)
		for _, f := range findings(along(Density, "Cyan", values...), c) {
			require.NotContains(t, f, "colour-drift", name)
		}
	}
	better := make([]float64, 10)
	for i := range better {
		better[i] = 4 - 0.3*float64(i)
	}
	s := only(t, along(CIELAB, "Cyan", better...), c)
	require.True(t, s.Trend.sure())
	require.Nil(t, s.Drift, "a colour that comes nearer does not drift out on the other side")
	worse := only(t, along(CIELAB, "Cyan", ramp(10, 0, 0.4, 0.01)...), c)
	require.NotNil(t, worse.Drift)
	require.InDelta(t, 500+5/0.8*1000, worse.Drift.Out, 100)
}

func TestTooFewSheets(t *testing.T) {
	ms := along(Density, "Cyan", ramp(7, 1.45, 0.008, 0.002)...)
	require.Equal(t, "7 sheets, and a trend wants 8", only(t, ms, aims(t)).NoTrend)
	require.Equal(t, []string{"run.xjdf:1:7: note audit/colour-few-sheets: job \"J\" part \"P\" sheet \"S1\" Front on " +
		"\"offset-b2\": 7 sheets measured, too few to speak of a trend; want 8; measure more often (operator)"},
		findings(ms, aims(t)))
}

// Without sheet numbers, or when a counter starts again, time puts the run in
// order; without both nothing does.
func TestOrders(t *testing.T) {
	c := aims(t)
	ms := along(Density, "Cyan", ramp(10, 1.45, 0.008, 0.002)...)
	for i := range ms {
		ms[i].Sheet = Unknown
	}
	runs, found := Judge(ms, c, gloss)
	require.Equal(t, ByTime, runs[0].Series[0].Order)
	require.InDelta(t, 0.008*15, runs[0].Series[0].Trend.Slope, 0.01, "by the hour")
	require.Contains(t, found[0].Message(), "will be out of tolerance at 2026-11-25T08:")

	reset := along(Density, "Cyan", ramp(10, 1.45, 0.008, 0.002)...)
	for i := 5; i < 10; i++ {
		reset[i].Sheet -= 2500
	}
	runs, _ = Judge(reset, c, gloss)
	require.Equal(t, ByTime, runs[0].Series[0].Order)
	require.Len(t, runs[0].Series[0].Points, 10)

	for i := range ms {
		ms[i].Time = time.Time{}
	}
	runs, found = Judge(ms, c, gloss)
	require.Equal(t, NoOrder, runs[0].Series[0].Order)
	require.Equal(t, "the sheets have no order", runs[0].Series[0].NoTrend)
	require.Contains(t, messages(found)[0], "audit/colour-no-order")
}

// What was measured as the aims are not meant is not judged.
func TestConditions(t *testing.T) {
	c := aims(t)
	ms := along(Density, "Cyan", 1.9)
	ms[0].Conditions.Density = "ANSIT"
	require.Equal(t, NotJudged, only(t, ms, c).Verdict)
	require.Equal(t, []string{"run.xjdf:1:7: warning audit/colour-conditions: job \"J\" part \"P\" sheet \"S1\" " +
		"Front on \"offset-b2\": density is measured with density standard ANSIT, and the aims are for density standard " +
		"DIN16536, filter Pol; it is not judged; set the instrument as the plant file states it under " +
		"\"measuring\" (operator)"}, findings(ms, c)[:1])
	ms[0].Conditions.Density = "DIN16536"
	require.Equal(t, Out, only(t, ms, c).Verdict)
	lab := along(CIELAB, "Cyan", 9)
	lab[0].Conditions = Conditions{Density: "ANSIT", Filter: "None", Illumination: "D50", Observer: 2}
	require.Equal(t, Out, only(t, lab, c).Verdict, "the density standard says nothing of a colour")
	lab[0].Conditions.Observer = 10
	require.Equal(t, NotJudged, only(t, lab, c).Verdict)

	mixed := append(along(Density, "Cyan", 1.4, 1.5), along(Density, "Cyan", 1.4, 1.5)...)
	mixed[2].Conditions.Density, mixed[3].Conditions.Density = "ANSIT", "ANSIT"
	runs, _ := Judge(mixed, c, gloss)
	require.Len(t, runs[0].Series, 2, "what was measured in two ways is not put together")
}

// A zone follows from the plant file where the ticket does not tell it, and a
// device from others of the job.
func TestFromElsewhere(t *testing.T) {
	ms := along(Density, "Cyan", 1.4, 1.5)
	ms[0].Device = ""
	for i := range ms {
		ms[i].Zone, ms[i].Across = 0, 70
	}
	s := only(t, ms, aims(t))
	require.Equal(t, 3, s.Zone)
	require.Len(t, s.Points, 2)
	third := along(Density, "Cyan", 1.4)[0]
	third.Device = "offset-b1"
	runs, _ := Judge(append(ms, third), aims(t), gloss)
	require.Len(t, runs, 3, "of two devices nobody knows which")
}

func TestNoAims(t *testing.T) {
	ms := along(CIELAB, "Gold", 0)
	require.Contains(t, findings(ms, aims(t))[0], `the aims "coated" have none for Gold colour; state the aims`)
	_, found := Judge(ms, aims(t), nil)
	require.Contains(t, found[0].Message(), "the kind of stock is not known, and the plant has several aims")
	_, found = Judge(ms, aims(t), func(string, string) string { return "linen" })
	require.Contains(t, found[0].Message(), `the plant has no aims for the stock "linen"`)
	// The OK sheet needs no aim, and its tolerance needs one.
	approved := along(Density, "Cyan", 1.45, 1.9)
	approved[0].Usage = Master
	runs, _ := Judge(approved, aims(t), nil)
	s := runs[0].Series[0]
	require.InDelta(t, 0.45, s.Points[1].Deviation, 1e-9)
	require.Equal(t, "no tolerance is stated", s.Why)
}

func TestSummarise(t *testing.T) {
	ms := along(Density, "Cyan", 1.45, 1.54, 1.6)
	ms[2].Time = time.Date(2026, 11, 25, 23, 30, 0, 0, time.UTC)
	runs, _ := Judge(ms, aims(t), gloss)
	require.Equal(t, "2026-11-25", Summarise(runs, nil)[0].Day)
	got := Summarise(runs, time.FixedZone("CET", 3600))
	require.Len(t, got, 2)
	require.Equal(t, Summary{Job: "J", Device: "offset-b2", Day: "2026-11-25", In: 1, Near: 1,
		Worst: got[0].Worst, WorstOf: "Cyan density in zone 3"}, got[0])
	require.InDelta(t, 90, got[0].Worst, 1e-6)
	require.Equal(t, 1, got[1].Out)
	require.Empty(t, Summarise(nil, nil))
}

// Each rule has all its words, and no two are the same.
func TestRules(t *testing.T) {
	ids := map[string]bool{}
	for _, r := range Rules() {
		require.True(t, strings.HasPrefix(r.ID, "audit/colour-"), r.ID)
		require.False(t, ids[r.ID])
		ids[r.ID] = true
		require.NotEmpty(t, r.Say+r.Do)
		require.NotEmpty(t, r.Why)
		require.NotEmpty(t, r.Mends)
	}
}
