package month_test

import (
	"bytes"
	"cmp"
	"encoding/json"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"quoin/cmd/quoin/internal/rehearsal"
	"quoin/cmd/quoin/internal/rehearsal/month"
	"quoin/convert/cost"
	"quoin/convert/emit"
	"quoin/convert/plan"
	"quoin/jdf"
	"quoin/jdf/job"
	"quoin/validate"
	"quoin/validate/plant"
	"quoin/validate/rules"
	"quoin/validate/structure"
)

func saltmarsh(t *testing.T) *plant.Plant {
	t.Helper()
	p, found, err := plant.LoadFile("../../../../../testdata/plant/saltmarsh.yaml")
	require.NoError(t, err)
	require.Empty(t, found)
	return p
}

func options(t *testing.T) month.Options {
	p := saltmarsh(t)
	return month.Options{
		Plant: p, Jobs: 20, Seed: 4, From: time.Date(2026, 3, 23, 0, 0, 0, 0, p.Zone), Days: 10, Form: "mixed",
	}
}

// rehearse makes and writes a month over the change to summer time.
func rehearse(t *testing.T, opt month.Options) (string, *month.Month) {
	t.Helper()
	m, err := month.Make(opt)
	require.NoError(t, err)
	dir := filepath.Join(t.TempDir(), "month")
	require.NoError(t, m.Write(dir, func(dir string, pl *plan.Plan, j *job.Job, clock func() time.Time) error {
		if err := os.MkdirAll(dir, 0o755); err != nil {
			return err
		}
		return emit.Write(dir, emit.Tickets(pl, j, emit.Options{Clock: clock}))
	}))
	return dir, m
}

// documents reads all tickets and messages below a folder.
func documents(t *testing.T, dir string) []*jdf.Document {
	t.Helper()
	var docs []*jdf.Document
	require.NoError(t, filepath.WalkDir(dir, func(path string, e fs.DirEntry, err error) error {
		if err != nil || e.IsDir() || !slices.Contains([]string{".jdf", ".xjdf", ".jmf", ".xjmf"}, filepath.Ext(path)) {
			return err
		}
		doc, faults, err := jdf.ReadFile(path, jdf.Limits{})
		require.Empty(t, faults)
		docs = append(docs, doc)
		return err
	}))
	return docs
}

// fact is one phase, as the truth and the ledger both tell it.
type fact struct {
	device, job, part string
	state             job.State
	reason            string
	start, end        string
	good, waste       string
}

func (f fact) compare(g fact) int {
	return cmp.Or(cmp.Compare(f.device, g.device), cmp.Compare(f.start, g.start), cmp.Compare(f.end, g.end),
		cmp.Compare(f.state, g.state), cmp.Compare(f.job, g.job), cmp.Compare(f.part, g.part))
}

func stamp(t time.Time) string { return t.UTC().Format(time.RFC3339Nano) }

func truth(t *rehearsal.Truth) []fact {
	var all []fact
	for _, a := range t.Steps {
		for _, p := range a.Phases {
			all = append(all, fact{
				a.Device, a.Job, a.Part, p.State, p.Reason, stamp(p.Start), stamp(p.End), fmt.Sprint(p.Good), fmt.Sprint(p.Waste),
			})
		}
	}
	for _, i := range t.Idle {
		all = append(all, fact{i.Device, "", "", job.StateIdle, "", stamp(i.Start), stamp(i.End), "0", "0"})
	}
	slices.SortFunc(all, fact.compare)
	return all
}

func ledger(l *cost.Ledger) []fact {
	var all []fact
	for _, e := range l.Entries {
		all = append(all, fact{
			e.Device, e.Job, e.Part, e.State, e.Reason, stamp(e.Start), stamp(e.End), e.Good.String(), e.Waste.String(),
		})
	}
	slices.SortFunc(all, fact.compare)
	return all
}

// What is collected is what happened: each phase to the second and the sheet,
// through both generations, tickets and signals, duplicates and disorder.
func TestLedgerEqualsTruth(t *testing.T) {
	for seed := range uint64(2) {
		opt := options(t)
		opt.Seed = seed
		dir, m := rehearse(t, opt)
		l, found := cost.Collect(documents(t, filepath.Join(dir, month.Returned)))
		require.Equal(t, truth(m.Truth), ledger(l))
		for _, f := range found {
			require.Equal(t, "audit/no-reason", f.Rule.ID, "%s", f.Message())
		}
		type key struct {
			device string
			state  job.State
		}
		sums := map[key]rehearsal.Total{}
		for _, e := range l.Entries {
			s := sums[key{e.Device, e.State}]
			s.Time.Duration += time.Duration(e.Time)
			s.Good += int(e.Good.IntPart())
			s.Waste += int(e.Waste.IntPart())
			s.Device, s.State = e.Device, e.State
			sums[key{e.Device, e.State}] = s
		}
		got := slices.SortedFunc(maps.Values(sums), func(a, b rehearsal.Total) int {
			return cmp.Or(cmp.Compare(a.Device, b.Device), cmp.Compare(a.State, b.State))
		})
		require.Equal(t, m.Truth.Totals, got)
		require.Equal(t, uses(m.Truth), used(l))
	}
}

