package rules

import (
	"quoin/jdf"
	"quoin/jdf/value"
	"quoin/validate"
)

var timeChecks = []check{
	{
		Rule: &validate.Rule{
			ID: "process/end-before-start", Severity: validate.Error, Mends: validate.Sender,
			Say: "{name} is {got}, and {other} is {limit}; want {first} not after {last}",
			Do:  "correct one of the two; mind the zones",
			Why: "What ends has started before (from memory: the tables of both attributes; no sample breaks it). The " +
				"schema knows each time alone.",
		},
		kinds: all, run: endBeforeStart,
		Bad: `<XJDF JobID="4711" Types="Folding"><ResourceSet Name="NodeInfo" Usage="Input"><Resource>
  <NodeInfo Start="2026-03-02T10:00:00Z" End="2026-03-02T08:00:00Z"/>
</Resource></ResourceSet></XJDF>`,
		Good: `<XJDF JobID="4711" Types="Folding"><ResourceSet Name="NodeInfo" Usage="Input"><Resource>
  <NodeInfo Start="2026-03-02T10:00:00+02:00" End="2026-03-02T08:30:00Z"/>
</Resource></ResourceSet></XJDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/time-window", Severity: validate.Error, Mends: validate.Sender,
			Say: "{name} is {got}, and {other} is {limit}; want {first} not after {last}",
			Do:  "correct the one that is wrong",
			Why: "FirstStart and LastStart are the window for Start, FirstEnd and LastEnd that for End (from memory: " +
				"NodeInfo).",
		},
		kinds: tickets, run: timeWindow,
		Bad: `<XJDF JobID="4711" Types="Folding"><ResourceSet Name="NodeInfo" Usage="Input"><Resource>
  <NodeInfo FirstStart="2026-03-03T00:00:00Z" LastStart="2026-03-02T00:00:00Z"/>
</Resource></ResourceSet></XJDF>`,
		Good: `<XJDF JobID="4711" Types="Folding"><ResourceSet Name="NodeInfo" Usage="Input"><Resource>
  <NodeInfo FirstStart="2026-03-02T00:00:00Z" LastStart="2026-03-03T00:00:00Z"/>
</Resource></ResourceSet></XJDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/zone-missing", Severity: validate.Warning, Mends: validate.Sender,
			Say: "{name} is {got|q} without a zone",
			Do:  "add Z, or the zone as in {got}+01:00",
			Why: "A time without a zone means another moment at the sender than at the plant (from memory: Encoding " +
				"chapter, dateTime).",
		},
		kinds: all, run: zoneMissing,
		Bad: `<XJDF JobID="4711" Types="Folding"><ResourceSet Name="NodeInfo" Usage="Input"><Resource>
  <NodeInfo Start="2026-03-02T10:00:00"/>
</Resource></ResourceSet></XJDF>`,
		Good: `<XJDF JobID="4711" Types="Folding"><ResourceSet Name="NodeInfo" Usage="Input"><Resource>
  <NodeInfo Start="2026-03-02T10:00:00+01:00"/>
</Resource></ResourceSet></XJDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/duration-negative", Severity: validate.Error, Mends: validate.Sender,
			Say: "{name} is {got}; want a duration that is not negative",
			Why: "Setting up, running and cleaning take time and give none back (from memory: NodeInfo, ProcessRun). A " +
				"StartOffset may be negative and is not asked.",
		},
		kinds: all, run: durationNegative,
		Bad: `<XJDF JobID="4711" Types="Folding"><ResourceSet Name="NodeInfo" Usage="Input"><Resource>
  <NodeInfo SetupDuration="-PT5M"/>
</Resource></ResourceSet></XJDF>`,
		Good: `<XJDF JobID="4711" Types="Folding"><ResourceSet Name="NodeInfo" Usage="Input"><Resource>
  <NodeInfo SetupDuration="PT5M"/>
</Resource></ResourceSet></XJDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/duration-months", Severity: validate.Note, Mends: validate.Sender,
			Say: "{name} is {got}, and a month or year has no fixed length",
			Do:  "write days and hours; minutes are M after a T, as in PT5M",
			Why: "A schedule is reckoned in seconds (XML Schema Part 2, duration: months have 28 to 31 days). P5M is five " +
				"months, where PT5M may be meant.",
		},
		kinds: all, run: durationMonths,
		Bad: `<XJDF JobID="4711" Types="Folding"><ResourceSet Name="NodeInfo" Usage="Input"><Resource>
  <NodeInfo SetupDuration="P5M"/>
</Resource></ResourceSet></XJDF>`,
		Good: `<XJDF JobID="4711" Types="Folding"><ResourceSet Name="NodeInfo" Usage="Input"><Resource>
  <NodeInfo SetupDuration="PT5M"/>
</Resource></ResourceSet></XJDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/setup-too-long", Severity: validate.Warning, Mends: validate.Sender,
			Say: "setting up and cleaning take longer than TotalDuration, {got}",
			Do:  "correct TotalDuration; it holds setup, run and cleanup",
			Why: "TotalDuration is the time from the start of the setup to the end of the cleanup (from memory: NodeInfo).",
		},
		kinds: tickets, run: setupTooLong,
		Bad: `<XJDF JobID="4711" Types="Folding"><ResourceSet Name="NodeInfo" Usage="Input"><Resource>
  <NodeInfo SetupDuration="PT2H" TotalDuration="PT1H"/>
