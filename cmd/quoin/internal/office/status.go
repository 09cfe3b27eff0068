package office

import (
	"context"
	"errors"
	"slices"

	"github.com/shopspring/decimal"

	"quoin/cmd/quoin/internal/access"
	"quoin/cmd/quoin/internal/compose"
	"quoin/cmd/quoin/internal/dialog"
	"quoin/cmd/quoin/internal/ledger"
	"quoin/cmd/quoin/internal/works"
	"quoin/jdf/job"
	"quoin/jdf/message"
	"quoin/validate/plant"
)

// deviceWords are the states of devices in the words of XJDF, by those of job.State.
var deviceWords = map[string]string{
	job.StateMakeready.String(): "Setup", job.StateRun.String(): "Production", job.StateWash.String(): "Cleanup",
	job.StateIdle.String(): "Idle", job.StateDone.String(): "Idle", job.StateStopped.String(): "Stopped",
	job.StateOff.String(): "Offline",
}

// Devices lists the machines of the plant.
func (o *Office) Devices(ctx context.Context, _ dialog.From, f *message.DeviceFilter) ([]compose.Device, error) {
	known, err := works.Ask(ctx, o.Store, (*works.Tx).Devices)
	if err != nil {
		return nil, err
	}
	var list []compose.Device
	for _, d := range known {
		if f != nil && f.Devices.Given && !slices.Contains(f.Devices.Value, d.ID) {
			continue
		}
		c := compose.Device{ID: d.ID, Name: d.Name, URL: works.WithoutUser(d.URL), State: deviceWords[d.State], Folder: d.Folder}
		if m := o.machine(d.ID); m != nil && m.CostCentre != nil {
			c.CostCentre = m.CostCentre.ID
		}
		list = append(list, c)
	}
	return list, nil
}

// machine is a machine of the plant file, or nil.
func (o *Office) machine(id string) *plant.Machine {
	for _, m := range o.Plant.Machines() {
		if m.ID == id {
			return m
		}
	}
	return nil
}

// about says what a query is about: one job, one part of it, one entry. Empty values
// are everything.
type about struct{ job, part, entry string }

// find gives the tickets that a query is about; none without a job or entry. One that
// nobody knows is refused.
func (o *Office) find(ctx context.Context, tx *works.Tx, from dialog.From, a about) ([]*works.Ticket, error) {
	seen := func(k *works.Ticket) bool { return mine(ctx, from, k, access.Reader, access.Operator) }
	switch {
	case a.entry != "":
		k, err := tx.TicketOfEntry(a.entry)
		if errors.Is(err, works.ErrUnknown) || err == nil && !seen(k) {
			return nil, dialog.Refuse(message.EntryUnknown, "entry %q is not in the queue; ask with QueueStatus what is",
				a.entry)
		}
		if err != nil {
			return nil, err
		}
		return []*works.Ticket{k}, nil
	case a.job != "":
		tickets, err := tx.Tickets(works.TicketFilter{Job: a.job, Order: works.ByChange})
		tickets = slices.DeleteFunc(tickets, func(k *works.Ticket) bool { return !seen(k) })
		if err == nil && len(tickets) == 0 {
			err = dialog.Refuse(message.JobIDUnknown, "job %q is not known here; ask with QueueStatus what is in the queue",
				a.job)
		}
		return tickets, err
	}
	return nil, nil
}

// Status tells what devices are doing: all of them, or those that have steps of what
// the query is about.
func (o *Office) Status(ctx context.Context, from dialog.From, q *message.StatusQuery) ([]compose.DeviceState, error) {
	a := about{}
	if q != nil {
		a = about{q.JobID.Value, q.PartID.Value, q.Entry.Value}
	}
	return works.Ask(ctx, o.Store, func(tx *works.Tx) ([]compose.DeviceState, error) { return o.states(ctx, tx, from, a) })
}

func (o *Office) states(ctx context.Context, tx *works.Tx, from dialog.From, a about) ([]compose.DeviceState, error) {
	tickets, err := o.find(ctx, tx, from, a)
	if err != nil {
		return nil, err
	}
	devices, err := tx.Devices()
	if err != nil {
		return nil, err
	}
	var list []compose.DeviceState
	for _, d := range devices {
		steps, err := tx.DeviceSteps(d.ID)
		if err != nil {
			return nil, err
		}
		s := compose.DeviceState{
			Device: d.ID, State: deviceWords[d.State], Details: d.Details, Speed: number(d.Speed),
			TotalCounter: number(d.Counter),
		}
		if s.State == "Idle" {
			s.IdleSince = d.Since
		}
		concerned := tickets == nil
		for _, p := range steps {
			if tickets != nil && !slices.ContainsFunc(tickets, func(k *works.Ticket) bool { return k.ID == p.Ticket }) ||
				a.part != "" && a.part != p.Part {
				continue
			}
			concerned = true
			if phase, ok, err := o.phase(ctx, tx, from, p); err != nil {
				return nil, err
			} else if ok {
				s.Phases = append(s.Phases, phase)
			}
		}
		if concerned {
			list = append(list, s)
		}
	}
	return list, nil
}

