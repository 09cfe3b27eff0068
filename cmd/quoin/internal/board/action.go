package board

import (
	"fmt"
	"net/http"
	"strconv"
	"strings"

	"quoin/cmd/quoin/internal/access"
	"quoin/cmd/quoin/internal/works"
)

// action is something that a person can do to a ticket. All of them have a page of
// their own that says what follows and asks why; what cannot be taken back is
// marked, and is done only when its box is ticked.
type action struct {
	Name   string // in the address
	Label  string
	Says   string // what follows from it
	Grave  bool   // cannot be taken back
	Number bool   // asks for a priority
	can    func(*works.Ticket) bool
	do     func(tx *works.Tx, k *works.Ticket, reason string) error
}

// actions in the order in which they are shown.
var actions = []action{
	{Name: "check", Label: "Check again", Says: "It is checked as if it had just come in. A plan it has is given up.",
		can: func(k *works.Ticket) bool { return k.State.Can(works.Submitted) },
		do:  moveTo(works.Submitted)},
	{Name: "plan", Label: "Plan",
		Says: "It is planned on the machines of the plant, in the background. A plan it has is replaced.",
		can:  func(k *works.Ticket) bool { return k.State.Can(works.Planned) },
		do: func(tx *works.Tx, k *works.Ticket, reason string) error {
			if !k.State.Can(works.Planned) {
				return &works.StateError{What: "ticket", ID: k.ID, Was: string(k.State), To: string(works.Planned)}
			}
			if err := tx.Note(k.ID, 0, "planning asked for: "+reason); err != nil {
				return err
			}
			return tx.Want(works.ChorePlan, k.ID)
		}},
	{Name: "release", Label: "Release",
		Says: "Its device tickets are written and go out to the devices, each in its turn.",
		can:  func(k *works.Ticket) bool { return k.State.Can(works.Released) && k.Entry != works.EntryHeld },
		do:   moveTo(works.Released)},
	{Name: "hold", Label: "Hold", Says: "It stays where it is until somebody resumes it. What runs is suspended.",
		can: func(k *works.Ticket) bool { return k.Entry == works.EntryWaiting || k.Entry == works.EntryRunning },
		do: func(tx *works.Tx, k *works.Ticket, reason string) error {
			to := works.EntryHeld
			if k.Entry == works.EntryRunning {
				to = works.EntrySuspended
			}
			_, err := tx.SetEntry(k.ID, to, reason)
			return err
		}},
	{Name: "resume", Label: "Resume", Says: "It goes on from where it was held.",
		can: func(k *works.Ticket) bool { return k.Entry == works.EntryHeld || k.Entry == works.EntrySuspended },
		do: func(tx *works.Tx, k *works.Ticket, reason string) error {
			to := works.EntryWaiting
			if k.Entry == works.EntrySuspended {
				to = works.EntryRunning
			}
			_, err := tx.SetEntry(k.ID, to, reason)
			return err
		}},
	{Name: "priority", Label: "Change priority", Says: "Jobs of a higher priority come first in the queue.", Number: true,
		can: func(k *works.Ticket) bool { return k.Entry == works.EntryWaiting || k.Entry == works.EntryHeld }},
	{Name: "abort", Label: "Abort", Grave: true,
		Says: "Everything that is not done is cancelled and called back from the devices. The sender is told.",
		can:  func(k *works.Ticket) bool { return k.State.Can(works.Aborted) },
		do:   moveTo(works.Aborted)},
	{Name: "remove", Label: "Remove", Grave: true, Says: "It is taken out of the queue. Its history stays.",
		can: func(k *works.Ticket) bool { return k.State.Can(works.Removed) && k.State != works.Running },
		do:  moveTo(works.Removed)},
}

// retryStep is done to one step of a ticket; it has no place in the list of actions.
var retryStep = action{
	Name: "retry", Label: "Try again", Says: "The step is made ready again, and goes out to its device again.",
}

func moveTo(to works.State) func(*works.Tx, *works.Ticket, string) error {
	return func(tx *works.Tx, k *works.Ticket, reason string) error {
		_, err := tx.Move(k.ID, to, reason)
		return err
	}
}

