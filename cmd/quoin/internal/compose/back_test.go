package compose_test

import (
	"bytes"
	"io"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"quoin/cmd/quoin/internal/compose"
	"quoin/cmd/quoin/internal/compose/judge"
	"quoin/jdf"
	"quoin/jdf/message"
	"quoin/jdf/pack"
)

// back writes one message and reads it.
func back(t *testing.T, v jdf.Version, write func(e *compose.Envelope) string) *message.Message {
	t.Helper()
	e := begin(v)
	write(e)
	body, err := e.Bytes()
	require.NoError(t, err)
	return decode(t, body).Messages[0]
}

// both runs a test in the last version of each generation.
func both(t *testing.T, test func(t *testing.T, v jdf.Version)) {
	for _, v := range []jdf.Version{jdf.LastJDF, jdf.LastXJDF} {
		t.Run(v.String(), func(t *testing.T) { test(t, v) })
	}
}

func TestSubmitComesBack(t *testing.T) {
	both(t, func(t *testing.T, v jdf.Version) {
		m := back(t, v, cases["submit"])
		p := m.Params.Submission
		require.Equal(t, "cid:ticket", p.URL.Value)
		require.Equal(t, 60, p.Priority.Value)
		require.True(t, p.Held.Value)
		require.Equal(t, "http://mis.example/jmf", p.ReturnJMF.Value)
		require.Equal(t, "q1", p.Previous.Value)
		require.Equal(t, v.Major == 1, m.AcknowledgeURL.Given)
	})
}

func TestStatusComesBack(t *testing.T) {
	both(t, func(t *testing.T, v jdf.Version) {
		m := back(t, v, cases["signal status"])
		require.Equal(t, "Q1", m.RefID.Value)
		require.Len(t, m.Audits, 1)
		p := m.Audits[0].Phase
		require.Equal(t, "press-1", p.Device.Value)
		require.Equal(t, "InProgress", p.Status.Value)
		require.Equal(t, "180", p.Good.Value.String())
		require.Equal(t, "3", p.Waste.Value.String())
		require.True(t, p.Start.Value.Time().Equal(noon.Add(-time.Minute)))
		require.True(t, p.End.Value.Time().Equal(noon))
		require.Equal(t, "anna", p.Employee.Value)
		require.Equal(t, "3100", p.CostCenter.Value)
		require.Equal(t, "SheetName=S1 Side=Front", p.Part.String())
		require.Equal(t, "J1", m.Audits[0].JobID.Value)
		require.Equal(t, "P1", m.Audits[0].PartID.Value)
		if v.Major == 1 {
			require.Equal(t, "4100", p.Total.Value.String())
			require.Equal(t, "90", p.TotalWaste.Value.String())
		}
	})
}

func TestResourceComesBack(t *testing.T) {
	both(t, func(t *testing.T, v jdf.Version) {
		m := back(t, v, cases["signal resource"])
		require.Len(t, m.Audits, 4)
		var all []string
		for _, a := range m.Audits {
			c := a.Consumption
			all = append(all, strings.Join([]string{
				a.JobID.Value, a.PartID.Value, c.Kind, c.Usage.Value, c.Scope.Value, c.Part.String(), c.Lot.Value,
				c.Amounts.Good.Value.String(), c.Amounts.Waste.Value.String(),
			}, "|"))
		}
		require.Equal(t, []string{
			"J1|P1|Media|Input|Job|SheetName=S1|L1|4100|90", "J1|P1|Media|Input|Job|SheetName=S1|L2|900|0",
			"J1|P1|Ink|Input|Job|||2|0", "J1|P1|Component|Output|Job|||0|0",
		}, all)
	})
}

// Before lots came to JMF, those of one part are told as one amount.
func TestLotsAreSummed(t *testing.T) {
	m := back(t, jdf.Version{Major: 1, Minor: 4}, cases["signal resource"])
	require.Equal(t, "5000", m.Audits[0].Consumption.Amounts.Good.Value.String())
	require.Equal(t, "90", m.Audits[0].Consumption.Amounts.Waste.Value.String())
	require.Empty(t, m.Audits[0].Consumption.Lot.Value)
}

