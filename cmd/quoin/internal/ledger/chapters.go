package ledger

import (
	"database/sql"
	"iter"
	"slices"
	"strings"
	"time"

	"quoin/cmd/quoin/internal/database"
	"quoin/convert/cost/account"
)

// choice is which jobs books are read of: those that something was done for, and those
// that something was bought for.
type choice struct {
	cells  *clause // on the table of cells
	bought *clause // on that of purchases; nil takes none
}

// choiceOfDays takes what goes on from one day to another, both as in 2026-03-02 and
// inclusive, "" for no limit.
func choiceOfDays(from, to string, jobs, devices []string) choice {
	c := choice{&clause{}, &clause{}}
	for _, on := range []*clause{c.cells, c.bought} {
		if from != "" {
			on.and("day >= ?", from)
		}
		if to != "" {
			on.and("day <= ?", to)
		}
		on.in("job", jobs)
	}
	if c.cells.in("device", devices); len(devices) > 0 {
		c.bought = nil // what is bought belongs to no device
	}
	return c
}

// choiceOf is that of a filter of moments, in whole days of the zone of the plant.
func (l *Ledger) choiceOf(f Filter) choice {
	from, to := "", ""
	if !f.From.IsZero() {
		from = f.From.In(l.plant.Zone).Format(time.DateOnly)
	}
	if !f.To.IsZero() {
		to = f.To.Add(-time.Microsecond).In(l.plant.Zone).Format(time.DateOnly)
	}
	return choiceOfDays(from, to, f.Jobs, f.Devices)
}

func (c choice) all() bool { return len(c.cells.text) == 0 }

// jobs is the query of the jobs, with its values.
func (c choice) jobs() (query string, args []any) {
	query, args = "SELECT job FROM ledger_cells WHERE "+c.cells.where(), slices.Clone(c.cells.args)
	if c.bought != nil {
		query += " UNION SELECT job FROM ledger_purchases WHERE " + c.bought.where()
		args = append(args, c.bought.args...)
	}
	return query, args
}

// chapters reads books a few jobs at a time, first what belongs to no job.
func (l *Ledger) chapters(tx *database.Tx, f account.Filter) iter.Seq2[account.Books, error] {
	which := choiceOfDays(f.From, f.To, f.Jobs, f.Devices)
	return func(yield func(account.Books, error) bool) {
		more, err := l.loose(tx, which, yield)
		for page := newPager(which, l.jobs); err == nil && more; {
			var where string
			var args []any
			if where, args, err = page.next(tx); err != nil || where == "" {
				break
			}
			var b account.Books
			var cells []account.Cell
			err = cellsWhere(tx, func(c account.Cell) bool {
				cells = append(cells, c)
				return true
			}, where, args...)
			if err == nil {
				err = l.gather(tx, &b, where, args...)
			}
			if b.Cells = slices.Values(cells); err == nil {
				more = yield(b, nil)
			}
		}
		if err != nil {
			yield(account.Books{}, err)
		}
	}
}

// loose is the chapter of what belongs to no job. Its cells are read as they are asked
// for, since there may be as many as of all jobs.
func (l *Ledger) loose(tx *database.Tx, which choice, yield func(account.Books, error) bool) (more bool, err error) {
	var b account.Books
	if err := l.gather(tx, &b, "job = ''"); err != nil {
		return false, err
	}
	b.Cells = func(yield func(account.Cell) bool) {
		err = cellsWhere(tx, yield, "job = '' AND "+which.cells.where(), which.cells.args...)
	}
	more = yield(b, nil)
	return more, err
}

// pager tells which jobs come into the next chapter.
type pager struct {
	which choice
	size  int
	last  string   // of the chapter before
	left  []string // the jobs, where not all are chosen
	known bool     // whether left was read
}

func newPager(which choice, size int) *pager { return &pager{which: which, size: size} }

// next is a condition that takes the jobs of the next chapter, "" where there is none.
func (p *pager) next(tx *database.Tx) (where string, args []any, err error) {
	if p.which.all() {
		return p.nextOfAll(tx)
	}
	if !p.known {
		p.known = true
		query, args := p.which.jobs()
		p.left, err = jobsOf(tx, "SELECT DISTINCT job FROM ("+query+") AS chosen WHERE job <> '' ORDER BY job", args...)
		if err != nil {
			return "", nil, err
		}
	}
	n := min(p.size, len(p.left))
	if n == 0 {
		return "", nil, nil
	}
	c := &clause{}
	c.in("job", p.left[:n])
	p.left = p.left[n:]
	return c.where(), c.args, nil
}

// nextOfAll finds the next jobs in the indices of all tables that make a job count.
func (p *pager) nextOfAll(tx *database.Tx) (where string, args []any, err error) {
	var parts []string
	for _, table := range []string{"cells", "tasks", "used", "purchases", "measurements"} {
		parts = append(parts, "SELECT job FROM (SELECT DISTINCT job FROM ledger_"+table+
			" WHERE job > ? ORDER BY job LIMIT ?) AS "+table)
		args = append(args, p.last, p.size)
	}
	jobs, err := jobsOf(tx, "SELECT job FROM ("+strings.Join(parts, " UNION ")+") AS every ORDER BY job LIMIT ?",
		append(args, p.size)...)
	if err != nil || len(jobs) == 0 {
		return "", nil, err
	}
	p.last = jobs[len(jobs)-1]
	return "job >= ? AND job <= ?", []any{jobs[0], p.last}, nil
}

func jobsOf(tx *database.Tx, query string, args ...any) (jobs []string, err error) {
	err = tx.Each(func(rows *sql.Rows) error {
		var job string
		err := rows.Scan(&job)
		jobs = append(jobs, job)
		return err
	}, query, args...)
	return jobs, err
}
