package alerts

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"time"

	"quoin/cmd/quoin/internal/works"
	"quoin/validate/plant"
)

// Who writes alerts into the store.
const who = "alerts"

// Names of what a Watch remembers in the store, so that it goes on after a restart
// and on whichever instance has the chore.
const (
	valueSince = "alerts/past since" // JSON: when each alert that is not closed was first seen past
	valueTold  = "alerts/told"       // id of the last alert that notices went out for
)

// ChoreNotice is the kind of chore that sends one notice to one channel.
const ChoreNotice = "notice"

// Watch raises, closes and tells alerts. It is immutable.
type Watch struct {
	Store   *works.Store
	Limits  *plant.Alerts
	Sources Sources
	Zone    *time.Location // of times in texts; nil is UTC
	Public  string         // URL of the board, for notices; "" leaves links out
}

// matter is what there is one alert of.
type matter struct{ Kind, Key string }

// Look looks once, and brings the alerts of the store up to date. What could not
// be looked at leaves its alerts as they are, and is in the error.
func (w *Watch) Look(ctx context.Context) error {
	if w.Limits == nil {
		return nil
	}
	outside := &look{limits: w.Limits}
	failed := map[string]error{
		plant.AlertColour: outside.colour(ctx, w.Sources),
		plant.AlertDisk:   outside.disk(w.Sources),
	}
	err := w.Store.Write(ctx, who, func(tx *works.Tx) error {
		l := &look{limits: w.Limits, now: tx.Now(), zone: w.Zone, found: slices.Clone(outside.found)}
		if err := l.store(tx); err != nil {
			return err
		}
		if err := w.raise(tx, l.found, failed); err != nil {
			return err
		}
		return w.tell(tx)
	})
	return errors.Join(err, failed[plant.AlertColour], failed[plant.AlertDisk])
}

// raise opens and closes alerts for what was found.
func (w *Watch) raise(tx *works.Tx, found []Condition, failed map[string]error) error {
	open, err := tx.Alerts(works.AlertFilter{States: []works.AlertState{works.AlertOpen, works.AlertAcknowledged}, Limit: 10_000})
	if err != nil {
		return err
	}
	slices.SortStableFunc(found, func(a, b Condition) int { return int(b.Level) - int(a.Level) })
	lives := map[matter]*works.Alert{}
	for _, a := range open {
		lives[matter{a.Kind, a.Key}] = a
	}
	here := map[matter]bool{}
	for _, c := range found {
		m := matter{c.Kind, c.Key}
		if here[m] {
			continue // several of one matter, such as deliveries to one device, are one alert
		}
		here[m] = true // near the limit keeps what is open, and opens nothing
		if a := lives[m]; c.Level < Over || a != nil && a.Text == c.Text && a.Severity == c.Severity {
			continue
		}
		_, _, err := tx.Raise(works.Alert{
			Kind: c.Kind, Key: c.Key, Severity: c.Severity, Text: c.Text, Ticket: c.Ticket, Device: c.Device,
		})
		if err != nil {
			return err
		}
	}
	return w.settle(tx, lives, here, failed)
}

// settle closes what has been past for long enough.
func (w *Watch) settle(tx *works.Tx, lives map[matter]*works.Alert, here map[matter]bool, failed map[string]error) error {
	text, err := tx.Value(valueSince)
	if err != nil {
		return err
	}
	since := map[string]time.Time{}
	if text != "" {
		if err := json.Unmarshal([]byte(text), &since); err != nil {
			return fmt.Errorf("read %s: %w", valueSince, err)
		}
	}
	next := map[string]time.Time{}
	for m, a := range lives {
		if here[m] || failed[m.Kind] != nil {
			continue
		}
		id := strconv.FormatInt(a.ID, 10)
		first, known := since[id]
		if !known {
			first = tx.Now()
		}
		if tx.Now().Sub(first) < w.Limits.Settle {
			next[id] = first
			continue
		}
		if _, err := tx.Lower(m.Kind, m.Key, "past since "+clock(first, w.Zone)); err != nil {
			return err
		}
	}
	raw, err := json.Marshal(next)
	if err != nil {
		return err
	}
	if string(raw) == text {
		return nil
	}
	return tx.SetValue(valueSince, string(raw))
}

// Gathered is what a notice tells: alerts that opened within one stretch.
type Gathered struct {
	Plant  string         `json:"plant,omitempty"`
	Notice string         `json:"notice"` // id of the notice in the plant file
	Alerts []GatheredItem `json:"alerts"`
	Board  string         `json:"board,omitempty"` // where to look
}

// GatheredItem is one alert of a notice.
type GatheredItem struct {
	ID       int64     `json:"id"`
	Kind     string    `json:"kind"`
	Severity string    `json:"severity"`
	Text     string    `json:"text"`
	Device   string    `json:"device,omitempty"`
	Since    time.Time `json:"since"`
}

// tell has notices sent of alerts that nobody was told of, once the first of them
// is old enough for others to have joined it.
func (w *Watch) tell(tx *works.Tx) error {
	if len(w.Limits.Notices) == 0 {
		return nil
	}
	text, err := tx.Value(valueTold)
	if err != nil {
		return err
	}
	told, _ := strconv.ParseInt(text, 10, 64) // nothing yet is 0
	open, err := tx.Alerts(works.AlertFilter{States: []works.AlertState{works.AlertOpen}, Limit: 1000})
	if err != nil {
		return err
	}
	slices.SortFunc(open, func(a, b *works.Alert) int { return int(a.ID - b.ID) })
	open = slices.DeleteFunc(open, func(a *works.Alert) bool { return a.ID <= told })
	if len(open) == 0 || tx.Now().Sub(open[0].First) < w.Limits.Gather {
		return nil
	}
	last := open[len(open)-1].ID
	for _, n := range w.Limits.Notices {
		g := Gathered{Notice: n.ID}
		if w.Public != "" {
			g.Board = w.Public + "/alerts"
		}
		for _, a := range open {
			if n.Wants(a.Kind) {
				g.Alerts = append(g.Alerts, GatheredItem{a.ID, a.Kind, a.Severity, a.Text, a.Device, a.First.UTC()})
			}
		}
		if len(g.Alerts) == 0 {
			continue
		}
		data, err := json.Marshal(g)
		if err != nil {
			return err
		}
		_, _, err = tx.Enqueue(works.NewChore{
			Kind: ChoreNotice, Subject: n.ID, Version: strconv.FormatInt(last, 10), Data: data, Lane: ChoreNotice + " " + n.ID,
		})
		if err != nil {
			return err
		}
	}
	return tx.SetValue(valueTold, strconv.FormatInt(last, 10))
}
