package api

import (
	"time"

	"github.com/shopspring/decimal"

	"quoin/cmd/quoin/internal/works"
)

// The types below are the answers as they stand in JSON. Names of fields are stable: new
// ones may come, and none is taken away or changes its meaning within a version.

// job is a ticket at a glance.
type job struct {
	ID         int64      `json:"id" doc:"number of the job here"`
	Entry      string     `json:"entry" doc:"QueueEntryID, as senders of messages know it"`
	Version    int64      `json:"version" doc:"counts the contents of the ticket, from 1"`
	Job        string     `json:"job" doc:"JobID of the ticket"`
	Part       string     `json:"part,omitempty" doc:"JobPartID of the ticket"`
	Name       string     `json:"name,omitempty"`
	Customer   string     `json:"customer,omitempty"`
	Product    string     `json:"product,omitempty"`
	Ordered    string     `json:"ordered,omitempty" doc:"amount ordered, exact"`
	Due        *time.Time `json:"due,omitempty" doc:"when it was promised"`
	Priority   int        `json:"priority" doc:"0 to 100, higher first"`
	Partner    string     `json:"partner" doc:"who handed it in"`
	Generation string     `json:"generation,omitempty" doc:"jdf or xjdf"`
	File       string     `json:"file,omitempty" doc:"file name of the ticket, in its package where it has one"`
	State      string     `json:"state" doc:"how far it has come"`
	Queue      string     `json:"queue" doc:"status of the queue entry, empty for a refused ticket"`
	Reason     string     `json:"reason,omitempty" doc:"of the last change"`
	Outcome    string     `json:"outcome,omitempty" doc:"done or aborted, once it is either"`
	Received   time.Time  `json:"received"`
	Changed    time.Time  `json:"changed" doc:"when the state changed last"`
	Errors     int        `json:"errors" doc:"findings of the last check"`
	Warnings   int        `json:"warnings" doc:"findings of the last check"`
	Checked    bool       `json:"checked" doc:"whether there are findings to read"`
	Planned    bool       `json:"planned" doc:"whether there is a plan to read"`
	Start      *time.Time `json:"start,omitempty" doc:"when its steps are planned to begin"`
	End        *time.Time `json:"end,omitempty" doc:"when its steps are planned to end"`
}

// wholeJob is a job with its steps and what can be done to it.
type wholeJob struct {
	job
	Steps   []step   `json:"steps" doc:"of the last plan, in the order of work"`
	Actions []string `json:"actions" doc:"what can be done to it now"`
}

// step is one run of one device for a job.
type step struct {
	ID         int64           `json:"id"`
	Number     int             `json:"number" doc:"place in the plan, from 0"`
	Name       string          `json:"name"`
	Part       string          `json:"part,omitempty" doc:"JobPartID in the device ticket"`
	Process    string          `json:"process,omitempty"`
	Device     string          `json:"device,omitempty" doc:"empty when a person reports it"`
	CostCentre string          `json:"costCentre,omitempty"`
	Needs      []int           `json:"needs" doc:"numbers of the steps before it"`
	State      string          `json:"state"`
	Reason     string          `json:"reason,omitempty"`
	Changed    time.Time       `json:"changed"`
	Tries      int             `json:"tries" doc:"how often it was made ready"`
	Start      *time.Time      `json:"start,omitempty" doc:"planned"`
	End        *time.Time      `json:"end,omitempty" doc:"planned"`
	Makeready  int64           `json:"makeready" doc:"planned, in seconds"`
	Run        int64           `json:"run" doc:"planned, in seconds"`
	Target     decimal.Decimal `json:"target" doc:"good copies to come out"`
	Allowed    decimal.Decimal `json:"allowed" doc:"waste that is allowed"`
	Unit       string          `json:"unit,omitempty" doc:"of the amounts"`
	Began      *time.Time      `json:"began,omitempty"`
	Ended      *time.Time      `json:"ended,omitempty"`
	Good       decimal.Decimal `json:"good"`
	Waste      decimal.Decimal `json:"waste"`
	Queued     string          `json:"queued,omitempty" doc:"QueueEntryID that the device gave it"`
	Ticket     string          `json:"ticket,omitempty" doc:"file name of its device ticket, once there is one"`
}

// turn is one change of a job or of one of its steps.
type turn struct {
	At       time.Time `json:"at"`
	Step     int64     `json:"step,omitempty" doc:"number of the step, left out for the job itself"`
	Name     string    `json:"name,omitempty" doc:"of the step"`
	From     string    `json:"from,omitempty" doc:"empty for a note"`
	To       string    `json:"to,omitempty" doc:"empty for a note"`
	Reason   string    `json:"reason,omitempty"`
	Who      string    `json:"who,omitempty" doc:"empty for the service itself"`
	Instance string    `json:"instance,omitempty" doc:"process that did it"`
}

// device is a machine of the plant as it is now.
type device struct {
	ID      string     `json:"id"`
	Name    string     `json:"name"`
	Dialect string     `json:"dialect,omitempty" doc:"jmf or xjmf"`
	Reached string     `json:"reached" doc:"by message, by folder, or not at all: none"`
	Heard   *time.Time `json:"heard,omitempty" doc:"when it last said anything"`
	State   string     `json:"state,omitempty"`
	Details string     `json:"details,omitempty"`
	Job     string     `json:"job,omitempty" doc:"JobID that it works on"`
	Part    string     `json:"part,omitempty"`
	Since   *time.Time `json:"since,omitempty" doc:"when the state changed last"`
	Counter string     `json:"counter,omitempty"`
	Speed   string     `json:"speed,omitempty" doc:"pieces an hour"`
	Steps   []step     `json:"steps" doc:"that are not over, in the order of the queue"`
}

