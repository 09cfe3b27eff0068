package works

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"time"

	"quoin/cmd/quoin/internal/database"
)

// Claim leases up to n chores of some kinds that are due, in the name of this
// instance. No other instance gets them until the lease ends. A chore whose
// attempts have all ended without a word, as when they end the process, is dead.
func (s *Store) Claim(ctx context.Context, kinds []string, lease time.Duration, n int) ([]*Chore, error) {
	if len(kinds) == 0 || n < 1 {
		return nil, nil
	}
	d, err := Ask(ctx, s, func(tx *Tx) (due, error) { return tx.look(kinds) }) // which takes no lock
	if err != nil || !d.free && len(d.heads) == 0 {
		return nil, err
	}
	var claimed []*Chore
	err = s.Write(ctx, "", func(tx *Tx) error {
		claimed = nil
		found, err := tx.choose(d, kinds, n)
		if err != nil {
			return err
		}
		for _, c := range found {
			if c.State == ChoreLeased && c.spent(tx.now) {
				if err := tx.die(c, fmt.Sprintf("its worker went away %d times without a word", c.Attempts)); err != nil {
					return err
				}
				continue
			}
			if err := tx.lease(c, lease); err != nil {
				return err
			}
			claimed = append(claimed, c)
		}
		return nil
	})
	if err != nil {
		return nil, err // nothing is ours that is not written down, as when the disk is full
	}
	return claimed, nil
}

// due is what there is to claim: whether there is any chore without a lane, and the
// chores that are the first of theirs.
type due struct {
	free  bool
	heads []any // ids
}

// What orders chores. byID keeps SQLite from going through all that are due by the
// index of next, where their ids are known.
const (
	byNext = "next"
	byID   = "next + 0"
)

// ready chooses the chores of some kinds that are due, or whose lease has ended.
func (t *Tx) ready(next string, kinds []string) *where {
	w := &where{}
	w.and(next+" <= ?", database.Micros(t.now))
	in(w, "kind", kinds)
	return w
}

// look finds what is due. The lanes are gone through one by one by their index,
// for behind the first of a lane there may be thousands that wait.
func (t *Tx) look(kinds []string) (due, error) {
	w := t.ready(byNext, kinds)
	w.and("lane = ''")
	var n int
	err := t.tx.QueryRow("SELECT COUNT(*) FROM (SELECT 1 FROM chores"+w.String()+" LIMIT 1) AS found", w.args...).Scan(&n)
	if err != nil {
		return due{}, err
	}
	heads, err := all(t, scanID, `
		WITH RECURSIVE lanes (lane) AS (
			SELECT MIN(lane) FROM chores WHERE next IS NOT NULL AND lane <> ''
			UNION ALL
			SELECT (SELECT MIN(c.lane) FROM chores AS c WHERE c.next IS NOT NULL AND c.lane <> '' AND c.lane > lanes.lane)
			FROM lanes WHERE lanes.lane IS NOT NULL)
		SELECT (SELECT MIN(c.id) FROM chores AS c WHERE c.next IS NOT NULL AND c.lane <> '' AND c.lane = lanes.lane)
		FROM lanes WHERE lanes.lane IS NOT NULL`)
	if err != nil || len(heads) == 0 {
		return due{free: n > 0}, err
	}
	w = t.ready(byID, kinds)
	w.and("id IN ("+marks(len(heads))+")", heads...)
	heads, err = all(t, scanID, "SELECT id FROM chores"+w.String()+" ORDER BY "+byID+", id", w.args...)
	return due{free: n > 0, heads: heads}, err
}

func scanID(row scanner) (any, error) {
	var id int64
	err := row.Scan(&id)
	return id, err
}

// choose locks up to n chores of those that are due, as far as nobody else has them,
// those first that have waited longest.
func (t *Tx) choose(d due, kinds []string, n int) ([]*Chore, error) {
	take := func(w *where, next string) ([]*Chore, error) {
		return all(t, scanChore, "SELECT "+choreColumns+" FROM chores"+w.String()+" ORDER BY "+next+", id LIMIT ?"+
			t.tx.SkipLocked(), append(w.args, n)...)
	}
	free := t.ready(byNext, kinds)
	free.and("lane = ''")
	found, err := take(free, byNext)
	if err != nil || len(d.heads) == 0 {
		return found, err
	}
	first := t.ready(byID, kinds)
	heads := d.heads[:min(len(d.heads), n)]
	first.and("id IN ("+marks(len(heads))+")", heads...)
	first.and(`NOT EXISTS (SELECT 1 FROM chores AS e WHERE e.lane = chores.lane AND e.id < chores.id
		AND e.next IS NOT NULL AND e.lane <> '')`) // one before it may have been taken up again meanwhile
	lanes, err := take(first, byID)
	found = append(found, lanes...)
	slices.SortFunc(found, func(a, b *Chore) int {
		return cmp.Or(a.next().Compare(b.next()), cmp.Compare(a.ID, b.ID))
	})
	return found[:min(n, len(found))], err
}

// next is when a chore can be claimed.
func (c *Chore) next() time.Time {
	if c.State == ChoreLeased {
		return c.Lease
	}
	return c.Due
}

func (t *Tx) lease(c *Chore, lease time.Duration) error {
	c.State, c.Owner, c.Lease, c.Error = ChoreLeased, t.s.instance, t.now.Add(lease), ""
	c.Attempts++
	c.Fence++
	_, err := t.tx.Exec("UPDATE chores SET state = ?, owner = ?, next = ?, attempts = ?, fence = ? WHERE id = ?",
		string(c.State), c.Owner, database.Micros(c.Lease), c.Attempts, c.Fence, c.ID)
	return err
}
