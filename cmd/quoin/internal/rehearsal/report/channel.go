package report

import (
	"time"

	"quoin/cmd/quoin/internal/rehearsal"
	"quoin/jdf"
	"quoin/jdf/job"
	"quoin/validate/plant"
)

// Generation is one of the two of the standard.
type Generation uint8

// The generations.
const (
	First  Generation = 1 // JDF and JMF
	Second Generation = 2 // XJDF and XJMF
)

// String is "JDF" or "XJDF".
func (g Generation) String() string {
	if g == First {
		return "JDF"
	}
	return "XJDF"
}

func (g Generation) namespace() string {
	if g == First {
		return jdf.NamespaceJDF
	}
	return jdf.NamespaceXJDF
}

// Channel is how a machine reports.
type Channel struct {
	Device  string
	Speaks  Generation
	Tickets bool // it returns its tickets with audits
	Signals bool // it sends signals
	Running bool // JMF: its counter runs through the whole job, not the phase
	Idle    bool // it says when it has nothing to do
}

// Channels are how the machines of a plant report, by DeviceID: each in turn in
// another way, so that all ways are met.
func Channels(p *plant.Plant) map[string]Channel {
	all := map[string]Channel{}
	for i, id := range Devices(p) {
		c := Channel{Device: id}
		switch i % 6 {
		case 0:
			c.Speaks, c.Tickets, c.Signals, c.Idle = Second, true, true, true
		case 1:
			c.Speaks, c.Tickets = Second, true
		case 2:
			c.Speaks, c.Signals, c.Idle = Second, true, true
		case 3:
			c.Speaks, c.Signals, c.Running = First, true, true
		case 4:
			c.Speaks, c.Tickets, c.Signals = First, true, true
		case 5:
			c.Speaks, c.Tickets = First, true
		}
		all[id] = c
	}
	return all
}

// Devices lists the machines and benches of a plant in the order of its file.
func Devices(p *plant.Plant) []string {
	var all []string
	for _, m := range p.Presses {
		all = append(all, m.ID)
	}
	for _, m := range p.Guillotines {
		all = append(all, m.ID)
	}
	for _, m := range p.Folders {
		all = append(all, m.ID)
	}
	for _, m := range p.Stitchers {
		all = append(all, m.ID)
	}
	for _, m := range p.Binders {
		all = append(all, m.ID)
	}
	for _, m := range p.DieCutters {
		all = append(all, m.ID)
	}
	for _, m := range p.Laminators {
		all = append(all, m.ID)
	}
	for _, m := range p.Coaters {
		all = append(all, m.ID)
	}
	for _, m := range p.HandWork {
		all = append(all, m.ID) // people report at a terminal
	}
	return all
}

// NodeStatus is the word of both generations for what a job goes through.
func NodeStatus(s job.State) string {
	switch s {
	case job.StateMakeready:
		return "Setup"
	case job.StateRun:
		return "InProgress"
	case job.StateWash:
		return "Cleanup"
	case job.StateStopped:
		return "Stopped"
	case job.StateOff:
		return "Suspended"
	}
	return "Completed"
}

// ended is how an act ended.
func ended(a *rehearsal.Act) string {
	if a.Ended == "" {
		return "Completed"
	}
	return a.Ended
}

// DeviceStatus is the word for what the machine goes through.
func (g Generation) DeviceStatus(s job.State) string {
	if g == First {
		switch s {
		case job.StateMakeready:
			return "Setup"
		case job.StateRun:
			return "Running"
		case job.StateWash:
			return "Cleanup"
		case job.StateStopped:
			return "Stopped"
		}
		return "Idle"
	}
	switch s {
	case job.StateStopped:
		return "Stopped"
	case job.StateOff:
		return "Offline"
	case job.StateIdle, job.StateDone:
		return "Idle"
	}
	return "Production"
}

// phases are those of an act with the times between, in which the shift was
// over and the job lay.
func phases(a *rehearsal.Act) []rehearsal.Phase {
	var all []rehearsal.Phase
	for i, p := range a.Phases {
		if i > 0 && p.Start.After(a.Phases[i-1].End) {
			all = append(all, rehearsal.Phase{State: job.StateOff, Start: a.Phases[i-1].End, End: p.Start})
		}
		all = append(all, p)
	}
	return all
}

func stamp(t time.Time) string { return t.Format(time.RFC3339) }
