package ledger

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"slices"

	"quoin/cmd/quoin/internal/database"
	"quoin/convert/cost"
	"quoin/convert/cost/account"
	"quoin/validate"
)

var errBooksNeedPlant = errors.New("make books: no plant is known; open the ledger with a plant file")

// Books gathers what a statement is made of: all cells, uses, orders and tasks of
// every job that something was done or bought for in what the filter takes, and the
// cells for no job in what it takes. The period of the statement itself is for its own
// filter. It needs the plant. All of it is in memory at once; Statement needs less.
func (l *Ledger) Books(ctx context.Context, f Filter) (account.Books, error) {
	b := account.Books{Plant: l.plant}
	if l.plant == nil {
		return b, errBooksNeedPlant
	}
	if err := l.cut(ctx); err != nil {
		return b, fmt.Errorf("make books: %w", err)
	}
	err := l.db.Read(ctx, func(tx *database.Tx) error {
		b = account.Books{Plant: l.plant}
		which := l.choiceOf(f)
		jobs, args := "1 = 1", []any(nil)
		if !which.all() {
			query, values := which.jobs()
			jobs, args = "job IN ("+query+")", values
		}
		var cells []account.Cell
		err := cellsWhere(tx, func(c account.Cell) bool {
			cells = append(cells, c)
			return true
		}, jobs+" AND (job <> '' OR "+which.cells.where()+")", append(slices.Clone(args), which.cells.args...)...)
		if err != nil {
			return err
		}
		b.Cells = slices.Values(cells)
		return l.gather(tx, &b, jobs, args...)
	})
	if err != nil {
		return b, fmt.Errorf("make books: %w", err)
	}
	return b, nil
}

// Statement makes a statement of what the filter takes, by one of the dimensions of
// account, a few jobs at a time: its memory is that of the statement, however long the
// ledger is. It needs the plant.
func (l *Ledger) Statement(ctx context.Context, by account.By, f account.Filter) (
	s *account.Statement, found []validate.Finding, err error) {
	if l.plant == nil {
		return nil, nil, errBooksNeedPlant
	}
	if err := l.cut(ctx); err != nil {
		return nil, nil, fmt.Errorf("make books: %w", err)
	}
	err = l.db.Read(ctx, func(tx *database.Tx) error {
		var err error
		s, found, err = account.MakeOf(l.plant, l.chapters(tx, f), by, f)
		return err
	})
	if err != nil {
		return nil, nil, fmt.Errorf("make books: %w", err)
	}
	return s, found, nil
}

// gather reads everything of jobs but their cells.
func (l *Ledger) gather(tx *database.Tx, b *account.Books, jobs string, args ...any) (err error) {
	err = bodies(tx, func(u cost.Use) { b.Uses = append(b.Uses, u) }, "SELECT body FROM ledger_used WHERE "+jobs, args...)
	if err != nil {
		return err
	}
	if b.Orders, err = mergedOrders(tx, jobs, args...); err != nil {
		return err
	}
	var tasks []cost.Task
	err = bodies(tx, func(t cost.Task) { tasks = append(tasks, t) }, "SELECT body FROM ledger_tasks WHERE "+jobs, args...)
	if err != nil {
		return err
	}
	b.Tasks = cost.MergeTasks(tasks)
	err = bodies(tx, func(s cost.Supply) { b.Supplies = append(b.Supplies, s) },
		"SELECT body FROM ledger_supplies WHERE "+jobs, args...)
	if err != nil {
		return err
	}
	b.Supplies = cost.MergeSupplies(b.Supplies)
	err = bodies(tx, func(p account.Purchase) { b.Purchases = append(b.Purchases, p) },
		"SELECT body FROM ledger_purchases WHERE "+jobs+" ORDER BY job, day, key", args...)
	if err != nil {
		return err
	}
	b.Colour, err = colours(tx, l.plant, b.Tasks, jobs, args...)
	return err
}

func mergedOrders(tx *database.Tx, where string, args ...any) ([]cost.Order, error) {
	var all []cost.Order
	err := bodies(tx, func(o cost.Order) { all = append(all, o) }, "SELECT body FROM ledger_orders WHERE "+where, args...)
	return cost.MergeOrders(all), err
}

// cellsWhere calls f for each cell that a condition takes, until it is false.
func cellsWhere(tx *database.Tx, f func(account.Cell) bool, where string, args ...any) error {
	known := words{}
	err := tx.Each(func(rows *sql.Rows) error {
		c, err := scanCell(rows, known)
		if err == nil && !f(c) {
			return errStopped
		}
		return err
	}, "SELECT "+cellColumns+" FROM ledger_cells WHERE "+where, args...)
	if errors.Is(err, errStopped) {
		return nil
	}
	return err
}
