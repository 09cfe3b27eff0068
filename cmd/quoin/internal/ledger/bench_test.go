package ledger_test

import (
	"database/sql"
	"fmt"
	"iter"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"

	"quoin/cmd/quoin/internal/database"
	"quoin/cmd/quoin/internal/ledger"
	"quoin/convert/cost"
	"quoin/convert/cost/account"
	"quoin/jdf/job"
)

// benchEntries is how many entries a benchmark imports: some, or as many as
// QUOIN_LEDGER_ENTRIES says.
func benchEntries(b *testing.B) int {
	b.Helper()
	text := os.Getenv("QUOIN_LEDGER_ENTRIES")
	if text == "" {
		return 20000
	}
	n, err := strconv.Atoi(text)
	require.NoError(b, err)
	return n
}

// phases are those of one job on one device, with their minutes.
var phases = []struct {
	state   job.State
	minutes int
}{
	{job.StateMakeready, 22}, {job.StateRun, 35}, {job.StateStopped, 6}, {job.StateRun, 41}, {job.StateWash, 12},
	{job.StateIdle, 9},
}

// history makes so many records, one an entry, of twelve devices that work side
// by side, a job at a time, in documents of a day each.
func history(entries int) iter.Seq2[*cost.Said, error] {
	const devices = 12
	return func(yield func(*cost.Said, error) bool) {
		start := time.Date(2020, 1, 6, 6, 0, 0, 0, time.UTC)
		for n, day := 0, 0; n < entries; day++ {
			for d := 0; d < devices && n < entries; d++ {
				said := &cost.Said{}
				now := start.AddDate(0, 0, day)
				for i := 0; i < 60 && n < entries; i++ {
					p := phases[i%len(phases)]
					said.Records = append(said.Records, phaseRecord(d, day, i, p.state, now, p.minutes))
					now = now.Add(time.Duration(p.minutes) * time.Minute)
					n++
				}
				if !yield(said, nil) {
					return
				}
			}
		}
	}
}

func phaseRecord(device, day, i int, state job.State, now time.Time, minutes int) cost.Record {
	r := cost.Record{
		Kind: cost.KindPhase, Device: fmt.Sprintf("press-%d", device+1), State: state, Status: "InProgress",
		Start: now, End: now.Add(time.Duration(minutes) * time.Minute),
		Source: cost.Source{File: fmt.Sprintf("returned/%d/press-%d.xjdf", day, device+1), Line: i + 2, Column: 3},
	}
	r.Seen = r.End
	if state == job.StateIdle {
		return r
	}
	good, waste := decimal.NewFromInt(int64(40*minutes+i)), decimal.NewFromInt(int64(minutes))
	r.Job, r.Part = fmt.Sprintf("SM-%06d", day*12*10+device*10+i/len(phases)), "print"
	r.Employee, r.Good, r.Waste = fmt.Sprintf("op-%d", (day+device)%9), &good, &waste
	if state == job.StateStopped {
		r.Reason = []string{"paper jam", "plate change", "waiting for ink"}[i%3]
	}
	return r
}

// BenchmarkImport measures how long it takes to import, settle and cut entries
// into shifts, against plain inserts of the same rows into one table. With it
// come the import of one more day, and of all again.
func BenchmarkImport(b *testing.B) {
	entries := benchEntries(b)
	p := saltmarsh(b)
	for b.Loop() {
		plain := plainInserts(b, entries)
		l := open(b, p)
		begin := time.Now()
		done, _, err := l.Take(b.Context(), history(entries))
		took := time.Since(begin)
		require.NoError(b, err)
		require.Equal(b, entries, done.Entries)
		b.ReportMetric(float64(entries)/took.Seconds(), "entries/s")
		b.ReportMetric(took.Seconds()/plain.Seconds(), "x-plain-inserts")

		begin = time.Now()
		r := phaseRecord(0, 20000, 0, job.StateRun, time.Date(2100, 1, 1, 0, 0, 0, 0, time.UTC), 30)
		_, _, err = l.Take(b.Context(), saids(&cost.Said{Records: []cost.Record{r}}))
		require.NoError(b, err)
		b.ReportMetric(float64(time.Since(begin).Microseconds())/1000, "ms-one-more")
		if peak := peakMegabytes(b); peak > 0 {
			b.ReportMetric(peak, "MB-peak")
		}
	}
}