func TestQueueComesBack(t *testing.T) {
	both(t, func(t *testing.T, v jdf.Version) {
		m := back(t, v, cases["signal queue"])
		require.Equal(t, 3, m.Answers.Queue.Size.Value)
		require.Equal(t, 9, m.Answers.Queue.Max.Value)
		var all []string
		for _, q := range m.QueueEntries {
			all = append(all, q.ID.Value+" "+q.Status.Value+" "+q.Activation.Value)
		}
		if v.Major == 1 {
			require.Equal(t, "Running", m.Answers.Queue.Status.Value)
			require.Equal(t, []string{"q1 Running ", "q2 Held ", "q3 PendingReturn "}, all)
			return
		}
		require.Equal(t, []string{"q1 Setup Active", "q2 Waiting Held", "q3 Completed PendingReturn"}, all)
	})
}

func TestModifyComesBack(t *testing.T) {
	for name, write := range all() {
		op, found := strings.CutPrefix(name, "modify ")
		if !found || op == "many" {
			continue
		}
		for _, v := range versions {
			e := begin(v)
			if write(e) == "" {
				continue
			}
			body, err := e.Bytes()
			require.NoError(t, err)
			p := decode(t, body).Messages[0].Params.Modification
			want := message.Operation(op)
			if want == message.Complete && v.Major == 1 && v.Minor < 5 {
				want = message.Abort // JMF can not say more before 1.5
			}
			require.Equal(t, want, p.Operation.Value, "%s %s", name, v)
			require.Equal(t, []string{"q1"}, p.Filter.Entries.Value, "%s %s", name, v)
		}
	}
	both(t, func(t *testing.T, v jdf.Version) {
		f := back(t, v, all()["modify many"]).Params.Modification.Filter
		require.Equal(t, "J1", f.JobID.Value)
		require.Equal(t, 5, f.Most.Value)
		require.Equal(t, 10, f.MinPriority.Value)
		require.Equal(t, []string{"Waiting"}, f.Status.Value)
		require.Equal(t, "2026-11-01T00:00:00Z", f.NewerThan.Value.String())
	})
}

func TestSubscriptionComesBack(t *testing.T) {
	both(t, func(t *testing.T, v jdf.Version) {
		s := back(t, v, cases["subscribe status"]).Subscription
		require.Equal(t, "http://mis.example/jmf", s.URL.Value)
		require.InDelta(t, 30, s.RepeatTime.Value, 0)
		require.Equal(t, "Reliable", s.Channel.Value)
		require.Equal(t, v.Major == 1, s.RepeatStep.Given)
		require.InDelta(t, 1.5, back(t, v, cases["subscribe resource"]).Subscription.RepeatTime.Value, 0)
	})
}

// What names may hold in JMF and not in XJMF becomes a name of XJMF.
func TestNamesOfXJMF(t *testing.T) {
	m := back(t, jdf.LastXJDF, func(e *compose.Envelope) string {
		return e.Return(compose.Return{Entry: "entry 7/ü", URL: "a.xjdf"})
	})
	require.Equal(t, "entry_7__", m.Params.Return.Entry.Value)
	m = back(t, jdf.LastJDF, func(e *compose.Envelope) string {
		return e.Return(compose.Return{Entry: "entry 7/ü", URL: "a.jdf"})
	})
	require.Equal(t, "entry 7/ü", m.Params.Return.Entry.Value)
	m = back(t, jdf.LastXJDF, func(e *compose.Envelope) string { return e.SignalStatus("no id", state) })
	require.False(t, m.RefID.Given, "an ID that can not be written is left out")
}

