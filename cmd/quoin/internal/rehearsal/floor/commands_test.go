package floor_test

import (
	"bytes"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"quoin/cmd/quoin/internal/compose"
	"quoin/cmd/quoin/internal/rehearsal/floor"
	"quoin/cmd/quoin/internal/rehearsal/report"
	"quoin/convert/cost"
	"quoin/jdf"
	"quoin/jdf/job"
	"quoin/jdf/message"
)

// stepsOf are tickets for one machine.
func stepsOf(t *testing.T, s *stage, device string, least int) []step {
	t.Helper()
	var all []step
	for _, w := range steps(t, s.plant, 12) {
		if w.device == device {
			all = append(all, w)
		}
	}
	require.GreaterOrEqual(t, len(all), least)
	return all
}

// modify sends a command to an entry, and gives the code of the answer.
func (s *stage) modify(t *testing.T, device, entry string, op message.Operation) message.Code {
	t.Helper()
	e := s.envelope(report.Second)
	require.NotEmpty(t, e.Modify(compose.Change{Operation: op, Entries: []string{entry}}))
	return compose.OutcomeOf(s.post(t, device, e).Messages[0]).Code
}

// slowly is an option: an hour of the works takes two seconds.
func slowly(o *floor.Options) {
	o.Clock = floor.NewClock(time.Date(2026, 3, 2, 6, 0, 0, 0, time.UTC), 1800)
}

// running waits until a machine is at a state.
func (s *stage) running(t *testing.T, device string, state job.State) {
	t.Helper()
	require.Eventually(t, func() bool {
		for _, a := range s.Truth().Steps {
			if a.Device == device && len(a.Phases) > 0 && a.Phases[len(a.Phases)-1].State == state {
				return true
			}
		}
		return false
	}, 20*time.Second, time.Millisecond)
}

// A run that is suspended and resumed is one act with a hole in it, and the
// ledger has it so.
func TestSuspendAndResume(t *testing.T) {
	t.Parallel()
	s := play(t, slowly)
	w := stepsOf(t, s, "offset-b2", 1)[0]
	require.Equal(t, message.Success, s.submit(t, w.device, w.ticket, w.speaks))
	s.running(t, w.device, job.StateMakeready)
	require.Equal(t, message.Success, s.modify(t, w.device, "offset-b2-q1", message.Suspend))
	require.Equal(t, message.AlreadyInStatus, s.modify(t, w.device, "offset-b2-q1", message.Suspend))
	time.Sleep(100 * time.Millisecond) // some minutes in the works
	require.Equal(t, message.Success, s.modify(t, w.device, "offset-b2-q1", message.Resume))
	s.settled(t)
	told := s.Truth()
	require.Len(t, told.Steps, 1)
	holes := 0
	a := told.Steps[0]
	for i, p := range a.Phases[1:] {
		if p.Start.After(a.Phases[i].End) {
			holes++
		}
	}
	require.Equal(t, 1, holes)
	require.Equal(t, truth(told), ledger(s.office.documents(t)))
	_, found := cost.Collect(s.office.documents(t))
	for _, f := range found {
		require.NotEqual(t, "audit/gap", f.Rule.ID, "the suspension is told: %s", f.Message())
	}
}

// Work that is aborted ends there, with what was made up to then, also when it
// was suspended before; and work that never began leaves nothing.
func TestAbort(t *testing.T) {
	t.Parallel()
	for _, first := range []bool{false, true} {
		s := play(t, slowly)
		all := stepsOf(t, s, "offset-b2", 2)
		for _, w := range all[:2] {
			require.Equal(t, message.Success, s.submit(t, w.device, w.ticket, w.speaks))
		}
		require.Equal(t, message.Success, s.modify(t, "offset-b2", "offset-b2-q2", message.Abort))
		s.running(t, "offset-b2", job.StateMakeready)
		if first {
			require.Equal(t, message.Success, s.modify(t, "offset-b2", "offset-b2-q1", message.Suspend))
			time.Sleep(50 * time.Millisecond)
		}
		require.Equal(t, message.Success, s.modify(t, "offset-b2", "offset-b2-q1", message.Abort))
		s.settled(t)
		told := s.Truth()
		require.Len(t, told.Steps, 1)
		require.Equal(t, "Aborted", told.Steps[0].Ended)
		require.Equal(t, truth(told), ledger(s.office.documents(t)))
		require.Len(t, s.office.tickets, 2)
		ticket := string(s.office.tickets["offset-b2 offset-b2-q1"])
		require.Contains(t, ticket, `EndStatus="Aborted"`)
		require.NotContains(t, ticket, `EndStatus="Completed"`)
	}
}

