package learn_test

import (
	"bytes"
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"

	"quoin/convert/cost"
	"quoin/convert/cost/learn"
	"quoin/jdf/job"
	"quoin/validate/plant"
)

var update = flag.Bool("update", false, "rewrite the golden files")

const small = `name: Saltmarsh Print Works
currency: EUR
decimal places: 2
delivery tolerance: 10 %
compounding: yield
bleed: 3 mm
gutter: 6 mm
grind-off: 3 mm
ink coverage: 20 %
creep factor: 1.0
cost centres:
  - {id: folding, name: Folding, makeready: 55 EUR/h, run: 61 EUR/h, idle: 40 EUR/h}
folders:
  - id: folder-1 # the old one
    name: Folder
    cost centre: folding
    min sheet: 140 x 100 mm
    max sheet: 1050 x 740 mm
    grammage: 60 - 250 g/m2
    folds:
      - {code: F4-1, columns: 2, rows: 1, folds: 1}
    speed:   {up to 100 g/m2: 7000 sheets/h, above: 10000 sheets/h}
    setup: 15 min      # with the guides
    setup per fold: 5 min
    waste:
      setup: 100 sheets
      running: 1.0 %
`

// truth is how work differs from its plan.
type truth struct {
	makeready, run, setup, running float64
	heavy                          float64 // times makeready, on 200 g/m2
	odd                            float64 // share of tasks that are anything
	jobs                           int
}

// history makes up jobs of an hour each, one a day.
func history(seed uint64, t truth) learn.History {
	r := rand.New(rand.NewPCG(seed, 1))
	factor := func(spread float64) float64 { return math.Exp(r.NormFloat64() * spread) }
	start := time.Date(2026, 3, 2, 6, 0, 0, 0, time.UTC)
	var tasks []cost.Task
	var entries []cost.Entry
	for i := range t.jobs {
		name := fmt.Sprintf("J-%03d", i)
		grammage := []int64{90, 200}[i%2]
		task := cost.Task{
			Job: name, Part: "1", Device: "folder-1", Makeready: cost.Span(20 * time.Minute), Run: cost.Span(time.Hour),
			In: decimal.NewFromInt(8200), Good: decimal.NewFromInt(8020), Waste: decimal.NewFromInt(180),
			Setup: decimal.NewFromInt(100), Split: true,
			Class: cost.Class{Grammage: decimal.NewFromInt(grammage), Stock: "silk"},
		}
		ready := t.makeready
		if grammage == 200 && t.heavy > 0 {
			ready *= t.heavy
		}
		odd := 1.0
		if r.Float64() < t.odd {
			odd = 4
		}
		at := start.AddDate(0, 0, i)
		phase := func(state job.State, length float64, good, waste float64) {
			d := time.Duration(length * odd)
			entries = append(entries, cost.Entry{
				Job: name, Part: "1", Device: "folder-1", State: state, Start: at, End: at.Add(d), Time: cost.Span(d),
				Good: decimal.NewFromFloat(good).Round(0), Waste: decimal.NewFromFloat(waste * odd).Round(0), Counted: true,
			})
			at = at.Add(d)
		}
		phase(job.StateMakeready, float64(20*time.Minute)*ready*factor(.13), 0, 100*t.setup*factor(.15))
		phase(job.StateRun, float64(time.Hour)*t.run*factor(.04), 8020, 80*t.running*factor(.2))
		tasks = append(tasks, task)
	}
	return learn.History{Tasks: tasks, Entries: slices.Values(entries)}
}

var asPlanned = truth{makeready: 1, run: 1, setup: 1, running: 1, jobs: 60}

func works(t testing.TB, src string) *plant.Plant {
	p, found := plant.Load("works.yaml", []byte(src))
	for _, f := range found {
		t.Error(f.Message())
	}
	require.Empty(t, found)
	return p
}

func lesson(t testing.TB, h learn.History) *learn.Lesson {
	l, err := learn.Learn("works.yaml", []byte(small), works(t, small), h, learn.Options{})
	require.NoError(t, err)
	return l
}

func finding(l *learn.Lesson, q learn.Quantity) *learn.Finding {
	for _, f := range l.Findings {
		if f.Quantity == q {
			return f
		}
	}
	return nil
}

func TestFindsKnownTruth(t *testing.T) {
	known := truth{makeready: 1.25, run: 1.22, setup: 1, running: 1.6, jobs: 80}
	l := lesson(t, history(1, known))
	require.InDelta(t, 1.25, finding(l, learn.Makeready).Factor, 0.06)
	require.InDelta(t, 1.22, finding(l, learn.Run).Factor, 0.03)
	require.InDelta(t, 1.6, finding(l, learn.Running).Factor, 0.15)
	require.Zero(t, finding(l, learn.Setup).Factor)
	for _, e := range l.Errors {
		if e.Quantity == learn.Run {
			require.Less(t, e.After.Median, e.Before.Median/2)
			require.Less(t, math.Abs(e.After.Bias), 3.0)
		}
	}
	p := works(t, string(l.Proposed))
	require.Equal(t, 60, l.Jobs)
	require.InDelta(t, 7000/1.22, p.Folders[0].Speed[0].Value.InexactFloat64(), 150)
}

