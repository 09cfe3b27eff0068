package cost

import (
	"maps"
	"slices"
	"strings"
	"time"

	"github.com/shopspring/decimal"

	"quoin/jdf"
	"quoin/jdf/job"
	"quoin/jdf/message"
	"quoin/jdf/value"
	"quoin/validate"
)

// Reading says how a document is read. The zero Reading takes times without a
// zone as UTC.
type Reading struct {
	Zone     *time.Location // of times without a zone, such as that of the plant; nil is UTC
	Received time.Time      // when the document came in, by the clock of the receiver; zero where nobody knows
}

// Read reads all that one document says, of either generation and be it a
// ticket or a message, with the zero Reading.
func Read(doc *jdf.Document) (*Said, []validate.Finding) { return Reading{}.Read(doc) }

// Read reads all that one document says. The findings, of the audit group, are
// those of the document alone, sorted and without repetitions; what they speak
// of is read as they say.
func (how Reading) Read(doc *jdf.Document) (*Said, []validate.Finding) {
	r := &reader{Reading: how, said: &Said{}, heard: map[string]word{}}
	if how.Zone == nil {
		r.Zone = time.UTC
	}
	if doc.Kind.Message() {
		envelope := message.Decode(doc)
		r.unreadable(envelope.Faults)
		for _, m := range envelope.Messages {
			r.Received = how.received(r, envelope, m)
			r.audits(m.Audits, true)
		}
	} else {
		audits, faults := job.Audits(doc)
		r.unreadable(faults)
		r.audits(audits, false)
		r.ticket(doc)
	}
	r.words()
	return r.said, tidy(r.found)
}

// received is when a message came in. Where nobody noted it, a controller that
// hands on the message of a device tells by its own clock: the stamp of the
// document is later than that of the message, by another sender.
func (how Reading) received(r *reader, e *message.Envelope, m *message.Message) time.Time {
	relayed := e.Header.Time.Given && m.Time.Place != e.Header.Time.Place &&
		e.Header.Sender.Given && e.Header.Sender.Value != m.Sender.Value
	if !how.Received.IsZero() || !relayed {
		return how.Received
	}
	return r.instant(e.Header.Time)
}

// reader reads one document.
type reader struct {
	Reading
	said  *Said
	heard map[string]word // the last word of each device
	found []validate.Finding
}

// word is a moment at which a device was heard of.
type word struct {
	at    time.Time
	place jdf.Place
	told  bool // by a phase, which needs no word beside it
}

func (r *reader) report(f validate.Finding) { r.found = append(r.found, f) }

func (r *reader) unreadable(faults []job.Fault) {
	for _, f := range faults {
		r.report(ruleUnreadable.At(f.Place,
			validate.F("name", f.Name), validate.F("got", f.Got), validate.F("want", f.Want)))
	}
}

func (r *reader) audits(audits []*job.Audit, signal bool) {
	for _, a := range audits {
		device, phase := a.Device.Value, false
		switch {
		case a.Phase != nil:
			phase = r.phase(a, signal)
			device = a.Phase.Device.Or(device)
		case a.Run != nil && !signal:
			r.run(a)
		case a.Consumption != nil:
			r.used(a, signal)
		case a.Notice != nil:
			r.notice(a)
		}
		if a.Time.Given {
			r.hear(device, word{r.instant(a.Time), a.Node.Place(), phase})
		}
	}
}

// hear notes that a device was heard of.
func (r *reader) hear(device string, w word) {
	last, known := r.heard[device]
	if device == "" || known && (w.at.Before(last.at) || w.at.Equal(last.at) && !w.told) {
		return
	}
	r.heard[device] = w
}

// words keeps the last word of each device that no phase tells.
func (r *reader) words() {
	for _, device := range slices.Sorted(maps.Keys(r.heard)) {
		if w := r.heard[device]; !w.told {
			r.said.Records = append(r.said.Records, Record{
				Kind: KindWord, Device: device, Seen: w.at, Received: r.Received, Source: sourceAt(w.place),
			})
		}
	}
}

