package office

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"strconv"
	"strings"
	"time"

	"quoin/cmd/quoin/internal/access"
	"quoin/cmd/quoin/internal/desk"
	"quoin/cmd/quoin/internal/dialog"
	"quoin/cmd/quoin/internal/queue"
	"quoin/cmd/quoin/internal/works"
	"quoin/jdf/message"
)

// Submit takes a ticket into the store, and waits a while for its check: it is in the
// queue, or refused with what was found.
func (o *Office) Submit(ctx context.Context, from dialog.From, s dialog.Submission) (queue.Entry, error) {
	if err := may(ctx, access.Sender); err != nil {
		return queue.Entry{}, err
	}
	n := o.submission(from, s.Ticket)
	p := s.Params
	n.ReturnJMF, n.ReturnURL = p.ReturnJMF.Value, p.ReturnURL.Value
	if p.Priority.Given {
		n.Priority = &p.Priority.Value
	}
	n.Held = p.Held.Value || p.Activated.Value == "Held" || p.Activated.Value == "Inactive"
	for what, address := range map[string]string{"ReturnJMF": n.ReturnJMF, "ReturnURL": n.ReturnURL} {
		if err := o.allowed(from, address, what); err != nil {
			return queue.Entry{}, err
		}
	}
	id, err := once(ctx, o, from, func(tx *works.Tx) (int64, error) {
		state, err := o.queue(tx)
		if err != nil {
			return 0, err
		}
		if code := state.Admits(); code != message.Success {
			return 0, dialog.Refuse(code, "the queue is %s; submit again when it takes tickets",
				strings.ToLower(string(state.Status())))
		}
		k, err := tx.Submit(n)
		if err != nil {
			return 0, err
		}
		return k.ID, o.stand(ctx, tx, from, k, p)
	})
	if err != nil {
		return queue.Entry{}, err
	}
	return o.checked(ctx, from, id)
}

// submission describes a ticket as it came. Its body is that of the whole document,
// which is stored already.
func (o *Office) submission(from dialog.From, t dialog.Ticket) works.Submission {
	n := o.Desk.Describe(t.Document)
	n.Partner, n.Dialect, n.Inbox, n.File = from.Partner, dialect(from), from.Receipt, t.Name
	if from.Index > 0 { // another message of the document may submit the same file
		n.File += desk.Repeated + strconv.Itoa(from.Index+1)
	}
	if t.Package == nil { // it came from where the house allows, not with the message
		n.Body = t.Data
	}
	return n
}

// dialect is the generation of a message.
func dialect(from dialog.From) string {
	if from.Version.Major >= 2 {
		return "xjmf"
	}
	return "jmf"
}

// stand puts a fresh entry where its submission wants it.
func (o *Office) stand(
	ctx context.Context, tx *works.Tx, from dialog.From, k *works.Ticket, p *message.Submission,
) error {
	target := queue.Target{Next: p.Next.Value, Previous: p.Previous.Value}
	if target == (queue.Target{}) {
		return nil
	}
	entries, err := o.entries(ctx, tx, from, waiting)
	if err != nil {
		return err
	}
	moved, code := queue.Moved(entries, k.EntryID, target)
	if code != message.Success {
		return dialog.Refuse(message.InvalidParameters,
			"the entry beside which the new one is to stand does not wait in the queue; "+
				"leave NextQueueEntryID and PrevQueueEntryID out")
	}
	return place(tx, moved, k.EntryID)
}

// checked waits for the check of a ticket, but not for long.
func (o *Office) checked(ctx context.Context, from dialog.From, id int64) (queue.Entry, error) {
	type outcome struct {
		k   *works.Ticket
		err error
	}
	done := make(chan outcome, 1)
	background := context.WithoutCancel(ctx)
	go func() {
		k, err := o.Flow.CheckNow(background, id)
		done <- outcome{k, err}
	}()
	timer := time.NewTimer(o.Wait)
	defer timer.Stop()
	var late bool
	select {
	case out := <-done:
		if out.err == nil {
			return o.verdict(ctx, out.k)
		}
		o.Log.WarnContext(ctx, "check is left to its chore", "ticket", id, "error", out.err)
	case <-timer.C:
		late = true
	case <-ctx.Done():
		return queue.Entry{}, ctx.Err()
	}
	var k *works.Ticket
	err := o.Store.Write(ctx, from.Partner, func(tx *works.Tx) (err error) {
		if k, err = tx.Ticket(id); err != nil || k.State != works.Submitted {
			return err
		}
		return o.promise(tx, from, k)
	})
	switch {
	case err != nil:
		return queue.Entry{}, err
	case k.State != works.Submitted:
		return o.verdict(ctx, k)
	}
	o.Log.InfoContext(ctx, "check goes on", "ticket", id, "job", k.Job, "late", late)
	return entryOf(k, 0), dialog.ErrLater
}

