package board

import (
	"fmt"
	"net/http"
	"strconv"
	"strings"

	"quoin/cmd/quoin/internal/access"
	"quoin/cmd/quoin/internal/works"
)

// All actions have a page of their own that says what follows and asks why; what cannot
// be taken back is marked, and is done only when its box is ticked.

// retryStep is done to one step of a ticket; it has no place in the list of actions.
var retryStep = works.Action{
	Name: "retry", Label: "Try again", Says: "The step is made ready again, and goes out to its device again.",
}

func actionsFor(k *works.Ticket) (can []works.Action) {
	for _, a := range works.Actions() {
		if a.Can(k) {
			can = append(can, a)
		}
	}
	return can
}

func actionNamed(r *http.Request) (works.Action, error) {
	name := r.PathValue("action")
	for _, a := range append(works.Actions(), retryStep) {
		if a.Name == name {
			return a, nil
		}
	}
	return works.Action{}, &mistake{http.StatusNotFound, fmt.Sprintf("There is nothing called %q to be done to a ticket.",
		name)}
}

type actionPage struct {
	works.Action
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
	return b.showAction(w, r, http.StatusOK, actionPage{Action: a, Ticket: k, Word: wordOf(k),
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
	p := actionPage{Action: a, Ticket: k, Word: wordOf(k), Step: r.PostFormValue("step"), Reason: reason}
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
		return act(tx, a, k, reason, r)
	})
	if err != nil {
		return err
	}
	return done(w, r, fmt.Sprintf("/tickets/%d", k.ID), a.Name)
}

func act(tx *works.Tx, a works.Action, k *works.Ticket, reason string, r *http.Request) error {
	said := works.Asked{Reason: reason}
	if a.Name == retryStep.Name {
		id, err := strconv.ParseInt(r.PostFormValue("step"), 10, 64)
		if err != nil {
			return wrong("Which step is to be tried again is not said; go back to the ticket and choose one.")
		}
		if p, err := tx.Step(id); err == nil && p.Ticket != k.ID {
			return wrong("The step belongs to another ticket; go back to the ticket and choose one.")
		}
		return tx.RetryStep(k.ID, id, reason)
	}
	if a.Number {
		n, err := strconv.Atoi(r.PostFormValue("priority"))
		if err != nil || n < 0 || n > 100 {
			return wrong("The priority is %q; want a whole number from 0 to 100.", r.PostFormValue("priority"))
		}
		said.Priority = n
	}
	return tx.Act(a, k, said)
}
