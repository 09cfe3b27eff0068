package cost_test

import (
	"encoding/json"
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"

	"quoin/convert/cost"
	"quoin/jdf"
	"quoin/validate/plant"
)

var update = flag.Bool("update", false, "rewrite golden files")

func dec(s string) decimal.Decimal { return decimal.RequireFromString(s) }

// works is a small part of the invented plant.
func works() *plant.Plant {
	offset := &plant.CostCentre{
		ID: "offset", Name: "Offset", Makeready: dec("78"), Run: dec("92"), Idle: dec("54"),
	}
	folding := &plant.CostCentre{
		ID: "folding", Name: "Folding", Makeready: dec("55"), Run: dec("61"), Idle: dec("40"),
	}
	return &plant.Plant{
		Name: "Saltmarsh Print Works", Currency: "EUR", Places: 2,
		CostCentres: []*plant.CostCentre{offset, folding},
		Presses: []*plant.Press{
			{Machine: plant.Machine{ID: "press-1", Name: "Offset B2", CostCentre: offset}},
			{Machine: plant.Machine{ID: "press-9", Name: "Proof press"}},
		},
		Folders: []*plant.Folder{{Machine: plant.Machine{ID: "fold-1", Name: "Buckle folder", CostCentre: folding}}},
	}
}

// twoJobs is a day of two jobs on press and folder.
func twoJobs(t *testing.T) *cost.Ledger {
	t.Helper()
	l, _ := cost.Collect([]*jdf.Document{
		pool(t, "tide-tables.jdf", "SM-1042",
			made(phase("press-1", "Setup", "08:00", "08:50"), 0, 140),
			made(phase("press-1", "InProgress", "08:50", "10:20"), 5200, 72),
			phase("press-1", "Stopped", "10:20", "10:30", `StatusDetails="PaperJam"`),
			phase("press-1", "Cleanup", "10:30", "10:50"),
			`<ResourceAudit TimeStamp="`+day("11:00")+`"><MediaLink rRef="m" Usage="Input" ActualAmount="5420"/>`+
				`<MediaLink rRef="m" Usage="Input" Amount="5350"/></ResourceAudit>`,
		),
		pool(t, "tide-tables-fold.jdf", "SM-1042",
			phase("fold-1", "Setup", "11:00", "11:20"),
			made(phase("fold-1", "InProgress", "11:20", "12:05"), 5080, 60),
			strings.Replace(made(phase("fold-1", "InProgress", "13:00", "13:20"), 100, 4),
				"<Device", `<MISDetails WorkType="Rework"/><Device`, 1),
		),
		pool(t, "playbill.jdf", "SM-1043",
			made(phase("press-1", "Setup", "10:50", "11:20"), 0, 100),
			made(phase("press-1", "InProgress", "11:20", "11:50"), 1500, 30),
			phase("fax-1", "InProgress", "09:00", "09:30"),
		),
		xjmf(t, "press-1", "12:30", "Idle", ""),
		xjmf(t, "press-1", "13:00", "Offline", ""),
	})
	return l
}

func plans() map[string][]cost.Planned {
	return map[string][]cost.Planned{
		"SM-1042": {
			{
				Device: "press-1", Makeready: span("45m"), Run: span("1h20m"),
				Good: dec("5200"), Waste: dec("150"), Cost: dec("181.17"),
			},
			{
				Device: "fold-1", Makeready: span("25m"), Run: span("50m"),
				Good: dec("5100"), Waste: dec("100"), Cost: dec("73.75"),
			},
		},
		"SM-1044": {{Device: "press-1", Makeready: span("30m"), Run: span("1h"), Good: dec("4000"), Cost: dec("131.00")}},
	}
}

