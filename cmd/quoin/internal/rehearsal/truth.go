package rehearsal

import (
	"cmp"
	"slices"
	"time"

	"quoin/convert/plan"
	"quoin/jdf/job"
)

// Truth is what really happened, whatever the machines say of it.
type Truth struct {
	Plant  string    `json:"plant"`
	Seed   uint64    `json:"seed"`
	From   time.Time `json:"from"`
	To     time.Time `json:"to"` // the end of the last step
	Habits []Habit   `json:"habits"`
	Orders []Order   `json:"orders"`
	Steps  []*Act    `json:"steps"` // by device and time
	Idle   []Idle    `json:"idle"`  // that was reported, by device and time
	Totals []Total   `json:"totals"`
	Faults []Fault   `json:"faults"` // what was told wrong, or not at all, on purpose
}

// Order is one job from order to delivery.
type Order struct {
	Job       string    `json:"job"`
	Customer  string    `json:"customer"`
	Product   string    `json:"product"`
	Form      string    `json:"form"` // of its ticket: xjdf or jdf
	Ordered   int       `json:"ordered"`
	Delivered int       `json:"delivered"`
	Placed    time.Time `json:"placed"`
	Due       time.Time `json:"due"`
	Done      time.Time `json:"done"`
	Late      bool      `json:"late"`
}

// Idle is a time in a shift in which a machine had nothing to do.
type Idle struct {
	Device string    `json:"device"`
	Start  time.Time `json:"start"`
	End    time.Time `json:"end"`
}

// Fault is one thing that was told wrong on purpose.
type Fault struct {
	Kind   string `json:"kind"`
	Device string `json:"device,omitempty"`
	Job    string `json:"job,omitempty"`
	What   string `json:"what"` // file or message
}

// Total is all of one state of one machine.
type Total struct {
	Device string    `json:"device"`
	State  job.State `json:"state"`
	Time   plan.Time `json:"time"`
	Good   int       `json:"good"`
	Waste  int       `json:"waste"`
}

// Settle sorts the steps and sums them up.
func (t *Truth) Settle() {
	slices.SortFunc(t.Steps, func(a, b *Act) int {
		return cmp.Or(cmp.Compare(a.Device, b.Device), a.Start().Compare(b.Start()),
			cmp.Compare(a.Job, b.Job), cmp.Compare(a.Part, b.Part))
	})
	slices.SortFunc(t.Idle, func(a, b Idle) int {
		return cmp.Or(cmp.Compare(a.Device, b.Device), a.Start.Compare(b.Start))
	})
	type key struct {
		device string
		state  job.State
	}
	sums := map[key]*Total{}
	of := func(device string, state job.State) *Total {
		k := key{device, state}
		if sums[k] == nil {
			sums[k] = &Total{Device: device, State: state}
		}
		return sums[k]
	}
	for _, a := range t.Steps {
		for _, p := range a.Phases {
			sum := of(a.Device, p.State)
			sum.Time.Duration += p.Length()
			sum.Good, sum.Waste = sum.Good+p.Good, sum.Waste+p.Waste
		}
		if a.End().After(t.To) {
			t.To = a.End()
		}
	}
	for _, i := range t.Idle {
		of(i.Device, job.StateIdle).Time.Duration += i.End.Sub(i.Start)
	}
	t.Totals = nil
	for _, sum := range sums {
		t.Totals = append(t.Totals, *sum)
	}
	slices.SortFunc(t.Totals, func(a, b Total) int {
		return cmp.Or(cmp.Compare(a.Device, b.Device), cmp.Compare(a.State, b.State))
	})
}

// IdleOf finds when a machine had nothing to do in the shifts from its first
// step to its last.
func IdleOf(device string, acts []*Act, cal Calendar) []Idle {
	var all []Idle
	for i, a := range acts {
		if i+1 == len(acts) {
			break
		}
		at, until := a.End(), acts[i+1].Start()
		for at.Before(until) {
			open, ok := cal.Next(at)
			if !ok || !open.From.Before(until) {
				break
			}
			from, to := open.From, open.To
			if at.After(from) {
				from = at
			}
			if until.Before(to) {
				to = until
			}
			all = append(all, Idle{device, from, to})
			at = to
		}
	}
	return all
}
