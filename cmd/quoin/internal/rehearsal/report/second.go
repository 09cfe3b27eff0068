package report

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/beevik/etree"

	"quoin/cmd/quoin/internal/rehearsal"
	"quoin/jdf/job"
	"quoin/jdf/value"
)

// auditSecond adds to an XJDF what its machine did.
func auditSecond(root *etree.Element, a *rehearsal.Act) {
	pool := root.SelectElement("AuditPool")
	if pool == nil {
		pool = child(root, "AuditPool")
		root.RemoveChild(pool)
		root.InsertChildAt(0, pool)
	}
	l := &ledger{}
	for _, p := range phases(a) {
		l.add("AuditStatus", p.End, func(e *etree.Element) {
			info := child(e, "DeviceInfo", "Status", Second.DeviceStatus(p.State), "StatusDetails", p.Reason)
			counted := jobPhase(info, a, p, p.End, p.Good, p.Waste)
			if p.State.Timed() {
				// An audit is the last word: it says so where nothing was made.
				set(counted, "Amount", number(p.Good), "Waste", number(p.Waste))
			}
		})
	}
	for i, r := range a.Readings {
		l.add("AuditResource", r.At, func(e *etree.Element) { quality(e, a, i, r) })
	}
	for _, u := range a.Uses {
		l.add("AuditResource", a.End(), func(e *etree.Element) { resourceInfo(e, a, u) })
	}
	l.add("AuditProcessRun", a.End(), func(e *etree.Element) {
		child(e, "ProcessRun", "Duration", value.FromTime(atWork(a)).String(), "End", stamp(a.End()),
			"EndStatus", ended(a), "QueueEntryID", a.QueueID, "Start", stamp(a.Start()))
	})
	l.write(func(n int, line audit) {
		e := child(pool, line.name)
		header(e, a.Device, fmt.Sprintf("%s-a%d", identify(a), n), line.at, a.Operator, "")
		line.fill(e)
	})
}

// audit is one entry of an audit pool in the making.
type audit struct {
	name string
	at   time.Time
	fill func(*etree.Element)
}

// ledger puts audits in the order of their times.
type ledger struct{ lines []audit }

func (l *ledger) add(name string, at time.Time, fill func(*etree.Element)) {
	l.lines = append(l.lines, audit{name, at, fill})
}

func (l *ledger) write(line func(n int, a audit)) {
	slices.SortStableFunc(l.lines, func(a, b audit) int { return a.at.Compare(b.at) })
	for i, a := range l.lines {
		line(i+1, a)
	}
}

// atWork is the time of the phases in which the machine worked.
func atWork(a *rehearsal.Act) time.Duration {
	return a.Time(job.StateMakeready) + a.Time(job.StateRun) + a.Time(job.StateWash)
}

// identify makes an XML name of a step, for the ids of what it reports.
func identify(a *rehearsal.Act) string {
	return "r" + strings.Map(func(r rune) rune {
		switch {
		case r >= 'a' && r <= 'z', r >= 'A' && r <= 'Z', r >= '0' && r <= '9', r == '-', r == '.':
			return r
		}
		return '_'
	}, a.Job+"."+a.Part+"."+a.Device)
}

func header(e *etree.Element, device, id string, at time.Time, worker, ref string) {
	child(e, "Header", "DeviceID", device, "ID", id, "PersonalID", worker, "Time", stamp(at), "refID", ref)
}

// jobPhase writes a phase of the second generation, as it stands at a moment.
func jobPhase(info *etree.Element, a *rehearsal.Act, p rehearsal.Phase, at time.Time, good, waste int) *etree.Element {
	e := child(info, "JobPhase")
	if p.State == job.StateRun {
		set(e, "Amount", number(good))
	}
	if at.Equal(p.End) {
		set(e, "EndTime", stamp(at))
	}
	set(e, "JobID", a.Job, "JobPartID", a.Part, "QueueEntryID", a.QueueID, "StartTime", stamp(p.Start),
		"Status", NodeStatus(p.State), "StatusDetails", p.Reason)
	if p.State == job.StateRun || waste > 0 {
		set(e, "Waste", number(waste))
	}
	return e
}

// resourceInfo writes what was used of a material, or made.
func resourceInfo(parent *etree.Element, a *rehearsal.Act, u rehearsal.Use) {
	info := child(parent, "ResourceInfo", "JobID", a.Job, "JobPartID", a.Part, "QueueEntryID", a.QueueID, "Scope", "Job")
	all := child(info, "ResourceSet", "Name", u.Kind, "Unit", u.Unit, "Usage", u.Usage)
	res := child(all, "Resource", "ExternalID", u.ID)
	amount := child(child(res, "AmountPool"), "PartAmount", "Amount", u.Good.String(), "Waste", counted(u.Waste))
	if u.Lot != "" {
		child(amount, "Part", "LotID", u.Lot)
	}
	if sep := name(u.Separation); sep != "" || a.Sheet != "" {
		child(res, "Part", "Separation", sep, "SheetName", a.Sheet)
	}
	if u.Kind == "Media" {
		child(res, "Media", "MediaType", "Paper", "Weight", float(a.Grammage))
	}
}

// name is a separation that can stand in an attribute of names: inks without
// price in the plant file are planned together, and have no one name.
func name(separation string) string {
	if strings.ContainsAny(separation, ", ") {
		return ""
	}
	return separation
}

// quality writes a reading of the control strip.
func quality(parent *etree.Element, a *rehearsal.Act, i int, r rehearsal.Reading) {
	info := child(parent, "ResourceInfo", "JobID", a.Job, "JobPartID", a.Part, "Scope", "Job")
	res := child(child(info, "ResourceSet", "Name", "QualityControlResult", "Usage", "Output"), "Resource")
	child(res, "Part", "QualityMeasurement", fmt.Sprintf("m%d", i+1), "SheetName", a.Sheet, "Side", r.Side)
	usage := ""
	if r.Sheet == 0 {
		usage = "Master" // the sheet that the run was approved by
	}
	result := child(res, "QualityControlResult", "End", stamp(r.At), "MeasurementUsage", usage, "Measurements", "1",
		"Sample", fmt.Sprintf("%d %d", r.Sheet, r.Sheet), "SourceDeviceID", a.Device, "Start", stamp(r.At))
	strip(child(child(result, "ColorMeasurement"), "ColorControlStrip"), r)
	if r.Register.Separation != "" {
		child(result, "RegistrationQuality", "Offset", offset(r.Register), "Reference", name(r.Register.Separation))
	}
}

// offset is in points.
func offset(r rehearsal.Register) string {
	pt := func(mm float64) string { return fmt.Sprintf("%.4f", value.FromMM(mm).Points()) }
	return pt(r.Offset[0]) + " " + pt(r.Offset[1])
}

// strip writes the patches, which both generations build alike.
func strip(s *etree.Element, r rehearsal.Reading) {
	child(s, "ColorMeasurementConditions", "DensityStandard", "DIN16536", "Illumination", "D50", "InkState", "Dry",
		"MeasurementFilter", "Pol", "Observer", "2", "SampleBacking", "White", "WhiteBase", "Absolute")
	for _, p := range r.Patches {
		e := child(s, "Patch", "Density", float(p.Density), "Lab",
			float(p.Lab[0])+" "+float(p.Lab[1])+" "+float(p.Lab[2]), "PatchUsage", "Color")
		if p.Separation != "" {
			child(e, "SeparationTint", "Name", p.Separation, "Tint", float(p.Tint))
		}
	}
}
