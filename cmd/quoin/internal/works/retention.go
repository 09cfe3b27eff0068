package works

import (
	"context"
	"errors"
	"strconv"
	"strings"
	"time"

	"quoin/cmd/quoin/internal/database"
)

// Retention says how long is kept what is over. Zero keeps it for ever. What is
// still open is always kept: tickets that are not refused, returned or removed,
// with all that belongs to them, messages without an answer, deliveries and
// chores that wait or are dead, and alerts that are not closed.
type Retention struct {
	Contents time.Duration // tickets, plans, findings and device tickets, and the bodies of messages and deliveries
	History  time.Duration // tickets with their history, messages, deliveries, chores and alerts
	Events   time.Duration // the feed of boards
	Log      time.Duration // who did what
}

// Pruned counts what was taken out.
type Pruned struct{ Blobs, Tickets, Messages, Deliveries, Chores, Alerts, Events, Records int64 }

// youngest is how old bytes are at least when they are pruned, so that a
// transaction that has just kept them finds them.
const youngest = 24 * time.Hour

// Prune takes out what is older than a plant wants to keep.
func (s *Store) Prune(ctx context.Context, r Retention) (Pruned, error) {
	var p Pruned
	for _, step := range []func(*Tx) error{
		func(tx *Tx) error { return tx.pruneHistory(r.History, &p) },
		func(tx *Tx) error { return tx.pruneContents(r.Contents) },
		func(tx *Tx) (err error) {
			p.Events, err = tx.prune(r.Events, "DELETE FROM events WHERE at < ?")
			return err
		},
		func(tx *Tx) (err error) {
			p.Records, err = tx.prune(r.Log, "DELETE FROM log WHERE at < ?")
			return err
		},
	} {
		if err := s.Write(ctx, "", step); err != nil {
			return p, err
		}
	}
	for n := int64(blobsAtOnce); n == blobsAtOnce; p.Blobs += n {
		err := s.Write(ctx, "", func(tx *Tx) (err error) {
			n, err = tx.pruneBlobs()
			return err
		})
		if err != nil {
			return p, err
		}
	}
	return p, nil
}

// prune runs a statement with the moment before which things are too old.
func (t *Tx) prune(keep time.Duration, query string) (int64, error) {
	if keep <= 0 {
		return 0, nil
	}
	return t.tx.Exec(query, database.Micros(t.now.Add(-keep)))
}

// over chooses tickets that are over, before a moment.
const over = "state IN ('refused', 'returned', 'removed') AND changed < ?"

func (t *Tx) pruneHistory(keep time.Duration, p *Pruned) error {
	*p = Pruned{}
	for _, q := range []struct {
		count *int64
		query string
	}{
		// Tickets go first; all that belongs to one that is gone follows.
		{&p.Tickets, "DELETE FROM tickets WHERE " + over + ` AND NOT EXISTS (SELECT 1 FROM deliveries
			WHERE deliveries.ticket = tickets.id AND deliveries.state IN ('waiting', 'dead'))`},
		{new(int64), "DELETE FROM turns WHERE at < ? AND NOT EXISTS (SELECT 1 FROM tickets WHERE tickets.id = turns.ticket)"},
		{new(int64), `DELETE FROM steps WHERE changed < ?
			AND NOT EXISTS (SELECT 1 FROM tickets WHERE tickets.id = steps.ticket)`},
		{&p.Deliveries, `DELETE FROM deliveries WHERE changed < ? AND state NOT IN ('waiting', 'dead')
			AND NOT EXISTS (SELECT 1 FROM tickets WHERE tickets.id = deliveries.ticket)`},
		{&p.Chores, "DELETE FROM chores WHERE state IN ('done', 'discarded') AND finished < ?"},
		{&p.Messages, `DELETE FROM inbox WHERE answered <> 0 AND at < ?
			AND NOT EXISTS (SELECT 1 FROM tickets WHERE tickets.inbox = inbox.id)
			AND NOT EXISTS (SELECT 1 FROM chores WHERE chores.kind = 'collect' AND chores.state IN ('waiting', 'leased', 'dead')
				AND chores.subject = CAST(inbox.id AS TEXT))`},
		{&p.Alerts, "DELETE FROM alerts WHERE closed <> 0 AND closed < ?"},
	} {
		n, err := t.prune(keep, q.query)
		if err != nil {
			return err
		}
		*q.count = n
	}
	return nil
}

// pruneContents lets go of the bytes of what is over.
func (t *Tx) pruneContents(keep time.Duration) error {
	var failed error
	for _, query := range []string{
		"UPDATE tickets SET blob = '', findings = '', plan = '', returned = '' WHERE " + over + " AND blob <> ''",
		`UPDATE steps SET ticket_blob = '', returned = '' WHERE changed < ?
			AND ticket IN (SELECT id FROM tickets WHERE blob = '' AND state IN ('refused', 'returned', 'removed'))`,
		`UPDATE inbox SET blob = '' WHERE at < ? AND answered <> 0 AND blob <> ''
			AND NOT EXISTS (SELECT 1 FROM tickets WHERE tickets.inbox = inbox.id AND tickets.blob <> '')
			AND NOT EXISTS (SELECT 1 FROM chores WHERE chores.kind = 'collect' AND chores.state IN ('waiting', 'leased', 'dead')
				AND chores.subject = CAST(inbox.id AS TEXT))`,
		"UPDATE deliveries SET blob = '' WHERE changed < ? AND state NOT IN ('waiting', 'dead') AND blob <> ''",
	} {
		_, err := t.prune(keep, query)
		failed = errors.Join(failed, err)
	}
	return failed
}

// blobsAtOnce is how many blobs go in one transaction, for others wait meanwhile.
const blobsAtOnce = 500

// pruneBlobs takes out bytes that nothing refers to any more.
func (t *Tx) pruneBlobs() (int64, error) {
	query := "DELETE FROM blobs WHERE hash IN (SELECT hash FROM blobs WHERE stored < ?"
	for _, use := range []string{
		"inbox.blob", "inbox.answer_blob", "tickets.blob", "tickets.findings", "tickets.plan", "tickets.returned",
		"steps.ticket_blob", "steps.returned", "deliveries.blob", "deliveries.answer_blob",
	} {
		query += " AND hash NOT IN (SELECT " + use + " FROM " + table(use) + ")"
	}
	return t.prune(youngest, query+" LIMIT "+strconv.Itoa(blobsAtOnce)+")")
}

// table is the table of a column such as inbox.blob.
func table(column string) string {
	name, _, _ := strings.Cut(column, ".")
	return name
}
