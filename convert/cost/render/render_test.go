package render_test

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"flag"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"quoin/convert/cost"
	"quoin/convert/cost/account"
	"quoin/convert/cost/colour"
	"quoin/convert/cost/render"
	"quoin/jdf/job"
	"quoin/validate/plant"
)

var update = flag.Bool("update", false, "rewrite the golden files")

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

func d(text string) decimal.Decimal { return decimal.RequireFromString(text) }

// hostile are names that mean harm to a page, a spreadsheet or a terminal.
var hostile = []string{
	`<script>alert(1)</script>`, `"><img src=x onerror=alert(1)>`, `=HYPERLINK("http://x","y")`, `@SUM(A1)`,
	"+1", "-2+3", "\t=1", "\x1b[2Jgone", "left\u202eright", "a\r\nb", strings.Repeat("long ", 500), "\xff\xfe",
}

func phase(device, jobID, operator string, state job.State, from, minutes int, good, waste string) cost.Entry {
	start := time.Date(2026, 3, 2, 6, from, 0, 0, time.UTC)
	return cost.Entry{
		Job: jobID, Part: "S1", Device: device, Employee: operator, State: state,
		Start: start, End: start.Add(time.Duration(minutes) * time.Minute), Time: cost.Span(minutes) * cost.Span(time.Minute),
		Good: d(good), Waste: d(waste), Source: cost.Source{File: "returned/a.xjdf", Line: 12 + from, Column: 5},
	}
}

// books are two jobs, one of them with names as given.
func books(t *testing.T, jobID, customer string) (account.Books, []account.Cell, []cost.Entry) {
	t.Helper()
	press := &plant.CostCentre{
		ID: "press", Name: "Press", Makeready: d("78"), Run: d("95"), Idle: d("54"), Crew: 1,
		Shifts: []plant.Shift{{Days: plant.On(0, 1, 2, 3, 4, 5, 6), From: 6 * 60, To: 14 * 60, Name: "early"}},
	}
	p := &plant.Plant{
		Name: "Saltmarsh Print Works", Currency: "EUR", Places: 2, Tolerance: d("10"), Zone: time.UTC,
		CostCentres: []*plant.CostCentre{press},
		Presses: []*plant.Press{{
			Machine: plant.Machine{ID: "p1", Name: "Small press", CostCentre: press}, Kind: plant.Offset,
			Speed: []plant.Step{{Value: d("12000")}}, PlatePrice: d("9.40"),
		}},
	}
	entries := []cost.Entry{
		phase("p1", "J1", "ann", job.StateMakeready, 0, 40, "0", "0"),
		phase("p1", "J1", "ann", job.StateRun, 40, 30, "4000", "400"),
		phase("p1", "", "ann", job.StateIdle, 70, 20, "0", "0"),
		phase("p1", jobID, "bob", job.StateMakeready, 90, 55, "0", "0"),
		phase("p1", jobID, "bob", job.StateRun, 145, 60, "5000", "700"),
		phase("p1", jobID, "bob", job.StateStopped, 205, 25, "0", "0"),
		phase("p1", jobID, "bob", job.StateWash, 230, 12, "0", "0"),
	}
	entries[5].Reason = "PaperJam"
	if jobID != "J2" {
		entries[5].Reason = jobID
	}
	cells := account.Cells(slices.Values(entries), p)
	minutes := func(n int) cost.Span { return cost.Span(n) * cost.Span(time.Minute) }
	b := account.Books{
		Plant: p, Cells: slices.Values(cells),
		Tasks: []cost.Task{
			{Job: "J1", Part: "S1", Device: "p1", Makeready: minutes(40), Run: minutes(33), In: d("4400"),
				Good: d("4000"), Waste: d("400")},
			{Job: jobID, Part: "S1", Device: "p1", Makeready: minutes(40), Run: minutes(42), WashUp: minutes(12),
				In: d("5400"), Good: d("5000"), Waste: d("400")},
			{Job: "J9", Device: "p1", Makeready: minutes(10), Run: minutes(10), Good: d("10"), In: d("10")},
		},
		Orders: []cost.Order{
			{Job: "J1", Name: "Tide tables", Customer: "Reedbed Ferries", Ordered: d("4000")},
			{Job: jobID, Name: customer, Customer: customer, Ordered: d("4500")},
		},
		Purchases: []account.Purchase{{Job: jobID, Day: "2026-03-02", What: "foil", Cost: d("180.5"), Planned: d("150")}},
	}
	return b, cells, entries
}

