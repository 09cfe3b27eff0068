package office

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"quoin/cmd/quoin/internal/compose"
	"quoin/cmd/quoin/internal/dialog"
	"quoin/cmd/quoin/internal/works"
	"quoin/jdf"
	"quoin/jdf/message"
)

// asked is what a subscription was asked for with, as the store keeps it: the document
// of the query, and where in it the query stands.
type asked struct {
	Partner string `json:"partner"`
	Sender  string `json:"sender"`
	Text    string `json:"text"`
	Place   int    `json:"place"`
}

// peer names who subscribed: several senders may share one partner.
func peer(from dialog.From) string { return from.Partner + " " + from.Sender }

// Subscribe keeps a subscription.
func (o *Office) Subscribe(ctx context.Context, from dialog.From, s dialog.Subscription) error {
	if !o.Hosts.Likely(from.Partner, s.URL) {
		return dialog.Refuse(message.SubscriptionDenied,
			"signals would go to %q, and nothing is sent to that host; have it added to the hosts that the house sends to",
			works.Bare(s.URL))
	}
	text, err := json.Marshal(asked{from.Partner, from.Sender, s.Message.Node.Document().Source.Text, from.Index})
	if err != nil {
		return fmt.Errorf("keep subscription: %w", err)
	}
	_, err = once(ctx, o, from, func(tx *works.Tx) (int64, error) {
		kept, err := tx.Subscribe(works.Subscription{
			Side: works.Theirs, Peer: peer(from), Channel: s.Channel, Query: s.Type, Dialect: dialect(from), URL: s.URL,
			RepeatTime: s.RepeatTime, RepeatStep: int64(s.RepeatStep), Reliable: s.Reliable, Filter: text,
		})
		if err != nil {
			return 0, err
		}
		tx.Emit(works.Event{Kind: works.EventDelivery, ID: kept.ID, State: "subscribed", Text: s.Type})
		return kept.ID, tx.Log("subscribe", s.Channel, s.Type+" to "+s.URL)
	})
	return err
}

// read decodes the query again that a subscription was made with.
func (a *asked) read() (*message.Message, error) {
	doc, _, err := jdf.Read("subscription", bytes.NewReader([]byte(a.Text)), jdf.Limits{})
	if err != nil {
		return nil, fmt.Errorf("read the query of a subscription: %w", err)
	}
	e := message.Decode(doc)
	if a.Place >= len(e.Messages) {
		return nil, fmt.Errorf("read the query of a subscription: it has %d messages, want more than %d", len(e.Messages),
			a.Place)
	}
	return e.Messages[a.Place], nil
}

func channelOf(s *works.Subscription) compose.Channel {
	_, sender, _ := strings.Cut(s.Peer, " ")
	return compose.Channel{
		ID: s.Channel, Type: s.Query, Sender: sender, Subscription: compose.Subscription{
			URL: works.WithoutUser(s.URL), RepeatTime: s.RepeatTime, RepeatStep: int(s.RepeatStep), Reliable: s.Reliable,
		},
	}
}

// Channels lists the subscriptions of the sender.
func (o *Office) Channels(
	ctx context.Context, from dialog.From, f *message.SubscriptionFilter,
) ([]compose.Channel, error) {
	subs, err := works.Ask(ctx, o.Store, func(tx *works.Tx) ([]*works.Subscription, error) {
		return tx.Subscriptions(works.SubscriptionFilter{Side: works.Theirs, Peer: peer(from)})
	})
	if err != nil {
		return nil, err
	}
	var list []compose.Channel
	for _, s := range subs {
		if f != nil && (f.Channel.Given && f.Channel.Value != s.Channel || f.URL.Given && !toldAs(s, f.URL.Value) ||
			f.Types.Given && !slices.Contains(f.Types.Value, s.Query)) {
			continue
		}
		list = append(list, channelOf(s))
	}
	return list, nil
}

// toldAs reports whether a subscription goes to a URL, as it was given or as it is told.
func toldAs(s *works.Subscription, url string) bool {
	return url == s.URL || url == works.WithoutUser(s.URL)
}

// Stop ends subscriptions of the sender.
func (o *Office) Stop(ctx context.Context, from dialog.From, s *message.StopChannel) ([]compose.Channel, error) {
	return once(ctx, o, from, func(tx *works.Tx) ([]compose.Channel, error) {
		subs, err := tx.Subscriptions(works.SubscriptionFilter{
			Side: works.Theirs, Peer: peer(from), Channel: s.Channel.Value, Query: s.Type.Value,
		})
		if err != nil {
			return nil, err
		}
		var list []compose.Channel
		for _, one := range subs {
			if s.URL.Given && !toldAs(one, s.URL.Value) {
				continue
			}
			_, err := tx.Unsubscribe(works.SubscriptionFilter{Side: works.Theirs, Peer: one.Peer, Channel: one.Channel})
			if err != nil {
				return nil, err
			}
			list = append(list, channelOf(one))
			if err := tx.Log("unsubscribe", one.Channel, one.Query+" to "+one.URL); err != nil {
				return nil, err
			}
		}
		return list, nil
	})
}
