package ledger

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"time"

	"quoin/convert/cost/account"
	"quoin/jdf/job"
)

// sumKeys tell the key of a cell in each dimension that sums are kept of, so that
// totals need not go through all cells. Jobs have none: there are nearly as many
// as cells.
var sumKeys = map[account.By]func(*account.Cell) string{
	account.ByDevice:   func(c *account.Cell) string { return c.Device },
	account.ByCentre:   func(c *account.Cell) string { return c.Centre },
	account.ByOperator: func(c *account.Cell) string { return c.Operator },
	account.ByShift:    func(c *account.Cell) string { return c.Shift },
	account.ByDay:      func(c *account.Cell) string { return c.Day },
	account.ByWeek:     func(c *account.Cell) string { return weekOf(c.Day) },
	account.ByMonth:    func(c *account.Cell) string { return c.Day[:min(7, len(c.Day))] },
}

// weekOf is the week of ISO 8601 of a day, as in 2026-W10; "" of what is no day.
func weekOf(day string) string {
	t, err := time.Parse(time.DateOnly, day)
	if err != nil {
		return ""
	}
	year, week := t.ISOWeek()
	return fmt.Sprintf("%04d-W%02d", year, week)
}

type sumKey struct {
	by          account.By
	key, device string
	state       job.State
}

func (k sumKey) compare(l sumKey) int {
	return cmp.Or(cmp.Compare(k.by, l.by), cmp.Compare(k.key, l.key), cmp.Compare(k.device, l.device),
		cmp.Compare(k.state, l.state))
}

type sum struct {
	counts  int64
	entries int
}

// keepSums keeps the sums of the cells of one chunk.
func keepSums(insert *bulk, group, chunk int64, cells []account.Cell) error {
	sums := map[sumKey]sum{}
	for i := range cells {
		c := &cells[i]
		for by, key := range sumKeys {
			k := sumKey{by, key(c), c.Device, c.State}
			s := sums[k]
			s.counts, s.entries = s.counts+int64(c.Time), s.entries+c.Entries
			sums[k] = s
		}
	}
	for _, k := range slices.SortedFunc(maps.Keys(sums), sumKey.compare) {
		s := sums[k]
		if err := insert.add(group, chunk, string(k.by), k.key, k.device, int64(k.state), s.counts, s.entries); err != nil {
			return err
		}
	}
	return nil
}
