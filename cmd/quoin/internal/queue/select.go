package queue

import (
	"slices"
	"time"

	"quoin/jdf"
	"quoin/jdf/message"
)

// Select gives the entries that a filter chooses, in the order of Compare. A nil
// filter chooses all that are in the queue; those that were removed are only
// chosen by a StatusList that names them. Of entries that do not know their parts, gang or device,
// a filter by these chooses none.
//
// From memory: FirstEntry and LastEntry are both within; MaxEntries counts from the head.
func Select(entries []Entry, f *message.QueueFilter) []Entry {
	sorted := slices.SortedFunc(slices.Values(entries), Compare)
	sorted = slices.DeleteFunc(sorted, func(e Entry) bool {
		gone := e.Standing.State == Removed || e.Standing.State == Absent
		return gone && (f == nil || !slices.Contains(f.Status.Value, Removed.String()))
	})
	if f == nil {
		return sorted
	}
	var chosen []Entry
	begun := !f.First.Given
	for _, e := range sorted {
		begun = begun || e.ID == f.First.Value
		if begun && fits(e, f) {
			chosen = append(chosen, e)
		}
		if f.Last.Given && e.ID == f.Last.Value {
			break
		}
	}
	if f.Most.Given && len(chosen) > max(0, f.Most.Value) {
		chosen = chosen[:max(0, f.Most.Value)]
	}
	return chosen
}

func fits(e Entry, f *message.QueueFilter) bool {
	switch {
	case f.Entries.Given && !slices.Contains(f.Entries.Value, e.ID),
		f.JobID.Given && f.JobID.Value != e.JobID,
		f.PartID.Given && f.PartID.Value != e.PartID,
		f.Gangs.Given && !slices.Contains(f.Gangs.Value, e.Gang),
		f.Devices.Given && !slices.Contains(f.Devices.Value, e.Device),
		f.MinPriority.Given && e.Priority < f.MinPriority.Value,
		f.MaxPriority.Given && e.Priority > f.MaxPriority.Value,
		f.Status.Given && !slices.Contains(f.Status.Value, word(e, f)),
		f.Activation.Given && !activated(e, f.Activation.Value):
		return false
	}
	submitted := func(limit time.Time, older bool) bool {
		return !e.Submitted.IsZero() && e.Submitted.Before(limit) == older && !e.Submitted.Equal(limit)
	}
	if f.NewerThan.Given && !submitted(f.NewerThan.Value.Time(), false) {
		return false
	}
	return !f.OlderThan.Given || submitted(f.OlderThan.Value.Time(), true)
}

// word is the status of an entry in the words of the filter's generation.
func word(e Entry, f *message.QueueFilter) string {
	if f.Node.Space() != jdf.NamespaceXJDF {
		return e.Standing.State.String()
	}
	if e.Standing.State == Running && e.Doing != "" {
		return e.Doing
	}
	status, _ := e.Standing.NodeStatus()
	return status
}

// activated reports whether an entry is held or active, as a filter of JMF asks.
func activated(e Entry, activation string) bool {
	_, is := e.Standing.NodeStatus()
	return is == activation
}
