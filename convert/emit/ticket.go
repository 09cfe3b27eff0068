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
	// Clock gives the time of the audit that says when a ticket was made.
	// Default time.Now.
	Clock func() time.Time

	// AgentVersion is the version of Quoin in that audit. Default "", which
	// leaves it out.
	AgentVersion string
}

// Ticket is one device ticket.
type Ticket struct {
	Name string // of the file, such as SM-1041-02-print-S1.xjdf
	Doc  *etree.Document
}

// agent is how Quoin names itself in audits.
const agent = "Quoin"

// version is that of the standard in which tickets are written.
const version = "2.2"

// Tickets writes a ticket for every operation of the plan, in the order of work.
// The job adds what a plan does not keep, such as the date that it is due; it
// may be nil.
func Tickets(pl *plan.Plan, j *job.Job, opt Options) []Ticket {
	if opt.Clock == nil {
		opt.Clock = time.Now
	}
	w := &writer{
		plan: pl, job: j, at: value.DateTimeOf(opt.Clock().Truncate(time.Second)).String(), version: opt.AgentVersion,
		names: tokens(pl), sheets: map[string]*plan.Sheet{},
	}
	for _, s := range pl.Sheets {
		w.sheets[s.Name] = s
	}
	tickets := make([]Ticket, 0, len(pl.Operations))
	for i, o := range pl.Operations {
		part := fmt.Sprintf("%02d-%s", i+1, o.Step)
		if o.Sheet != "" {
			part += "-" + o.Sheet
		}
		name := strings.ReplaceAll(token(pl.JobID), ":", "_") + "-" + part + ".xjdf"
		tickets = append(tickets, Ticket{Name: name, Doc: w.ticket(o, part)})
	}
	return tickets
}

// writer holds what all tickets of a plan share.
type writer struct {
	plan    *plan.Plan
	job     *job.Job
	at      string            // when, as tickets write it
	version string            // of Quoin
	names   map[string]string // separation to token
	sheets  map[string]*plan.Sheet

	root *etree.Element // of the ticket in hand
}

var types = map[plan.Step]string{
	plan.StepPlates: "ImageSetting", plan.StepStock: "Cutting", plan.StepPrint: "ConventionalPrinting",
	plan.StepCut: "Cutting", plan.StepFold: "Folding", plan.StepStitch: "Collecting Stitching Trimming",
}

func (w *writer) ticket(o *plan.Operation, part string) *etree.Document {
	doc := etree.NewDocument()
	doc.CreateProcInst("xml", `version="1.0" encoding="UTF-8"`)
	w.root = doc.CreateElement("XJDF")
	process := types[o.Step]
	if o.Print != nil && o.Print.Digital {
		process = "DigitalPrinting"
	}
	if o.Print != nil && coated(w.sheets[o.Sheet]) {
		process += " Varnishing"
	}
	set(w.root, "xmlns", jdf.NamespaceXJDF, "Version", version, "JobID", token(w.plan.JobID), "JobPartID", part,
		"DescriptiveName", w.plan.Name, "Types", process)
	header := w.root.CreateElement("AuditPool").CreateElement("AuditCreated").CreateElement("Header")
	set(header, "AgentName", agent, "AgentVersion", w.version, "DeviceID", agent, "Time", w.at)
	w.schedule(o)
	w.device(o)
	switch o.Step {
	case plan.StepPlates:
		w.plates(o)
	case plan.StepStock:
		w.stock(o)
	case plan.StepPrint:
		w.press(o)
	case plan.StepCut:
		w.cut(o)
	case plan.StepFold:
		w.fold(o)
	case plan.StepStitch:
		w.stitch(o)
	}
	doc.Indent(2)
	return doc
}

// schedule writes the times, and when the whole job is due.
func (w *writer) schedule(o *plan.Operation) {
	info := w.resource("NodeInfo", "Input").CreateElement("NodeInfo")
	if o.WashUp.Duration > 0 {
		set(info, "CleanupDuration", o.WashUp.Ticket())
	}
	if due := w.due(); due != "" {
		set(info, "LastEnd", due)
	}
	if o.Step != plan.StepPlates {
		set(info, "SetupDuration", o.Makeready.Ticket(), "Status", "Waiting",
			"TotalDuration", plan.Time{Duration: o.Total()}.Ticket())
		return
	}
	set(info, "Status", "Waiting")
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