// verdict is the answer for a ticket that was checked.
func (o *Office) verdict(ctx context.Context, k *works.Ticket) (queue.Entry, error) {
	if k.State != works.Refused {
		return entryOf(k, 0), nil
	}
	report, err := works.Ask(ctx, o.Store, func(tx *works.Tx) ([]byte, error) { return tx.Blob(k.Findings) })
	if err != nil && !errors.Is(err, works.ErrUnknown) {
		return queue.Entry{}, err
	}
	return queue.Entry{}, &dialog.Refusal{Code: message.ValidationError, Comments: comments(k.Reason, report)}
}

// mostFindings is how many findings a refusal tells; the others stand in the report.
const mostFindings = 20

// comments puts a report in sentences.
func comments(reason string, report []byte) []string {
	var r struct {
		Errors   int `json:"errors"`
		Findings []struct {
			ID, Severity, Message, Advice string
			At                            struct {
				File         string
				Line, Column int
			}
		} `json:"findings"`
	}
	all := []string{"the ticket is " + reason}
	if json.Unmarshal(report, &r) != nil {
		return all
	}
	told := 0
	for _, f := range r.Findings {
		if f.Severity != "error" {
			continue
		}
		if told == mostFindings {
			all = append(all, fmt.Sprintf("and %d more errors", r.Errors-told))
			break
		}
		told++
		text := f.ID + ": " + f.Message
		if f.At.Line > 0 {
			text = fmt.Sprintf("%s:%d:%d: ", f.At.File, f.At.Line, f.At.Column) + text
		}
		if f.Advice != "" {
			text += "; " + f.Advice
		}
		all = append(all, text)
	}
	return all
}

// Resubmit puts a ticket in the place of that of an entry. One that would be refused
// leaves the old one where it is.
func (o *Office) Resubmit(ctx context.Context, from dialog.From, r dialog.Resubmission) (queue.Entry, error) {
	if err := may(ctx, access.Sender); err != nil {
		return queue.Entry{}, err
	}
	if r.Event == queue.Update {
		return queue.Entry{}, dialog.Refuse(message.NotImplemented,
			"UpdateMethod is %q, and only whole tickets are taken; send all of it with UpdateMethod Complete",
			r.Params.Method.Value)
	}
	n := o.submission(from, r.Ticket)
	judged, err := o.before(ctx, n, r.Ticket)
	if err != nil {
		return queue.Entry{}, err
	}
	if judged.Refused {
		return queue.Entry{}, &dialog.Refusal{Code: message.ValidationError, Comments: append(
			comments(judged.Reason, judged.Report), "the entry keeps the ticket that it had")}
	}
	id, err := once(ctx, o, from, func(tx *works.Tx) (int64, error) {
		k, err := o.entry(ctx, tx, from, r.Params.Entry.Value, r.Event)
		if err != nil {
			return 0, err
		}
		_, err = tx.Resubmit(k.ID, n)
		return k.ID, refusalOf(err, k, r.Event)
	})
	if err != nil {
		return queue.Entry{}, err
	}
	return o.checked(ctx, from, id)
}

// before checks a ticket that is to replace another, when that is quick.
func (o *Office) before(ctx context.Context, n works.Submission, t dialog.Ticket) (works.Checked, error) {
	ctx, cancel := context.WithTimeout(ctx, o.Wait)
	defer cancel()
	done := make(chan works.Checked, 1)
	failed := make(chan error, 1)
	go func() {
		c, err := o.Desk.Check(ctx, &works.Ticket{File: n.File, Media: n.Media}, t.Data)
		if err != nil {
			failed <- err
			return
		}
		done <- c
	}()
	select {
	case c := <-done:
		return c, nil
	case err := <-failed:
		if ctx.Err() == nil {
			return works.Checked{}, err
		}
	case <-ctx.Done():
	}
	return works.Checked{}, nil // the check of the entry will tell
}

// entry finds an entry that who asks may change, and for which an event is possible.
func (o *Office) entry(
	ctx context.Context, tx *works.Tx, from dialog.From, id string, e queue.Event,
) (*works.Ticket, error) {
	k, err := tx.TicketOfEntry(id)
	if errors.Is(err, works.ErrUnknown) || err == nil && !mine(ctx, from, k,
		access.Operator) || err == nil && k.Entry == works.NoEntry {
		return nil, dialog.Refuse(message.EntryUnknown, "%s", queue.Refusal(id, queue.Absent, e, message.EntryUnknown))
	}
	if err != nil {
		return nil, err
	}
	if _, code := standing(k).After(e); code != message.Success {
		return nil, dialog.Refuse(code, "%s", queue.Refusal(id, standing(k).State, e, code))
	}
	return k, nil
}

// refusalOf turns what the store does not allow into a refusal.
func refusalOf(err error, k *works.Ticket, e queue.Event) error {
	var state *works.StateError
	if !errors.As(err, &state) {
		return err
	}
	return dialog.Refuse(message.LateChange, "%s of entry %q is not possible: %v", strings.ToLower(e.String()), k.EntryID,
		state)
}
