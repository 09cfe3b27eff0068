package ledger_test

import (
	"iter"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"quoin/cmd/quoin/internal/database"
	"quoin/cmd/quoin/internal/ledger"
	"quoin/convert/cost"
	"quoin/jdf"
	"quoin/validate"
	"quoin/validate/plant"
)

func saltmarsh(t testing.TB) *plant.Plant {
	t.Helper()
	p, found, err := plant.LoadFile(filepath.Join("..", "..", "..", "..", "testdata", "plant", "saltmarsh.yaml"))
	require.NoError(t, err)
	for _, f := range found {
		require.NotEqual(t, validate.Error, f.Severity, f.Message())
	}
	return p
}

func open(t testing.TB, p *plant.Plant) *ledger.Ledger {
	t.Helper()
	return openAt(t, filepath.Join(t.TempDir(), "ledger.db"), p)
}

func openAt(t testing.TB, at string, p *plant.Plant) *ledger.Ledger {
	t.Helper()
	db, err := database.Open(t.Context(), at)
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, db.Close()) })
	l, err := ledger.Open(t.Context(), db, p)
	require.NoError(t, err)
	return l
}

func read(t testing.TB, name, text string) *jdf.Document {
	t.Helper()
	doc, faults, err := jdf.Read(name, strings.NewReader(text), jdf.Limits{})
	require.NoError(t, err)
	require.Empty(t, faults, text)
	return doc
}

// arrivals is a sequence of documents that came in at no known time.
func arrivals(docs ...*jdf.Document) iter.Seq2[ledger.Document, error] {
	return func(yield func(ledger.Document, error) bool) {
		for _, doc := range docs {
			if !yield(ledger.Document{Document: doc}, nil) {
				return
			}
		}
	}
}

// saids is a sequence of what was read before.
func saids(all ...*cost.Said) iter.Seq2[*cost.Said, error] {
	return func(yield func(*cost.Said, error) bool) {
		for _, s := range all {
			if !yield(s, nil) {
				return
			}
		}
	}
}

func all(t testing.TB, l *ledger.Ledger, f ledger.Filter) []cost.Entry {
	t.Helper()
	var entries []cost.Entry
	for e, err := range l.Entries(t.Context(), f) {
		require.NoError(t, err)
		entries = append(entries, e)
	}
	return entries
}

// plain writes entries for comparison: without their sources, which a copy of a
// file may change, and with times in UTC.
func plain(entries []cost.Entry) []string {
	var lines []string
	for _, e := range entries {
		lines = append(lines, strings.Join([]string{
			e.Device, e.Job, e.Part, e.Keys, e.CostCentre, e.Employee, e.State.String(), e.Status, e.Reason, e.Work, e.Modules,
			e.Start.UTC().Format(time.RFC3339Nano), e.End.UTC().Format(time.RFC3339Nano), e.Time.String(),
			e.Good.String(), e.Waste.String(), e.Shifted.String(),
			map[bool]string{true: "counted"}[e.Counted], map[bool]string{true: "open"}[e.Open],
			map[bool]string{true: "run"}[e.FromRun],
		}, "|"))
	}
	slices.Sort(lines)
	return lines
}

func messages(t testing.TB, seq iter.Seq2[validate.Finding, error]) []string {
	t.Helper()
	var words []string
	for f, err := range seq {
		require.NoError(t, err)
		words = append(words, f.Rule.ID+" "+f.Message())
	}
	slices.Sort(words)
	return slices.Compact(words)
}
