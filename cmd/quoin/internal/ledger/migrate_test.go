package ledger_test

import (
	"database/sql"
	"encoding/json"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/cmd/quoin/internal/database"
	"quoin/cmd/quoin/internal/ledger"
	"quoin/convert/cost"
	"quoin/convert/cost/account"
)

// oldTables are those that the old steps made.
var oldTables = strings.Fields(`groups records quiet uses notices measurements orders tasks entries cells used
	findings doubts jobs notes supplies sums purchases`)

// A ledger from before records were packed is taken over whole, and goes on as one that
// was packed from the start.
func TestOldLedgerIsTakenOver(t *testing.T) {
	p := saltmarsh(t)
	at := filepath.Join(t.TempDir(), "new.db")
	l := openAt(t, at, p)
	early, late := newWorks(7).days(3, 25), newWorks(11).days(2, 25)
	_, _, err := l.Take(t.Context(), saids(early))
	require.NoError(t, err)

	old := filepath.Join(t.TempDir(), "old.db")
	age(t, at, old)
	taken := openAt(t, old, p)
	same(t, l, taken)
	for _, into := range []*ledger.Ledger{l, taken} {
		_, _, err := into.Take(t.Context(), saids(late))
		require.NoError(t, err)
	}
	same(t, l, taken)
}

// same holds the entries and the books of two ledgers against each other.
func same(t *testing.T, want, got *ledger.Ledger) {
	t.Helper()
	entries := all(t, want, ledger.Filter{})
	require.NotEmpty(t, entries)
	require.Equal(t, entries, all(t, got, ledger.Filter{}))
	for _, by := range account.Dimensions() {
		a, _, err := want.Statement(t.Context(), by, account.Filter{})
		require.NoError(t, err)
		b, _, err := got.Statement(t.Context(), by, account.Filter{})
		require.NoError(t, err)
		x, err := json.Marshal(a)
		require.NoError(t, err)
		y, err := json.Marshal(b)
		require.NoError(t, err)
		require.Equal(t, string(x), string(y), "by %s", by)
	}
}

// age writes a ledger as it was kept before records were packed.
func age(t *testing.T, from, to string) {
	t.Helper()
	source, err := database.Open(t.Context(), from)
	require.NoError(t, err)
	defer source.Close()
	target, err := database.Open(t.Context(), to)
	require.NoError(t, err)
	defer target.Close()
	component, steps := ledger.OldSteps()
	require.NoError(t, target.Migrate(t.Context(), component, steps))
	for _, table := range oldTables {
		require.NoError(t, source.Read(t.Context(), func(in *database.Tx) error {
			return target.Write(t.Context(), func(out *database.Tx) error {
				return in.Each(func(rows *sql.Rows) error {
					return copyRow(rows, out, "ledger_"+table)
				}, "SELECT * FROM ledger_"+table)
			})
		}))
	}
}

func copyRow(rows *sql.Rows, out *database.Tx, table string) error {
	columns, err := rows.Columns()
	if err != nil {
		return err
	}
	values, into := make([]any, len(columns)), make([]any, len(columns))
	for i := range values {
		into[i] = &values[i]
	}
	if err := rows.Scan(into...); err != nil {
		return err
	}
	for i, column := range columns {
		if table != "ledger_records" || column != "body" {
			continue
		}
		r, err := cost.UnpackRecord(values[i].([]byte))
		if err != nil {
			return err
		}
		if values[i], err = json.Marshal(r); err != nil {
			return err
		}
	}
	_, err = out.Exec("INSERT INTO "+table+" ("+strings.Join(columns, ", ")+") VALUES (?"+
		strings.Repeat(", ?", len(columns)-1)+")", values...)
	return err
}
