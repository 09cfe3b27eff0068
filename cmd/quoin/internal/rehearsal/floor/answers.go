package floor

import (
	"context"
	"slices"
	"strings"
	"time"

	"github.com/shopspring/decimal"

	"quoin/cmd/quoin/internal/compose"
	"quoin/cmd/quoin/internal/dialog"
	"quoin/cmd/quoin/internal/rehearsal"
	"quoin/cmd/quoin/internal/rehearsal/report"
	"quoin/jdf/job"
	"quoin/jdf/message"
)

// Return is refused: a machine submits nothing, so that nothing comes back.
func (d *device) Return(context.Context, dialog.From, dialog.Return) error {
	return dialog.Refuse(message.EntryUnknown, "%s has submitted nothing that could be returned", d.channel.Device)
}

// Request is refused: a machine has no work for others.
func (d *device) Request(context.Context, dialog.From, *message.EntryRequest) error {
	return dialog.Refuse(message.NotImplemented, "%s is a machine and has no work to give", d.channel.Device)
}

// Devices tells of the machine itself.
func (d *device) Devices(_ context.Context, _ dialog.From, f *message.DeviceFilter) ([]compose.Device, error) {
	if f != nil && f.Devices.Given && !slices.Contains(f.Devices.Value, d.channel.Device) {
		return nil, nil
	}
	return []compose.Device{{
		ID: d.channel.Device, Name: d.channel.Device + " (rehearsed)", URL: d.address(), State: d.now().State,
		MessageVersions: []string{"1.6", "2.2"},
	}}, nil
}

// Status tells what the machine is doing.
func (d *device) Status(_ context.Context, _ dialog.From, q *message.StatusQuery) ([]compose.DeviceState, error) {
	if q != nil && q.JobID.Given && !d.knows(q.JobID.Value) {
		return nil, dialog.Refuse(message.JobIDUnknown, "job %q is not known to %s", q.JobID.Value, d.channel.Device)
	}
	return []compose.DeviceState{d.now()}, nil
}

func (d *device) knows(id string) bool {
	d.lock.Lock()
	defer d.lock.Unlock()
	return slices.ContainsFunc(d.entries, func(e *entry) bool { return e.JobID == id })
}

// now is what the machine does at this moment.
func (d *device) now() compose.DeviceState {
	d.lock.Lock()
	defer d.lock.Unlock()
	s := compose.DeviceState{Device: d.channel.Device, State: "Idle", IdleSince: d.free}
	a, p, busy := d.current()
	if !busy {
		return s
	}
	count := func(n int) decimal.NullDecimal { return decimal.NewNullDecimal(decimal.NewFromInt(int64(n))) }
	s.Operator, s.Details, s.State = a.Operator, p.Reason, report.Second.DeviceStatus(p.State)
	s.Phases = []compose.Phase{{
		JobID: a.Job, PartID: a.Part, Entry: d.running.ID, State: report.NodeStatus(p.State), Details: p.Reason,
		JobStart: d.running.Start, Start: p.Start, Good: count(p.Good), Waste: count(p.Waste),
		JobGood: count(a.Good), JobWaste: count(a.Waste), Target: count(a.Out), CostCentre: a.Centre,
	}}
	return s
}

// current is the act that runs and the phase that it is in, both with what was
// made so far; false when there is none. The lock is held.
func (d *device) current() (rehearsal.Act, rehearsal.Phase, bool) {
	if d.running == nil || len(d.running.acts) == 0 {
		return rehearsal.Act{}, rehearsal.Phase{}, false
	}
	a, now := *d.running.acts[len(d.running.acts)-1], d.floor.Clock.Now()
	i := slices.IndexFunc(a.Phases, func(p rehearsal.Phase) bool { return !now.Before(p.Start) && now.Before(p.End) })
	if i < 0 {
		return a, rehearsal.Phase{}, false
	}
	p := a.Phases[i]
	a.Cut(now.Truncate(time.Second))
	if n := len(a.Phases); n > 0 && a.Phases[n-1].Start.Equal(p.Start) {
		return a, a.Phases[n-1], true
	}
	p.Good, p.Waste = 0, 0 // it has only just begun
	return a, p, true
}