// plainInserts is how long the rows alone take: a table without an index, in
// transactions of the same size.
func plainInserts(b *testing.B, entries int) time.Duration {
	b.Helper()
	db, err := database.Open(b.Context(), filepath.Join(b.TempDir(), "plain.db"))
	require.NoError(b, err)
	defer db.Close()
	require.NoError(b, db.Migrate(b.Context(), "plain", []string{`CREATE TABLE plain (device TEXT, job TEXT, part TEXT,
		state BIGINT, reason TEXT, employee TEXT, starts BIGINT, ends BIGINT, good TEXT, waste TEXT, file TEXT,
		line BIGINT)`}))
	next, stop := iter.Pull2(history(entries))
	defer stop()
	begin := time.Now()
	for more := true; more; {
		require.NoError(b, db.Write(b.Context(), func(tx *database.Tx) error {
			stmt, err := tx.Prepare("INSERT INTO plain VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)")
			if err != nil {
				return err
			}
			defer stmt.Close()
			for n := 0; n < 5000; {
				said, _, ok := next()
				if more = ok; !more {
					return nil
				}
				for _, r := range said.Records {
					if _, err := stmt.Exec(plainRow(r)...); err != nil {
						return err
					}
				}
				n += len(said.Records)
			}
			return nil
		}))
	}
	return time.Since(begin)
}

func plainRow(r cost.Record) []any {
	good, waste := "0", "0"
	if r.Good != nil {
		good, waste = r.Good.String(), r.Waste.String()
	}
	return []any{
		r.Device, r.Job, r.Part, int64(r.State), r.Reason, r.Employee, r.Start.UnixMicro(), r.End.UnixMicro(),
		good, waste, r.Source.File, r.Source.Line,
	}
}

// BenchmarkAggregate measures what is asked of a full ledger: the jobs at a
// glance, the statement of a month, and that of all time, against a plain SELECT
// over the rows.
func BenchmarkAggregate(b *testing.B) {
	entries := benchEntries(b)
	p := saltmarsh(b)
	file := filepath.Join(b.TempDir(), "ledger.db")
	l := openAt(b, file, p)
	importing := timed(b, func() error { _, _, err := l.Take(b.Context(), history(entries)); return err })
	for b.Loop() {
		b.ReportMetric(float64(entries)/importing.Seconds(), "entries/s")
		plain := timed(b, func() error { return plainSelect(b, file) })
		b.ReportMetric(plain.Seconds(), "s-plain-select")
		jobs := timed(b, func() error { _, err := l.Jobs(b.Context(), ledger.Filter{}); return err })
		b.ReportMetric(jobs.Seconds(), "s-jobs")
		totals := timed(b, func() error { _, err := l.Totals(b.Context(), account.ByMonth, ledger.Filter{}); return err })
		b.ReportMetric(totals.Seconds(), "s-by-month")
		b.ReportMetric(totals.Seconds()/plain.Seconds(), "x-plain-select")
		slowest := 0.0
		for _, by := range account.Dimensions() {
			if by == account.ByPart || by == account.ByCustomer {
				continue // no totals are made by these
			}
			took := timed(b, func() error { _, err := l.Totals(b.Context(), by, ledger.Filter{}); return err })
			if by == account.ByJob {
				b.ReportMetric(took.Seconds(), "s-by-job")
			} else {
				slowest = max(slowest, took.Seconds())
			}
		}
		b.ReportMetric(slowest, "s-slowest-total")
		month := timed(b, func() error {
			_, _, err := l.Statement(b.Context(), account.ByDay, account.Filter{From: "2020-01-01", To: "2020-01-31"})
			return err
		})
		b.ReportMetric(month.Seconds(), "s-month-statement")
		whole := timed(b, func() error {
			_, _, err := l.Statement(b.Context(), account.ByMonth, account.Filter{})
			return err
		})
		b.ReportMetric(whole.Seconds(), "s-whole-statement")
		if peak := peakMegabytes(b); peak > 0 {
			b.ReportMetric(peak, "MB-peak")
		}
	}
}

func timed(b *testing.B, f func() error) time.Duration {
	b.Helper()
	begin := time.Now()
	require.NoError(b, f())
	return time.Since(begin)
}

func plainSelect(b *testing.B, file string) error {
	b.Helper()
	db, err := database.Open(b.Context(), file)
	if err != nil {
		return err
	}
	defer db.Close()
	return db.Read(b.Context(), func(tx *database.Tx) error {
		return tx.Each(func(rows *sql.Rows) error {
			var device string
			var sum int64
			return rows.Scan(&device, &sum)
		}, "SELECT device, SUM(counts) FROM ledger_entries GROUP BY device")
	})
}

// peakMegabytes is the most memory that the process had so far, 0 where the
// system does not tell.
func peakMegabytes(b *testing.B) float64 {
	b.Helper()
	text, err := os.ReadFile("/proc/self/status")
	if err != nil {
		return 0
	}
	for line := range strings.Lines(string(text)) {
		if rest, ok := strings.CutPrefix(line, "VmHWM:"); ok {
			kb, err := strconv.ParseFloat(strings.Fields(rest)[0], 64)
			require.NoError(b, err)
			return kb / 1024
		}
	}
	return 0
}