func actionsFor(k *works.Ticket) []action {
	var can []action
	for _, a := range actions {
		if a.can(k) {
			can = append(can, a)
		}
	}
	return can
}

func actionNamed(r *http.Request) (action, error) {
	name := r.PathValue("action")
	for _, a := range append(actions, retryStep) {
		if a.Name == name {
			return a, nil
		}
	}
	return action{}, &mistake{http.StatusNotFound, fmt.Sprintf("There is nothing called %q to be done to a ticket.", name)}
}

type actionPage struct {
	action
	Ticket *works.Ticket
	Word   string
	Step   string
	Wrong  string
	Reason string
}

// askAction is the page that asks whether and why.
func (b *board) askAction(w http.ResponseWriter, r *http.Request) error {
	a, err := actionNamed(r)
	if err != nil {
		return err
	}
	k, err := b.ticketOf(r)
	if err != nil {
		return err
	}
	return b.showAction(w, r, http.StatusOK, actionPage{action: a, Ticket: k, Word: wordOf(k),
		Step: r.URL.Query().Get("step")})
}

func (b *board) showAction(w http.ResponseWriter, r *http.Request, status int, p actionPage) error {
	return b.show(w, r, status, "action", p.Label+": job "+p.Ticket.Job, p)
}

// mostReason is how many letters a reason may have.
const mostReason = 500

func (b *board) doAction(w http.ResponseWriter, r *http.Request) error {
	a, err := actionNamed(r)
	if err != nil {
		return err
	}
	k, err := b.ticketOf(r)
	if err != nil {
		return err
	}
	r.Body = http.MaxBytesReader(w, r.Body, mostToken)
	reason := strings.TrimSpace(r.PostFormValue("reason"))
	p := actionPage{action: a, Ticket: k, Word: wordOf(k), Step: r.PostFormValue("step"), Reason: reason}
	switch {
	case reason == "":
		p.Wrong = "Say why: the history of the ticket and its sender will show it."
	case len([]rune(reason)) > mostReason:
		p.Wrong = fmt.Sprintf("Say it in %d letters at most.", mostReason)
	case a.Grave && r.PostFormValue("sure") != "yes":
		p.Wrong = "This cannot be taken back. Tick the box to do it."
	}
	if p.Wrong != "" {
		return b.showAction(w, r, http.StatusUnprocessableEntity, p)
	}
	who := access.Of(r.Context()).Name
	err = b.Store.Write(r.Context(), who, func(tx *works.Tx) error {
		k, err := tx.Ticket(k.ID)
		if err != nil {
			return err
		}
		if err := b.act(tx, a, k, reason, r); err != nil {
			return err
		}
		return tx.Log("ticket."+a.Name, strconv.FormatInt(k.ID, 10), reason)
	})
	if err != nil {
		return err
	}
	return done(w, r, fmt.Sprintf("/tickets/%d", k.ID), a.Name)
}

func (b *board) act(tx *works.Tx, a action, k *works.Ticket, reason string, r *http.Request) error {
	switch a.Name {
	case "priority":
		n, err := strconv.Atoi(r.PostFormValue("priority"))
		if err != nil || n < 0 || n > 100 {
			return wrong("The priority is %q; want a whole number from 0 to 100.", r.PostFormValue("priority"))
		}
		if err := tx.Note(k.ID, 0, reason); err != nil {
			return err
		}
		_, err = tx.SetPriority(k.ID, n)
		return err
	case retryStep.Name:
		id, err := strconv.ParseInt(r.PostFormValue("step"), 10, 64)
		if err != nil {
			return wrong("Which step is to be tried again is not said; go back to the ticket and choose one.")
		}
		s, err := tx.Step(id)
		if err != nil {
			return err
		}
		if s.Ticket != k.ID {
			return wrong("The step belongs to another ticket; go back to the ticket and choose one.")
		}
		_, err = tx.Report(id, works.StepReport{State: works.StepReady, Reason: reason})
		return err
	}
	return a.do(tx, k, reason)
}
