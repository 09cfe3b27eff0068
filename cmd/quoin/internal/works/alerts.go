package works

import (
	"database/sql"
	"errors"
	"strconv"

	"quoin/cmd/quoin/internal/database"
)

const alertColumns = "id, kind, key, severity, text, ticket, device, state, first, last, n, who, acked, closed"

func scanAlert(row scanner) (*Alert, error) {
	a := &Alert{}
	return a, row.Scan(&a.ID, &a.Kind, &a.Key, &a.Severity, &a.Text, &a.Ticket, &a.Device, &a.State, micros{&a.First},
		micros{&a.Last}, &a.Count, &a.Who, micros{&a.Acked}, micros{&a.Closed})
}

// live is what only one alert of a kind and key can have while it is not closed.
func live(kind, key string) string { return kind + "\n" + key }

// Raise opens the alert of a kind and key, or counts one more of the one that is
// not closed, with the new text and severity; an acknowledged one stays so. fresh
// says that it was opened.
func (t *Tx) Raise(a Alert) (raised *Alert, fresh bool, err error) {
	now := database.Micros(t.now)
	a.Text = Scrub(a.Text)
	id, err := t.tx.Insert(`INSERT INTO alerts (kind, key, severity, text, ticket, device, state, first, last, n, live)
		VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, 1, ?) ON CONFLICT (live) DO UPDATE SET severity = excluded.severity,
		text = excluded.text, last = excluded.last, n = alerts.n + 1`, a.Kind, a.Key, a.Severity, a.Text, a.Ticket, a.Device,
		string(AlertOpen), now, now, live(a.Kind, a.Key))
	if err != nil {
		return nil, false, err
	}
	raised, err = t.alert(id)
	if err != nil {
		return nil, false, err
	}
	if fresh = raised.Count == 1; fresh {
		t.alerted(raised)
	}
	return raised, fresh, nil
}

func (t *Tx) alert(id int64) (*Alert, error) {
	return one(t, "alert", id, scanAlert, "SELECT "+alertColumns+" FROM alerts WHERE id = ?"+t.lock, id)
}

func (t *Tx) alerted(a *Alert) {
	t.Emit(Event{Kind: EventAlert, Ticket: a.Ticket, Device: a.Device, ID: a.ID, State: string(a.State), Text: a.Text})
}

// Lower closes the alert of a kind and key, for what it is about has passed. It is
// false when there is none that is not closed.
func (t *Tx) Lower(kind, key, why string) (bool, error) {
	a, err := scanAlert(t.tx.QueryRow(`UPDATE alerts SET state = ?, closed = ?, live = NULL WHERE live = ?
		RETURNING `+alertColumns, string(AlertClosed), database.Micros(t.now), live(kind, key)))
	if errors.Is(err, sql.ErrNoRows) {
		return false, nil
	}
	if err != nil {
		return false, err
	}
	a.Text = Scrub(why)
	t.alerted(a)
	return true, nil
}

// AcknowledgeAlert notes that who writes has seen an alert that is open. Others are
// a StateError.
func (t *Tx) AcknowledgeAlert(id int64) (*Alert, error) {
	a, err := t.alert(id)
	if err != nil {
		return nil, err
	}
	if a.State != AlertOpen {
		return nil, &StateError{What: "alert", ID: id, Was: string(a.State), To: string(AlertAcknowledged)}
	}
	a.State, a.Who, a.Acked = AlertAcknowledged, t.who, t.now
	_, err = t.tx.Exec("UPDATE alerts SET state = ?, who = ?, acked = ? WHERE id = ?",
		string(a.State), a.Who, database.Micros(a.Acked), id)
	if err != nil {
		return nil, err
	}
	t.alerted(a)
	return a, t.Log("alert.acknowledge", strconv.FormatInt(id, 10), a.Text)
}

// Alerts lists alerts, the last raised first.
func (t *Tx) Alerts(f AlertFilter) ([]*Alert, error) {
	var w where
	in(&w, "state", f.States)
	has(&w, "kind = ?", f.Kind)
	has(&w, "ticket = ?", f.Ticket)
	if err := w.after(sorting{columns: "last, id", down: true}, f.After); err != nil {
		return nil, err
	}
	return all(t, scanAlert, "SELECT "+alertColumns+" FROM alerts"+w.String()+" ORDER BY last DESC, id DESC"+
		w.page(f.Limit, 100, f.Offset), w.args...)
}
