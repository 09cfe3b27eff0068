package board_test

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"

	"quoin/cmd/quoin/internal/desk"
	"quoin/cmd/quoin/internal/works"
	"quoin/jdf"
)

func demo(t *testing.T, name string) []byte {
	t.Helper()
	body, err := os.ReadFile(data + "demo/" + name)
	require.NoError(t, err)
	return body
}

// submit takes a ticket in and checks it, as the service does.
func (h *house) submit(name string, body []byte) *works.Ticket {
	h.t.Helper()
	items, err := desk.Items(name, "", body)
	require.NoError(h.t, err)
	s := h.desk.Describe(items[0].Document)
	s.Partner, s.File, s.Body, s.Media = "harbour-mis", name, body, "application/vnd.cip4-"+s.Generation+"+xml"
	k := write(h, "harbour-mis", func(tx *works.Tx) (*works.Ticket, error) { return tx.Submit(s) })
	found, err := h.desk.Check(h.t.Context(), k, body)
	require.NoError(h.t, err)
	return write(h, "", func(tx *works.Tx) (*works.Ticket, error) { return tx.Check(k.ID, found) })
}

// plan plans a ticket, and writes its device tickets.
func (h *house) plan(k *works.Ticket, body []byte) []*works.Step {
	h.t.Helper()
	laid, err := h.desk.Plan(h.t.Context(), k, body)
	require.NoError(h.t, err)
	write(h, "anna", func(tx *works.Tx) (*works.Ticket, error) { return tx.Lay(k.ID, laid, "asked for at the board") })
	steps := ask(h, func(tx *works.Tx) ([]*works.Step, error) { return tx.Steps(k.ID) })
	tickets, err := h.desk.Emit(h.t.Context(), k, body, laid.Plan, steps)
	require.NoError(h.t, err)
	for _, s := range steps {
		if ticket := tickets[s.Number]; ticket.Body != nil {
			write(h, "", func(tx *works.Tx) (bool, error) { return true, tx.SetDeviceTicket(s.ID, ticket) })
		}
	}
	return steps
}

func (h *house) release(k *works.Ticket) {
	write(h, "anna", func(tx *works.Tx) (*works.Ticket, error) { return tx.Move(k.ID, works.Released, "paper is here") })
}

// report is what a device says of a step at a time on the wall.
func (h *house) report(s *works.Step, state works.StepState, at string, good, waste int64) {
	h.t.Helper()
	h.at(at)
	g, w := decimal.NewFromInt(good), decimal.NewFromInt(waste)
	write(h, "", func(tx *works.Tx) (*works.Step, error) {
		return tx.Report(s.ID, works.StepReport{State: state, At: h.clock(), Good: &g, Waste: &w})
	})
}

// finish reports a step as done in the time it was planned for, up to a time.
func (h *house) finish(s *works.Step, good int64) {
	h.report(s, works.StepMakeready, h.wall(s.Start), 0, 0)
	h.report(s, works.StepDone, h.wall(s.End.Add(-2*time.Minute)), good, s.Waste.IntPart())
}

func (h *house) wall(t time.Time) string { return t.In(h.plant.Zone).Format("2006-01-02 15:04") }

func step(t *testing.T, steps []*works.Step, device string) *works.Step {
	t.Helper()
	for _, s := range steps {
		if s.Device == device {
			return s
		}
	}
	require.Fail(t, "no step on "+device)
	return nil
}

// variant is the leaflet for another job.
func variant(t *testing.T, job, name, customer, due string) []byte {
	t.Helper()
	text := string(demo(t, "tide-tables.xjdf"))
	for _, change := range [][2]string{
		{"SPW-1041", job}, {"Tide tables leaflet", name}, {"Brackwater Harbour Office", customer},
		{"2026-03-13T12:00:00+00:00", due},
	} {
		require.Contains(t, text, change[0])
		text = strings.ReplaceAll(text, change[0], change[1])
	}
	return []byte(text)
}

