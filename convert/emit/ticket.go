package emit

import (
	"fmt"
	"strings"
	"time"

	"github.com/beevik/etree"

	"quoin/convert/plan"
	"quoin/jdf"
	"quoin/jdf/job"
	"quoin/jdf/value"
)

// Options are what tickets hold beside the plan.
type Options struct {
	// As is the form of the tickets. Default XJDF.
	As Form

	// Times are when operations are to run, by their index in the plan. Those
	// that are missing get tickets without times. Default nil.
	Times map[int]Span

	// Clock gives the time of the audit that says when a ticket was made.
	// Default time.Now.
	Clock func() time.Time

	// AgentVersion is the version of Quoin in that audit. Default "", which
	// leaves it out.
	AgentVersion string
}

// Ticket is one file for devices, with what their operators read beside it.
type Ticket struct {
	Name    string // of the file, such as SM-1041-02-print-S1.xjdf
	Doc     *etree.Document
	Reading []Summary // one for each operation of the ticket
}

// agent is how Quoin names itself in audits.
const agent = "Quoin"

// version is that of the standard in which tickets are written.
const version = "2.2"

// Tickets writes the plan: in XJDF a ticket for every operation, in the order of
// work; in JDF one tree that holds them all. The job adds what a plan does not
// keep, such as the date that it is due; it may be nil.
func Tickets(pl *plan.Plan, j *job.Job, opt Options) []Ticket {
	if opt.Clock == nil {
		opt.Clock = time.Now
	}
	w := &writer{
		plan: pl, job: j, at: moment(opt.Clock()), version: opt.AgentVersion, times: opt.Times,
		names: tokens(pl), sheets: map[string]*plan.Sheet{},
	}
	for _, s := range pl.Sheets {
		w.sheets[s.Name] = s
	}
	base := strings.ReplaceAll(token(pl.JobID), ":", "_")
	if opt.As == JDF {
		t := Ticket{Name: base + ".jdf", Doc: w.tree()}
		for i := range pl.Operations {
			t.Reading = append(t.Reading, w.summary(i, base))
		}
		return []Ticket{t}
	}
	tickets := make([]Ticket, 0, len(pl.Operations))
	for i := range pl.Operations {
		tickets = append(tickets, Ticket{
			Name: base + "-" + w.partID(i) + ".xjdf", Doc: w.ticket(i), Reading: []Summary{w.summary(i, base)},
		})
	}
	return tickets
}

// partID is the JobPartID of an operation: its place in the plan, step and sheet.
func (w *writer) partID(i int) string {
	o := w.plan.Operations[i]
	part := fmt.Sprintf("%02d-%s", i+1, o.Step)
	if o.Sheet != "" {
		part += "-" + o.Sheet
	}
	return part
}

// moment writes an instant to the second, in the zone that it has.
func moment(t time.Time) string { return value.DateTimeOf(t.Truncate(time.Second)).String() }

// writer holds what all tickets of a plan share.
type writer struct {
	plan    *plan.Plan
	job     *job.Job
	at      string            // when, as tickets write it
	version string            // of Quoin
	times   map[int]Span      // of operations
	names   map[string]string // separation to token
	sheets  map[string]*plan.Sheet

	root *etree.Element // of the ticket in hand
}

var types = map[plan.Step]string{
	plan.StepPlates: "ImageSetting", plan.StepStock: "Cutting", plan.StepPrint: "ConventionalPrinting",
	plan.StepLaminate: "Laminating", plan.StepVarnish: "Varnishing", plan.StepDieCut: "ShapeCutting",
	plan.StepHand: "ManualLabor",
	plan.StepCut:  "Cutting", plan.StepFold: "Folding", plan.StepStitch: "Collecting Stitching Trimming",
	plan.StepBind: "Gathering SpinePreparation CoverApplication Trimming",
}

// processes are the processes of the standard that an operation takes.
func (w *writer) processes(o *plan.Operation) string {
	process := types[o.Step]
	if o.Print != nil && o.Print.Digital {
		process = "DigitalPrinting"
	}
	if o.Print != nil && coated(w.sheets[o.Sheet]) {
		process += " Varnishing"
	}
	return process
}

func (w *writer) ticket(i int) *etree.Document {
	o := w.plan.Operations[i]
	doc := etree.NewDocument()
	doc.CreateProcInst("xml", `version="1.0" encoding="UTF-8"`)
	w.root = doc.CreateElement("XJDF")
	set(w.root, "xmlns", jdf.NamespaceXJDF, "Version", version, "JobID", token(w.plan.JobID), "JobPartID", w.partID(i),
		"DescriptiveName", w.plan.Name, "Types", w.processes(o))
	header := w.root.CreateElement("AuditPool").CreateElement("AuditCreated").CreateElement("Header")
	set(header, "AgentName", agent, "AgentVersion", w.version, "DeviceID", agent, "Time", w.at)
	w.schedule(w.resource("NodeInfo", "Input").CreateElement("NodeInfo"), "Status", i)
	w.device(o)
	particular(w, o)
	doc.Indent(2)
	return doc
}

// schedule writes the times of an operation, and when the whole job is due. The
// generations name the status of the node differently.
func (w *writer) schedule(info *etree.Element, status string, i int) {
	o := w.plan.Operations[i]
	if o.WashUp.Duration > 0 {
		set(info, "CleanupDuration", o.WashUp.Ticket())
	}
	set(info, "LastEnd", w.due())
	if o.Step != plan.StepPlates {
		set(info, "SetupDuration", o.Makeready.Ticket(), "TotalDuration", plan.Time{Duration: o.Total()}.Ticket())
	}
	set(info, status, "Waiting")
	if span, ok := w.times[i]; ok {
		set(info, "End", moment(span.End), "Start", moment(span.Start))
	}
	info.SortAttrs()
}

func (w *writer) due() string {
	if w.job == nil {
		return ""
	}
	for _, p := range w.job.RootProducts() {
		if p.Due.Given {
			return p.Due.Value.String()
		}
	}
	if end := w.job.Schedule.LastEnd; end.Given && len(w.job.Products) == 0 {
		return end.Value.String()
	}
	return ""
}

func (w *writer) device(o *plan.Operation) {
	if o.Device == "" {
		return
	}
	device := w.resource("Device", "Input").CreateElement("Device")
	if o.CostCentre != "" {
		set(device, "CostCenterID", token(o.CostCentre))
	}
	set(device, "DescriptiveName", o.DeviceName, "DeviceID", token(o.Device))
}