// A queue that is held starts nothing; entries go by priority when it goes on.
func TestHeldQueue(t *testing.T) {
	t.Parallel()
	s := play(t, nil)
	all := stepsOf(t, s, "guillotine-1", 2)
	control := func(kind string) message.Code {
		body := `<JMF xmlns="http://www.CIP4.org/JDFSchema_1_1" xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance" ` +
			`SenderID="office" TimeStamp="2026-03-02T06:00:00Z" Version="1.6">` +
			`<Command ID="c-` + kind + `" Type="` + kind + `" xsi:type="Command` + kind + `"/></JMF>`
		return compose.OutcomeOf(s.send(t, "guillotine-1", "application/vnd.cip4-jmf+xml", []byte(body)).Messages[0]).Code
	}
	require.Equal(t, message.Success, control("HoldQueue"))
	for _, w := range all[:2] {
		require.Equal(t, message.Success, s.submit(t, w.device, w.ticket, w.speaks))
	}
	time.Sleep(30 * time.Millisecond)
	require.Empty(t, s.Truth().Steps)
	e := s.envelope(report.Second)
	priority := 90
	e.Modify(compose.Change{Operation: message.SetPriority, Entries: []string{"guillotine-1-q2"}, Priority: &priority})
	require.Equal(t, message.Success, compose.OutcomeOf(s.post(t, "guillotine-1", e).Messages[0]).Code)
	require.Equal(t, message.Success, control("ResumeQueue"))
	s.settled(t)
	told := s.Truth().Steps
	require.Len(t, told, 2)
	require.Equal(t, "guillotine-1-q2", told[0].QueueID)
}

// The same submission is done once: with the same bytes, and with the same ID
// in other bytes.
func TestRepeatedSubmission(t *testing.T) {
	t.Parallel()
	s := play(t, nil)
	w := stepsOf(t, s, "folder-1", 1)[0]
	send := func(comment string) string {
		e := compose.New(compose.Options{Sender: "office", Version: jdf.LastJDF, NewID: func() string { return "once" }})
		file := compose.Attachment{ID: "ticket", Name: "ticket" + comment + ".jdf", Data: w.ticket}
		e.Submit(compose.Submission{URL: e.URL(file), ReturnJMF: s.office.server.URL + "/return"})
		answer := s.post(t, w.device, e, file)
		require.Equal(t, message.Success, compose.OutcomeOf(answer.Messages[0]).Code)
		return answer.Messages[0].QueueEntries[0].ID.Value
	}
	for _, comment := range []string{"", "", "-again"} {
		require.Equal(t, "folder-1-q1", send(comment))
	}
	s.settled(t)
	require.Len(t, s.Truth().Steps, 1)
	require.Len(t, s.office.tickets, 1)
}

// Nothing but the host of To is called, whatever is asked for.
func TestOneHostAlone(t *testing.T) {
	t.Parallel()
	s := play(t, nil)
	w := stepsOf(t, s, "offset-b1", 1)[0]
	e := s.envelope(report.Second)
	file := compose.Attachment{Name: "ticket.xjdf", Data: w.ticket}
	e.Submit(compose.Submission{URL: e.URL(file), ReturnJMF: "http://elsewhere.example/return"})
	require.Equal(t, message.URLNotAccessible, compose.OutcomeOf(s.post(t, w.device, e, file).Messages[0]).Code)
	e = s.envelope(report.Second)
	e.Ask(compose.Question{Type: "Status", Tell: &compose.Subscription{URL: "http://elsewhere.example/signals"}})
	require.Equal(t, message.SubscriptionDenied, compose.OutcomeOf(s.post(t, w.device, e).Messages[0]).Code)
	require.Empty(t, s.Truth().Steps)

	_, err := floor.New(floor.Options{Plant: s.plant})
	require.ErrorContains(t, err, "want a URL such as http://localhost:8080/jmf")
}

