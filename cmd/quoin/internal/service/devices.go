package service

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"path/filepath"
	"time"

	"quoin/cmd/quoin/internal/deliver"
	"quoin/cmd/quoin/internal/works"
	"quoin/cmd/quoin/internal/works/flow"
	"quoin/convert/emit"
)

// devices are the machines of the plant as the store keeps them.
func (s *Service) devices() ([]works.Device, error) {
	var all []works.Device
	for _, m := range s.Plant.Machines() {
		d := works.Device{ID: m.ID, Name: m.Name, URL: m.Connection.URL, Dialect: string(m.Connection.Dialect)}
		if m.Connection.Folder != "" {
			var err error
			if d.Folder, err = filepath.Abs(m.Connection.Folder); err != nil {
				return nil, fmt.Errorf("find the hot folder of %q: %w", m.ID, err)
			}
		}
		all = append(all, d)
	}
	return all, nil
}

// deviceURLs are the addresses that devices have in the plant file.
func (s *Service) deviceURLs() (all []string) {
	for _, m := range s.Plant.Machines() {
		if m.Connection.URL != "" {
			all = append(all, m.Connection.URL)
		}
	}
	return all
}

// introduce makes the devices known, and subscribes to those that the service has not
// subscribed to yet with these addresses.
func (s *Service) introduce(ctx context.Context) error {
	devices, err := s.devices()
	if err != nil {
		return err
	}
	return s.parts.Store.Write(ctx, "", func(tx *works.Tx) error {
		if err := tx.KeepDevices(devices); err != nil {
			return err
		}
		for _, d := range devices {
			if d.URL == "" {
				continue
			}
			if err := subscribe(tx, d, s.parts.Public, "first"); err != nil {
				return err
			}
		}
		return nil
	})
}

// subscribe enqueues that a device is asked to tell what it does; once for the same
// addresses and occasion.
func subscribe(tx *works.Tx, d works.Device, public, occasion string) error {
	sum := sha256.Sum256(fmt.Appendf(nil, "%q %q %q", d.URL, d.Dialect, public))
	_, _, err := tx.Enqueue(works.NewChore{
		Kind: works.ChoreSubscribe, Subject: d.ID, Version: hex.EncodeToString(sum[:6]) + "-" + occasion,
	})
	return err
}

// silence is how long a device that was asked to tell of itself every minute may say
// nothing before it is asked anew: it may have been started again, and have forgotten.
const silence = 10 * time.Minute

// resubscribe asks devices anew that have fallen silent, at most once an hour each.
func (s *Service) resubscribe(ctx context.Context) error {
	return s.parts.Store.Write(ctx, "", func(tx *works.Tx) error {
		devices, err := tx.Devices()
		if err != nil {
			return err
		}
		now := tx.Now()
		for _, d := range devices {
			if d.URL == "" || now.Sub(d.Heard) < silence {
				continue
			}
			subs, err := tx.Subscriptions(works.SubscriptionFilter{Side: works.Ours, Peer: d.ID})
			if err != nil {
				return err
			}
			if len(subs) == 0 || now.Sub(subs[0].Since) < time.Hour {
				continue
			}
			if err := subscribe(tx, *d, s.parts.Public, now.UTC().Format("2006010215")); err != nil {
				return err
			}
		}
		return nil
	})
}

// busy tells when machines are to work on other tickets.
func (s *Service) busy(ctx context.Context, ticket int64, devices []string) (map[string][]emit.Span, error) {
	busy := map[string][]emit.Span{}
	err := s.parts.Store.Read(ctx, func(tx *works.Tx) error {
		clear(busy)
		for _, id := range devices {
			steps, err := tx.DeviceSteps(id)
			if err != nil {
				return err
			}
			for _, p := range steps {
				if p.Ticket != ticket && !p.Start.IsZero() {
					busy[id] = append(busy[id], emit.Span{Start: p.Start, End: p.End})
				}
			}
		}
		return nil
	})
	return busy, err
}

// delivered counts an attempt to deliver, and writes it to the log.
func (s *Service) delivered(d *works.Delivery, sent flow.Sent, failure error) {
	log := s.Log.With("delivery", d.ID, "kind", d.Kind, "messageId", d.MessageID, "address", works.Bare(d.Address), "ticket", d.Ticket)
	switch {
	case failure != nil:
		s.metrics.deliveries.WithLabelValues(d.Kind, "failed").Inc()
		log.Warn("delivery failed", "attempt", d.Attempts+1, "error", failure)
	case sent.Refused:
		s.metrics.deliveries.WithLabelValues(d.Kind, "refused").Inc()
		log.Warn("delivery refused", "reason", sent.Reason)
	default:
		s.metrics.deliveries.WithLabelValues(d.Kind, "delivered").Inc()
		log.Info("delivered", "status", sent.Answer.Status, "entry", sent.Queued)
	}
}

var _ flow.Sender = (*deliver.Sender)(nil)
