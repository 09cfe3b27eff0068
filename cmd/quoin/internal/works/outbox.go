package works

import (
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"errors"
	"strconv"

	"quoin/cmd/quoin/internal/database"
)

// Over reports whether nothing more happens to a delivery in this state.
func (s DeliveryState) Over() bool {
	return s == DeliveryDone || s == DeliveryRefused || s == DeliveryCancelled
}

// MessageID is the id of the message that a delivery of a key is sent with. It is
// an NMTOKEN and an ID of XML, always the same for a key.
func MessageID(key string) string {
	sum := sha256.Sum256([]byte(key))
	return "M" + hex.EncodeToString(sum[:12])
}

const deliveryColumns = `id, key, kind, device, partner, address, media, name, blob, ticket, step, channel, ordered,
	state,
	attempts, error, created, changed, answered, answer_status, answer_code, answer_media, answer_blob`

// delivery is a row of the outbox.
type delivery struct {
	Delivery
	answer Answer
	body   string // blob of the answer
}

func scanDelivery(row scanner) (*delivery, error) {
	d := &delivery{}
	err := row.Scan(&d.ID, &d.Key, &d.Kind, &d.Device, &d.Partner, &d.Address, &d.Media, &d.Name, &d.Blob, &d.Ticket,
		&d.Step, &d.Channel, &d.Ordered, &d.State, &d.Attempts, &d.Error, micros{&d.Created}, micros{&d.Changed},
		micros{&d.answer.At}, &d.answer.Status, &d.answer.Code, &d.answer.Media, &d.body)
	d.MessageID = MessageID(d.Key)
	if !d.answer.At.IsZero() {
		d.Answer = &d.answer
	}
	return d, err
}

// Send puts a delivery into the outbox and enqueues the ChoreDeliver whose subject
// is its number. A key that is there already gives its delivery, as it is now.
func (t *Tx) Send(n NewDelivery) (*Delivery, error) {
	blob, err := t.Keep(n.Body)
	if err != nil {
		return nil, err
	}
	now := database.Micros(t.now)
	id, err := t.tx.Insert(`INSERT INTO deliveries (key, kind, device, partner, address, media, name, blob, ticket,
		step, channel,
		ordered, state, created, changed) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?) ON CONFLICT (key) DO NOTHING`,
		n.Key, n.Kind, n.Device, n.Partner, n.Address, n.Media, n.Name, blob, n.Ticket, n.Step, n.Channel, number(n.Ordered),
		string(DeliveryWaiting), now, now)
	if errors.Is(err, sql.ErrNoRows) {
		if err := t.tx.QueryRow("SELECT id FROM deliveries WHERE key = ?", n.Key).Scan(&id); err != nil {
			return nil, err
		}
		return t.Delivery(id)
	}
	if err != nil {
		return nil, err
	}
	c := NewChore{Kind: ChoreDeliver, Subject: strconv.FormatInt(id, 10), Due: n.Due, Retry: n.Retry}
	if c.Retry == (Retry{}) {
		c.Retry = DeliveryRetry()
	}
	if n.Ordered {
		c.Lane = n.Address
	}
	if _, _, err := t.Enqueue(c); err != nil {
		return nil, err
	}
	return t.Delivery(id)
}

// Delivery gives a delivery, or ErrUnknown. In a Write it is locked until the end.
func (t *Tx) Delivery(id int64) (*Delivery, error) {
	d, err := one(t, "delivery", id, scanDelivery, "SELECT "+deliveryColumns+" FROM deliveries WHERE id = ?"+t.lock, id)
	if err != nil || d.Answer == nil || d.body == "" {
		return &d.Delivery, err
	}
	d.Answer.Body, err = t.Blob(d.body)
	return &d.Delivery, err
}

// Deliveries lists deliveries, newest first, without the bodies of the answers.
func (t *Tx) Deliveries(f DeliveryFilter) ([]*Delivery, error) {
	var w where
	in(&w, "state", f.States)
	has(&w, "device = ?", f.Device)
	has(&w, "ticket = ?", f.Ticket)
	has(&w, "kind = ?", f.Kind)
	if err := w.after(sorting{columns: "id", down: true}, f.After); err != nil {
		return nil, err
	}
	rows, err := all(t, scanDelivery, "SELECT "+deliveryColumns+" FROM deliveries"+w.String()+" ORDER BY id DESC"+
		w.page(f.Limit, 100, f.Offset), w.args...)
	list := make([]*Delivery, len(rows))
	for i, d := range rows {
		list[i] = &d.Delivery
	}
	return list, err
}

// Acknowledge takes the answer of the receiver: the delivery is done, or refused.
// An answer is taken once; first is false when there is one already, which stays.
// The answer to a delivery that was given up or cancelled meanwhile is taken too,
// for the receiver has it.
func (t *Tx) Acknowledge(id int64, a Answer, refused bool) (first bool, err error) {
	d, err := t.Delivery(id)
	if err != nil || d.Answer != nil {
		return false, err
	}
	blob, err := t.Keep(a.Body)
	if err != nil {
		return false, err
	}
	_, err = t.tx.Exec(`UPDATE deliveries SET attempts = attempts + 1, answered = ?, answer_status = ?, answer_code = ?,
		answer_media = ?, answer_blob = ? WHERE id = ?`, database.Micros(t.now), a.Status, a.Code, a.Media, blob, id)
	if err != nil {
		return false, err
	}
	state := DeliveryDone
	if refused {
		state = DeliveryRefused
	}
	return true, t.setDelivery(d, state, "")
}

// Missed records an attempt to deliver that went wrong. Whether there is another
// is up to the chore of the delivery, which takes the delivery with it when it
// dies.
func (t *Tx) Missed(id int64, why error) error {
	n, err := t.tx.Exec("UPDATE deliveries SET attempts = attempts + 1, error = ?, changed = ? WHERE id = ?",
		Scrub(why.Error()), database.Micros(t.now), id)
	if err == nil && n == 0 {
		err = unknown("delivery", id)
	}
	return err
}

// CancelDeliveries cancels what waits to be sent for a step, and gives how many
// deliveries that were. One that is being sent just now may arrive all the same.
func (t *Tx) CancelDeliveries(step int64, reason string) (int, error) {
	waiting, err := all(t, scanDelivery, "SELECT "+deliveryColumns+" FROM deliveries WHERE step = ? AND state = ?"+t.lock,
		step, string(DeliveryWaiting))
	if err != nil {
		return 0, err
	}
	for _, d := range waiting {
		if err := t.setDelivery(&d.Delivery, DeliveryCancelled, reason); err != nil {
			return 0, err
		}
	}
	return len(waiting), nil
}

// setDelivery brings a locked delivery into another state.
func (t *Tx) setDelivery(d *Delivery, to DeliveryState, why string) error {
	d.State, d.Error, d.Changed = to, Scrub(why), t.now
	_, err := t.tx.Exec("UPDATE deliveries SET state = ?, error = ?, changed = ? WHERE id = ?",
		string(to), d.Error, database.Micros(t.now), d.ID)
	t.Emit(Event{Kind: EventDelivery, Ticket: d.Ticket, Device: d.Device, ID: d.ID, State: string(to), Text: d.Error})
	return err
}
