package cost_test

import (
	"fmt"
	"strings"

	"quoin/convert/cost"
	"quoin/jdf"
)

func Example() {
	const ticket = `<XJDF xmlns="http://www.CIP4.org/JDFSchema_2_0" JobID="SM-7" Types="Cutting"><AuditPool>
<AuditStatus><Header DeviceID="cut-1" Time="2026-03-02T09:30:00Z"/><DeviceInfo Status="Setup">
<JobPhase JobID="SM-7" Status="Setup" StartTime="2026-03-02T09:00:00Z" EndTime="2026-03-02T09:10:00Z"/>
</DeviceInfo></AuditStatus>
<AuditStatus><Header DeviceID="cut-1" Time="2026-03-02T09:30:00Z"/><DeviceInfo Status="Production">
<JobPhase JobID="SM-7" Status="InProgress" Amount="800"
 StartTime="2026-03-02T09:10:00Z" EndTime="2026-03-02T09:30:00Z"/>
</DeviceInfo></AuditStatus></AuditPool></XJDF>`
	doc, _, _ := jdf.Read("cards.xjdf", strings.NewReader(ticket), jdf.Limits{})
	ledger, findings := cost.Collect([]*jdf.Document{doc})
	for _, e := range ledger.Entries {
		fmt.Println(e.Device, e.Job, e.State, e.Time.Clock(), e.Good)
	}
	fmt.Println(len(findings), "findings")
	// Output:
	// cut-1 SM-7 makeready 0:10:00 0
	// cut-1 SM-7 run 0:20:00 800
	// 0 findings
}
