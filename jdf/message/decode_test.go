package message_test

import (
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/jdf"
	"quoin/jdf/job"
	"quoin/jdf/message"
	"quoin/testdata/standard"
)

func sample(t *testing.T, path ...string) *message.Envelope {
	t.Helper()
	return read(t, filepath.Join(append([]string{standard.Dir(t)}, path...)...))
}

func read(t *testing.T, path string) *message.Envelope {
	t.Helper()
	doc, faults, err := jdf.ReadFile(path, jdf.Limits{})
	require.NoError(t, err)
	require.Empty(t, faults)
	return message.Decode(doc)
}

func decode(t *testing.T, text string) *message.Envelope {
	t.Helper()
	doc, faults, err := jdf.Read("message.xml", strings.NewReader(text), jdf.Limits{})
	require.NoError(t, err)
	require.Empty(t, faults)
	return message.Decode(doc)
}

// Source: all published message samples: 28 .jmf and 53 .xjmf files.
func TestAllSamplesDecode(t *testing.T) {
	count := map[string]int{}
	families := map[message.Family]int{}
	for _, path := range standard.Samples(t) {
		e := read(t, path)
		if !e.Document.Kind.Message() {
			require.Empty(t, e.Messages, path)
			continue
		}
		count[filepath.Ext(path)]++
		require.NotEmpty(t, e.Messages, path)
		require.Empty(t, e.Faults, path)
		require.True(t, e.Header.Sender.Given, path)
		require.True(t, e.Header.Time.Given, path)
		for _, m := range e.Messages {
			families[m.Family]++
			require.NotEmpty(t, m.Type, path)
			require.True(t, m.TypeAt.Known(), path)
			require.True(t, m.Time.Given, path)
			require.True(t, m.Sender.Given, path)
		}
	}
	require.Equal(t, 28, count[".jmf"])
	require.Equal(t, 53, count[".xjmf"])
	require.Positive(t, count[".jdf"], "JMF inside a file named .jdf")
	for _, f := range []message.Family{message.Query, message.Command, message.Signal, message.Response} {
		require.Positive(t, families[f], f)
	}
}

// Source: published sample jdf/samples/jmf/statusSignal.jmf.
func TestStatusSignal(t *testing.T) {
	e := sample(t, "jdf", "samples", "jmf", "statusSignal.jmf")
	require.Len(t, e.Messages, 2)
	m := e.Messages[0]
	require.Equal(t, message.Signal, m.Family)
	require.Equal(t, "Status", m.Type)
	require.Equal(t, "m18", m.ID.Value)
	require.Equal(t, "MIS master A", m.Sender.Value)
	require.Len(t, m.Audits, 1)
	p := m.Audits[0].Phase
	// The device runs, the job is being made ready: the job's word is the more exact.
	require.Equal(t, job.StateMakeready, p.State)
	require.Equal(t, "2024-08-09T11:35:40+02:00", p.Start.Value.String())
	require.Equal(t, "jID", m.Audits[0].JobID.Value)
	require.Equal(t, "jpID", m.Audits[0].PartID.Value)
}

// Source: published sample jdf/samples/jmf/statusResponseToQuery.jmf.
func TestStatusResponse(t *testing.T) {
	m := sample(t, "jdf", "samples", "jmf", "statusResponseToQuery.jmf").Messages[0]
	require.Equal(t, "Q1", m.RefID.Value)
	require.Len(t, m.Audits, 2)
	first, second := m.Audits[0].Phase, m.Audits[1].Phase
	require.Equal(t, "2560", first.Total.Value.String(), "JMF counts from the start of the job")
	require.False(t, first.Good.Given)
	require.Equal(t, job.StateRun, first.State)
	require.Equal(t, []string{"0 ~ 3 6 ~ 8", "4", "5"}, first.Modules.Value)
	require.Equal(t, job.StateOff, second.State, "679 waits")
}

// Source: published sample xjdf/samples/building/subscribeStatus.xjmf.
func TestSubscription(t *testing.T) {
	m := sample(t, "xjdf", "samples", "building", "subscribeStatus.xjmf").Messages[0]
	require.Equal(t, message.Query, m.Family)
	require.Equal(t, "http://MIS:1234/xjmfurl", m.Subscription.URL.Value)
	require.InDelta(t, 30, m.Subscription.RepeatTime.Value, 0)
}