// seed is some days at the Saltmarsh Print Works: jobs in every state, what the
// machines reported of them, alerts, deliveries and messages. It gives the tickets
// by their job.
func (h *house) seed() map[string]*works.Ticket {
	h.t.Helper()
	tickets := map[string]*works.Ticket{}
	h.devices()
	h.messages()
	tide := demo(h.t, "tide-tables.xjdf")
	k := h.submit("tide-tables.xjdf", tide)
	tickets[k.Job] = k
	steps := h.plan(k, tide)
	h.release(k)
	for _, s := range steps {
		if !s.Start.IsZero() {
			h.finish(s, s.Target.IntPart())
		}
	}
	h.at("2026-03-06 09:00")
	play := demo(h.t, "playbill.jdf")
	k = h.submit("playbill.jdf", play)
	tickets[k.Job] = k
	h.at("2026-03-09 06:50")
	playSteps := h.plan(k, play)
	h.release(k)
	for _, name := range []string{"wedding-cards.xjdf", "harbour-chart.xjdf"} {
		k := h.submit(name, demo(h.t, name))
		tickets[k.Job] = k
	}
	h.more(tickets)
	h.running(playSteps)
	h.imports()
	h.troubles(tickets)
	h.at("2026-03-09 10:20")
	return tickets
}

func (h *house) more(tickets map[string]*works.Ticket) {
	for i, job := range []struct{ id, name, customer, due string }{
		{"SPW-1051", "Market days, spring", "Saltmarsh Parish Council", "2026-03-09T06:00:00+00:00"},
		{"SPW-1052", "Ferry times", "Eelgrass Ferries", "2026-03-09T15:00:00+00:00"},
		{"SPW-1053", "Regatta leaflet", "Brackwater Harbour Office", "2026-03-20T12:00:00+00:00"},
		{"SPW-1054", "Bird walks", "Heronry Trust", "2026-03-10T16:00:00+00:00"},
		{"SPW-1055", "Concert by the quay", "Millwright Theatre", "2026-03-24T10:00:00+00:00"},
	} {
		body := variant(h.t, job.id, job.name, job.customer, job.due)
		k := h.submit(strings.ToLower(job.id)+".xjdf", body)
		tickets[k.Job] = k
		if i < 3 {
			steps := h.plan(k, body)
			if i == 0 {
				h.release(k)
				h.sent(steps[0])
			}
		}
		if i == 4 {
			write(h, "anna", func(tx *works.Tx) (*works.Ticket, error) {
				return tx.SetEntry(k.ID, works.EntryHeld, "waits for the pictures")
			})
		}
	}
}

func (h *house) sent(s *works.Step) {
	for _, state := range []works.StepState{works.StepReady, works.StepSent, works.StepAccepted} {
		write(h, "", func(tx *works.Tx) (*works.Step, error) { return tx.Report(s.ID, works.StepReport{State: state}) })
	}
}

func (h *house) running(steps []*works.Step) {
	press := step(h.t, steps, "offset-b2")
	for _, s := range steps {
		if s.Number < press.Number {
			h.report(s, works.StepDone, "2026-03-09 07:20", s.Target.IntPart(), 6)
		}
	}
	h.report(press, works.StepMakeready, "2026-03-09 08:00", 0, 0)
	h.report(press, works.StepRunning, "2026-03-09 08:45", 350, 420)
	for _, n := range []works.DeviceNews{
		{ID: "offset-b2", State: "run", Job: "SPW-1042", Part: press.Part, Counter: "18240551", Speed: "10400"},
		{ID: "guillotine-1", State: "makeready", Details: "knife change"},
		{ID: "folder-1", State: "stopped", Details: "PaperJam", Counter: "904122"},
		{ID: "stitcher-1", State: "idle"},
	} {
		n.At = h.clock()
		write(h, n.ID, func(tx *works.Tx) (*works.Device, error) { return tx.Hear(n) })
	}
}

func (h *house) devices() {
	var all []works.Device
	for _, m := range h.plant.Machines() {
		all = append(all, works.Device{ID: m.ID, Name: m.Name, URL: m.Connection.URL, Folder: m.Connection.Folder})
	}
	write(h, "", func(tx *works.Tx) (bool, error) { return true, tx.KeepDevices(all) })
}

func (h *house) imports() {
	names, err := filepath.Glob(data + "demo/returned/*")
	require.NoError(h.t, err)
	require.NotEmpty(h.t, names)
	var docs []*jdf.Document
	for _, name := range names {
		body, err := os.ReadFile(name)
		require.NoError(h.t, err)
		doc, _, err := jdf.Read(filepath.Base(name), bytes.NewReader(body), jdf.Limits{})
		require.NoError(h.t, err)
		docs = append(docs, doc)
	}
	_, _, err = h.ledger.Import(h.t.Context(), documents(docs...))
	require.NoError(h.t, err)
}

