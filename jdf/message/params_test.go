package message_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/jdf"
	"quoin/jdf/message"
)

// Source: published samples jdf/samples/jmf/resumeQueueEntryCommandMessage.jmf and
// xjdf/samples/jmf/CommandModifyQE.xjmf.
func TestModifications(t *testing.T) {
	m := sample(t, "jdf", "samples", "jmf", "resumeQueueEntryCommandMessage.jmf").Messages[0].Params.Modification
	require.Equal(t, message.Resume, m.Operation.Value)
	require.Equal(t, []string{"job-0032"}, m.Filter.Entries.Value)
	m = sample(t, "xjdf", "samples", "jmf", "CommandModifyQE.xjmf").Messages[0].Params.Modification
	require.Equal(t, message.Resume, m.Operation.Value)
	require.Equal(t, "j1", m.Filter.JobID.Value)
	require.False(t, m.Filter.Empty())
}

// Source: published samples of submissions, returns, stops and requests.
func TestParamsOfSamples(t *testing.T) {
	p := sample(t, "xjdf", "samples", "further", "book-jmf-csqe-2.xjmf").Messages[0].Params.Submission
	require.Equal(t, 42, p.Priority.Value)
	require.Equal(t, "http://mis.example.org/xjmf", p.ReturnJMF.Value)
	require.Equal(t, "http://mis.example.org/xjdf/job-1234.xjdf", p.URL.Value)
	p = sample(t, "jdf", "samples", "building", "mimeMultipartRelatedJMF.jdf").Messages[0].Params.Submission
	require.True(t, p.Held.Value)
	require.Equal(t, "cid:JDF1@hostname.com", p.URL.Value)
	r := sample(t, "xjdf", "samples", "further", "book-jmf-crqe-3.xjmf").Messages[0].Params.Return
	require.Equal(t, "1", r.Entry.Value)
	s := sample(t, "xjdf", "samples", "further", "book-jmf-cspc.xjmf").Messages[0].Params.Stop
	require.Equal(t, "http://mis.example.org/xjmf", s.URL.Value)
	u := sample(t, "xjdf", "samples", "building", "commandResubmitQE.xjmf").Messages[0].Params.Resubmission
	require.Equal(t, "qe1", u.Entry.Value)
	require.NotEmpty(t, u.Method.Value)
}

// Source: published samples jdf/samples/jmf/knownMessagesResponse.jmf, xjdf/samples/jmf/ResponseKnownMessages.xjmf,
// jdf/samples/jmf/knownDevicesResponse.jmf and xjdf/samples/further/response-knowndevices.xjmf.
func TestAnswersOfSamples(t *testing.T) {
	services := sample(t, "jdf", "samples", "jmf", "knownMessagesResponse.jmf").Messages[0].Answers.Services
	require.Len(t, services, 2)
	require.Equal(t, "Status", services[1].Type)
	require.True(t, services[1].Query && services[1].Signal && services[1].Persist)
	services = sample(t, "xjdf", "samples", "further", "book-jmf-boot-2.xjmf").Messages[0].Answers.Services
	require.Len(t, services, 6)
	require.Equal(t, "SubmitQueueEntry", services[3].Type)
	require.True(t, services[3].Command)
	devices := sample(t, "jdf", "samples", "jmf", "knownDevicesResponse.jmf").Messages[0].Answers.Devices
	require.Len(t, devices, 1)
	require.True(t, devices[0].ID.Given)
	require.Equal(t, "Unknown", devices[0].Status.Value)
	devices = sample(t, "xjdf", "samples", "further", "response-knowndevices.xjmf").Messages[0].Answers.Devices
	require.Len(t, devices, 3)
	require.Equal(t, "PRESS-02", devices[1].ID.Value)
}

