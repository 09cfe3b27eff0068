package board

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"strconv"

	"quoin/cmd/quoin/internal/desk"
	"quoin/cmd/quoin/internal/works"
	"quoin/convert/plan"
)

type ticketPage struct {
	jobRow
	Report   *report
	Plan     *plan.Plan
	Sheets   []sheetView
	Steps    []stepView
	Timeline *timeline
	Cost     *costView
	History  []turnView
	Alerts   []*works.Alert
	Chores   []*works.Chore // of the ticket, failing or dead
	Actions  []works.Action
}

type sheetView struct {
	*plan.Sheet
	Href string
}

type stepView struct {
	*works.Step
	DeviceName string
	Over       bool
	Retry      bool
}

type turnView struct {
	works.Turn
	Step string // name of the step, "" for the ticket itself
}

func (b *board) showTicket(w http.ResponseWriter, r *http.Request) error {
	id, err := number(r, "id")
	if err != nil {
		return err
	}
	var body *ticketPage
	err = b.Store.Read(r.Context(), func(tx *works.Tx) (err error) {
		body, err = b.readTicket(tx, id)
		return err
	})
	if err != nil {
		return err
	}
	if b.Ledger != nil {
		if body.Timeline, err = b.timelineOf(r.Context(), body.Ticket, body.jobRow.Steps); err != nil {
			return err
		}
		if body.Cost, err = b.costOf(r.Context(), body.Job); err != nil {
			return err
		}
	}
	return b.show(w, r, http.StatusOK, "ticket", "Job "+body.Job, body)
}

func (b *board) readTicket(tx *works.Tx, id int64) (*ticketPage, error) {
	k, err := tx.Ticket(id)
	if err != nil {
		return nil, err
	}
	p := &ticketPage{}
	if p.jobRow, err = b.row(tx, k); err != nil {
		return nil, err
	}
	for _, s := range p.jobRow.Steps {
		p.Steps = append(p.Steps, stepView{
			Step: s, DeviceName: b.deviceName(s.Device), Over: s.State.Over(),
			Retry: s.State == works.StepFailed || s.State == works.StepSent,
		})
	}
	if p.History, err = history(tx, id); err != nil {
		return nil, err
	}
	open := []works.AlertState{works.AlertOpen, works.AlertAcknowledged}
	if p.Alerts, err = tx.Alerts(works.AlertFilter{Ticket: id, States: open}); err != nil {
		return nil, err
	}
	failing := works.ChoreFilter{Kinds: ticketChores, Subject: strconv.FormatInt(id, 10), Failing: true}
	if p.Chores, err = tx.Chores(failing); err != nil {
		return nil, err
	}
	p.Actions = actionsFor(k)
	return p, p.readBlobs(tx, k)
}

// ticketChores are the kinds of background work whose subject is a ticket.
var ticketChores = []string{
	works.ChoreCheck, works.ChorePlan, works.ChoreEmit, works.ChoreRelease,
	works.ChoreRecall, works.ChoreReturn, works.ChoreResume,
}

// readBlobs reads the contents of a ticket; those that retention has taken out are
// left out.
func (p *ticketPage) readBlobs(tx *works.Tx, k *works.Ticket) error {
	body, err := contents(tx, k.Blob)
	if err != nil {
		return err
	}
	found, err := contents(tx, k.Findings)
	if err != nil {
		return err
	}
	if p.Report, err = readReport(found, desk.NameOf(k), k.Media, body); err != nil {
		return err
	}
	planned, err := contents(tx, k.Plan)
	if err != nil || planned == nil {
		return err
	}
	p.Plan = &plan.Plan{}
	if err := json.Unmarshal(planned, p.Plan); err != nil {
		return fmt.Errorf("read the plan of ticket %d: %w", k.ID, err)
	}
	for _, s := range p.Plan.Sheets {
		p.Sheets = append(p.Sheets, sheetView{s, fmt.Sprintf("/tickets/%d/sheets/%s", k.ID, s.Name)})
	}
	return nil
}

// contents are the bytes of a blob, nil where there are none or no longer.
func contents(tx *works.Tx, blob string) ([]byte, error) {
	if blob == "" {
		return nil, nil
	}
	data, err := tx.Blob(blob)
	if errors.Is(err, works.ErrUnknown) {
		return nil, nil
	}
	return data, err
}

func history(tx *works.Tx, id int64) ([]turnView, error) {
	turns, err := tx.History(id)
	if err != nil {
		return nil, err
	}
	all, err := tx.AllSteps(id)
	if err != nil {
		return nil, err
	}
	names := map[int64]string{}
	for _, s := range all {
		names[s.ID] = s.Name
	}
	var views []turnView
	for _, t := range turns {
		views = append(views, turnView{t, names[t.Step]})
	}
	return views, nil
}

func (b *board) deviceName(id string) string {
	for _, m := range b.Plant.Machines() {
		if m.ID == id {
			return nameOr(m.Name, id)
		}
	}
	if id == "" {
		return "by hand"
	}
	return id
}

// sendSheet draws a sheet of the plan of a ticket.
func (b *board) sendSheet(w http.ResponseWriter, r *http.Request) error {
	k, err := b.ticketOf(r)
	if err != nil {
		return err
	}
	text, err := works.Ask(r.Context(), b.Store, func(tx *works.Tx) ([]byte, error) { return contents(tx, k.Plan) })
	if err != nil {
		return err
	}
	pl := &plan.Plan{}
	if text == nil {
		return &mistake{http.StatusNotFound, "This ticket has no plan, or it is kept no longer."}
	}
	if err := json.Unmarshal(text, pl); err != nil {
		return fmt.Errorf("read the plan of ticket %d: %w", k.ID, err)
	}
	var picture bytes.Buffer
	if err := plan.SVG(&picture, pl, r.PathValue("sheet")); err != nil {
		return &mistake{http.StatusNotFound, "The plan of this ticket has no such sheet."}
	}
	return send(w, "image/svg+xml", "", picture.Bytes())
}

// sendSource sends a ticket as it came in.
func (b *board) sendSource(w http.ResponseWriter, r *http.Request) error {
	k, err := b.ticketOf(r)
	if err != nil {
		return err
	}
	return b.sendBlob(w, r, k.Blob, desk.NameOf(k))
}

// sendStep sends the ticket that a device gets.
func (b *board) sendStep(w http.ResponseWriter, r *http.Request) error {
	k, err := b.ticketOf(r)
	if err != nil {
		return err
	}
	id, err := number(r, "step")
	if err != nil {
		return err
	}
	s, err := works.Ask(r.Context(), b.Store, func(tx *works.Tx) (*works.Step, error) { return tx.Step(id) })
	if err != nil {
		return err
	}
	if s.Ticket != k.ID {
		return &mistake{http.StatusNotFound, "This step belongs to another ticket."}
	}
	return b.sendBlob(w, r, s.TicketBlob, s.TicketName)
}

func (b *board) ticketOf(r *http.Request) (*works.Ticket, error) {
	id, err := number(r, "id")
	if err != nil {
		return nil, err
	}
	return works.Ask(r.Context(), b.Store, func(tx *works.Tx) (*works.Ticket, error) { return tx.Ticket(id) })
}
