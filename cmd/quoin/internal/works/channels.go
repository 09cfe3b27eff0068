package works

import (
	"errors"
	"time"

	"quoin/cmd/quoin/internal/database"
)

const subscriptionColumns = `id, side, peer, channel, query, dialect, url, repeat_time, repeat_step, reliable,
	filter, since,
	last, next, amount, n, state`

func scanSubscription(row scanner) (*Subscription, error) {
	s := &Subscription{}
	var reliable int64
	err := row.Scan(&s.ID, &s.Side, &s.Peer, &s.Channel, &s.Query, &s.Dialect, &s.URL, span{&s.RepeatTime}, &s.RepeatStep,
		&reliable, &s.Filter, micros{&s.Since}, micros{&s.Last}, micros{&s.Next}, &s.Amount, &s.Count, &s.State)
	s.Reliable = reliable != 0
	return s, err
}

// Subscribe keeps a subscription. One of the same side, peer and channel is
// replaced, and what it was last told is forgotten. Next is what the caller says,
// else one RepeatTime from now.
func (t *Tx) Subscribe(s Subscription) (*Subscription, error) {
	if s.Next.IsZero() && s.RepeatTime > 0 {
		s.Next = t.now.Add(s.RepeatTime)
	}
	s.Since = t.now
	id, err := t.tx.Insert(`INSERT INTO subscriptions (side, peer, channel, query, dialect, url, repeat_time, repeat_step,
		reliable, filter, since, last, next, amount, n, state) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, 0, ?, '0', 0, '')
		ON CONFLICT (side, peer, channel) DO UPDATE SET query = excluded.query, dialect = excluded.dialect,
		url = excluded.url, repeat_time = excluded.repeat_time, repeat_step = excluded.repeat_step,
		reliable = excluded.reliable, filter = excluded.filter, since = excluded.since, last = 0, next = excluded.next,
		amount = '0', n = 0, state = ''`, string(s.Side), s.Peer, s.Channel, s.Query, s.Dialect, s.URL,
		s.RepeatTime.Microseconds(), s.RepeatStep, number(s.Reliable), s.Filter, database.Micros(s.Since),
		database.Micros(s.Next))
	if err != nil {
		return nil, err
	}
	return one(t, "subscription", id, scanSubscription,
		"SELECT "+subscriptionColumns+" FROM subscriptions WHERE id = ?", id)
}

func (f *SubscriptionFilter) where() *where {
	w := &where{}
	has(w, "side = ?", string(f.Side))
	has(w, "peer = ?", f.Peer)
	has(w, "channel = ?", f.Channel)
	has(w, "query = ?", f.Query)
	has(w, "url = ?", f.URL)
	if !f.Due.IsZero() {
		w.and("next <> 0 AND next <= ?", database.Micros(f.Due))
	}
	return w
}

// Unsubscribe ends the subscriptions that a filter chooses, and gives them. An
// empty filter is an error, for nobody means all of both sides.
func (t *Tx) Unsubscribe(f SubscriptionFilter) ([]*Subscription, error) {
	if f == (SubscriptionFilter{}) {
		return nil, errors.New("end subscriptions: say which")
	}
	w := f.where()
	return all(t, scanSubscription, "DELETE FROM subscriptions"+w.String()+" RETURNING "+subscriptionColumns, w.args...)
}

// Subscriptions lists subscriptions, oldest first. In a Write they are locked until
// the end, so that only one tells the same news.
func (t *Tx) Subscriptions(f SubscriptionFilter) ([]*Subscription, error) {
	w := f.where()
	return all(t, scanSubscription, "SELECT "+subscriptionColumns+" FROM subscriptions"+w.String()+" ORDER BY id"+t.lock,
		w.args...)
}

// Tell records that a signal of a subscription was made. One that has ended
// meanwhile is ErrUnknown.
func (t *Tx) Tell(subscription int64, told Told) error {
	if told.At.IsZero() {
		told.At = t.now
	}
	n, err := t.tx.Exec("UPDATE subscriptions SET last = ?, next = ?, amount = ?, state = ?, n = n + 1 WHERE id = ?",
		database.Micros(told.At), database.Micros(told.Next), told.Amount.String(), told.State, subscription)
	if err == nil && n == 0 {
		err = unknown("subscription", subscription)
	}
	return err
}

// Following is when a subscription is due again after a moment: the next multiple
// of its RepeatTime since it began, zero when it has none.
func (s *Subscription) Following(at time.Time) time.Time {
	if s.RepeatTime <= 0 {
		return time.Time{}
	}
	rounds := at.Sub(s.Since)/s.RepeatTime + 1
	return s.Since.Add(rounds * s.RepeatTime)
}
