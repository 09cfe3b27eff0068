package office

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"log/slog"
	"sync"
	"time"

	"quoin/cmd/quoin/internal/access"
	"quoin/cmd/quoin/internal/database"
	"quoin/cmd/quoin/internal/deliver"
	"quoin/cmd/quoin/internal/desk"
	"quoin/cmd/quoin/internal/dialog"
	"quoin/cmd/quoin/internal/ledger"
	"quoin/cmd/quoin/internal/works"
	"quoin/cmd/quoin/internal/works/flow"
	"quoin/jdf/message"
	"quoin/validate/plant"
)

// Options are what an office works with. Store, Desk, Flow, Plant, Composer and Hosts
// are needed.
type Options struct {
	Store    *works.Store
	Desk     *desk.Desk
	Flow     *flow.Flow
	Plant    *plant.Plant
	Ledger   *ledger.Ledger // for what was used of materials; nil tells nothing of it
	Composer *deliver.Composer
	Hosts    *deliver.Hosts

	// Partner finds a partner by name, for what it may see in signals; nil knows none,
	// and tells everybody all.
	Partner func(name string) *access.Partner

	// Wait is how long the sender of a ticket waits for its check, before it is told
	// that an acknowledge follows. Default 3 seconds.
	Wait time.Duration

	// Most is how many entries the queue takes. Default 0, for no limit.
	Most int

	Log *slog.Logger // default slog.Default
}

// Office is the Works of the message endpoint. It is safe for concurrent use.
type Office struct {
	Options

	mu   sync.Mutex
	told map[int64]time.Time // documents that said something, and are not answered yet
}

// component names the tables of this package; see database.DB.Migrate.
const component = "office"

// Prepare makes the tables that an office needs.
func Prepare(ctx context.Context, db *database.DB) error {
	return db.Migrate(ctx, component, []string{
		"CREATE TABLE effects (receipt BIGINT NOT NULL, place BIGINT NOT NULL, result {blob}, PRIMARY KEY (receipt, place))",
	})
}

// New makes an office.
func New(opt Options) *Office {
	if opt.Wait <= 0 {
		opt.Wait = 3 * time.Second
	}
	if opt.Log == nil {
		opt.Log = slog.Default()
	}
	return &Office{Options: opt, told: map[int64]time.Time{}}
}

// Keep stores a document before anything of it is answered.
func (o *Office) Keep(ctx context.Context, d dialog.Document) (dialog.Receipt, error) {
	got, err := o.Store.Receive(ctx, works.Incoming{
		Partner: d.Partner, Source: works.ByMessage, Origin: d.Origin, Media: d.Media, MessageID: d.MessageID, Body: d.Body,
	})
	if err != nil {
		return dialog.Receipt{}, err
	}
	r := dialog.Receipt{ID: got.ID}
	log := o.Log.With("message", got.ID, "messageId", d.MessageID, "partner", d.Partner, "sender", d.Sender)
	switch a := got.Answer; {
	case a != nil:
		r.Before = &dialog.Reply{Status: a.Status, Media: a.Media, Body: a.Body, Code: message.Code(a.Code)}
		log.InfoContext(ctx, "message came again")
	case got.Clash != 0:
		log.WarnContext(ctx, "message has the id of another with other content", "other", got.Clash)
	default:
		log.DebugContext(ctx, "message stored")
	}
	return r, nil
}

// Answered stores what was answered, and sees to it that what was told is taken up.
func (o *Office) Answered(ctx context.Context, r dialog.Receipt, reply dialog.Reply) error {
	o.mu.Lock()
	_, told := o.told[r.ID]
	o.mu.Unlock()
	err := o.Store.Write(ctx, "", func(tx *works.Tx) error {
		m, err := tx.Message(r.ID)
		if err != nil {
			return err
		}
		if told {
			if err := flow.Collect(tx, m); err != nil {
				return err
			}
		}
		if _, err := tx.Database().Exec("DELETE FROM effects WHERE receipt = ?", r.ID); err != nil {
			return err
		}
		_, err = tx.Answer(r.ID, works.Answer{Status: reply.Status, Code: int(reply.Code), Media: reply.Media,
			Body: reply.Body})
		return err
	})
	if err == nil && told {
		o.mu.Lock()
		delete(o.told, r.ID)
		o.mu.Unlock()
	}
	return err
}

// mostTold is how many documents are remembered of which the answer never came.
const mostTold = 10_000

// tell remembers that a document says something that goes to the books when it is
// answered. Until then its sender has no answer, and has to send it again.
func (o *Office) tell(receipt int64) {
	o.mu.Lock()
	defer o.mu.Unlock()
	now := time.Now()
	if len(o.told) >= mostTold {
		for id, at := range o.told {
			if now.Sub(at) > time.Hour {
				delete(o.told, id)
			}
		}
	}
	o.told[receipt] = now
}

// once runs f in a transaction unless the message had its effect already, and gives
// what it gave then.
func once[T any](ctx context.Context, o *Office, from dialog.From, f func(*works.Tx) (T, error)) (result T, err error) {
	err = o.Store.Write(ctx, from.Partner, func(tx *works.Tx) error {
		var before []byte
		err := tx.Database().QueryRow("SELECT result FROM effects WHERE receipt = ? AND place = ?", from.Receipt, from.Index).
			Scan(&before)
		if err == nil {
			return json.Unmarshal(before, &result)
		}
		if !errors.Is(err, sql.ErrNoRows) {
			return err
		}
		var fresh T
		if fresh, err = f(tx); err != nil {
			return err
		}
		text, err := json.Marshal(fresh)
		if err != nil {
			return fmt.Errorf("note what a message has done: %w", err)
		}
		result = fresh
		_, err = tx.Database().Exec("INSERT INTO effects (receipt, place, result) VALUES (?, ?, ?)", from.Receipt,
			from.Index, text)
		return err
	})
	return result, err
}

// may refuses who has none of the roles. What did not come through a guard is the
// house's own.
func may(ctx context.Context, roles ...access.Role) error {
	p := access.Of(ctx)
	if p == nil || p.May(roles...) {
		return nil
	}
	return dialog.Refuse(message.AuthenticationDenied, "partner %q has no role for this; have the role %q added to it",
		p.Name, roles[0])
}

// all reports whether who asks may see and change what others have submitted.
func all(ctx context.Context, roles ...access.Role) bool {
	p := access.Of(ctx)
	return p == nil || p.May(roles...)
}

// allowed refuses an address that nothing would be sent to.
func (o *Office) allowed(from dialog.From, address, what string) error {
	if address == "" || o.Hosts.Likely(from.Partner, address) {
		return nil
	}
	return dialog.Refuse(message.InvalidParameters,
		"%s is %q, and nothing is sent to that host; have it added to the hosts that the house sends to", what,
		works.Bare(address))
}

var _ dialog.Works = (*Office)(nil)
