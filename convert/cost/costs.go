package cost

import (
	"github.com/shopspring/decimal"
)

// Planned is what a plan expects of one job on one device.
type Planned struct {
	Device    string          `json:"device"` // DeviceID
	Makeready Span            `json:"makeready"`
	Run       Span            `json:"run"`
	Good      decimal.Decimal `json:"good"`
	Waste     decimal.Decimal `json:"waste"`
	Cost      decimal.Decimal `json:"cost"` // of the time, without material
}

func (p Planned) plus(q Planned) Planned {
	p.Makeready, p.Run = p.Makeready.plus(q.Makeready), p.Run.plus(q.Run)
	p.Good, p.Waste, p.Cost = p.Good.Add(q.Good), p.Waste.Add(q.Waste), p.Cost.Add(q.Cost)
	return p
}

// PlannedTotal is what a plan expects of one job on all devices together.
type PlannedTotal struct {
	Makeready Span            `json:"makeready"`
	Run       Span            `json:"run"`
	Cost      decimal.Decimal `json:"cost"`
}

// Times is the time spent, by what it was spent on.
type Times struct {
	Makeready Span `json:"makeready"`
	Run       Span `json:"run"`
	WashUp    Span `json:"washUp"`
	Idle      Span `json:"idle"`
	Stopped   Span `json:"stopped"`
	Unknown   Span `json:"unknown"` // of which the state was not understood; it has no price
}

// Total is all of it.
func (t Times) Total() Span {
	return t.Makeready.plus(t.Run).plus(t.WashUp).plus(t.Idle).plus(t.Stopped).plus(t.Unknown)
}

func (t Times) plus(u Times) Times {
	return Times{
		t.Makeready.plus(u.Makeready), t.Run.plus(u.Run), t.WashUp.plus(u.WashUp),
		t.Idle.plus(u.Idle), t.Stopped.plus(u.Stopped), t.Unknown.plus(u.Unknown),
	}
}

// Figures is what is added up on every level of the costs.
type Figures struct {
	Times
	Cost decimal.Decimal `json:"cost"`
	// Extra is the share of Cost that alterations and rework made.
	Extra    decimal.Decimal `json:"extra"`
	Unpriced Span            `json:"unpriced"` // time that has no rate
}

func (f Figures) plus(g Figures) Figures {
	return Figures{
		Times: f.Times.plus(g.Times),
		Cost:  f.Cost.Add(g.Cost), Extra: f.Extra.Add(g.Extra), Unpriced: f.Unpriced.plus(g.Unpriced),
	}
}

// Made is what came of the time of one device. It is not added up over several:
// the sheets of a press and the copies of a folder have no sum.
type Made struct {
	Good  decimal.Decimal `json:"good"`
	Waste decimal.Decimal `json:"waste"`
}

func (m Made) plus(n Made) Made { return Made{m.Good.Add(n.Good), m.Waste.Add(n.Waste)} }

// Costs is what jobs cost, priced with the rates of a plant. Each line of a job
// is rounded once, half away from zero; every total is a sum of rounded lines,
// so that what is shown adds up.
type Costs struct {
	Plant    string   `json:"plant"`
	Currency string   `json:"currency"`
	Places   int32    `json:"places"` // decimal places of money
	Jobs     []Job    `json:"jobs"`   // by id; time spent for no job comes first, with the id ""
	Centres  []Centre `json:"centres"`
	Devices  []Device `json:"devices"`
	Total    Figures  `json:"total"`
}

// Job is what one job cost.
type Job struct {
	ID      string        `json:"id"`
	Lines   []Line        `json:"lines"`
	Total   Figures       `json:"total"`
	Planned *PlannedTotal `json:"planned,omitempty"`
	Uses    []Use         `json:"uses,omitempty"`
}

// Line is what one job cost on one device.
type Line struct {
	Device  string `json:"device"`
	Name    string `json:"name"`   // of the machine in the plant file
	Centre  string `json:"centre"` // cost centre whose rates it is priced with, or ""
	Figures `json:"figures"`
	Made    `json:"made"`
	Planned *Planned `json:"planned,omitempty"`
}

// Centre is what one cost centre did, for all jobs.
type Centre struct {
	ID      string `json:"id"`
	Name    string `json:"name"`
	Figures `json:"figures"`
}

// Device is the time of one device, from the first to the last that is known of it.
type Device struct {
	ID          string `json:"id"`
	Name        string `json:"name"`
	Figures     `json:"figures"`
	Made        `json:"made"`
	Unallocated Span `json:"unallocated"` // in between, of which nothing is known
	OEE         OEE  `json:"oee"`
}
