package office

import (
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"slices"
	"strconv"

	"quoin/cmd/quoin/internal/access"
	"quoin/cmd/quoin/internal/compose"
	"quoin/cmd/quoin/internal/dialog"
	"quoin/cmd/quoin/internal/works"
	"quoin/jdf/message"
)

// digest is a short word for a value, the same for the same.
func digest(v any) string {
	text, err := json.Marshal(v)
	if err != nil { // of plain data, which can be written
		return err.Error()
	}
	sum := sha256.Sum256(text)
	return hex.EncodeToString(sum[:8])
}

// mostNotices is how many events one signal tells; the rest is told by the next.
const mostNotices = 100

// noticeNews tells the events after the last that was told: what becomes of tickets,
// and alerts. The state of the subscription is the number of that event; the first
// time it only begins.
func (o *Office) noticeNews(
	ctx context.Context, tx *works.Tx, from dialog.From, s *works.Subscription, m *message.Message,
) (news, error) {
	if s.State == "" {
		last, err := tx.LastEvent()
		return news{state: strconv.FormatInt(last, 10), silent: true}, err
	}
	n := news{state: s.State, silent: true}
	last, err := strconv.ParseInt(s.State, 10, 64)
	if err != nil {
		return n, fmt.Errorf("read what was last told: %w", err)
	}
	rows, err := tx.Database().Query(`SELECT seq, kind, ticket, device, id, state, text FROM events
		WHERE seq > ? AND kind IN (?, ?) ORDER BY seq LIMIT ?`, last, works.EventTicket, works.EventAlert, mostNotices)
	if err != nil {
		return n, err
	}
	events, err := scanEvents(rows)
	if err != nil || len(events) == 0 {
		return n, err
	}
	n.state = strconv.FormatInt(events[len(events)-1].Seq, 10)
	var notices []compose.Notice
	for _, e := range events {
		notice, tells, err := o.notice(ctx, tx, from, e, m.Params.Notices)
		if err != nil {
			return n, err
		}
		if tells {
			notices = append(notices, notice)
		}
	}
	n.silent = len(notices) == 0
	n.write = func(e *compose.Envelope) {
		for _, notice := range notices {
			e.SignalNotification(s.Channel, notice)
		}
	}
	return n, nil
}

func scanEvents(rows *sql.Rows) (list []works.Event, err error) {
	defer rows.Close()
	for rows.Next() {
		var e works.Event
		if err := rows.Scan(&e.Seq, &e.Kind, &e.Ticket, &e.Device, &e.ID, &e.State, &e.Text); err != nil {
			return nil, err
		}
		list = append(list, e)
	}
	return list, rows.Err()
}

// classes are the classes of notices by the severity of alerts.
var classes = map[string]string{"note": "Information", "warning": "Warning", "error": "Error"}

// notice makes a notice of an event, where who asked may know of it and wants it.
func (o *Office) notice(
	ctx context.Context, tx *works.Tx, from dialog.From, e works.Event, f *message.NoticeFilter,
) (compose.Notice, bool, error) {
	n := compose.Notice{Class: "Event", Text: e.Text, Event: e.State}
	if e.Kind == works.EventAlert {
		n.Class, n.Event = "Warning", ""
		var severity string
		err := tx.Database().QueryRow("SELECT severity FROM alerts WHERE id = ?", e.ID).Scan(&severity)
		if err == nil && classes[severity] != "" {
			n.Class = classes[severity]
		}
	}
	if e.Ticket == 0 {
		return n, all(ctx, access.Reader, access.Operator) && wanted(n, f), nil
	}
	k, err := tx.Ticket(e.Ticket)
	if err != nil {
		return n, false, nil // retention has taken it
	}
	n.JobID, n.PartID, n.Entry = k.Job, k.Part, k.EntryID
	return n, mine(ctx, from, k, access.Reader, access.Operator) && wanted(n, f), nil
}

func wanted(n compose.Notice, f *message.NoticeFilter) bool {
	if f == nil {
		return true
	}
	return (!f.Classes.Given || slices.Contains(f.Classes.Value, n.Class)) &&
		(!f.JobID.Given || f.JobID.Value == n.JobID) && (!f.Entry.Given || f.Entry.Value == n.Entry)
}
