package ledger

import (
	"context"
	"fmt"

	"quoin/cmd/quoin/internal/database"
	"quoin/validate/plant"
)

// Ledger is the ledger of a plant in a database. It is safe for concurrent use.
type Ledger struct {
	db    *database.DB
	plant *plant.Plant // nil where none is known

	page  int // how many records of a device are in memory at once, as far as quiet points allow it
	chunk int // how many entries are cut into cells together
	jobs  int // how many jobs make a chapter of the books
}

// The sizes of pages and chunks: large enough for the price of a page to be
// shared, and small enough for memory, and for one chunk to be cut again quickly.
const (
	pageSize  = 5000
	chunkSize = 2000
)

// Open makes the tables where they are missing. The plant gives the calendar and
// the zone of times that say none; without one, nil, entries are kept and cells
// are not. Cells that were cut by another calendar are cut again when they are
// asked for, or at the next import. The database stays the caller's to close.
func Open(ctx context.Context, db *database.DB, p *plant.Plant) (*Ledger, error) {
	if err := db.Migrate(ctx, component, steps); err != nil {
		return nil, err
	}
	l := &Ledger{db: db, plant: p, page: pageSize, chunk: chunkSize, jobs: jobsAtOnce}
	if p == nil {
		return l, nil
	}
	if err := l.recut(ctx); err != nil {
		return nil, fmt.Errorf("open ledger: %w", err)
	}
	return l, nil
}
