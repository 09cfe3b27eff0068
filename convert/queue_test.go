package convert

import (
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/jdf"
)

// A queue of the 1.x generation names its device and says whether it runs.
//
// Source: the published JDF schema, Queue, of which both are required.
func TestQueueOfAnAnswer(t *testing.T) {
	for _, c := range []struct{ name, header, status, device, want string }{
		{"running", `DeviceID="P"`, "InProgress", "P", "Running"},
		{"setting up", `DeviceID="P"`, "Setup", "P", "Running"},
		{"waiting", `DeviceID="P"`, "Completed", "P", "Waiting"},
		{"sender of the document", ``, "Waiting", "M", "Waiting"},
	} {
		t.Run(c.name, func(t *testing.T) {
			src := `<XJMF xmlns="http://www.CIP4.org/JDFSchema_2_0"><Header DeviceID="M" Time="2026-03-02T08:00:00Z"/>
<ResponseQueueStatus ReturnCode="0"><Header ` + c.header + ` ID="R1" refID="Q1" Time="2026-03-02T08:00:00Z"/>
<Queue QueueSize="2"><QueueEntry QueueEntryID="q1" Status="Waiting"/><QueueEntry QueueEntryID="q2" Status="` +
				c.status + `"/></Queue></ResponseQueueStatus></XJMF>`
			res, err := To([]*jdf.Document{read(t, "queue.xjmf", src)}, jdf.KindJMF, Options{Clock: noon})
			require.NoError(t, err)
			out := reread(t, res.Outputs)[0]
			require.Empty(t, structureErrors(out))
			queue := out.Root().Child("Response").Child("Queue")
			require.Equal(t, c.device, queue.Get("DeviceID"))
			require.Equal(t, c.want, queue.Get("Status"))
			require.Equal(t, "2", queue.Get("QueueSize"))
			n := 0
			for range queue.ChildrenNamed("QueueEntry") {
				n++
			}
			require.Equal(t, 2, n)
		})
	}
}

// What the published schema only takes with xsi:type has it.
//
// Source: the substitution groups of the published JDF schema.
func TestTypeIsNamed(t *testing.T) {
	const head = `<Header DeviceID="M" ID="C1" Time="2026-03-02T08:00:00Z"/>`
	for kind, src := range map[jdf.Kind]string{
		jdf.KindJMF: `<XJMF xmlns="http://www.CIP4.org/JDFSchema_2_0">` + head + `<CommandModifyQueueEntry>` + head +
			`<ModifyQueueEntryParams Operation="Suspend"><QueueFilter QueueEntryIDs="q1"/></ModifyQueueEntryParams>` +
			`</CommandModifyQueueEntry></XJMF>`,
		jdf.KindJDF: `<XJDF xmlns="http://www.CIP4.org/JDFSchema_2_0" JobID="4711" Types="Separation">` +
			`<ResourceSet Name="SeparationControlParams" Usage="Input"><Resource><SeparationControlParams/></Resource>` +
			`</ResourceSet></XJDF>`,
	} {
		res, err := To([]*jdf.Document{read(t, "in.xml", src)}, kind, Options{Clock: noon})
		require.NoError(t, err)
		out := reread(t, res.Outputs)[0]
		require.Empty(t, structureErrors(out))
		want := map[jdf.Kind]string{jdf.KindJMF: "CommandSuspendQueueEntry", jdf.KindJDF: "Separation"}[kind]
		require.Contains(t, text(t, res.Outputs[0]), `xsi:type="`+want+`"`)
		back, err := To([]*jdf.Document{out}, other[kind], Options{Clock: noon})
		require.NoError(t, err)
		require.NotContains(t, text(t, back.Outputs[0]), "xsi:type")
	}
}