// The commands of JMF changed with 1.5; both forms say the same.
func TestCommandsOldAndNew(t *testing.T) {
	e := decode(t, `<JMF xmlns="http://www.CIP4.org/JDFSchema_1_1" SenderID="MIS" Version="1.5"
 TimeStamp="2026-03-02T08:00:00Z">
 <Command ID="c1" Type="AbortQueueEntry" AcknowledgeURL="http://mis.example/ack"
   AcknowledgeType="Received Completed">
   <QueueEntryDef QueueEntryID="q1"/><QueueFilter MaxEntries="3"/></Command>
 <Command ID="c2" Type="AbortQueueEntry"><AbortQueueEntryParams EndStatus="Completed">
   <QueueFilter JobID="J1"><QueueEntryDef QueueEntryID="q1"/><QueueEntryDef QueueEntryID="q2"/><Device DeviceID="p1"/>
     <Part SheetName="S1"/></QueueFilter></AbortQueueEntryParams></Command>
 <Command ID="c3" Type="SetQueueEntryPosition"><QueueEntryPosParams QueueEntryID="q1" NextQueueEntryID="q2"
   Position="0"/>
   <QueueFilter MaxEntries="1"/></Command>
 <Command ID="c4" Type="SetQueueEntryPriority"><QueueEntryPriParams QueueEntryID="q1" Priority="ninety"/></Command>
 <Command ID="c5" Type="HoldQueueEntry"/>
 <Query ID="q1" Type="QueueEntryStatus">
   <QueueEntryDefList><QueueEntryDef QueueEntryID="q1"/></QueueEntryDefList></Query>
</JMF>`)
	m := e.Messages
	require.Equal(t, []string{"Received", "Completed"}, m[0].AcknowledgeType.Value)
	require.Equal(t, []string{"q1"}, m[0].Params.Modification.Filter.Entries.Value)
	require.False(t, m[0].Params.Modification.Filter.Most.Given, "the filter beside the entry is about the answer")
	require.Equal(t, 3, m[0].Params.Queue.Most.Value)
	second := m[1].Params.Modification
	require.Equal(t, message.Complete, second.Operation.Value)
	require.Equal(t, []string{"q1", "q2"}, second.Filter.Entries.Value)
	require.Equal(t, []string{"p1"}, second.Filter.Devices.Value)
	require.Equal(t, "SheetName=S1", second.Filter.Parts[0].String())
	require.Equal(t, "q2", m[2].Params.Modification.Next.Value)
	require.Equal(t, 0, m[2].Params.Modification.Position.Value)
	require.Equal(t, []string{"q1"}, m[2].Params.Modification.Filter.Entries.Value)
	require.Len(t, e.Faults, 1)
	require.Equal(t, "QueueEntryPriParams/@Priority", e.Faults[0].Name)
	require.Nil(t, m[4].Params.Modification.Filter, "no entry is named")
	require.True(t, m[4].Params.Modification.Filter.Empty())
	require.Equal(t, []string{"q1"}, m[5].Params.Entries.Value)
}

func TestQuestions(t *testing.T) {
	h := `<Header DeviceID="M" ID="Q1" Time="2026-03-02T08:00:00Z"/>`
	e := decode(t, `<XJMF xmlns="`+jdf.NamespaceXJDF+`">`+h+`
 <QueryStatus>`+h+`<StatusQuParams JobID="J1" QueueEntryID="q1"><Part SheetName="S1"/></StatusQuParams></QueryStatus>
 <QueryResource>`+h+`<ResourceQuParams Scope="Job" ResourceName="Media" ExternalID="x7"/></QueryResource>
 <QueryNotification>`+h+`<NotificationFilter Classes="Error Fatal"/></QueryNotification>
 <QueryQueueStatus>`+h+`<QueueStatusParams UpdateGranularity="ChangesOnly"><QueueFilter
   QueueEntryIDs="a b"/></QueueStatusParams></QueryQueueStatus>
 <CommandModifyQueueEntry>`+h+`<ModifyQueueEntryParams Operation="Move" Priority="7"><QueueFilter/>
   </ModifyQueueEntryParams></CommandModifyQueueEntry>
 <CommandRequestQueueEntry>`+h+`<RequestQueueEntryParams
   QueueURL="http://p1.example" JobID="J1"/></CommandRequestQueueEntry>
</XJMF>`)
	m := e.Messages
	require.Equal(t, "q1", m[0].Params.Status.Entry.Value)
	require.Len(t, m[0].Params.Status.Parts, 1)
	require.Equal(t, []string{"Media"}, m[1].Params.Resource.Kinds.Value)
	require.Equal(t, "x7", m[1].Params.Resource.ProductID.Value)
	require.Equal(t, []string{"Error", "Fatal"}, m[2].Params.Notices.Classes.Value)
	require.Equal(t, []string{"a", "b"}, m[3].Params.Queue.Entries.Value)
	require.Equal(t, "ChangesOnly", m[3].Params.Queue.Changes.Value)
	require.Equal(t, message.SetPriority, m[4].Params.Modification.Operation.Value)
	require.True(t, m[4].Params.Modification.Filter.Empty())
	require.Equal(t, "http://p1.example", m[5].Params.Request.QueueURL.Value)
}

func TestCodes(t *testing.T) {
	require.Equal(t, "not implemented", message.NotImplemented.String())
	require.True(t, message.Success.Known())
	require.False(t, message.Code(999).Known())
	require.Equal(t, "return code 999", message.Code(999).String())
}
