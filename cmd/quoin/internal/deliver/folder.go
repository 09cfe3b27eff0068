package deliver

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	"quoin/cmd/quoin/internal/database"
	"quoin/cmd/quoin/internal/works"
	"quoin/cmd/quoin/internal/works/flow"
)

// component names the tables of this package; see database.DB.Migrate.
const component = "deliver"

// Prepare makes the tables that deliveries need.
func Prepare(ctx context.Context, db *database.DB) error {
	return db.Migrate(ctx, component, []string{
		"CREATE TABLE written (delivery BIGINT PRIMARY KEY, at BIGINT NOT NULL)",
	})
}

// noted is how long it is remembered that a file was written.
const noted = 60 * 24 * time.Hour

// drop puts a file into a hot folder: written under another name first, then noted in
// the store, then renamed. When an earlier attempt broke off after the note, a file
// that is no longer there under its first name got its last one.
func (s *Sender) drop(ctx context.Context, d *works.Delivery, body []byte) (flow.Sent, error) {
	if !filepath.IsLocal(d.Name) {
		return flow.Sent{}, works.Permanent(fmt.Errorf("write into %q: %q is no file name", d.Address, d.Name))
	}
	temp := filepath.Join(d.Address, "."+d.MessageID+".tmp")
	whole, err := s.wasWritten(ctx, d.ID)
	if err != nil {
		return flow.Sent{}, err
	}
	sent := flow.Sent{Answer: works.Answer{At: time.Now()}}
	if whole {
		_, err := os.Stat(temp)
		if errors.Is(err, fs.ErrNotExist) {
			if _, err := os.Stat(d.Address); err != nil {
				return flow.Sent{}, fmt.Errorf("look into the hot folder: %w", err)
			}
			return sent, nil
		}
		if err != nil {
			return flow.Sent{}, fmt.Errorf("look into the hot folder: %w", err)
		}
	} else {
		if err := write(temp, body); err != nil {
			return flow.Sent{}, err
		}
		if err := s.note(ctx, d.ID); err != nil {
			return flow.Sent{}, err
		}
	}
	if err := os.Rename(temp, filepath.Join(d.Address, d.Name)); err != nil {
		return flow.Sent{}, fmt.Errorf("put the ticket into the hot folder: %w", err)
	}
	return sent, nil
}

// write writes a file down to the disk.
func write(path string, data []byte) error {
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_TRUNC, 0o644)
	if err != nil {
		return fmt.Errorf("write into the hot folder: %w", err)
	}
	_, err = f.Write(data)
	if err = errors.Join(err, f.Sync(), f.Close()); err != nil {
		return fmt.Errorf("write into the hot folder: %w", errors.Join(err, os.Remove(path)))
	}
	return nil
}

func (s *Sender) wasWritten(ctx context.Context, delivery int64) (bool, error) {
	var n int
	err := s.Store.DB().Read(ctx, func(tx *database.Tx) error {
		return tx.QueryRow("SELECT COUNT(*) FROM written WHERE delivery = ?", delivery).Scan(&n)
	})
	return n > 0, err
}

func (s *Sender) note(ctx context.Context, delivery int64) error {
	return s.Store.Write(ctx, "", func(tx *works.Tx) error {
		now := tx.Now()
		if _, err := tx.Database().Exec("DELETE FROM written WHERE at < ?", database.Micros(now.Add(-noted))); err != nil {
			return err
		}
		_, err := tx.Database().Exec("INSERT INTO written (delivery, at) VALUES (?, ?)", delivery, database.Micros(now))
		return err
	})
}
