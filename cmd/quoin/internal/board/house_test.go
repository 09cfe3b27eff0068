package board_test

import (
	"context"
	"iter"
	"log/slog"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"quoin/cmd/quoin/internal/access"
	"quoin/cmd/quoin/internal/board"
	"quoin/cmd/quoin/internal/database"
	"quoin/cmd/quoin/internal/desk"
	"quoin/cmd/quoin/internal/ledger"
	"quoin/cmd/quoin/internal/works"
	"quoin/convert/emit"
	"quoin/jdf"
	"quoin/validate/plant"
)

const data = "../../../../testdata/"

// house is a works with a store of its own, and a clock that the test turns.
type house struct {
	t       *testing.T
	store   *works.Store
	ledger  *ledger.Ledger
	plant   *plant.Plant
	desk    *desk.Desk
	guard   *access.Guard
	parts   []*access.Partner
	handler http.Handler

	mu  sync.Mutex
	now time.Time
}

func (h *house) clock() time.Time {
	h.mu.Lock()
	defer h.mu.Unlock()
	return h.now
}

// at turns the clock, by the wall of the plant.
func (h *house) at(text string) {
	t, err := time.ParseInLocation("2006-01-02 15:04", text, h.plant.Zone)
	require.NoError(h.t, err)
	h.mu.Lock()
	defer h.mu.Unlock()
	h.now = t
}

const partners = `partners:
  - {name: anna, roles: [operator], token: env:BOARD_TEST_ANNA}
  - {name: ben, roles: [reader], token: env:BOARD_TEST_BEN}
  - {name: harbour-mis, roles: [sender], token: env:BOARD_TEST_MIS}
hosts: [mis.example, 10.20.0.0/16]
`

// open makes a house; with open doors nobody has to log in.
func open(t *testing.T, openDoors bool) *house {
	t.Helper()
	h := &house{t: t}
	var err error
	src, err := os.ReadFile(data + "plant/saltmarsh.yaml")
	require.NoError(t, err)
	h.plant, _ = plant.Load("saltmarsh.yaml", src)
	require.NotNil(t, h.plant)
	h.at("2026-03-04 10:00")
	db, err := database.Open(t.Context(), filepath.Join(t.TempDir(), "store.db"))
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, db.Close()) })
	h.store, err = works.Open(t.Context(), db, works.Options{
		Clock: h.clock, Random: func() float64 { return 0 }, Instance: "saltmarsh-1",
	})
	require.NoError(t, err)
	h.ledger, err = ledger.Open(t.Context(), db, h.plant)
	require.NoError(t, err)
	h.desk, _, err = desk.New(desk.Options{Plant: h.plant, Clock: h.clock, Emitted: h.emitted, Busy: h.busy})
	require.NoError(t, err)
	if openDoors {
		h.guard = access.NewGuard(nil, true, nil)
	} else {
		h.guard = access.NewGuard(h.settings(), false, nil)
	}
	h.handler, err = board.New(board.Parts{
		Store: h.store, Ledger: h.ledger, Plant: h.plant, Desk: h.desk, Guard: h.guard, Clock: h.clock, Version: "1.0-test",
		Partners: func() []*access.Partner { return h.parts }, Place: "saltmarsh.db", Upload: 1 << 20,
		Log: slog.New(slog.NewTextHandler(logger{t}, nil)),
	})
	require.NoError(t, err)
	return h
}

// logger puts the log of the board beside that of the test.
type logger struct{ t *testing.T }

func (l logger) Write(text []byte) (int, error) {
	l.t.Log(strings.TrimSpace(string(text)))
	return len(text), nil
}

func (h *house) settings() *access.Settings {
	h.t.Setenv("BOARD_TEST_ANNA", "anna-has-a-long-token-of-her-own")
	h.t.Setenv("BOARD_TEST_BEN", "ben-has-another-long-token-of-his")
	h.t.Setenv("BOARD_TEST_MIS", "the-mis-has-a-long-token-as-well")
	path := filepath.Join(h.t.TempDir(), "partners.yaml")
	require.NoError(h.t, os.WriteFile(path, []byte(partners), 0o600))
	s, findings, err := access.Load(path)
	require.NoError(h.t, err)
	require.Empty(h.t, findings)
	h.parts = s.Partners
	return s
}

func (h *house) emitted(ctx context.Context, docs []*jdf.Document) error {
	_, _, err := h.ledger.Import(ctx, documents(docs...))
	return err
}

// busy is when the machines are at work on other tickets.
func (h *house) busy(ctx context.Context, ticket int64, devices []string) (map[string][]emit.Span, error) {
	all := map[string][]emit.Span{}
	err := h.store.Read(ctx, func(tx *works.Tx) error {
		for _, d := range devices {
			steps, err := tx.DeviceSteps(d)
			if err != nil {
				return err
			}
			for _, s := range steps {
				if s.Ticket != ticket {
					all[d] = append(all[d], emit.Span{Start: s.Start, End: s.End})
				}
			}
		}
		return nil
	})
	return all, err
}

func documents(docs ...*jdf.Document) iter.Seq2[ledger.Document, error] {
	return func(yield func(ledger.Document, error) bool) {
		for _, d := range docs {
			if !yield(ledger.Document{Document: d}, nil) {
				return
			}
		}
	}
}

func write[T any](h *house, who string, f func(*works.Tx) (T, error)) T {
	h.t.Helper()
	var got T
	require.NoError(h.t, h.store.Write(h.t.Context(), who, func(tx *works.Tx) (err error) {
		got, err = f(tx)
		return err
	}))
	return got
}

func ask[T any](h *house, f func(*works.Tx) (T, error)) T {
	h.t.Helper()
	got, err := works.Ask(h.t.Context(), h.store, f)
	require.NoError(h.t, err)
	return got
}
