package ledger

import (
	"database/sql"
	"time"

	"github.com/shopspring/decimal"

	"quoin/cmd/quoin/internal/database"
	"quoin/convert/cost"
	"quoin/jdf/job"
)

// The flags of an entry. Open is the greatest, so that an index can hold those
// that are at least that.
const (
	flagCounted = 1
	flagRun     = 2
	flagOpen    = 4
)

const entryColumns = `device, job, part, keys, centre, employee, state, status, reason, work, modules, starts, ends,
	counts, good, waste, flags, shifted, file, line, col, path`

const (
	insertEntry    = `INSERT INTO ledger_entries (grp, at, ` + entryColumns + `) VALUES`
	entryValuesLen = 24
)

// deviceTime is the start of an entry by the clock of its device.
func deviceTime(e *cost.Entry) int64 { return e.Start.Add(-time.Duration(e.Shifted)).UnixMicro() }

func entryValues(group int64, e *cost.Entry) []any {
	flags := bit(e.Counted)*flagCounted + bit(e.FromRun)*flagRun + bit(e.Open)*flagOpen
	return []any{
		group, deviceTime(e), e.Device, e.Job, e.Part, e.Keys, e.CostCentre, e.Employee, int64(e.State),
		e.Status, e.Reason, e.Work, e.Modules, e.Start.UnixMicro(), e.End.UnixMicro(), int64(e.Time),
		e.Good.String(), e.Waste.String(), flags, int64(e.Shifted),
		e.Source.File, e.Source.Line, e.Source.Column, e.Source.Path,
	}
}

// scanEntry reads the columns of entryColumns.
func scanEntry(rows *sql.Rows) (cost.Entry, error) {
	var e cost.Entry
	var state, start, end, counted, flags, shifted int64
	var good, waste string
	err := rows.Scan(&e.Device, &e.Job, &e.Part, &e.Keys, &e.CostCentre, &e.Employee, &state, &e.Status, &e.Reason,
		&e.Work, &e.Modules, &start, &end, &counted, &good, &waste, &flags, &shifted,
		&e.Source.File, &e.Source.Line, &e.Source.Column, &e.Source.Path)
	if err != nil {
		return e, err
	}
	e.State, e.Time, e.Shifted = job.State(state), cost.Span(counted), cost.Span(shifted)
	e.Start, e.End = time.UnixMicro(start).UTC(), time.UnixMicro(end).UTC()
	e.Counted, e.FromRun, e.Open = flags&flagCounted != 0, flags&flagRun != 0, flags&flagOpen != 0
	e.Good, err = exact(good)
	if err == nil {
		e.Waste, err = exact(waste)
	}
	return e, err
}

// exact reads an amount; most are nought.
func exact(s string) (decimal.Decimal, error) {
	if s == "0" {
		return decimal.Decimal{}, nil
	}
	return decimal.NewFromString(s)
}

// entriesWhere calls f for each entry that a condition takes.
func entriesWhere(tx *database.Tx, f func(cost.Entry) error, where string, args ...any) error {
	return tx.Each(func(rows *sql.Rows) error {
		e, err := scanEntry(rows)
		if err != nil {
			return err
		}
		return f(e)
	}, "SELECT "+entryColumns+" FROM ledger_entries WHERE "+where, args...)
}

// entriesIn are the entries that a condition takes.
func entriesIn(tx *database.Tx, where string, args ...any) (all []cost.Entry, err error) {
	err = entriesWhere(tx, func(e cost.Entry) error {
		all = append(all, e)
		return nil
	}, where, args...)
	return all, err
}