// By hand, SM-1042 on the press: (50 + 20) min x 78 + 90 min x 92 + 10 min x 54
// = 91 + 138 + 9 = 238.00; on the folder 20 min x 55 + 65 min x 61 = 18.3333 +
// 66.0833 = 84.4167, of which rework 20 min x 61 = 20.3333. SM-1043 on the
// press: 30 min x 78 + 30 min x 92 = 39 + 46 = 85.00. Idle without job from
// 12:30 to 13:00: 30 min x 54 = 27.00.
func TestReport(t *testing.T) {
	costs, found := cost.Report(twoJobs(t), works(), plans())
	require.Equal(t, []string{
		`audit/unknown-device: device "fax-1" is not in the plant file; its time is not priced`,
	}, told(found))
	require.Len(t, costs.Jobs, 4)
	jobs := map[string]cost.Job{}
	for _, j := range costs.Jobs {
		jobs[j.ID] = j
	}
	tides := jobs["SM-1042"]
	require.Len(t, tides.Lines, 2)
	require.Equal(t, "84.42", tides.Lines[1].Cost.StringFixed(2))
	require.Equal(t, "20.33", tides.Lines[1].Extra.StringFixed(2))
	require.Equal(t, "238.00", tides.Lines[0].Cost.StringFixed(2))
	require.Equal(t, "322.42", tides.Total.Cost.StringFixed(2))
	require.Equal(t, "254.92", tides.Planned.Cost.StringFixed(2))
	require.Equal(t, span("50m"), tides.Lines[0].Makeready)
	require.Equal(t, span("20m"), tides.Lines[0].WashUp)
	require.Equal(t, "85.00", jobs["SM-1043"].Total.Cost.StringFixed(2))
	require.Equal(t, span("30m"), jobs["SM-1043"].Total.Unpriced)
	require.Equal(t, "27.00", jobs[""].Total.Cost.StringFixed(2))
	require.Equal(t, "434.42", costs.Total.Cost.StringFixed(2))

	// Press: from 08:00 to 13:00, of which 40 min from 11:50 to 12:30 unknown;
	// two hours of run in 4 h 20 min reported: 46.2 %. 6700 good of 7042 made: 95.1 %.
	require.Len(t, costs.Devices, 3)
	press := costs.Devices[2]
	require.Equal(t, span("40m"), press.Unallocated)
	require.Equal(t, "46.2 %", press.OEE.Availability.Percent())
	require.Equal(t, "95.1 %", press.OEE.Quality.Percent())
	sumsAgree(t, costs)
}

// sumsAgree holds that what is shown adds up on every level.
func sumsAgree(t *testing.T, c *cost.Costs) {
	t.Helper()
	byJob, byLine, byCentre := decimal.Zero, decimal.Zero, decimal.Zero
	for _, j := range c.Jobs {
		byJob = byJob.Add(j.Total.Cost)
		for _, l := range j.Lines {
			require.True(t, l.Cost.Equal(l.Cost.Round(c.Places)))
			byLine = byLine.Add(l.Cost)
		}
	}
	for _, centre := range c.Centres {
		byCentre = byCentre.Add(centre.Cost)
	}
	require.True(t, byJob.Equal(c.Total.Cost) && byLine.Equal(c.Total.Cost) && byCentre.Equal(c.Total.Cost))
}

func TestReportText(t *testing.T) {
	costs, _ := cost.Report(twoJobs(t), works(), plans())
	var out strings.Builder
	require.NoError(t, cost.Text(&out, costs))
	golden(t, "report.txt", out.String())
	text, err := json.MarshalIndent(costs, "", "  ")
	require.NoError(t, err)
	golden(t, "report.json", string(text)+"\n")
}

func golden(t *testing.T, name, got string) {
	t.Helper()
	path := filepath.Join("testdata", name)
	if *update {
		require.Empty(t, os.Getenv("CI"), "golden files are not rewritten in CI")
		require.NoError(t, os.MkdirAll("testdata", 0o755))
		require.NoError(t, os.WriteFile(path, []byte(got), 0o644))
	}
	want, err := os.ReadFile(path)
	require.NoError(t, err)
	require.Equal(t, string(want), got)
}

func TestCostCentreOfTheRecord(t *testing.T) {
	ticket := func(device, centre string) *jdf.Document {
		return read(t, "a-"+device+centre, `<JDF xmlns="http://www.CIP4.org/JDFSchema_1_1" JobID="J1"><AuditPool>
<PhaseTime TimeStamp="2026-03-02T09:00:00Z" Status="InProgress" Start="2026-03-02T08:00:00Z" End="2026-03-02T09:00:00Z">
<Device DeviceID="`+device+`"><CostCenter CostCenterID="`+centre+`"/></Device></PhaseTime></AuditPool></JDF>`)
	}
	l, _ := cost.Collect([]*jdf.Document{ticket("press-1", "folding")})
	costs, found := cost.Report(l, works(), nil)
	require.Empty(t, found)
	require.Equal(t, "61", costs.Total.Cost.String(), "the record charges folding")

	l, _ = cost.Collect([]*jdf.Document{
		ticket("press-1", "cellar"), ticket("press-9", "offset"), ticket("fold-2", "cellar"),
	})
	costs, found = cost.Report(l, works(), nil)
	require.ElementsMatch(t, []string{
		`audit/unknown-device: device "fold-2" is not in the plant file, which has fold-1; its time is not priced`,
		`audit/unknown-cost-centre: cost centre "cellar" is not in the plant file; want folding, offset`,
	}, told(found))
	require.Equal(t, "184", costs.Total.Cost.String(), "press-1 falls back on its own centre: 2 x 92")
	require.Equal(t, span("1h"), costs.Total.Unpriced)

	l, _ = cost.Collect([]*jdf.Document{pool(t, "b", "J2", phase("press-9", "InProgress", "08:00", "09:00"))})
	_, found = cost.Report(l, works(), nil)
	require.Equal(t, []string{
		`audit/no-cost-centre: device "press-9" has no cost centre; its time is not priced`,
	}, told(found))
}