// A ticket without a step for the machine is refused, and so is one on the way
// to a machine that is not there.
func TestTicketsForNobody(t *testing.T) {
	t.Parallel()
	s := play(t, nil)
	w := stepsOf(t, s, "offset-b1", 1)[0]
	require.Equal(t, message.NoExecutableNode, s.submit(t, "binder-1", w.ticket, report.Second))
	r, err := http.Post(s.server.URL+"/device/nobody", "text/xml", bytes.NewReader(w.ticket))
	require.NoError(t, err)
	require.NoError(t, r.Body.Close())
	require.Equal(t, http.StatusNotFound, r.StatusCode)
}

// A machine says what it is doing, and what it has used.
func TestQueries(t *testing.T) {
	t.Parallel()
	s := play(t, slowly)
	w := stepsOf(t, s, "offset-b2", 1)[0]
	ask := func(q compose.Question) *message.Message {
		e := s.envelope(report.Second)
		e.Ask(q)
		m := s.post(t, "offset-b2", e).Messages[0]
		require.Equal(t, message.Success, compose.OutcomeOf(m).Code)
		return m
	}
	require.Equal(t, job.StateIdle, ask(compose.Question{Type: "Status"}).Audits[0].Phase.State)
	require.Equal(t, message.Success, s.submit(t, w.device, w.ticket, w.speaks))
	s.running(t, "offset-b2", job.StateMakeready)
	p := ask(compose.Question{Type: "Status"}).Audits[0]
	require.Equal(t, job.StateMakeready, p.Phase.State)
	require.NotEmpty(t, p.JobID.Value)
	q := ask(compose.Question{Type: "QueueStatus"})
	require.Len(t, q.QueueEntries, 1)
	require.Equal(t, "Setup", q.QueueEntries[0].Status.Value)
	require.NotEmpty(t, ask(compose.Question{Type: "Resource", Scope: "Job"}).Audits)
	require.Equal(t, "KnownDevices", ask(compose.Question{Type: "KnownDevices"}).Type)
}

// Tickets that are put into a hot folder come back in another, audited.
func TestHotFolder(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	s := play(t, func(o *floor.Options) { o.Folders = map[string]string{"stitcher-1": dir} })
	w := stepsOf(t, s, "stitcher-1", 1)[0]
	require.Eventually(t, func() bool {
		_, err := os.Stat(filepath.Join(dir, "in"))
		return err == nil
	}, 5*time.Second, time.Millisecond)
	require.NoError(t, os.WriteFile(filepath.Join(dir, "in", "good.jdf"), w.ticket, 0o644))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "in", "bad.jdf"), w.ticket[:len(w.ticket)/2], 0o644))
	var back []string
	require.Eventually(t, func() bool {
		back, _ = filepath.Glob(filepath.Join(dir, "out", "*.jdf"))
		refused, _ := filepath.Glob(filepath.Join(dir, "refused", "*"))
		return len(back) == 1 && len(refused) == 2
	}, 20*time.Second, 5*time.Millisecond)
	why, err := os.ReadFile(filepath.Join(dir, "refused", "bad.jdf.txt"))
	require.NoError(t, err)
	require.Contains(t, string(why), "is no JDF or XJDF ticket")
	s.settled(t)
	doc, faults, err := jdf.ReadFile(back[0], jdf.Limits{})
	require.NoError(t, err)
	require.Empty(t, faults)
	require.Equal(t, truth(s.Truth()), ledger([]*jdf.Document{doc}))
	kept, _ := filepath.Glob(filepath.Join(dir, "taken", "*"))
	require.Len(t, kept, 1)
}

func TestParseFaults(t *testing.T) {
	got, err := floor.ParseFaults("late, duplicate=0.2,")
	require.NoError(t, err)
	require.Equal(t, map[floor.Fault]float64{floor.Late: 0.05, floor.Duplicate: 0.2}, got)
	got, err = floor.ParseFaults("all=0.1,late=0")
	require.NoError(t, err)
	require.Len(t, got, len(floor.Faults()))
	require.Zero(t, got[floor.Late])
	for _, c := range [][2]string{
		{"lost", `fault "lost" is not known; want late, duplicate, out-of-order, dropped, malformed, counters or all`},
		{"late=2", `fault "late" has the share "2"; want a number from 0 to 1`},
		{"late=NaN", `fault "late" has the share "NaN"; want a number from 0 to 1`},
	} {
		_, err := floor.ParseFaults(c[0])
		require.EqualError(t, err, c[1])
	}
	for _, f := range floor.Faults() {
		require.False(t, strings.Contains(string(f), " "))
	}
}