// The odd ones are four times as planned in all, and hardly move what is learned.
func TestOddJobsTeachLittle(t *testing.T) {
	known := truth{makeready: 1.25, run: 1.22, setup: 1, running: 1.6, jobs: 120, odd: 0.08}
	l := lesson(t, history(2, known))
	require.InDelta(t, 1.22, finding(l, learn.Run).Factor, 0.06)
	require.InDelta(t, 1.25, finding(l, learn.Makeready).Estimate.Middle, 0.12)
}

// Where nothing deviates, 95 of 100 plants get no proposal at all.
func TestProposesNothingWhereNothingDeviates(t *testing.T) {
	const rounds = 300
	wrong, classes := 0, 0
	for seed := range uint64(rounds) {
		l := lesson(t, history(seed, asPlanned))
		some := false
		for _, f := range l.Findings {
			some = some || f.Estimate.Low > 1 || f.Estimate.High > 0 && f.Estimate.High < 1
			if f.Class != nil {
				classes++
			}
		}
		if some {
			wrong++
		}
	}
	t.Logf("%d of %d without deviation have an interval beside it, %d a class", wrong, rounds, classes)
	require.LessOrEqual(t, wrong, rounds*8/100) // 5 %, and three standard errors
	require.LessOrEqual(t, classes, rounds*8/100)
}

func TestSaysWhatTheFileCanNotExpress(t *testing.T) {
	known := asPlanned
	known.heavy, known.jobs = 1.3, 100
	l := lesson(t, history(3, known))
	f := finding(l, learn.Makeready)
	require.NotNil(t, f.Class)
	require.Equal(t, "stock of 200 g/m2 and over", f.Class.Words)
	require.InDelta(t, 1.3, f.Class.In.Middle, 0.08)
	require.InDelta(t, 1, f.Class.Out.Middle, 0.06)
	require.Zero(t, f.Factor)
}

func TestWhatDoesNotTeach(t *testing.T) {
	h := history(4, asPlanned)
	entries := slices.Collect(h.Entries)
	for i := range entries {
		switch entries[i].Job {
		case "J-001":
			entries[i].Work = "Rework"
		case "J-002":
			entries[i].Open = true
		case "J-003":
			entries[i].Time *= 20
		}
	}
	h.Entries, h.Trouble = slices.Values(entries), map[string]bool{"J-004": true}
	l := lesson(t, h)
	require.Equal(t, learn.Left{Rework: 1, Open: 1, Odd: 2, Colour: 1}, l.Left)
	require.Equal(t, 41, finding(l, learn.Run).Jobs)
}

func TestOrderMakesNoDifference(t *testing.T) {
	h := history(5, truth{makeready: 1.2, run: 1.2, setup: 1.2, running: 1.2, jobs: 60})
	entries := slices.Collect(h.Entries)
	h.Entries = slices.Values(entries)
	want := lesson(t, h)
	slices.Reverse(entries)
	slices.Reverse(h.Tasks)
	require.Equal(t, want, lesson(t, h))
}

func TestRefusesToLearn(t *testing.T) {
	full := history(6, asPlanned)
	few := history(6, truth{makeready: 1, run: 1, setup: 1, running: 1, jobs: 11})
	for _, c := range []struct {
		h    learn.History
		o    learn.Options
		want string
	}{
		{learn.History{Entries: full.Entries}, learn.Options{}, "the ledger has no planned figures"},
		{learn.History{Tasks: full.Tasks, Entries: slices.Values([]cost.Entry(nil))}, learn.Options{},
			"nothing in the ledger was done"},
		{few, learn.Options{}, "want at least 10"},
		{full, learn.Options{Hold: 10000 * time.Hour}, "only 0 jobs"},
		{full, learn.Options{Confidence: 101}, "confidence is to be"},
	} {
		_, err := learn.Learn("works.yaml", []byte(small), works(t, small), c.h, c.o)
		require.ErrorContains(t, err, c.want)
	}
}

func TestText(t *testing.T) {
	l := lesson(t, history(1, truth{makeready: 1.25, run: 1.22, setup: 1, running: 1.6, jobs: 80}))
	var out bytes.Buffer
	require.NoError(t, learn.Write(&out, l))
	file := filepath.Join("testdata", "lesson.txt")
	if *update {
		require.NoError(t, os.WriteFile(file, out.Bytes(), 0o644))
	}
	want, err := os.ReadFile(file)
	require.NoError(t, err)
	require.Equal(t, string(want), out.String())
}