func report(t *testing.T, by account.By, jobID, customer string) *render.Report {
	t.Helper()
	b, cells, entries := books(t, jobID, customer)
	s, _ := account.Make(b, by, account.Filter{})
	r := &render.Report{Statement: s, Entries: entries, Runs: runs(jobID)}
	byJob, _ := account.Make(b, account.ByJob, account.Filter{})
	r.Jobs = byJob.Rows
	r.Branches, r.Left = render.Dig(s, b, cells, slices.Values(entries))
	return r
}

// runs is a run whose density drifts.
func runs(jobID string) []*colour.Run {
	s := &colour.Series{
		Zone: 3, Colorant: jobID, Kind: colour.Density, Nominal: 100, Order: colour.BySheets, Target: 1.45, Tolerance: 0.1,
		In: 3, Out: 1, Worst: 0.12, Verdict: colour.Out, Drift: &colour.Drift{Out: 2500},
		Trend: &colour.Trend{Slope: 0.04, MidX: 1, MidY: 1.49},
	}
	for i, v := range []float64{1.45, 1.49, 1.53, 1.57} {
		p := colour.Point{Sheet: int64(500 * i), Value: v, Verdict: colour.In}
		if i == 3 {
			p.Verdict = colour.Out
		}
		s.Points = append(s.Points, p)
	}
	return []*colour.Run{{Job: jobID, Device: "p1", Side: "Front", Series: []*colour.Series{s}}}
}

func write(t *testing.T, form string, r *render.Report) string {
	t.Helper()
	var out bytes.Buffer
	var err error
	switch form {
	case "txt":
		err = render.Text(&out, r)
	case "csv":
		err = render.CSV(&out, r.Statement)
	case "json":
		err = render.JSON(&out, r.Statement)
	case "html":
		err = render.HTML(&out, r)
	case "xlsx":
		err = render.XLSX(&out, r)
	}
	require.NoError(t, err)
	return out.String()
}

func TestGolden(t *testing.T) {
	r := report(t, account.ByMonth, "J2", "Marsh Trust")
	for _, form := range []string{"txt", "csv", "json", "html"} {
		golden(t, "month."+form, write(t, form, r))
	}
	golden(t, "job.txt", write(t, "txt", report(t, account.ByJob, "J2", "Marsh Trust")))
}

func TestTextIsNarrow(t *testing.T) {
	for _, by := range account.Dimensions() {
		for _, name := range append(hostile, "J2") {
			for line := range strings.Lines(write(t, "txt", report(t, by, name, name))) {
				require.LessOrEqual(t, utf8.RuneCountInString(strings.TrimSuffix(line, "\n")), 100, "by %s: %s", by, line)
			}
		}
	}
}