// Source: published sample xjdf/samples/jmf/ResponseModifyQE.xjmf.
func TestQueueEntry(t *testing.T) {
	m := sample(t, "xjdf", "samples", "jmf", "ResponseModifyQE.xjmf").Messages[0]
	require.Equal(t, "ModifyQueueEntry", m.Type)
	require.Equal(t, 0, m.Returned())
	require.Len(t, m.QueueEntries, 1)
	require.Equal(t, "QE1", m.QueueEntries[0].ID.Value)
	require.Equal(t, "Waiting", m.QueueEntries[0].Status.Value)
	require.Equal(t, "Active", m.QueueEntries[0].Activation.Value)
}

// Source: published sample jdf/samples/jmf/responseWithNotificationElement.jmf.
func TestRefusal(t *testing.T) {
	m := sample(t, "jdf", "samples", "jmf", "responseWithNotificationElement.jmf").Messages[0]
	require.Equal(t, 5, m.Returned())
	require.Empty(t, m.Audits, "the notification is about the message, not about a job")
	require.Len(t, m.Notifications, 1)
	require.Equal(t, "Error", m.Notifications[0].Notice.Class.Value)
	require.Equal(t, "StartJob unsuccessful - Device does not handle commands", m.Notifications[0].Notice.Text.Value)
}

// Source: published sample xjdf/samples/jmf/extendQueryMixed.xjmf.
func TestForeignMessage(t *testing.T) {
	e := sample(t, "xjdf", "samples", "jmf", "extendQueryMixed.xjmf")
	require.Len(t, e.Messages, 3)
	require.Equal(t, "Bar", e.Messages[1].Type)
	require.Equal(t, "www.foo.org", e.Messages[1].Space)
	require.Equal(t, "F1", e.Messages[1].ID.Value)
}

// Source: published samples resourceSignalAboutConsumedResources.jmf and paperResourceSignal.xjmf.
func TestResourceSignals(t *testing.T) {
	amounts := func(m *message.Message) (all []string) {
		for _, a := range m.Audits {
			c := a.Consumption
			all = append(all, strings.Join([]string{a.JobID.Value, c.Kind, c.Part.String(), c.Lot.Value,
				c.Amounts.Good.Value.String(), c.Amounts.Waste.Value.String()}, "|"))
		}
		return all
	}
	jmf := sample(t, "jdf", "samples", "jmf", "resourceSignalAboutConsumedResources.jmf").Messages[0]
	require.Equal(t, []string{
		"34028|Media|SheetName=1|Lot01|3230|0",
		"34028|Media|SheetName=1|Lot02|1820|0",
		"34028|Media|SheetName=2|Lot02|5050|0",
	}, amounts(jmf))
	xjmf := sample(t, "xjdf", "samples", "jmf", "paperResourceSignal.xjmf").Messages[0]
	require.Equal(t, []string{
		"Job1|Media|SheetName=S1|Lot1|4500|66", "Job1|Media|SheetName=S1|Lot2|2200|22",
	}, amounts(xjmf))
}

func TestQueueInSignalAndBadValues(t *testing.T) {
	e := decode(t, `<JMF xmlns="http://www.CIP4.org/JDFSchema_1_1" SenderID="press-1" DeviceID="office" Version="1.4"
  TimeStamp="2026-03-02T08:00:00Z">
 <Registration ID="r1" Type="Status"><Subscription URL="http://office/jmf" RepeatStep="50"/></Registration>
 <Acknowledge ID="k1" Type="HoldQueueEntry" refID="c1" ReturnCode="two"/>
 <Signal ID="s1" Type="QueueStatus" Time="2026-03-02T08:00:05Z"><Queue Status="Full" DeviceID="press-1">
   <QueueEntry QueueEntryID="q1" Status="Running" Priority="50" StartTime="2026-03-02T07:55:00Z" JobID="J1"/>
   <QueueEntry QueueEntryID="q2" Status="Waiting" Priority="high"/></Queue></Signal>
 <Remark/>
</JMF>`)
	require.Len(t, e.Messages, 3)
	require.Equal(t, "office", e.Messages[0].Receiver.Value)
	require.Equal(t, 50, e.Messages[0].Subscription.RepeatStep.Value)
	require.Equal(t, message.Acknowledge, e.Messages[1].Family)
	require.Equal(t, "2026-03-02T08:00:05Z", e.Messages[2].Time.Value.String())
	require.Len(t, e.Messages[2].QueueEntries, 2)
	require.Equal(t, 50, e.Messages[2].QueueEntries[0].Priority.Value)
	require.Len(t, e.Faults, 2)
	require.Equal(t, "Acknowledge/@ReturnCode", e.Faults[0].Name)
	require.Equal(t, "QueueEntry/@Priority", e.Faults[1].Name)
}
