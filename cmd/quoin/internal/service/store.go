package service

import (
	"context"
	"errors"
	"time"

	"quoin/cmd/quoin/internal/database"
	"quoin/cmd/quoin/internal/deliver"
	"quoin/cmd/quoin/internal/ledger"
	"quoin/cmd/quoin/internal/office"
	"quoin/cmd/quoin/internal/works"
	"quoin/validate/plant"
)

// OpenStore opens the store of a service with all its tables, which are made where
// they are missing. The plant may be nil for backup and restore. The database is the
// caller's to close.
func OpenStore(ctx context.Context, at string, p *plant.Plant, clock func() time.Time) (
	db *database.DB, store *works.Store, books *ledger.Ledger, err error,
) {
	if db, err = database.Open(ctx, at); err != nil {
		return nil, nil, nil, err
	}
	store, err = works.Open(ctx, db, works.Options{Clock: clock})
	if err == nil {
		books, err = ledger.Open(ctx, db, p)
	}
	for _, prepare := range []func(context.Context, *database.DB) error{office.Prepare, deliver.Prepare} {
		if err == nil {
			err = prepare(ctx, db)
		}
	}
	if err != nil {
		return nil, nil, nil, errors.Join(err, db.Close())
	}
	return db, store, books, nil
}
