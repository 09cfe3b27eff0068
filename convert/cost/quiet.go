package cost

import (
	"slices"
	"time"

	"quoin/jdf/job"
)

// Bounds are the moments that a record, or all records of a job, take up on
// their device. They are what is asked when records are to be parted: see
// QuietPoints.
type Bounds struct {
	From, To time.Time // the first and the last moment that is spoken of
	Edge     time.Time // the last moment at which something begins, or is said of what began before
}

// Bounds of one record. That of an audit pool may be written long after what
// it tells of; where it gives start and end, that makes no difference to time.
func (r *Record) Bounds() Bounds {
	times := []time.Time{r.Start, r.End}
	if r.follows() || r.Kind == KindWord || r.Start.IsZero() || r.End.IsZero() {
		times = append(times, r.Seen)
	}
	var b Bounds
	for _, t := range times {
		if t.IsZero() {
			continue
		}
		if b.From.IsZero() || t.Before(b.From) {
			b.From = t
		}
		if t.After(b.To) {
			b.To = t
		}
	}
	b.Edge = later(b.From, r.Start)
	if r.follows() {
		b.Edge = later(b.Edge, r.Seen)
	}
	return b
}

// With are the bounds of both.
func (b Bounds) With(c Bounds) Bounds {
	if c.From.Before(b.From) {
		b.From = c.From
	}
	return Bounds{b.From, later(b.To, c.To), later(b.Edge, c.Edge)}
}

func later(a, b time.Time) time.Time {
	if b.After(a) {
		return b
	}
	return a
}

// follows reports whether what the record says depends on the record before.
func (r *Record) follows() bool { return r.Kind == KindPhase && (r.Signal || r.Start.IsZero()) }

// Strand is what keeps records of a device together: the job, for its counters
// run on, or "" for records that stand alone.
func (r *Record) Strand() string {
	if r.Job == "" && (r.Total != nil || r.TotalWaste != nil) {
		return "\x01"
	}
	return r.Job
}

// QuietPoints are the moments at which the records of one device can be parted:
// those whose Bounds begin before, and those that begin at the moment or after
// it. What is settled apart is then what is settled together, but for the end of
// a phase before the moment that has none of its own: the phase that begins at
// the moment ends it, and has to be there.
//
// The records are all that begin from some quiet point, or from the first of
// all, up to the last that is given; strands are the bounds of all records of
// each Strand but "", also of those that are not given.
func QuietPoints(records []Record, strands map[string]Bounds) []time.Time {
	all := make([]*bounded, 0, len(records))
	for i := range records {
		if records[i].Kind != KindWord {
			all = append(all, &bounded{Record: &records[i], Bounds: records[i].Bounds()})
		}
	}
	slices.SortFunc(all, func(a, b *bounded) int { return a.From.Compare(b.From) })
	next := firstFollowing(all)
	var points []time.Time
	var before Bounds
	idle := false // whether a device was seen without a job, since the last point
	for i := 0; i < len(all); {
		at := all[i].From
		j := i
		for j < len(all) && all[j].From.Equal(at) {
			j++
		}
		parted := !before.To.After(at) && before.Edge.Before(at)
		if parted && begins(all[i:j], at, next[i]) && breaks(next[i], idle, all[len(all)-1].From) {
			points, idle = append(points, at), false
		}
		for _, b := range all[i:j] {
			span := b.Bounds
			if whole, known := strands[b.Strand()]; known && b.Strand() != "" {
				span = whole
			}
			before = Bounds{at, later(before.To, span.To), later(before.Edge, span.Edge)}
			idle = idle || b.Job == "" && b.follows()
		}
		i = j
	}
	return points
}

type bounded struct {
	*Record
	Bounds
}

// firstFollowing gives for each place in the list the record from there on that
// follows others and was said first; nil where there is none.
func firstFollowing(all []*bounded) []*bounded {
	next := make([]*bounded, len(all))
	var first *bounded
	var report *report
	for i := len(all) - 1; i >= 0; i-- {
		if b := all[i]; b.follows() {
			r := newReport(b.Record, b.Key())
			if first == nil || r.compare(report) < 0 {
				first, report = b, r
			}
		}
		next[i] = first
	}
	return next
}

// begins reports whether a phase begins at the moment, whatever came before.
func begins(at []*bounded, moment time.Time, first *bounded) bool {
	return slices.ContainsFunc(at, func(b *bounded) bool {
		return b.Kind == KindPhase && b.State.Timed() && (b.Start.Equal(moment) || b == first && b.Job != "")
	})
}

// breaks reports whether the first that follows begins something new, so that
// signals of the device without a job do not go on with what was before. It has
// to be surely the first: said before anything that is not given was.
func breaks(first *bounded, idle bool, last time.Time) bool {
	if first == nil {
		return !idle
	}
	if !first.Seen.Before(last) {
		return false
	}
	return first.Job != "" && first.State.Timed() || first.Job == "" && first.State == job.StateOff || !idle
}
