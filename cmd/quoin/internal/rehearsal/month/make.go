package month

import (
	"bytes"
	"fmt"
	"time"

	"quoin/cmd/quoin/internal/rehearsal"
	"quoin/cmd/quoin/internal/rehearsal/orders"
	"quoin/convert"
	"quoin/convert/emit"
	"quoin/convert/plan"
	"quoin/jdf"
	"quoin/jdf/job"
	"quoin/validate"
	"quoin/validate/plant"
)

// Options say what is rehearsed.
type Options struct {
	Plant *plant.Plant
	Jobs  int       // orders; at least 1
	Seed  uint64    // the same seed gives the same month
	From  time.Time // the first day, in the zone of the plant
	Days  int       // in which orders come in and are made; what is not done then is done later
	Form  string    // of the orders: xjdf, jdf or mixed
}

// Month is what was rehearsed.
type Month struct {
	Options
	Jobs  []Job
	Truth *rehearsal.Truth
	idle  map[string][]rehearsal.Idle
}

// Job is one order with its ticket, its plan and what became of it.
type Job struct {
	orders.Order
	Form  string // xjdf or jdf
	File  []byte // of the order
	Asked *job.Job
	Plan  *plan.Plan
	Acts  []*rehearsal.Act // in the order of the plan's operations
}

// Clock is the time at which the job was planned.
func (j *Job) Clock() time.Time { return j.Placed.Add(time.Hour) }

// Forms are what Options.Form can be.
var forms = []string{"xjdf", "jdf", "mixed"}

// Make rehearses. The error says what of the options can not be, that no order
// could be made up that the plant can make, or that a machine has no shifts.
func Make(opt Options) (*Month, error) {
	if err := opt.check(); err != nil {
		return nil, err
	}
	m := &Month{Options: opt}
	steps := make([]rehearsal.Job, opt.Jobs)
	for i, placed := range opt.arrivals() {
		j, err := opt.order(i+1, placed)
		if err != nil {
			return nil, err
		}
		m.Jobs = append(m.Jobs, *j)
		var parts []string
		for _, t := range emit.Tickets(j.Plan, j.Asked, emit.Options{Clock: j.Clock}) {
			parts = append(parts, t.Doc.Root().SelectAttrValue("JobPartID", ""))
		}
		local := placed.In(opt.Plant.Zone)
		steps[i] = rehearsal.Job{
			ID: j.Job, Due: j.Due, Steps: rehearsal.StepsOf(j.Plan, opt.Plant, parts),
			// Artwork and plates take the rest of the day and the next morning.
			Release: time.Date(local.Year(), local.Month(), local.Day()+1, 10, 0, 0, 0, opt.Plant.Zone),
		}
	}
	shop := &rehearsal.Shop{Plant: opt.Plant, Seed: opt.Seed, Habits: rehearsal.HabitsOf(opt.Plant)}
	acts, err := shop.Run(steps)
	if err != nil {
		return nil, err
	}
	for i := range m.Jobs {
		m.Jobs[i].Acts = acts[i]
	}
	m.settle(shop)
	return m, nil
}

func (o *Options) check() error {
	known := false
	for _, f := range forms {
		known = known || f == o.Form
	}
	switch {
	case !known:
		return fmt.Errorf("form of orders is %q; want xjdf, jdf or mixed", o.Form)
	case o.Jobs < 1 || o.Jobs > 100_000:
		return fmt.Errorf("%d jobs are asked for; want 1 to 100000", o.Jobs)
	case o.Days < 1 || o.Days > 3660:
		return fmt.Errorf("%d days are asked for; want 1 to 3660", o.Days)
	case len(o.Plant.Stocks) == 0:
		return fmt.Errorf("plant %q has no stocks; orders are made up from them", o.Plant.Name)
	}
	return nil
}

// arrivals are the times at which orders come in: evenly over the first part of
// the days, in office hours, on days that are neither holidays nor weekends.
func (o *Options) arrivals() []time.Time {
	const part = 0.78 // of the days; the rest is for making them
	year, month, day := o.From.In(o.Plant.Zone).Date()
	var days []time.Time
	for i := range o.Days {
		d := time.Date(year, month, day+i, 12, 0, 0, 0, o.Plant.Zone)
		if d.Weekday() != time.Saturday && d.Weekday() != time.Sunday && !o.Plant.Holiday(d) {
			days = append(days, d)
		}
	}
	if len(days) == 0 {
		days = []time.Time{time.Date(year, month, day, 12, 0, 0, 0, o.Plant.Zone)}
	}
	days = days[:max(1, int(float64(len(days))*part+0.5))]
	dice := rehearsal.Throw(o.Seed, "arrivals")
	all := make([]time.Time, o.Jobs)
	for i := range all {
		at := (float64(i) + 0.5) / float64(o.Jobs) * float64(len(days))
		minutes := (at-float64(int(at)))*480 + dice.Between(0, 20) // from 8 to 16 by the clock
		d := days[int(at)]
		all[i] = time.Date(d.Year(), d.Month(), d.Day(), 8, int(minutes), 0, 0, o.Plant.Zone)
	}
	return all
}

// order makes up orders until the plant can make one.
func (o *Options) order(number int, placed time.Time) (*Job, error) {
	const tries = 60
	for attempt := range tries {
		j := &Job{Order: orders.Make(o.Plant, o.Seed, number, attempt, placed), Form: o.Form}
		if o.Form == "mixed" {
			j.Form = forms[number%2]
		}
		doc, err := j.ticket()
		if err != nil {
			return nil, err
		}
		j.Asked = job.Decode(doc)
		clean := true
		plant.Check(j.Asked, o.Plant, func(f validate.Finding) { clean = clean && f.Severity != validate.Error })
		if !clean {
			continue
		}
		if j.Plan, _ = plan.Make(j.Asked, o.Plant, plan.Options{Alternatives: 1}); j.Plan != nil {
			return j, nil
		}
	}
	return nil, fmt.Errorf("make up order %d: plant %q can make none of %d products that were tried",
		number, o.Plant.Name, tries)
}

// ticket writes the order in its form, and reads it as the plant would.
func (j *Job) ticket() (*jdf.Document, error) {
	var doc *jdf.Document
	file, err := j.Doc.WriteToBytes()
	if err == nil {
		doc, err = read(j.Order.Job+".xjdf", file)
	}
	if err != nil {
		return nil, fmt.Errorf("write order %q: %w", j.Order.Job, err)
	}
	if j.Form == "jdf" {
		made, err := convert.To([]*jdf.Document{doc}, jdf.KindJDF,
			convert.Options{Clock: func() time.Time { return j.Placed }})
		if err != nil {
			return nil, fmt.Errorf("write order %q as JDF: %w", j.Order.Job, err)
		}
		var out bytes.Buffer
		if _, err = made.Outputs[0].WriteTo(&out); err == nil {
			file = out.Bytes()
			doc, err = read(j.Order.Job+".jdf", file)
		}
		if err != nil {
			return nil, fmt.Errorf("write order %q as JDF: %w", j.Order.Job, err)
		}
	}
	j.File = file
	return doc, nil
}

// read reads a ticket that was just written.
func read(name string, file []byte) (*jdf.Document, error) {
	doc, faults, err := jdf.Read(name, bytes.NewReader(file), jdf.Limits{})
	if err == nil && len(faults) > 0 {
		err = fmt.Errorf("%q is not well-formed", name)
	}
	return doc, err
}
