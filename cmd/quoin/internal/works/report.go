package works

import (
	"fmt"
	"strconv"
	"time"

	"quoin/cmd/quoin/internal/database"
)

// Report takes news of a step, and moves its ticket along: to Running with the
// first step that begins, to Done with the last that ends. A step that is done
// gives its followers their turn, one made ready again is delivered again
// (ChoreRelease).
//
// News that can not be, or that are older than what the device has said already,
// are a StateError, and change nothing.
func (t *Tx) Report(step int64, r StepReport) (*Step, error) {
	p, err := t.Step(step)
	if err != nil {
		return nil, err
	}
	k, err := t.Ticket(p.Ticket)
	if err != nil {
		return nil, err
	}
	if err := possible(k, p, r); err != nil {
		return nil, err
	}
	r.Reason = Scrub(r.Reason)
	before := p.State
	t.apply(p, r)
	_, err = t.tx.Exec(`UPDATE steps SET state = ?, reason = ?, changed = ?, tries = ?, queued = ?, began = ?, ended = ?,
		good = ?, spoilt = ?, heard = ?, returned = ? WHERE id = ?`, string(p.State), p.Reason, database.Micros(p.Changed),
		p.Tries, p.Queued, database.Micros(p.Began), database.Micros(p.Ended), p.Good.String(), p.Spoilt.String(),
		database.Micros(p.Heard), p.Return, p.ID)
	if err != nil {
		return nil, err
	}
	t.Emit(Event{Kind: EventStep, Ticket: p.Ticket, Device: p.Device, ID: p.ID, State: string(p.State), Text: r.Reason})
	if p.State == before {
		return p, nil
	}
	turn, err := t.turn(Turn{
		Ticket: p.Ticket, Step: p.ID, Name: p.Name, From: string(before), To: string(p.State), Reason: r.Reason,
	})
	if err != nil {
		return nil, err
	}
	return p, t.along(k, p, before, turn)
}

// possible checks news of a step against what is known.
func possible(k *Ticket, p *Step, r StepReport) error {
	wrong := &StateError{What: "step", ID: p.ID, Was: string(p.State), To: string(r.State)}
	if r.State == "" {
		wrong.To = "reported on"
	}
	switch {
	case !r.At.IsZero() && r.At.Before(p.Heard):
		wrong.Why = fmt.Sprintf("the news is of %s, and later news is known", r.At.UTC().Format(time.RFC3339))
	case r.Good != nil && r.Good.IsNegative() || r.Waste != nil && r.Waste.IsNegative():
		wrong.Why = "an amount is negative"
	case r.State == "" || r.State == p.State:
		return nil
	case !p.State.Can(r.State):
	case k.State != Released && k.State != Running:
		wrong.Why = "its ticket is " + string(k.State)
	default:
		return nil
	}
	return wrong
}

// apply writes news that are possible into a step.
func (t *Tx) apply(p *Step, r StepReport) {
	at := r.At
	if at.IsZero() {
		at = t.now
	} else {
		p.Heard = at
	}
	if r.State != "" && r.State != p.State {
		p.State, p.Reason, p.Changed = r.State, r.Reason, t.now
		switch {
		case p.State == StepReady:
			p.Tries++
			p.Queued, p.Ended = "", time.Time{}
		case p.State.Begun() && p.Began.IsZero():
			p.Began = at
		case p.State == StepDone || p.State == StepFailed:
			p.Ended = at
		}
	}
	if r.Good != nil {
		p.Good = *r.Good
	}
	if r.Waste != nil {
		p.Spoilt = *r.Waste
	}
	if r.Queued != "" {
		p.Queued = r.Queued
	}
	if r.Return != "" {
		p.Return = r.Return
	}
}

// along moves a ticket on with one of its steps.
func (t *Tx) along(k *Ticket, p *Step, before StepState, turn int64) error {
	if (p.State.Begun() || p.State == StepDone) && k.State == Released {
		if _, err := t.Move(k.ID, Running, p.Name+" has begun"); err != nil {
			return err
		}
	}
	if p.State == StepReady && before != StepWaiting {
		return t.follow(ChoreRelease, k.ID, turn)
	}
	if p.State != StepDone {
		return nil
	}
	var open int
	err := t.tx.QueryRow(`SELECT COUNT(*) FROM steps WHERE ticket = ? AND current = 1
		AND state NOT IN ('done', 'cancelled')`, k.ID).Scan(&open)
	if err != nil {
		return err
	}
	if open > 0 {
		return t.follow(ChoreRelease, k.ID, turn)
	}
	_, err = t.Move(k.ID, Done, "all steps are done")
	return err
}

// cancelSteps cancels the steps of a ticket that is given up or planned anew, and
// has those called back that are on their way to devices.
func (t *Tx) cancelSteps(k *Ticket, turn int64, reason string) error {
	steps, err := t.Steps(k.ID)
	if err != nil {
		return err
	}
	recall := false
	for _, p := range steps {
		if !p.State.Can(StepCancelled) {
			continue
		}
		recall = recall || p.State != StepWaiting
		_, err := t.turn(Turn{
			Ticket: k.ID, Step: p.ID, Name: p.Name, From: string(p.State), To: string(StepCancelled), Reason: reason,
		})
		if err != nil {
			return err
		}
		_, err = t.tx.Exec("UPDATE steps SET state = ?, reason = ?, changed = ? WHERE id = ?",
			string(StepCancelled), reason, database.Micros(t.now), p.ID)
		if err != nil {
			return err
		}
		t.Emit(Event{Kind: EventStep, Ticket: k.ID, Device: p.Device, ID: p.ID, State: string(StepCancelled), Text: reason})
	}
	if k.State == Submitted || k.State == Accepted || k.State == Planned {
		if _, err := t.tx.Exec("UPDATE steps SET current = 0 WHERE ticket = ?", k.ID); err != nil {
			return err
		}
	}
	if !recall {
		return nil
	}
	_, _, err = t.Enqueue(NewChore{
		Kind: ChoreRecall, Subject: strconv.FormatInt(k.ID, 10), Version: strconv.FormatInt(turn, 10), Retry: DeliveryRetry(),
	})
	return err
}