// uses are what was used and made of each kind in each step, from the truth.
func uses(t *rehearsal.Truth) map[string]string {
	all := map[string]string{}
	for _, a := range t.Steps {
		for _, u := range a.Uses {
			all[a.Job+" "+a.Part+" "+u.Kind+u.Separation+" "+u.Lot] = u.Good.String() + " " + u.Waste.String()
		}
	}
	return all
}

func used(l *cost.Ledger) map[string]string {
	all := map[string]string{}
	for _, u := range l.Uses {
		separation := ""
		if u.Kind == "Ink" {
			for _, k := range []string{"Cyan", "Magenta", "Yellow", "Black", "saltmarsh-green"} {
				if bytes.Contains([]byte(u.Keys), []byte(k)) {
					separation = k
				}
			}
		}
		all[u.Job+" "+u.Part+" "+u.Kind+separation+" "+u.Lot] = u.Good.String() + " " + u.Waste.String()
	}
	return all
}

// Every file is sound: the structure and all rules, against the plant.
func TestFilesAreSound(t *testing.T) {
	opt := options(t)
	dir, m := rehearse(t, opt)
	engine := &validate.Engine{Stages: []validate.Stage{
		{Name: "structure", Rules: structure.Rules(), Check: func(s *validate.Subject, report func(validate.Finding)) error {
			structure.Check(s.Doc, structure.Options{}, report)
			return nil
		}},
		rules.Stage(),
		{Name: "plant", Rules: plant.Rules(), Check: func(s *validate.Subject, report func(validate.Finding)) error {
			if !s.Doc.Kind.Message() {
				plant.Check(s.Job, opt.Plant, report)
			}
			return nil
		}},
	}}
	docs := documents(t, dir)
	require.Greater(t, len(docs), 5*len(m.Jobs))
	for _, doc := range docs {
		report, err := engine.Document(doc)
		require.NoError(t, err)
		for _, f := range report.Findings {
			require.NotEqual(t, validate.Error, f.Severity, "%s", f.Place.File()+": "+f.Message())
		}
	}
}

// The same seed gives the same bytes, another seed gives others.
func TestSameSeedSameFiles(t *testing.T) {
	opt := options(t)
	opt.Jobs = 8
	a, m := rehearse(t, opt)
	b, _ := rehearse(t, opt)
	count := 0
	require.NoError(t, filepath.WalkDir(a, func(path string, e fs.DirEntry, err error) error {
		if err != nil || e.IsDir() {
			return err
		}
		count++
		rel, err := filepath.Rel(a, path)
		require.NoError(t, err)
		one, err := os.ReadFile(path)
		require.NoError(t, err)
		two, err := os.ReadFile(filepath.Join(b, rel))
		require.NoError(t, err)
		require.Equal(t, string(one), string(two), rel)
		return nil
	}))
	require.Greater(t, count, 60)
	opt.Seed++
	other, err := month.Make(opt)
	require.NoError(t, err)
	require.NotEqual(t, m.Truth.Totals, other.Truth.Totals)
}

func TestTruthIsReadable(t *testing.T) {
	opt := options(t)
	opt.Jobs = 8
	dir, m := rehearse(t, opt)
	data, err := os.ReadFile(filepath.Join(dir, month.TruthIn))
	require.NoError(t, err)
	var read rehearsal.Truth
	require.NoError(t, json.Unmarshal(data, &read))
	require.Len(t, read.Steps, len(m.Truth.Steps))
	require.Equal(t, m.Truth.Totals, read.Totals)
	require.Equal(t, m.Truth.Habits, read.Habits)
	require.NotEmpty(t, read.Steps[0].Phases)
	require.True(t, read.Steps[0].End().Equal(m.Truth.Steps[0].End()))
	for _, o := range read.Orders {
		require.Positive(t, o.Delivered)
		require.False(t, o.Done.Before(o.Placed))
	}

	require.ErrorContains(t, m.Write(dir, nil), "is not empty; name a new one")
}

func TestOptionsThatCanNotBe(t *testing.T) {
	for _, c := range []struct {
		change func(*month.Options)
		want   string
	}{
		{func(o *month.Options) { o.Form = "pdf" }, `form of orders is "pdf"; want xjdf, jdf or mixed`},
		{func(o *month.Options) { o.Jobs = 0 }, "0 jobs are asked for; want 1 to 100000"},
		{func(o *month.Options) { o.Days = -1 }, "-1 days are asked for; want 1 to 3660"},
		{func(o *month.Options) { o.Plant = &plant.Plant{Name: "Bare"} },
			`plant "Bare" has no stocks; orders are made up from them`},
	} {
		opt := options(t)
		c.change(&opt)
		_, err := month.Make(opt)
		require.EqualError(t, err, c.want)
	}
}
