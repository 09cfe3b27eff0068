package office

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"time"

	"quoin/cmd/quoin/internal/compose"
	"quoin/cmd/quoin/internal/deliver"
	"quoin/cmd/quoin/internal/dialog"
	"quoin/cmd/quoin/internal/queue"
	"quoin/cmd/quoin/internal/works"
	"quoin/jdf/message"
)

// ChoreAcknowledge is the kind of chore that tells a sender what became of its ticket
// after it was answered that this follows.
const ChoreAcknowledge = "acknowledge"

// promised is what a chore has to know of the message that it acknowledges.
type promised struct {
	Partner, Sender, MessageID, Address string
	Types                               []string
}

func itoa(n int64) string { return strconv.FormatInt(n, 10) }

// promise enqueues that the sender of a ticket is told of its check, where it has said
// how.
func (o *Office) promise(tx *works.Tx, from dialog.From, k *works.Ticket) error {
	if from.AcknowledgeURL == "" || !o.Hosts.Likely(from.Partner, from.AcknowledgeURL) {
		return nil
	}
	data, err := json.Marshal(promised{from.Partner, from.Sender, from.MessageID, from.AcknowledgeURL, from.Acknowledge})
	if err != nil {
		return err
	}
	_, _, err = tx.Enqueue(works.NewChore{
		Kind: ChoreAcknowledge, Subject: itoa(k.ID), Version: fmt.Sprintf("%d/%d", from.Receipt, from.Index), Data: data,
		Retry: works.Retry{First: time.Second, Most: time.Minute, Within: 24 * time.Hour},
	})
	return err
}

// Handlers are those of the chores that the office brings along.
func (o *Office) Handlers() map[string]works.Handler {
	return map[string]works.Handler{ChoreAcknowledge: o.acknowledge}
}

// acknowledge tells what became of a ticket, as soon as it is checked.
func (o *Office) acknowledge(ctx context.Context, c *works.Chore) error {
	var p promised
	if err := json.Unmarshal(c.Data, &p); err != nil {
		return works.Permanent(fmt.Errorf("read whom to acknowledge: %w", err))
	}
	id, err := strconv.ParseInt(c.Subject, 10, 64)
	if err != nil {
		return works.Permanent(err)
	}
	k, err := works.Ask(ctx, o.Store, func(tx *works.Tx) (*works.Ticket, error) { return tx.Ticket(id) })
	if errors.Is(err, works.ErrUnknown) {
		return works.Permanent(err)
	}
	if err != nil {
		return err
	}
	if k.State == works.Submitted {
		return works.Later(time.Second, errors.New("it is not checked yet"))
	}
	reply := compose.Reply{Type: deliver.Submit, RefID: p.MessageID}
	entry, err := o.verdict(ctx, k)
	var refusal *dialog.Refusal
	switch {
	case errors.As(err, &refusal):
		reply.Outcome = compose.Outcome{Code: refusal.Code, Comments: refusal.Comments}
	case err != nil:
		return err
	default:
		reply.Outcome = compose.Outcome{Code: message.Success}
		reply.Entries = []queue.Entry{entry}
	}
	key := "acknowledge/" + c.Subject + "/" + c.Version
	types := slices.DeleteFunc(slices.Clone(p.Types),
		func(t string) bool { return t != "Received" && t != "Applied" && t != "Completed" })
	if len(types) == 0 {
		types = []string{"Completed"}
	}
	body, media, err := o.Composer.Acknowledge(works.MessageID(key), p.Sender, k.Changed, reply, types)
	if err != nil {
		return err
	}
	return o.Store.Complete(ctx, c, func(tx *works.Tx) error {
		_, err := tx.Send(works.NewDelivery{
			Key: key, Kind: "Acknowledge", Partner: p.Partner, Address: p.Address, Media: media, Body: body, Ticket: k.ID,
			Ordered: true,
		})
		return err
	})
}