</Resource></ResourceSet></XJDF>`,
		Good: `<XJDF JobID="4711" Types="Folding"><ResourceSet Name="NodeInfo" Usage="Input"><Resource>
  <NodeInfo SetupDuration="PT20M" CleanupDuration="PT10M" TotalDuration="PT1H"/>
</Resource></ResourceSet></XJDF>`,
	},
}

// spans lists pairs of attributes of one element of which the first is not
// later than the second.
// Source: the published schemas for the attributes.
var spans = [][2]string{
	{"Start", "End"}, {"StartTime", "EndTime"}, {"PhaseStartTime", "EndTime"}, {"SubmissionTime", "Start"},
	{"SubmissionTime", "StartTime"}, {"End", "ReturnTime"}, {"Earliest", "Required"},
}

// windows is the same for what is planned.
var windows = [][2]string{
	{"FirstStart", "LastStart"}, {"FirstStart", "Start"}, {"Start", "LastStart"},
	{"FirstEnd", "LastEnd"}, {"FirstEnd", "End"}, {"End", "LastEnd"},
}

func endBeforeStart(p *pass) { p.ordered(spans) }
func timeWindow(p *pass)     { p.ordered(windows) }

// ordered reports pairs that stand in the wrong order. One of the two may be
// inherited from a partition around the other.
func (p *pass) ordered(pairs [][2]string) {
	for _, pair := range pairs {
		tell := func(at, other jdf.Attr) {
			p.atWith(at.Place(), other.Place(), "the other is here", fact("name", attrName(at)), fact("got", at.Value()),
				fact("other", other.Local()), fact("limit", other.Value()), fact("first", pair[0]), fact("last", pair[1]))
		}
		for last := range p.having(pair[1]) {
			if first := inherited(last.Owner(), pair[0]); before(last, first) {
				tell(last, first)
			}
		}
		for first := range p.having(pair[0]) {
			if first.Owner().Has(pair[1]) {
				continue
			}
			if last := inherited(first.Owner(), pair[1]); before(last, first) {
				tell(first, last)
			}
		}
	}
}

// before reports whether one time is surely before another.
func before(a, b jdf.Attr) bool {
	if !a.Valid() || !b.Valid() {
		return false
	}
	x, errX := value.ParseDateTime(a.Value())
	y, errY := value.ParseDateTime(b.Value())
	return errX == nil && errY == nil && earlier(x, y)
}

// earlier reports whether x is surely before y: without zones they may be
// fourteen hours apart and still the same moment.
func earlier(x, y value.DateTime) bool {
	order, determined := x.Compare(y)
	return determined && order < 0
}

// moments are the attributes that hold a point in time.
// Source: the published schemas, type dateTime.
var moments = []string{
	"DueDate", "Earliest", "End", "EndTime", "Expires", "FirstEnd", "FirstStart", "IdleStartTime", "LastEnd",
	"LastStart", "NewerThan", "OlderThan", "PhaseStartTime", "PowerOnTime", "Required", "ReturnTime", "Start",
	"StartTime", "SubmissionTime", "Time", "TimeStamp",
}

func zoneMissing(p *pass) {
	for a := range p.having(moments...) {
		if d, err := value.ParseDateTime(a.Value()); err == nil && !d.HasZone {
			p.at(a.Place(), fact("name", attrName(a)), fact("got", a.Value()))
		}
	}
}

// durations are the attributes that hold a length of time.
// Source: the published schemas, type duration.
var durations = []string{
	"CleanupDuration", "Duration", "EarliestDuration", "HourCounter", "RequiredDuration", "RestTime", "SetupDuration",
	"TotalDuration",
}

func durationNegative(p *pass) {
	for a := range p.having(durations...) {
		d, err := value.ParseDuration(a.Value())
		order, determined := value.Compare(d, value.Duration{})
		if err == nil && determined && order < 0 {
			p.at(a.Place(), fact("name", attrName(a)), fact("got", a.Value()))
		}
	}
}

func durationMonths(p *pass) {
	for a := range p.having(durations...) {
		d, err := value.ParseDuration(a.Value())
		if _, fixed := d.Fixed(); err == nil && !fixed {
			p.at(a.Place(), fact("name", attrName(a)), fact("got", a.Value()))
		}
	}
}

func setupTooLong(p *pass) {
	for a := range p.having("TotalDuration") {
		total, err := value.ParseDuration(a.Value())
		if err != nil {
			continue
		}
		var sum value.Duration
		for _, name := range []string{"SetupDuration", "CleanupDuration"} {
			if d, err := value.ParseDuration(inherited(a.Owner(), name).Value()); err == nil {
				sum, _ = sum.Add(d)
			}
		}
		if order, determined := value.Compare(sum, total); determined && order > 0 {
			p.at(a.Place(), fact("got", a.Value()))
		}
	}
}