// Resources tells what was used and made for jobs.
func (d *device) Resources(
	_ context.Context, _ dialog.From, q *message.ResourceQuery,
) ([]compose.ResourceReport, error) {
	var all []compose.ResourceReport
	for _, a := range d.truth() {
		if q != nil && q.JobID.Given && q.JobID.Value != a.Job || q != nil && q.PartID.Given && q.PartID.Value != a.Part {
			continue
		}
		for _, u := range a.Uses {
			amount := compose.Amount{Lot: u.Lot, Good: decimal.NewNullDecimal(u.Good), Waste: decimal.NewNullDecimal(u.Waste)}
			if u.Separation != "" && !strings.ContainsAny(u.Separation, ", ") {
				amount.Part = job.NewPart("Separation", u.Separation)
			}
			all = append(all, compose.ResourceReport{
				JobID: a.Job, PartID: a.Part, Entry: a.QueueID, Scope: "Job", Kind: u.Kind, Usage: u.Usage, Unit: u.Unit,
				ProductID: u.ID, Device: d.channel.Device, Amounts: []compose.Amount{amount},
			})
		}
	}
	return all, nil
}

// Subscribe keeps a subscription to the host that may be called.
func (d *device) Subscribe(_ context.Context, from dialog.From, s dialog.Subscription) error {
	if !d.floor.allowed(s.URL) {
		return dialog.Refuse(message.SubscriptionDenied,
			"signals are not sent to %q; this rehearsal sends to %s alone, see --to", s.URL, d.floor.To.Hostname())
	}
	c := channel{
		Channel: compose.Channel{ID: s.Channel, Type: s.Type, Sender: from.Sender, Subscription: s.Subscription},
		speaks:  report.Second,
	}
	if from.Version.Major == 1 {
		c.speaks = report.First
	}
	d.lock.Lock()
	defer d.lock.Unlock()
	d.channels = slices.DeleteFunc(d.channels, func(old channel) bool { return old.ID == c.ID && old.Sender == c.Sender })
	d.channels = append(d.channels, c)
	d.floor.Log.Info("subscribed", "device", d.channel.Device, "type", c.Type, "url", s.URL, "by", from.Sender)
	return nil
}

// Channels lists the subscriptions of the sender.
func (d *device) Channels(
	_ context.Context, from dialog.From, f *message.SubscriptionFilter,
) ([]compose.Channel, error) {
	d.lock.Lock()
	defer d.lock.Unlock()
	var all []compose.Channel
	for _, c := range d.channels {
		if c.Sender == from.Sender && (f == nil || !f.URL.Given || f.URL.Value == c.Subscription.URL) {
			all = append(all, c.Channel)
		}
	}
	return all, nil
}

// Stop ends subscriptions of the sender.
func (d *device) Stop(_ context.Context, from dialog.From, s *message.StopChannel) ([]compose.Channel, error) {
	d.lock.Lock()
	defer d.lock.Unlock()
	var ended []compose.Channel
	d.channels = slices.DeleteFunc(d.channels, func(c channel) bool {
		ends := c.Sender == from.Sender && (!s.Channel.Given || s.Channel.Value == c.ID) &&
			(s.Type.Value == "" || s.Type.Value == c.Type) && (!s.URL.Given || s.URL.Value == c.Subscription.URL)
		if ends {
			ended = append(ended, c.Channel)
		}
		return ends
	})
	return ended, nil
}

// Told takes no notice: a machine listens to nobody's signals.
func (d *device) Told(context.Context, dialog.From, *message.Message) error { return nil }

// Fetch is refused: a rehearsed machine calls nobody but to report.
func (d *device) Fetch(_ context.Context, _ dialog.From, address string) (dialog.Ticket, error) {
	return dialog.Ticket{}, dialog.RefuseURL(address)
}