// TestSumsAddUp adds what CSV shows up to the totals of the statement.
func TestSumsAddUp(t *testing.T) {
	for _, by := range account.Dimensions() {
		s := report(t, by, "J2", "Marsh Trust").Statement
		records, err := csv.NewReader(strings.NewReader(write(t, "csv", &render.Report{Statement: s}))).ReadAll()
		require.NoError(t, err)
		require.Greater(t, len(records), 1)
		sum := func(name string) decimal.Decimal {
			i := slices.Index(records[0], name)
			require.GreaterOrEqual(t, i, 0, name)
			total := decimal.Zero
			for _, r := range records[1:] {
				total = total.Add(d(r[i]))
			}
			return total
		}
		for name, want := range map[string]decimal.Decimal{
			"cost_total": s.Total.Actual.Total, "planned_total": s.Total.Plan.Total, "variance_total": s.Total.Variance.Total,
			"variance_changeover": s.Total.Variance.Changeover, "cost_purchases": s.Total.Actual.Purchases,
			"run_s": decimal.New(int64(s.Total.Times.Run), -9), "stopped_s": decimal.New(int64(s.Total.Times.Stopped), -9),
		} {
			require.True(t, sum(name).Equal(want), "by %s, %s: %s is not %s", by, name, sum(name), want)
		}
		// Worked out by hand: 95 minutes of makeready and 12 of wash-up at 78.00, 90 of run at
		// 95.00, 45 idle or stopped at 54.00, and 180.50 bought: 139.10 + 142.50 + 40.50 + 180.50.
		require.Equal(t, "502.6", sum("cost_time").Add(sum("cost_purchases")).String(), "by %s", by)
	}
}

func TestJSONIsTheStatement(t *testing.T) {
	s := report(t, account.ByJob, "J2", "Marsh Trust").Statement
	want, err := json.Marshal(s)
	require.NoError(t, err)
	require.JSONEq(t, string(want), write(t, "json", &render.Report{Statement: s}))
}

func TestWorkbookReadBack(t *testing.T) {
	r := report(t, account.ByJob, "J2", "Marsh Trust")
	book, err := excelize.OpenReader(strings.NewReader(write(t, "xlsx", r)))
	require.NoError(t, err)
	defer func() { require.NoError(t, book.Close()) }()
	require.Equal(t, []string{"rows", "lines", "materials", "shifts", "stops", "deviations", "deliveries", "notes"},
		book.GetSheetList())
	s := r.Statement
	raw := excelize.Options{RawCellValue: true}
	rows, err := book.GetRows("rows", raw)
	require.NoError(t, err)
	require.Len(t, rows, 1+len(s.Rows))
	col := func(name string) int { return slices.Index(rows[0], name) }
	for i, row := range s.Rows {
		got := rows[i+1]
		require.Equal(t, row.Key, got[col("Key")])
		for name, want := range map[string]decimal.Decimal{
			"Cost": row.Actual.Total, "Planned cost": row.Plan.Total, "Difference": row.Variance.Total,
		} {
			require.True(t, d(got[col(name)]).Equal(want), "%s of %q: %s", name, row.Key, got[col(name)])
		}
		days, err := strconv.ParseFloat(got[col("Run")], 64)
		require.NoError(t, err)
		require.InDelta(t, time.Duration(row.Times.Run).Hours(), days*24, 1e-9)
	}
	for sheet, n := range map[string]int{
		"shifts": len(s.Shifts), "stops": len(s.Stops), "deviations": len(s.Deviations), "deliveries": len(s.Deliveries),
		"materials": len(s.Materials),
	} {
		rows, err := book.GetRows(sheet, raw)
		require.NoError(t, err)
		require.Len(t, rows, 1+n, sheet)
		panes, err := book.GetPanes(sheet)
		require.NoError(t, err)
		require.True(t, panes.Freeze && panes.YSplit == 1, sheet)
	}
	day, err := book.GetCellValue("shifts", "B2")
	require.NoError(t, err)
	require.Equal(t, "2026-03-02", day, "a date with a format")
}

func TestWorkbookIsTheSameAgain(t *testing.T) {
	r := report(t, account.ByJob, "J2", "Marsh Trust")
	require.Equal(t, write(t, "xlsx", r), write(t, "xlsx", r))
}

