package rehearsal

import (
	"time"

	"github.com/shopspring/decimal"

	"quoin/convert/plan"
	"quoin/jdf/job"
)

// Phase is a stretch of one state of a machine in a step, in whole seconds.
type Phase struct {
	State  job.State `json:"state"`
	Reason string    `json:"reason,omitempty"` // of a stop
	Start  time.Time `json:"start"`
	End    time.Time `json:"end"`
	Good   int       `json:"good"` // pieces that came out
	Waste  int       `json:"waste"`
	length time.Duration
}

// Length is how long it took.
func (p Phase) Length() time.Duration { return p.End.Sub(p.Start) }

// Use is what was used of a material, or made, in a step.
type Use struct {
	Kind       string          `json:"kind"`  // resource name: Media, ExposedMedia, Ink, Component
	Usage      string          `json:"usage"` // Input or Output
	ID         string          `json:"id,omitempty"`
	Separation string          `json:"separation,omitempty"`
	Lot        string          `json:"lot,omitempty"`
	Unit       string          `json:"unit,omitempty"` // "" counts pieces; g for ink
	Good       decimal.Decimal `json:"good"`
	Waste      decimal.Decimal `json:"waste"`
}

// Act is a step as it was played: the truth.
type Act struct {
	Work
	Planned Plan `json:"planned"`

	Operator string    `json:"operator"`
	Phases   []Phase   `json:"phases"` // in time order
	Uses     []Use     `json:"uses"`
	Readings []Reading `json:"readings,omitempty"`
	Drift    *Drift    `json:"drift,omitempty"`
	Good     int       `json:"good"`
	Waste    int       `json:"waste"`
	Taken    int       `json:"taken"` // what went in
	QueueID  string    `json:"queueEntry,omitempty"`
	Ended    string    `json:"ended,omitempty"` // Aborted, or Suspended while it is; else it was completed

	whole []Use // of the act without a cut
	pulls []Reading
}

// Plan is the planned times of a step.
type Plan struct {
	Makeready plan.Time `json:"makeready"`
	Run       plan.Time `json:"run"`
	WashUp    plan.Time `json:"washUp"`
}

// Start is when the first phase began.
func (a *Act) Start() time.Time { return a.Phases[0].Start }

// End is when the last phase was over.
func (a *Act) End() time.Time { return a.Phases[len(a.Phases)-1].End }

// Time is how long the step was in a state.
func (a *Act) Time(state job.State) time.Duration {
	var sum time.Duration
	for _, p := range a.Phases {
		if p.State == state {
			sum += p.Length()
		}
	}
	return sum
}
