package works

import (
	"encoding/json"
	"fmt"
	"slices"
	"time"

	"quoin/cmd/quoin/internal/database"
)

const stepColumns = `steps.id, ticket, steps.version, number, steps.part, steps.name, process, device, cost_centre,
	needs,
	steps.start_at, steps.end_at, makeready, run, target, waste, unit, steps.state, steps.reason, steps.changed, tries,
	ticket_blob, ticket_name, ticket_media, queued, began, ended, good, spoilt, heard, steps.returned`

func scanStep(row scanner) (*Step, error) {
	p := &Step{}
	var needs string
	err := row.Scan(&p.ID, &p.Ticket, &p.Version, &p.Number, &p.Part, &p.Name, &p.Process, &p.Device, &p.CostCentre,
		&needs, micros{&p.Start}, micros{&p.End}, span{&p.Makeready}, span{&p.Run}, &p.Target, &p.Waste, &p.Unit,
		&p.State, &p.Reason, micros{&p.Changed}, &p.Tries, &p.TicketBlob, &p.TicketName, &p.TicketType, &p.Queued,
		micros{&p.Began}, micros{&p.Ended}, &p.Good, &p.Spoilt, micros{&p.Heard}, &p.Return)
	if err == nil {
		err = json.Unmarshal([]byte(needs), &p.Needs)
	}
	return p, err
}

// Lay keeps a plan with its steps: the ticket is Planned. It may be Accepted,
// Planned or Released before; steps of an earlier plan are cancelled and called
// back. A ticket of another version is a StateError.
func (t *Tx) Lay(id int64, l Laid, reason string) (*Ticket, error) {
	if _, err := t.versioned(id, l.Version, Planned); err != nil {
		return nil, err
	}
	if err := sound(l.Steps); err != nil {
		return nil, fmt.Errorf("lay plan of ticket %d: %w", id, err)
	}
	blob, err := t.Keep(l.Plan)
	if err != nil {
		return nil, err
	}
	k, err := t.Move(id, Planned, reason)
	if err != nil {
		return nil, err
	}
	k.Plan, k.Start, k.End = blob, l.Start, l.End
	_, err = t.tx.Exec("UPDATE tickets SET plan = ?, start_at = ?, end_at = ? WHERE id = ?", blob,
		database.Micros(l.Start), database.Micros(l.End), id)
	if err != nil {
		return nil, err
	}
	for _, n := range l.Steps {
		if err := t.addStep(k, n); err != nil {
			return nil, err
		}
	}
	return k, nil
}

// versioned gives a locked ticket of the version that somebody has worked on.
func (t *Tx) versioned(id, version int64, to State) (*Ticket, error) {
	k, err := t.Ticket(id)
	if err == nil && version != 0 && version != k.Version {
		err = &StateError{What: "ticket", ID: id, Was: fmt.Sprintf("of version %d", k.Version), To: string(to),
			Why: fmt.Sprintf("what was done is for version %d", version)}
	}
	if err != nil {
		return nil, err
	}
	return k, nil
}

// sound checks that steps have numbers of their own and wait for none but earlier
// ones, so that each has its turn at some time.
func sound(steps []NewStep) error {
	if len(steps) == 0 {
		return fmt.Errorf("the plan has no steps")
	}
	known := map[int]bool{}
	for _, n := range steps {
		if known[n.Number] {
			return fmt.Errorf("two steps have the number %d", n.Number)
		}
		for _, need := range n.Needs {
			if !known[need] {
				return fmt.Errorf("step %d waits for step %d, which does not come before it", n.Number, need)
			}
		}
		known[n.Number] = true
	}
	return nil
}

func (t *Tx) addStep(k *Ticket, n NewStep) error {
	needs, err := json.Marshal(slices.Concat([]int{}, n.Needs))
	if err != nil {
		return err
	}
	_, err = t.tx.Exec(`INSERT INTO steps (ticket, version, current, number, part, name, process, device, cost_centre,
		needs,
		start_at, end_at, makeready, run, target, waste, unit, state, reason, changed)
		VALUES (?, ?, 1, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, '', ?)`, k.ID, k.Version, n.Number, n.Part, n.Name,
		n.Process, n.Device, n.CostCentre, string(needs), database.Micros(n.Start), database.Micros(n.End),
		n.Makeready/time.Microsecond, n.Run/time.Microsecond, n.Target.String(), n.Waste.String(), n.Unit,
		string(StepWaiting), database.Micros(t.now))
	return err
}