// delivery is something that goes out.
type delivery struct {
	ID       int64     `json:"id"`
	Message  string    `json:"message" doc:"id that stays the same however often it is sent"`
	Kind     string    `json:"kind" doc:"type of the message, such as SubmitQueueEntry"`
	Device   string    `json:"device,omitempty"`
	Partner  string    `json:"partner,omitempty"`
	Address  string    `json:"address" doc:"URL or folder, without what a URL says of users and secrets"`
	Job      int64     `json:"job,omitempty"`
	Step     int64     `json:"step,omitempty"`
	State    string    `json:"state"`
	Attempts int       `json:"attempts"`
	Error    string    `json:"error,omitempty" doc:"of the last attempt"`
	Created  time.Time `json:"created"`
	Changed  time.Time `json:"changed"`
	Status   int       `json:"status,omitempty" doc:"HTTP status of the answer"`
	Code     int       `json:"code,omitempty" doc:"return code of the answer, by the standard"`
}

// chore is a piece of background work.
type chore struct {
	ID       int64     `json:"id"`
	Kind     string    `json:"kind"`
	Subject  string    `json:"subject" doc:"what it is about, such as the number of a job"`
	State    string    `json:"state"`
	Attempts int       `json:"attempts"`
	Due      time.Time `json:"due" doc:"not before"`
	Created  time.Time `json:"created"`
	Error    string    `json:"error,omitempty" doc:"of the last attempt"`
}

// alert is something that a person should know of.
type alert struct {
	ID           int64      `json:"id"`
	Kind         string     `json:"kind"`
	Key          string     `json:"key" doc:"what it is about"`
	Severity     string     `json:"severity" doc:"note, warning or error"`
	Text         string     `json:"text"`
	Job          int64      `json:"job,omitempty"`
	Device       string     `json:"device,omitempty"`
	State        string     `json:"state"`
	First        time.Time  `json:"first"`
	Last         time.Time  `json:"last"`
	Count        int        `json:"count"`
	Who          string     `json:"who,omitempty" doc:"acknowledged it"`
	Acknowledged *time.Time `json:"acknowledged,omitempty"`
	Closed       *time.Time `json:"closed,omitempty"`
}

// message is a document in the inbox.
type message struct {
	ID       int64      `json:"id"`
	Partner  string     `json:"partner"`
	Source   string     `json:"source" doc:"message, folder or upload"`
	Name     string     `json:"name,omitempty"`
	Media    string     `json:"media,omitempty"`
	Message  string     `json:"message,omitempty" doc:"by which the sender knows it"`
	Size     int64      `json:"size" doc:"bytes"`
	At       time.Time  `json:"at"`
	Clash    int64      `json:"clash,omitempty" doc:"earlier message of the same id and another content"`
	Repeats  int        `json:"repeats" doc:"how often it came again"`
	Answered *time.Time `json:"answered,omitempty"`
	Status   int        `json:"status,omitempty" doc:"HTTP status of the answer"`
	Code     int        `json:"code,omitempty" doc:"return code of the answer, by the standard"`
}

// record is one line of the log of who did what.
type record struct {
	ID       int64     `json:"id"`
	At       time.Time `json:"at"`
	Who      string    `json:"who"`
	Instance string    `json:"instance,omitempty"`
	Action   string    `json:"action" doc:"such as ticket.abort"`
	Subject  string    `json:"subject"`
	Detail   string    `json:"detail,omitempty"`
}

// me is who asks.
type me struct {
	Name  string   `json:"name"`
	Roles []string `json:"roles"`
}

// when is nil for no time.
func when(t time.Time) *time.Time {
	if t.IsZero() {
		return nil
	}
	return &t
}

func jobOf(k *works.Ticket) job {
	return job{
		ID: k.ID, Entry: k.EntryID, Version: k.Version, Job: k.Job, Part: k.Part, Name: k.Name, Customer: k.Customer,
		Product: k.Product, Ordered: k.Ordered, Due: when(k.Due), Priority: k.Priority, Partner: k.Partner,
		Generation: k.Generation, File: k.File, State: string(k.State), Queue: string(k.Entry), Reason: k.Reason,
		Outcome: string(k.Outcome), Received: k.Received, Changed: k.Changed, Errors: k.Errors, Warnings: k.Warnings,
		Checked: k.Findings != "", Planned: k.Plan != "", Start: when(k.Start), End: when(k.End),
	}
}

func stepOf(s *works.Step) step {
	needs := s.Needs
	if needs == nil {
		needs = []int{}
	}
	return step{
		ID: s.ID, Number: s.Number, Name: s.Name, Part: s.Part, Process: s.Process, Device: s.Device, CostCentre: s.CostCentre,
		Needs: needs, State: string(s.State), Reason: s.Reason, Changed: s.Changed, Tries: s.Tries, Start: when(s.Start),
		End: when(s.End), Makeready: int64(s.Makeready.Seconds()), Run: int64(s.Run.Seconds()), Target: s.Target,
		Allowed: s.NewStep.Waste, Unit: s.Unit, Began: when(s.Began), Ended: when(s.Ended), Good: s.Good, Waste: s.Spoilt,
		Queued: s.Queued, Ticket: s.TicketName,
	}
}

func stepsOf(list []*works.Step) []step {
	steps := []step{}
	for _, s := range list {
		steps = append(steps, stepOf(s))
	}
	return steps
}
