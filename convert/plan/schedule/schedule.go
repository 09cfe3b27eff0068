package schedule

import (
	"time"

	"quoin/convert/plan"
	"quoin/jdf/job"
	"quoin/jdf/value"
)

// Work is a planned job that is to be laid.
type Work struct {
	Plan *plan.Plan

	// Due is when the last operation has to be done. One without a zone is read
	// off the wall clock of the plant; one that is not given, or infinite, is
	// no due time.
	Due job.Fact[value.DateTime]

	// NotBefore is when the first operation may begin, read like Due.
	NotBefore job.Fact[value.DateTime]

	// Priority is that of the ticket, from 0 to 100, the nearer of them for what
	// is outside; DefaultPriority when not given. An hour late weighs Priority + 1
	// hours, so that no job counts for nothing.
	Priority job.Fact[int]
}

// DefaultPriority is that of jobs whose tickets give none.
//
// Source: the published JDF 1.x schema, NodeInfo/@JobPriority, default 50.
const DefaultPriority = 50

func (w Work) priority() int { return min(100, max(0, w.Priority.Or(DefaultPriority))) }

// WorkOf is a plan with the times that its ticket asks for: the due time of the
// delivered product, else that of the whole ticket.
func WorkOf(pl *plan.Plan, j *job.Job) Work {
	w := Work{Plan: pl, NotBefore: j.Schedule.FirstStart, Priority: j.Schedule.Priority}
	for _, p := range j.RootProducts() {
		w.Due = job.First(w.Due, p.Due)
	}
	w.Due = job.First(w.Due, j.Schedule.LastEnd, j.Schedule.End)
	return w
}

// Options are what laying needs beside plans and plant.
type Options struct {
	// Now is when work begins; parts of a second are rounded up. It has to be set.
	Now time.Time

	// Latest lays each operation as late as the found order lets it without
	// making a job late, or later than it has to be. Default false: as soon as
	// possible.
	Latest bool

	// Trials is how many changes of the order the search tries. Default 40,000.
	Trials int

	// Seed is that of the search. Default 0.
	Seed uint64
}

const defaultTrials = 40_000

// Schedule is when each machine does what.
type Schedule struct {
	Plant  string    `json:"plant"`
	Zone   string    `json:"zone"` // IANA name, or UTC
	Now    time.Time `json:"now"`
	Latest bool      `json:"latest"` // laid as late as possible

	Jobs     []*Job     `json:"jobs"`     // in the order in which they were given
	Machines []*Machine `json:"machines"` // in the order of the plant file; those that have work
	Totals   Totals     `json:"totals"`
	Search   Search     `json:"search"`
	Notes    []string   `json:"notes"`
}

// Job is one plan as it was laid.
type Job struct {
	Number     int          `json:"number"` // from 1, in this schedule
	JobID      string       `json:"jobId"`
	Name       string       `json:"name"`
	Priority   int          `json:"priority"`
	Due        *time.Time   `json:"due,omitempty"`
	Start      time.Time    `json:"start"`
	End        time.Time    `json:"end"`
	Late       plan.Time    `json:"late"`     // over the due time, else nothing
	Earliest   time.Time    `json:"earliest"` // end that it can not be before, with all machines to itself
	Slack      plan.Time    `json:"slack"`    // least of its operations
	Operations []*Operation `json:"operations"`

	due job.Fact[value.DateTime]
}

// Operation is one operation of a plan on its machine.
type Operation struct {
	Job       int       `json:"job"` // Number of the Job
	JobID     string    `json:"jobId"`
	Step      plan.Step `json:"step"`
	Sheet     string    `json:"sheet,omitempty"`
	Machine   string    `json:"machine"`           // DeviceID
	Planned   string    `json:"planned,omitempty"` // machine of the plan, when that is another
	Start     time.Time `json:"start"`             // of its makeready
	RunStart  time.Time `json:"runStart"`
	End       time.Time `json:"end"` // of its run
	Makeready plan.Time `json:"makeready"`
	Run       plan.Time `json:"run"`
	WashUp    plan.Time `json:"washUp"` // after it, for what follows on the machine
	Slices    []Slice   `json:"slices"` // of working time, in time order

	// EarliestStart and LatestStart are what the order on all machines leaves,
	// Slack is the time between: it may begin so much later without making a
	// job late, or later than it is. A job without due time may end with the
	// last of all jobs.
	EarliestStart time.Time `json:"earliestStart"`
	LatestStart   time.Time `json:"latestStart"`
	Slack         plan.Time `json:"slack"`
}

// Activity is what a machine does.
type Activity string

// The activities.
const (
	Makeready Activity = "makeready"
	Run       Activity = "run"
	WashUp    Activity = "washUp"
)

// Slice is a time without a break.
type Slice struct {
	Activity Activity  `json:"activity"`
	From     time.Time `json:"from"`
	To       time.Time `json:"to"`
}

// Machine is what one machine does.
type Machine struct {
	ID         string       `json:"id"`
	Name       string       `json:"name"`
	Operations []*Operation `json:"operations"` // in time order
	Changeover plan.Time    `json:"changeover"` // makeready and washing up
	Run        plan.Time    `json:"run"`
	Shifts     []Period     `json:"shifts"` // working time from Now to the midnight after all is done

	// Busy is the share of the working time until all machines are done that is
	// makeready, run or washing up, in percent.
	Busy float64 `json:"busy"`
}

// Period is a time from one moment to another.
type Period struct {
	From time.Time `json:"from"`
	To   time.Time `json:"to"`
}

// Totals are what a schedule is judged by, in the order of weight: first how
// late jobs are, then the end of the last job, then changeovers, then how often
// a press goes to another stock or to a heavier one and back.
type Totals struct {
	LateJobs int       `json:"lateJobs"`
	Late     plan.Time `json:"late"` // of all jobs, added up

	WeightedLate Measure `json:"weightedLate"` // seconds late times priority + 1
	Makespan     Measure `json:"makespan"`     // seconds from Now to the end of the last job
	Changeover   Measure `json:"changeover"`   // seconds of makeready and washing up

	StockChanges int       `json:"stockChanges"` // on presses, and steps down in weight beside
	End          time.Time `json:"end"`
}

// Measure is what a schedule came to and what none can come below. The bounds
// are proven each for itself: no schedule need reach all three.
type Measure struct {
	Value int64 `json:"value"`
	Bound int64 `json:"bound"`

	// Gap is how far Value lies over Bound, in percent of Value; 0 is proven best.
	Gap float64 `json:"gap"`
}

// Search is how the schedule was found.
type Search struct {
	Rule   string `json:"rule"`   // priority rule it began with
	Trials int    `json:"trials"` // orders tried beside
	Taken  int    `json:"taken"`  // of them that were the best so far
	Seed   uint64 `json:"seed"`
}