const query = `<JMF xmlns="http://www.CIP4.org/JDFSchema_1_1" Version="1.5"
    SenderID="harbour-mis" TimeStamp="2026-03-04T09:00:00Z">
  <Query ID="q1" Type="QueueStatus"/>
</JMF>
`

func (h *house) messages() {
	for i := range 3 {
		got, err := h.store.Receive(h.t.Context(), works.Incoming{
			Partner: "harbour-mis", Source: works.ByMessage, Origin: "10.20.0.7", Media: "application/vnd.cip4-jmf+xml",
			MessageID: fmt.Sprint("q", i+1), Body: []byte(strings.ReplaceAll(query, "q1", fmt.Sprint("q", i+1))),
		})
		require.NoError(h.t, err)
		if i < 2 {
			write(h, "", func(tx *works.Tx) (*works.Answer, error) {
				return tx.Answer(got.ID, works.Answer{
					Status: 200, Media: "application/vnd.cip4-jmf+xml", Body: []byte("<JMF><Response ReturnCode=\"0\"/></JMF>\n"),
				})
			})
		}
	}
}

func (h *house) troubles(tickets map[string]*works.Ticket) {
	for _, a := range []works.Alert{
		{Kind: "late", Key: "SPW-1051", Severity: "error", Text: "SPW-1051 is late: due today 07:00, and not printed",
			Ticket: tickets["SPW-1051"].ID},
		{Kind: "stop", Key: "folder-1", Severity: "warning", Text: "the folder has been stopped for 35 min: PaperJam",
			Device: "folder-1"},
		{Kind: "refused", Key: "SPW-1043", Severity: "note", Text: "a ticket of harbour-mis was refused with 2 errors"},
		{Kind: "silent", Key: "digital-1", Severity: "warning", Text: "nothing was heard of digital-1 for two days",
			Device: "digital-1"},
	} {
		write(h, "", func(tx *works.Tx) (*works.Alert, error) { raised, _, err := tx.Raise(a); return raised, err })
	}
	write(h, "anna", func(tx *works.Tx) (*works.Alert, error) { return tx.AcknowledgeAlert(2) })
	write(h, "", func(tx *works.Tx) (bool, error) { return tx.Lower("silent", "digital-1", "heard again") })
	for i, d := range []works.NewDelivery{
		{Key: "submit/1", Kind: "SubmitQueueEntry", Device: "folder-1", Address: "http://10.20.0.31/jmf",
			Ticket: tickets["SPW-1042"].ID, Body: []byte("<JMF/>")},
		{Key: "signal/2", Kind: "Status", Partner: "harbour-mis", Address: "https://mis.example/jmf", Body: []byte("<JMF/>")},
		{Key: "submit/3", Kind: "SubmitQueueEntry", Device: "offset-b2", Address: "http://10.20.0.21/jmf",
			Ticket: tickets["SPW-1042"].ID, Body: []byte("<JMF/>")},
	} {
		got := write(h, "", func(tx *works.Tx) (*works.Delivery, error) { return tx.Send(d) })
		switch i {
		case 0:
			h.fail(works.Permanent(fmt.Errorf("POST http://10.20.0.31/jmf: connection refused")), got.ID)
		case 2:
			write(h, "", func(tx *works.Tx) (bool, error) {
				return tx.Acknowledge(got.ID, works.Answer{Status: 200, Media: "text/xml", Body: []byte("<JMF/>")}, false)
			})
		}
	}
}

// fail lets the chore of a delivery go wrong for good.
func (h *house) fail(why error, delivery int64) {
	for {
		chores, err := h.store.Claim(h.t.Context(), []string{works.ChoreDeliver}, time.Minute, 1)
		require.NoError(h.t, err)
		require.NotEmpty(h.t, chores)
		if chores[0].Subject == fmt.Sprint(delivery) {
			state, err := h.store.Fail(h.t.Context(), chores[0], why)
			require.NoError(h.t, err)
			require.Equal(h.t, works.ChoreDead, state)
			return
		}
	}
}
