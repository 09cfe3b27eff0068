package dialog_test

import (
	"context"
	"fmt"
	"strings"

	"quoin/cmd/quoin/internal/dialog"
)

func ExampleEndpoint_Answer() {
	question := `<XJMF xmlns="http://www.CIP4.org/JDFSchema_2_0" Version="2.2">
  <Header DeviceID="Office" Time="2026-11-25T11:59:00Z"/>
  <CommandModifyQueueEntry>
    <Header DeviceID="Office" ID="C1" Time="2026-11-25T11:59:00Z"/>
    <ModifyQueueEntryParams Operation="Hold"><QueueFilter QueueEntryIDs="e1"/></ModifyQueueEntryParams>
  </CommandModifyQueueEntry>
</XJMF>`
	reply := endpoint(&memory{}).Answer(context.Background(), dialog.Incoming{
		Media: "application/vnd.cip4-xjmf+xml", Body: []byte(question),
	})
	fmt.Println(reply.Status, reply.Media, int(reply.Code))
	for line := range strings.Lines(string(reply.Body)) {
		if strings.Contains(line, "Comment") {
			fmt.Println(strings.TrimSpace(line))
		}
	}
	// Output:
	// 200 application/vnd.cip4-xjmf+xml 105
	// <Comment>entry &quot;e1&quot; is not in the queue; ask with QueueStatus for the entries of the queue</Comment>
}