// phase reads a phase. The time when it was said is that of the header; without
// one, the last moment that the phase itself speaks of.
func (r *reader) phase(a *job.Audit, signal bool) bool {
	p := a.Phase
	r.zones(a.Time, p.Start, p.End)
	r.backwards(p.Start, p.End)
	r.negative(p.Good, p.Waste, p.Total, p.TotalWaste)
	rec := Record{
		Kind: KindPhase, Signal: signal, ID: a.ID.Value,
		Device: p.Device.Or(a.Device.Value), Job: a.JobID.Value, Part: a.PartID.Value, Keys: p.Part.String(),
		CostCentre: p.CostCenter.Value, Employee: p.Employee.Value, Modules: strings.Join(p.Modules.Value, " "),
		State: p.State, Status: p.Status.Value, Reason: p.Details.Value, Work: p.Work.Value,
		Start: r.instant(p.Start), End: r.instant(p.End),
		Good: amount(p.Good), Waste: amount(p.Waste), Total: amount(p.Total), TotalWaste: amount(p.TotalWaste),
		Received: r.Received, Source: sourceAt(p.Node.Place()),
	}
	switch {
	case a.Time.Given:
		rec.Seen = r.instant(a.Time)
		if !rec.Start.After(rec.End) || rec.End.IsZero() {
			r.aheadOf(rec.Seen, p.Start, p.End)
		}
	case p.End.Given:
		rec.Seen = rec.End
	case p.Start.Given:
		rec.Seen = rec.Start
	default:
		r.report(ruleNoTime.At(p.Node.Place(), validate.F("element", p.Node.Local())))
		return false
	}
	if rec.Device == "" {
		r.report(ruleNoDevice.At(p.Node.Place(), validate.F("element", p.Node.Local())))
	}
	r.said.Records = append(r.said.Records, rec)
	return true
}

func (r *reader) run(a *job.Audit) {
	run := a.Run
	r.zones(run.Start, run.End)
	r.backwards(run.Start, run.End)
	if !run.Start.Given || !run.End.Given {
		return // the schema asks for both; the structure of the ticket is another check
	}
	rec := Record{
		Kind: KindRun, ID: a.ID.Value,
		Device: a.Device.Value, Job: a.JobID.Value, Part: a.PartID.Value, Keys: run.Part.String(),
		State: job.StateRun, Status: run.EndStatus.Value, Start: r.instant(run.Start), End: r.instant(run.End),
		Received: r.Received, Source: sourceAt(run.Node.Place()),
	}
	if rec.End.Before(rec.Start) {
		rec.End = rec.Start
	}
	rec.Seen = rec.End
	if a.Time.Given {
		rec.Seen = r.instant(a.Time)
	}
	if d, ok := run.Duration.Value.Fixed(); ok && run.Duration.Given && d >= 0 {
		length := Span(d)
		rec.Length = &length
	}
	r.said.Records = append(r.said.Records, rec)
}

// used takes a report of a resource. What is not about a job, such as the stock
// in the store or what could be used, costs nothing yet.
func (r *reader) used(a *job.Audit, signal bool) {
	c := a.Consumption
	r.zones(a.Time)
	r.negative(c.Amounts.Good, c.Amounts.Waste)
	u := UseRecord{
		Job: a.JobID.Value, Part: a.PartID.Value, Keys: c.Part.String(),
		Kind: c.Kind, Usage: c.Usage.Value, Lot: c.Lot.Value,
		Item: c.Item.Value, Name: c.Name.Value, Type: c.Type.Value, Unit: c.Unit.Value,
		Device: a.Device.Value, Signal: signal, Seen: r.instant(a.Time),
		Good: amount(c.Amounts.Good), Waste: amount(c.Amounts.Waste), Planned: amount(c.Planned),
		Source: sourceAt(c.Node.Place()),
	}
	if u.Job == "" || c.Scope.Or("Job") != "Job" || u.Good == nil && u.Waste == nil {
		return
	}
	r.said.Uses = append(r.said.Uses, u)
}

func (r *reader) notice(a *job.Audit) {
	r.said.Notices = append(r.said.Notices, Notice{
		ID: a.ID.Value, Device: a.Device.Value, Job: a.JobID.Value, Part: a.PartID.Value,
		Class: a.Notice.Class.Value, Text: a.Notice.Text.Value, Seen: r.instant(a.Time),
		Source: sourceAt(a.Notice.Node.Place()),
	})
}

// instant is a time of the document, zero where it gives none. It is kept to the
// microsecond, as stores keep it.
func (r *reader) instant(f job.Fact[value.DateTime]) time.Time {
	if !f.Given {
		return time.Time{}
	}
	t := f.Value.Time().Truncate(time.Microsecond)
	if f.Value.HasZone {
		return t
	}
	return time.Date(t.Year(), t.Month(), t.Day(), t.Hour(), t.Minute(), t.Second(), t.Nanosecond(), r.Zone)
}

// amount leaves out what is negative; a finding tells of it.
func amount(f job.Fact[decimal.Decimal]) *decimal.Decimal {
	if !f.Given || f.Value.IsNegative() {
		return nil
	}
	return &f.Value
}