// Source: efficiency variance of cost accounting, (actual hours - planned hours)
// x rate: 7.25 h against 6.5 h at 95.00 is 71.25.
func TestEfficiencyVariance(t *testing.T) {
	p := works()
	p.CostCentres[0].Run = dec("95.00")
	l, _ := cost.Collect([]*jdf.Document{pool(t, "a", "J1", phase("press-1", "InProgress", "08:00", "15:15"))})
	costs, _ := cost.Report(l, p, map[string][]cost.Planned{
		"J1": {{Device: "press-1", Run: span("6h30m"), Cost: dec("617.50")}},
	})
	j := costs.Jobs[0]
	require.Equal(t, "688.75", j.Total.Cost.String())
	require.Equal(t, "71.25", j.Total.Cost.Sub(j.Planned.Cost).String())
}

// Source: the published run time of 10,300 sheets at 9,000/h, PT1H8M40S, priced
// with a budgeted hourly rate of 83.9263: 96.049... By hand 4120 s x 83.9263 / 3600
// = 96.0489..., rounded once to 96.05.
func TestMoneyIsRoundedOnce(t *testing.T) {
	p := works()
	p.CostCentres[0].Run = dec("83.9263")
	var docs []*jdf.Document
	for _, part := range [][2]string{{"08:00:00", "08:20:10"}, {"08:20:10", "08:50:00"}, {"08:50:00", "09:08:40"}} {
		docs = append(docs, pool(t, "a"+part[0], "J1", `<PhaseTime TimeStamp="2026-03-02T10:00:00Z" Status="InProgress" `+
			`Start="2026-03-02T`+part[0]+`Z" End="2026-03-02T`+part[1]+`Z"><Device DeviceID="press-1"/></PhaseTime>`))
	}
	l, _ := cost.Collect(docs)
	costs, _ := cost.Report(l, p, nil)
	require.Equal(t, "PT1H8M40S", costs.Total.Run.String())
	require.Equal(t, "96.05", costs.Total.Cost.String())
}

// Source: ISO 22400-2 as restated in the OPC companion specification for machine
// tools, annex C: vectors of trade arithmetic; the second is published at
// waycalculator.com (420 of 480 min, cycle 1 min, 400 made, 380 good).
func TestOEE(t *testing.T) {
	rows := []struct {
		busy, production, planned string
		made, good                string
		want                      [4]string
	}{
		{"450m", "360m", "320m", "64000", "62500", [4]string{"0.8", "0.888889", "0.976563", "0.694444"}},
		{"480m", "420m", "400m", "400", "380", [4]string{"0.875", "0.952381", "0.95", "0.791667"}},
	}
	for _, r := range rows {
		o := cost.Effectiveness(span(r.busy), span(r.production), span(r.planned), dec(r.made), dec(r.good))
		for i, got := range []cost.Ratio{o.Availability, o.Performance, o.Quality, o.Overall} {
			require.True(t, got.Known)
			require.True(t, dec(r.want[i]).Equal(got.Value), "%s, want %s", got.Value, r.want[i])
		}
	}
	none := cost.Effectiveness(0, 0, 0, dec("0"), dec("0"))
	require.Equal(t, cost.OEE{}, none, "no value, rather than 0")
	text, err := json.Marshal(none)
	require.NoError(t, err)
	require.JSONEq(t, `{"availability":null,"performance":null,"quality":null,"overall":null}`, string(text))
}

func TestSpan(t *testing.T) {
	for text, clock := range map[string]string{
		"1h30m": "1:30:00", "26h0m5s": "26:00:05", "-10m": "-0:10:00", "400ms": "0:00:00", "59.5s": "0:01:00",
	} {
		s := span(text)
		require.Equal(t, clock, s.Clock())
		out, err := json.Marshal(s)
		require.NoError(t, err)
		var back cost.Span
		require.NoError(t, json.Unmarshal(out, &back))
		require.Equal(t, s, back)
	}
	var s cost.Span
	require.ErrorContains(t, s.UnmarshalText([]byte("P1M")), "no fixed length")
	require.Error(t, s.UnmarshalText([]byte("soon")))
}