// Steps lists the steps of the last plan of a ticket, in the order of work.
func (t *Tx) Steps(ticket int64) ([]*Step, error) {
	return all(t, scanStep, "SELECT "+stepColumns+" FROM steps WHERE ticket = ? AND current = 1 ORDER BY number", ticket)
}

// AllSteps lists the steps of a ticket, with those of plans that were given up,
// oldest first.
func (t *Tx) AllSteps(ticket int64) ([]*Step, error) {
	return all(t, scanStep, "SELECT "+stepColumns+" FROM steps WHERE ticket = ? ORDER BY id", ticket)
}

// Step gives a step, or ErrUnknown. In a Write its ticket is locked until the end.
func (t *Tx) Step(id int64) (*Step, error) {
	query := "SELECT " + stepColumns + " FROM steps WHERE id = ?"
	p, err := one(t, "step", id, scanStep, query, id)
	if err != nil || t.lock == "" {
		return p, err
	}
	if _, err := t.Ticket(p.Ticket); err != nil {
		return nil, err
	}
	return one(t, "step", id, scanStep, query, id) // as it is now that nobody else changes it
}

// FindStep finds the step that a device speaks of: by the QueueEntryID it gave, by
// job and part, or by job alone where only one can be meant: the one begun, else
// the one not over yet, else the only one. Otherwise it is ErrUnknown.
func (t *Tx) FindStep(r StepRef) (*Step, error) {
	if r.Queued != "" && r.Device != "" {
		p, err := scanStep(t.tx.QueryRow("SELECT "+stepColumns+` FROM steps WHERE device = ? AND queued = ?
			ORDER BY id DESC LIMIT 1`, r.Device, r.Queued))
		if err == nil {
			return t.Step(p.ID)
		}
	}
	var w where
	w.and("current = 1")
	w.and("tickets.job = ?", r.Job)
	has(&w, "device = ?", r.Device)
	has(&w, "steps.part = ?", r.Part)
	found, err := all(t, scanStep, "SELECT "+stepColumns+" FROM steps JOIN tickets ON tickets.id = ticket"+
		w.String()+" ORDER BY steps.id", w.args...)
	if err != nil {
		return nil, err
	}
	for _, choose := range []func(*Step) bool{
		func(p *Step) bool { return p.State.Begun() },
		func(p *Step) bool { return !p.State.Over() && p.State != StepWaiting },
		func(p *Step) bool { return !p.State.Over() },
		func(*Step) bool { return true },
	} {
		if meant := slices.DeleteFunc(slices.Clone(found), func(p *Step) bool { return !choose(p) }); len(meant) == 1 {
			return t.Step(meant[0].ID)
		}
	}
	return nil, unknown("step", fmt.Sprintf("of job %q part %q on device %q", r.Job, r.Part, r.Device))
}

// DeviceSteps lists the steps of a device that are not over, in the order of the
// queue; those that failed are among them.
func (t *Tx) DeviceSteps(device string) ([]*Step, error) {
	return all(t, scanStep, "SELECT "+stepColumns+` FROM steps JOIN tickets ON tickets.id = ticket
		WHERE device = ? AND current = 1 AND steps.state NOT IN ('done', 'cancelled')
		ORDER BY CASE WHEN steps.state IN ('makeready', 'running', 'stopped') THEN 0 ELSE 1 END,
		tickets.priority DESC, tickets.place, steps.id`, device)
}

// SetDeviceTicket keeps the ticket for the device of a step. Once the step is on
// its way it is a StateError.
func (t *Tx) SetDeviceTicket(step int64, d DeviceTicket) error {
	p, err := t.Step(step)
	if err != nil {
		return err
	}
	if p.State != StepWaiting {
		return &StateError{What: "step", ID: step, Was: string(p.State), To: "given another ticket"}
	}
	blob, err := t.Keep(d.Body)
	if err != nil {
		return err
	}
	_, err = t.tx.Exec("UPDATE steps SET ticket_blob = ?, ticket_name = ?, ticket_media = ? WHERE id = ?",
		blob, d.Name, d.Media, step)
	return err
}