// phaseWords are the states of steps at work as XJDF has those of a job.
var phaseWords = map[works.StepState]string{
	works.StepMakeready: "Setup", works.StepRunning: "InProgress", works.StepStopped: "Stopped",
}

// phase is what a device does for a step that it has begun. Of what others have
// submitted only its state is told.
func (o *Office) phase(
	ctx context.Context, tx *works.Tx, from dialog.From, p *works.Step,
) (compose.Phase, bool, error) {
	if !p.State.Begun() {
		return compose.Phase{}, false, nil
	}
	k, err := tx.Ticket(p.Ticket)
	if err != nil || !mine(ctx, from, k, access.Reader, access.Operator) {
		return compose.Phase{}, false, err
	}
	f := compose.Phase{
		JobID: k.Job, PartID: p.Part, Entry: k.EntryID, State: phaseWords[p.State], Details: "", JobStart: p.Began,
		Start: p.Began,
		Good:  decimal.NewNullDecimal(p.Good), Waste: decimal.NewNullDecimal(p.Spoilt), CostCentre: p.CostCentre,
	}
	f.JobGood, f.JobWaste = f.Good, f.Waste
	if p.Target.IsPositive() {
		f.Target = decimal.NewNullDecimal(p.Target)
		f.Percent = decimal.NewNullDecimal(p.Good.Mul(decimal.NewFromInt(100)).DivRound(p.Target, 1))
	}
	return f, true, nil
}

func number(text string) decimal.NullDecimal {
	d, err := decimal.NewFromString(text)
	return decimal.NullDecimal{Decimal: d, Valid: err == nil}
}

// Resources tells what was made in the steps of what the query is about, or of all
// that is in work, and what the books have of the materials used.
func (o *Office) Resources(
	ctx context.Context, from dialog.From, q *message.ResourceQuery,
) ([]compose.ResourceReport, error) {
	a, kinds := about{}, []string(nil)
	if q != nil {
		a, kinds = about{q.JobID.Value, q.PartID.Value, q.Entry.Value}, q.Kinds.Value
	}
	list, jobs, err := o.made(ctx, from, a)
	if err != nil {
		return nil, err
	}
	if o.Ledger != nil && len(jobs) > 0 {
		books, err := o.Ledger.Books(ctx, ledger.Filter{Jobs: jobs})
		if err != nil {
			return nil, err
		}
		for _, u := range books.Uses {
			if u.Usage == "Output" || a.part != "" && a.part != u.Part {
				continue
			}
			list = append(list, compose.ResourceReport{
				JobID: u.Job, PartID: u.Part, Scope: "Job", Kind: u.Kind, Usage: "Input", Unit: u.Unit, ProductID: u.Item,
				Device: u.Device,
				Amounts: []compose.Amount{{
					Lot: u.Lot, Good: decimal.NewNullDecimal(u.Good), Waste: decimal.NewNullDecimal(u.Waste),
				}},
			})
		}
	}
	return slices.DeleteFunc(list, func(r compose.ResourceReport) bool {
		return len(kinds) > 0 && !slices.Contains(kinds, r.Kind)
	}), nil
}

// made reports what came out of steps, and lists the jobs that were asked for.
func (o *Office) made(
	ctx context.Context, from dialog.From, a about,
) (list []compose.ResourceReport, jobs []string, err error) {
	err = o.Store.Read(ctx, func(tx *works.Tx) error {
		list, jobs = nil, nil
		tickets, err := o.find(ctx, tx, from, a)
		if err != nil {
			return err
		}
		for _, k := range tickets {
			jobs = append(jobs, k.Job)
		}
		if tickets == nil {
			f := works.TicketFilter{States: []works.State{works.Released, works.Running}}
			if !all(ctx, access.Reader, access.Operator) {
				f.Partner = from.Partner
			}
			if tickets, err = tx.Tickets(f); err != nil {
				return err
			}
		}
		for _, k := range tickets {
			steps, err := tx.Steps(k.ID)
			if err != nil {
				return err
			}
			for _, p := range steps {
				if p.Began.IsZero() || a.part != "" && a.part != p.Part {
					continue
				}
				list = append(list, compose.ResourceReport{
					JobID: k.Job, PartID: p.Part, Entry: k.EntryID, Scope: "Job", Kind: "Component", Usage: "Output", Device: p.Device,
					Amounts: []compose.Amount{{Good: decimal.NewNullDecimal(p.Good), Waste: decimal.NewNullDecimal(p.Spoilt)}},
				})
			}
		}
		return nil
	})
	return list, slices.Compact(jobs), err
}
