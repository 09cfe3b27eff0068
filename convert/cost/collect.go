package cost

import (
	"slices"
	"time"

	"quoin/jdf"
	"quoin/jdf/job"
	"quoin/jdf/message"
	"quoin/jdf/value"
	"quoin/validate"
)

// Collect reads the audit pools and messages among the documents into one
// Ledger. The order of the documents, and how often each is given, make no
// difference. The findings are those of the audit group that need no plant,
// sorted and without repetitions; what they speak of is counted as they say.
//
// ResourceAudits of one resource, part and lot tell a total: the latest counts.
func Collect(docs []*jdf.Document) (*Ledger, []validate.Finding) {
	c := &collector{
		heard:  map[string]time.Time{},
		groups: map[string][]*record{},
	}
	for _, doc := range docs {
		if doc.Kind.Message() {
			envelope := message.Decode(doc)
			c.unreadable(envelope.Faults)
			for _, m := range envelope.Messages {
				c.audits(m.Audits, true)
			}
			continue
		}
		audits, faults := job.Audits(doc)
		c.unreadable(faults)
		c.audits(audits, false)
	}
	c.sort()
	return c.ledger(), c.finish()
}

type collector struct {
	heard  map[string]time.Time // the last word of each device
	groups map[string][]*record // by device
	runs   []*record
	uses   []*usage
	found  []validate.Finding
}

func (c *collector) report(f validate.Finding) { c.found = append(c.found, f) }

func (c *collector) finish() []validate.Finding {
	var report validate.Report
	for _, f := range c.found {
		report.Add(f)
	}
	report.Finish()
	return report.Findings
}

func (c *collector) unreadable(faults []job.Fault) {
	for _, f := range faults {
		c.report(ruleUnreadable.At(f.Place,
			validate.F("name", f.Name), validate.F("got", f.Got), validate.F("want", f.Want)))
	}
}

func (c *collector) audits(audits []*job.Audit, signal bool) {
	for _, a := range audits {
		device := a.Device.Value
		switch {
		case a.Phase != nil:
			c.phase(a, signal)
			device = a.Phase.Device.Or(device)
		case a.Run != nil && !signal:
			c.run(a)
		case a.Consumption != nil:
			c.used(a, signal)
		}
		if a.Time.Given {
			c.hear(device, a.Time.Value.Time())
		}
	}
}

// hear notes that a device was heard of.
func (c *collector) hear(device string, t time.Time) {
	if last, ok := c.heard[device]; device != "" && (!ok || t.After(last)) {
		c.heard[device] = t
	}
}

func (c *collector) phase(a *job.Audit, signal bool) {
	p := a.Phase
	c.zone(a.Time)
	c.zone(p.Start)
	c.zone(p.End)
	c.backwards(p.Start, p.End)
	for _, f := range []fact{p.Good, p.Waste, p.Total, p.TotalWaste} {
		c.negative(f)
	}
	r, ok := newRecord(a, signal)
	if !ok {
		c.report(ruleNoTime.At(r.place, validate.F("element", p.Node.Local())))
		return
	}
	if r.device == "" {
		c.report(ruleNoDevice.At(r.place, validate.F("element", p.Node.Local())))
	}
	c.add(r)
}

func (c *collector) add(r *record) {
	r.seal()
	c.groups[r.group()] = append(c.groups[r.group()], r)
	if r.end.given {
		c.hear(r.device, r.end.Time)
	}
}

func (c *collector) run(a *job.Audit) {
	c.zone(a.Run.Start)
	c.zone(a.Run.End)
	c.backwards(a.Run.Start, a.Run.End)
	r := &record{
		series: series{
			device: a.Device.Value, job: a.JobID.Value, part: a.PartID.Value, keys: a.Run.Part.String(),
		},
		place: a.Run.Node.Place(), run: true, state: job.StateRun, status: a.Run.EndStatus.Value,
		start: at(a.Run.Start), end: at(a.Run.End), length: -1,
	}
	if !r.start.given || !r.end.given {
		return // the schema asks for both; the structure of the ticket is another check
	}
	if r.end.Before(r.start.Time) {
		r.end = r.start
	}
	r.seen = r.end.Time
	if a.Time.Given {
		r.seen = a.Time.Value.Time()
	}
	if d, ok := a.Run.Duration.Value.Fixed(); ok && a.Run.Duration.Given && d >= 0 {
		r.length = Span(d)
	}
	r.seal()
	c.runs = append(c.runs, r)
}

func (c *collector) zone(f job.Fact[value.DateTime]) {
	if f.Given && !f.Value.HasZone {
		c.report(ruleNoZone.At(f.Place, name(f.Place), validate.F("got", f.Value)))
	}
}

func (c *collector) backwards(start, end job.Fact[value.DateTime]) {
	if !start.Given || !end.Given {
		return
	}
	if gap := start.Value.Time().Sub(end.Value.Time()); gap > 0 {
		c.report(ruleEndBeforeStart.At(end.Place, name(end.Place), validate.F("end", end.Value),
			validate.F("start", start.Value), validate.F("by", Span(gap))).With(start.Place, "start"))
	}
}

func (c *collector) negative(f fact) {
	if f.Given && f.Value.IsNegative() {
		c.report(ruleNegative.At(f.Place, name(f.Place), validate.F("got", f.Value)))
	}
}

// name is the attribute at a place, as in JobPhase/@Waste.
func name(p jdf.Place) validate.Fact {
	n := p.Node()
	for a := range n.Attrs() {
		if a.Place().Start == p.Start {
			return validate.F("name", n.Local()+"/@"+a.Local())
		}
	}
	return validate.F("name", n.Local())
}

// sort puts everything in the one order that does not depend on the input's,
// and drops what was said twice.
func (c *collector) sort() {
	tidy := func(all []*record) []*record {
		slices.SortFunc(all, (*record).compare)
		return slices.CompactFunc(all, func(a, b *record) bool { return a.content == b.content })
	}
	for group, all := range c.groups {
		c.groups[group] = tidy(all)
	}
	c.runs = tidy(c.runs)
	c.sortUses()
}

// ledger makes the entries of all groups, in order.
func (c *collector) ledger() *Ledger {
	floors := map[string]*floor{}
	for group, records := range c.groups {
		floors[group] = c.newFloor(records)
	}
	c.matchRuns(floors)
	l := Ledger{Entries: []Entry{}}
	groups := make([]string, 0, len(floors))
	for group := range floors {
		groups = append(groups, group)
	}
	slices.Sort(groups)
	for _, group := range groups {
		l.Entries = append(l.Entries, floors[group].entries()...)
	}
	l.Uses = c.ledgerUses()
	c.checkAmounts(&l)
	return &l
}