func TestPackages(t *testing.T) {
	both(t, func(t *testing.T, v jdf.Version) {
		ticket := compose.Attachment{ID: "ticket@saltmarsh", Name: "tickets/4711.jdf", Type: "application/vnd.cip4-jdf+xml",
			Data: []byte("<JDF/>")}
		e := begin(v)
		e.Submit(compose.Submission{URL: e.URL(ticket)})
		body, media, err := compose.Package(e, ticket)
		require.NoError(t, err)
		r := bytes.NewReader(body)
		var p *pack.Package
		var problems []pack.Problem
		if v.Major == 1 {
			require.True(t, strings.HasPrefix(media, "multipart/related; "), media)
			require.NotContains(t, media, "\n")
			p, problems, err = pack.OpenMIME("package", media, r, int64(len(body)), pack.Limits{})
		} else {
			require.Equal(t, compose.ZIPType, media)
			p, problems, err = pack.Open("package", r, int64(len(body)), pack.Limits{})
		}
		require.NoError(t, err)
		require.Empty(t, problems)
		require.Len(t, p.Parts, 2)
		root, err := p.Parts[0].Open()
		require.NoError(t, err)
		text, err := io.ReadAll(root)
		require.NoError(t, err)
		url := decode(t, text).Messages[0].Params.Submission.URL.Value
		part, ok := p.Find(p.Parts[0], url)
		require.True(t, ok, url)
		require.Equal(t, "tickets/4711.jdf", part.Name)

		bare, media, err := compose.Package(e)
		require.NoError(t, err)
		require.Equal(t, e.MediaType(), media)
		require.Equal(t, text, bare)
	})
}

// TestAcknowledge writes what follows a response that was acknowledged.
func TestAcknowledge(t *testing.T) {
	reply := compose.Reply{
		Type: "SubmitQueueEntry", RefID: "C1", Entries: entries[:1], Queue: &compose.Queue{Device: "press-1"},
		Outcome: compose.Outcome{Code: message.ValidationError, Comments: []string{"the ticket has no Media"}},
	}
	docs := map[string][]byte{}
	for _, v := range versions {
		e := begin(v)
		id := e.Acknowledge(reply, "Completed")
		if v.Major == 2 {
			require.Empty(t, id)
			require.True(t, e.Empty())
			continue
		}
		body, err := e.Bytes()
		require.NoError(t, err)
		docs["acknowledge "+v.String()] = body
		m := decode(t, body).Messages[0]
		require.Equal(t, message.Acknowledge, m.Family)
		answer := compose.AnswerTo(decode(t, body), "C1")
		require.Equal(t, m.ID.Value, answer.ID.Value)
		require.Equal(t, reply.Outcome.Code, compose.OutcomeOf(answer).Code)
		require.Equal(t, reply.Outcome.Comments, compose.OutcomeOf(answer).Comments)
		require.Equal(t, "Error", compose.OutcomeOf(answer).Class)
		require.Nil(t, compose.AnswerTo(decode(t, body), "C2"))
		require.Nil(t, compose.AnswerTo(decode(t, body), ""))
	}
	require.Len(t, docs, 5)
	judge.Published(t, docs)
}

// What one message can not tell becomes several.
func TestResourcesOfSeveralJobs(t *testing.T) {
	mixed := []compose.ResourceReport{
		{JobID: "J1", Kind: "Media", Device: "press-1"}, {JobID: "J1", Kind: "Ink", Device: "press-1"},
		{JobID: "J2", Kind: "Media", Device: "press-1"}, {JobID: "J2", Kind: "Media", Device: "press-2"},
	}
	both(t, func(t *testing.T, v jdf.Version) {
		e := begin(v)
		id := e.SignalResource("Q1", mixed...)
		body, err := e.Bytes()
		require.NoError(t, err)
		messages := decode(t, body).Messages
		require.Equal(t, id, messages[0].ID.Value)
		var all []string
		for _, m := range messages {
			require.Equal(t, "Q1", m.RefID.Value)
			for _, a := range m.Audits {
				all = append(all, a.JobID.Value+" "+a.Consumption.Kind+" "+a.Device.Value)
			}
		}
		require.Equal(t, []string{"J1 Media press-1", "J1 Ink press-1", "J2 Media press-1", "J2 Media press-2"}, all)
		require.Len(t, messages, map[uint8]int{1: 3, 2: 2}[v.Major])
		judge.Published(t, map[string][]byte{"mixed": body})
	})
}