func TestHostileNames(t *testing.T) {
	for _, name := range hostile {
		r := report(t, account.ByJob, name, name)
		page := write(t, "html", r)
		require.NotContains(t, page, "<script>alert")
		require.NotContains(t, page, "<img")
		require.Equal(t, 1, strings.Count(page, "<script>"))
		for _, form := range []string{page, write(t, "txt", r), write(t, "csv", r)} {
			require.NotContains(t, form, "\x1b")
			require.NotContains(t, form, "\u202e")
			require.True(t, utf8.ValidString(form))
		}
		records, err := csv.NewReader(strings.NewReader(write(t, "csv", r))).ReadAll()
		require.NoError(t, err)
		for _, record := range records[1:] {
			key := record[1]
			require.False(t, key != "" && strings.ContainsRune("=+-@\t\r", rune(key[0])), "%q is a formula", key)
		}
		book, err := excelize.OpenReader(strings.NewReader(write(t, "xlsx", r)))
		require.NoError(t, err)
		for _, sheet := range book.GetSheetList() {
			rows, err := book.GetRows(sheet)
			require.NoError(t, err)
			for y, row := range rows {
				for x := range row {
					cell, err := excelize.CoordinatesToCellName(x+1, y+1)
					require.NoError(t, err)
					formula, err := book.GetCellFormula(sheet, cell)
					require.NoError(t, err)
					require.Empty(t, formula)
				}
			}
		}
		require.NoError(t, book.Close())
	}
}

// TestPageStandsAlone checks that the page asks for nothing, and reads to those who do
// not see it.
func TestPageStandsAlone(t *testing.T) {
	page := write(t, "html", report(t, account.ByMonth, "J2", "Marsh Trust"))
	require.NotRegexp(t, `(?i)\s(src|href)="[^#]|url\([^#]|@import|https?:|<[a-z][^>]* (style|on[a-z]+)=`, page)
	require.Contains(t, page, `http-equiv="Content-Security-Policy" content="default-src &#39;none&#39;;`)
	charts := strings.Count(page, "<svg")
	require.Greater(t, charts, 4)
	require.Equal(t, charts,
		len(regexp.MustCompile(`<svg class="chart" role="img"[^>]*aria-labelledby="[^"]+"><title id=`).
			FindAllString(page, -1)))
	ids := map[string]bool{}
	for _, m := range regexp.MustCompile(` id="([^"]+)"`).FindAllStringSubmatch(page, -1) {
		require.False(t, ids[m[1]], "the id %q is there twice", m[1])
		ids[m[1]] = true
	}
	require.Contains(t, page, "returned/a.xjdf:157:5", "the drill-down ends at the line of the ticket")
}

func TestEmpty(t *testing.T) {
	s, _ := account.Make(account.Books{Plant: &plant.Plant{Name: "Saltmarsh Print Works", Currency: "EUR", Places: 2}},
		account.ByJob, account.Filter{Jobs: []string{"J7"}})
	r := &render.Report{Statement: s}
	for _, form := range []string{"txt", "html"} {
		require.Contains(t, write(t, form, r), "Nothing is reported in this period and choice.")
		require.Contains(t, write(t, form, r), "J7")
	}
	require.Equal(t, 1, strings.Count(write(t, "csv", r), "\r\n"))
	require.NotEmpty(t, write(t, "xlsx", r))
}

// TestHugeIsBounded renders many times more than a page holds.
func TestHugeIsBounded(t *testing.T) {
	r := report(t, account.ByJob, "J2", "Marsh Trust")
	row := r.Statement.Rows[1]
	for range 20000 {
		r.Statement.Rows = append(r.Statement.Rows, row)
	}
	for n := range 200000 {
		r.Entries = append(r.Entries, phase("d"+strconv.Itoa(n%300), "J2", "bob", job.StateRun, n, 1, "1", "0"))
	}
	page := write(t, "html", r)
	require.Less(t, len(page), 4<<20)
	require.Contains(t, page, "rows more")
	require.Contains(t, page, "devices more")
	require.Less(t, len(write(t, "txt", r)), 100<<10)
}
