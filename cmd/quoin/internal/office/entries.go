package office

import (
	"context"
	"slices"

	"quoin/cmd/quoin/internal/access"
	"quoin/cmd/quoin/internal/dialog"
	"quoin/cmd/quoin/internal/queue"
	"quoin/cmd/quoin/internal/works"
	"quoin/jdf/message"
)

// standing is where the entry of a ticket stands.
func standing(k *works.Ticket) queue.Standing {
	s := queue.Standing{Returns: k.Returns()}
	s.State, _ = queue.ParseState(string(k.Entry))
	switch k.Outcome {
	case works.Done:
		s.End = queue.Completed
	case works.Aborted:
		s.End = queue.Aborted
	}
	return s
}

// entryOf is a ticket as the queue tells it, at a place.
func entryOf(k *works.Ticket, place int64) queue.Entry {
	e := queue.Entry{
		ID: k.EntryID, JobID: k.Job, PartID: k.Part, Standing: standing(k), Details: details(k), Priority: k.Priority,
		Place: place, Submitted: k.Received,
	}
	if e.Standing.State.Begun() || e.Standing.State.Ended() {
		e.Start, e.End = k.Start, k.End
	}
	return e
}

// details is the StatusDetails of an entry: a word, for the standard wants one.
func details(k *works.Ticket) string {
	switch k.State {
	case works.Submitted:
		return "Checking"
	case works.Accepted:
		return "Accepted"
	case works.Planned:
		return "Planned"
	case works.Released:
		return "Released"
	}
	return ""
}

// Entries that are listed: those that wait, those in the queue, and those that are
// done too.
var (
	waiting = []works.Entry{works.EntryWaiting, works.EntryHeld}
	open    = append(slices.Clone(waiting), works.EntryRunning, works.EntrySuspended, works.EntryPending)
	over    = []works.Entry{works.EntryCompleted, works.EntryAborted, works.EntryRemoved}
)

// mostOpen and mostOver are how many entries are looked at: all that can be, and the
// last of those that are done.
const (
	mostOpen = 100_000
	mostOver = 2_000
)

// mine reports whether who asks may see or change a ticket: its sender, and those who
// have a role for all.
func mine(ctx context.Context, from dialog.From, k *works.Ticket, roles ...access.Role) bool {
	return k.Partner == from.Partner || all(ctx, roles...)
}

// entries lists those entries that who asks may see, in the order of the queue.
func (o *Office) entries(
	ctx context.Context, tx *works.Tx, from dialog.From, states []works.Entry,
) ([]queue.Entry, error) {
	f := works.TicketFilter{Entries: states, Limit: mostOpen}
	if !all(ctx, access.Reader, access.Operator) {
		f.Partner = from.Partner
	}
	tickets, err := tx.Tickets(f)
	if err != nil {
		return nil, err
	}
	list := make([]queue.Entry, 0, len(tickets))
	for i, k := range tickets {
		list = append(list, entryOf(k, int64(i)))
	}
	return list, nil
}

// chosen lists the entries that a filter can choose from: those that are done are
// only looked at as far as the filter may ask for them.
func (o *Office) chosen(
	ctx context.Context, tx *works.Tx, from dialog.From, f *message.QueueFilter,
) ([]queue.Entry, error) {
	if f != nil && f.Entries.Given {
		var list []queue.Entry
		for _, id := range f.Entries.Value {
			k, err := tx.TicketOfEntry(id)
			if err == nil && k.Entry != works.NoEntry && mine(ctx, from, k, access.Reader, access.Operator) {
				list = append(list, entryOf(k, int64(len(list))))
			}
		}
		return list, nil
	}
	list, err := o.entries(ctx, tx, from, open)
	if err != nil {
		return nil, err
	}
	done := works.TicketFilter{Entries: over, Order: works.ByChange, Limit: mostOver}
	if !all(ctx, access.Reader, access.Operator) {
		done.Partner = from.Partner
	}
	tickets, err := tx.Tickets(done)
	for _, k := range tickets {
		list = append(list, entryOf(k, int64(len(list))))
	}
	return list, err
}
