package database

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"net/url"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"sync"

	_ "github.com/jackc/pgx/v5/stdlib" // the driver of PostgreSQL
	_ "modernc.org/sqlite"             // the driver of SQLite
)

// DB is an open database. It is safe for concurrent use.
type DB struct {
	dialect Dialect
	name    string  // for messages: the file, or the address without its password
	write   *sql.DB // one connection on SQLite, which has one writer anyway
	read    *sql.DB

	mu         sync.Mutex
	components []component // migrated so far, in order
}

// Open opens the SQLite file at a path, which is made when it is missing, or
// the database of a postgres:// address. The error says what could not be
// opened and never holds a password.
func Open(ctx context.Context, at string) (*DB, error) {
	if strings.HasPrefix(at, "postgres://") || strings.HasPrefix(at, "postgresql://") {
		return openPostgres(ctx, at)
	}
	if scheme, _, found := strings.Cut(at, "://"); found {
		return nil, fmt.Errorf("open store: %q is not a kind of store; name a file, or a postgres:// address", scheme)
	}
	return openSQLite(ctx, at)
}

func openSQLite(ctx context.Context, path string) (*DB, error) {
	if path == "" {
		return nil, errors.New("open store: no file named")
	}
	if info, err := os.Stat(filepath.Dir(path)); err != nil || !info.IsDir() {
		return nil, fmt.Errorf("open store %q: its folder is missing; make it first", path)
	}
	if err := private(path); err != nil {
		return nil, fmt.Errorf("open store: %w", err)
	}
	common := []string{"busy_timeout(10000)", "journal_mode(WAL)", "synchronous(FULL)", "foreign_keys(ON)", "temp_store(MEMORY)"}
	writer := sqliteName(path, append(common, "cache_size(-65536)"))
	writer += "&_txlock=immediate"
	write, err := sql.Open("sqlite", writer)
	if err != nil {
		return nil, fmt.Errorf("open store %q: %w", path, err)
	}
	write.SetMaxOpenConns(1)
	if err := write.PingContext(ctx); err != nil {
		write.Close()
		return nil, fmt.Errorf("open store %q: %w; is it a file of Quoin, on a disk that can be written?", path, err)
	}
	read, err := sql.Open("sqlite", sqliteName(path, append(common, "query_only(ON)")))
	if err != nil {
		write.Close()
		return nil, fmt.Errorf("open store %q: %w", path, err)
	}
	read.SetMaxOpenConns(max(4, runtime.GOMAXPROCS(0)*2))
	return &DB{dialect: SQLite, name: path, write: write, read: read}, nil
}

// private makes a new file that only its owner can read: tickets name
// customers, and the store keeps who did what.
func private(path string) error {
	f, err := os.OpenFile(path, os.O_CREATE|os.O_RDWR, 0o600)
	if err != nil {
		return err
	}
	return f.Close()
}

func sqliteName(path string, pragmas []string) string {
	q := url.Values{"_pragma": pragmas}
	return (&url.URL{Scheme: "file", Opaque: (&url.URL{Path: path}).EscapedPath(), RawQuery: q.Encode()}).String()
}

func openPostgres(ctx context.Context, address string) (*DB, error) {
	name := "PostgreSQL"
	if u, err := url.Parse(address); err == nil {
		name = u.Redacted()
	}
	db, err := sql.Open("pgx", address)
	if err != nil {
		return nil, fmt.Errorf("open store %s: the address cannot be read; want postgres://user@host/database", name)
	}
	db.SetMaxOpenConns(16)
	db.SetMaxIdleConns(8)
	if err := db.PingContext(ctx); err != nil {
		db.Close()
		return nil, fmt.Errorf("open store %s: %w", name, err)
	}
	return &DB{dialect: Postgres, name: name, write: db, read: db}, nil
}

// Close closes it, after the transactions that run.
func (d *DB) Close() error {
	if d.dialect == Postgres {
		return d.write.Close()
	}
	return errors.Join(d.read.Close(), d.write.Close())
}

// Dialect is the kind of the database.
func (d *DB) Dialect() Dialect { return d.dialect }

// Name is the file, or the address without its password.
func (d *DB) Name() string { return d.name }
