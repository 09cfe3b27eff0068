package alerts_test

import (
	"context"
	"encoding/json"
	"log/slog"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"quoin/cmd/quoin/internal/access"
	"quoin/cmd/quoin/internal/alerts"
	"quoin/cmd/quoin/internal/service"
	"quoin/cmd/quoin/internal/works"
	"quoin/validate/plant"
)

// instance is what a service gives to the addition, with a name among those that share a store.
func instance(t *testing.T, at, name string, clock func() time.Time) *service.Parts {
	p := &plant.Plant{Name: "Saltmarsh Print Works", Zone: time.UTC, Alerts: &plant.Alerts{Refused: true}}
	db, _, books, err := service.OpenStore(t.Context(), at, p, clock)
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, db.Close()) })
	store, err := works.Open(t.Context(), db, works.Options{Clock: clock, Instance: name})
	require.NoError(t, err)
	return &service.Parts{Store: store, Ledger: books, Plant: p, Clock: clock, Log: slog.New(slog.DiscardHandler),
		Hosts: func() []access.Host { return nil }}
}

func TestOneInstanceLooks(t *testing.T) {
	at, now := filepath.Join(t.TempDir(), "quoin.db"), start
	clock := func() time.Time { return now }
	one, two := instance(t, at, "one", clock), instance(t, at, "two", clock)
	lease := func(p *service.Parts) bool {
		mine, err := alerts.Lease(t.Context(), p.Store, time.Minute)
		require.NoError(t, err)
		return mine
	}
	require.True(t, lease(one))
	require.False(t, lease(two))
	now = now.Add(50 * time.Second)
	require.True(t, lease(one), "who looks goes on")
	now = now.Add(50 * time.Second)
	require.False(t, lease(two))
	now = now.Add(time.Minute)
	require.True(t, lease(two), "who has gone is followed")
	require.False(t, lease(one))
}

func TestAdditionLooks(t *testing.T) {
	p := instance(t, filepath.Join(t.TempDir(), "quoin.db"), "one", time.Now)
	require.NoError(t, p.Store.Write(t.Context(), "mis", func(tx *works.Tx) error {
		k, err := tx.Submit(works.Submission{Job: "SM-1", Partner: "mis", Body: []byte("<XJDF/>")})
		if err != nil {
			return err
		}
		_, err = tx.Check(k.ID, works.Checked{Refused: true, Reason: "refused with 1 error", Report: []byte("{}")})
		return err
	}))
	ctx, cancel := context.WithCancel(t.Context())
	done := make(chan error, 1)
	addition := alerts.Addition(".")
	go func() { done <- addition.Run(ctx, p) }()
	require.Eventually(t, func() bool {
		list, err := works.Ask(t.Context(), p.Store, func(tx *works.Tx) ([]*works.Alert,
			error) {
			return tx.Alerts(works.AlertFilter{})
		})
		return err == nil && len(list) == 1 && list[0].Kind == plant.AlertRefused
	}, 10*time.Second, 20*time.Millisecond)
	cancel()
	require.NoError(t, <-done)
}

func TestAdditionKeepsToTheAllowList(t *testing.T) {
	p := instance(t, filepath.Join(t.TempDir(), "quoin.db"), "one", time.Now)
	address, _ := post(t)
	p.Plant.Alerts.Notices = []*plant.Notice{{ID: "all", Webhook: "http://" + address + "/"}}
	data, err := json.Marshal(alerts.Gathered{Notice: "all", Alerts: []alerts.GatheredItem{{ID: 1, Text: "a"}}})
	require.NoError(t, err)
	send := alerts.Addition(".").Handlers(p)[alerts.ChoreNotice]
	require.ErrorIs(t, send(t.Context(), &works.Chore{Kind: alerts.ChoreNotice, Subject: "all", Data: data}),
		access.ErrHost)
	p.Plant.Alerts = nil
	require.ErrorContains(t, send(t.Context(), &works.Chore{Data: data}), "no alerts any more")
}
