package cost_test

import (
	"fmt"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"quoin/convert/cost"
	"quoin/jdf"
	"quoin/testdata/standard"
	"quoin/validate"
)

func read(t testing.TB, name, text string) *jdf.Document {
	t.Helper()
	doc, faults, err := jdf.Read(name, strings.NewReader(text), jdf.Limits{})
	require.NoError(t, err)
	require.Empty(t, faults, text)
	return doc
}

func sample(t *testing.T, path ...string) *jdf.Document {
	t.Helper()
	doc, faults, err := jdf.ReadFile(filepath.Join(append([]string{standard.Dir(t)}, path...)...), jdf.Limits{})
	require.NoError(t, err)
	require.Empty(t, faults)
	return doc
}

// pool wraps JDF audits in a ticket.
func pool(t testing.TB, name, job string, audits ...string) *jdf.Document {
	t.Helper()
	return read(t, name, `<JDF xmlns="http://www.CIP4.org/JDFSchema_1_1"
 ID="n1" Type="ConventionalPrinting" JobID="`+job+`"><AuditPool>
`+strings.Join(audits, "\n")+`
</AuditPool></JDF>`)
}

// phase is a JDF PhaseTime of 2 March 2026, UTC, with clock times; an end of ""
// leaves it open.
func phase(device, status, start, end string, more ...string) string {
	stamp := end
	if end == "" {
		stamp = start
	} else {
		end = ` End="` + day(end) + `"`
	}
	return fmt.Sprintf(`<PhaseTime TimeStamp=%q Status=%q Start=%q%s %s><Device DeviceID=%q/></PhaseTime>`,
		day(stamp), status, day(start), end, strings.Join(more, " "), device)
}

func day(clock string) string { return "2026-03-02T" + clock + ":00Z" }

// made adds output amounts to a PhaseTime.
func made(phase string, good, waste int) string {
	return strings.Replace(phase, "</PhaseTime>", fmt.Sprintf(`<ComponentLink rRef="c" Usage="Output"><AmountPool>`+
		`<PartAmount ActualAmount="%d"><Part Condition="Good"/></PartAmount>`+
		`<PartAmount ActualAmount="%d"><Part Condition="Waste"/></PartAmount>`+
		`</AmountPool></ComponentLink></PhaseTime>`, good, waste), 1)
}

// jmf is a Status signal of 2 March 2026; the rest is attributes of the JobPhase.
func jmf(t testing.TB, device, seen, jobPhase string) *jdf.Document {
	t.Helper()
	return read(t, device+"-"+seen+".jmf", fmt.Sprintf(
		`<JMF xmlns="http://www.CIP4.org/JDFSchema_1_1" SenderID=%q Version="1.5" TimeStamp=%q>
<Signal ID="s" Type="Status"><DeviceInfo DeviceStatus="Unknown">%s</DeviceInfo></Signal></JMF>`,
		device, day(seen), jobPhase))
}

// xjmf is the same in the second generation.
func xjmf(t testing.TB, device, seen, deviceStatus, jobPhase string) *jdf.Document {
	t.Helper()
	return read(t, device+"-"+seen+".xjmf", fmt.Sprintf(
		`<XJMF xmlns="http://www.CIP4.org/JDFSchema_2_0"><Header DeviceID=%q Time=%q/>
<SignalStatus><Header DeviceID=%q ID="s" Time=%q/><DeviceInfo Status=%q>%s</DeviceInfo></SignalStatus></XJMF>`,
		device, day(seen), device, day(seen), deviceStatus, jobPhase))
}

// lines writes a ledger shortly: device job state start end time good/waste.
func lines(l *cost.Ledger) []string {
	var all []string
	for _, e := range l.Entries {
		line := fmt.Sprintf("%s %s %s %s-%s %s", e.Device, e.Job, e.State,
			e.Start.UTC().Format("15:04"), e.End.UTC().Format("15:04"), e.Time)
		if e.Counted {
			line += fmt.Sprintf(" %s/%s", e.Good, e.Waste)
		}
		all = append(all, line)
	}
	return all
}

// told writes findings shortly: id and message.
func told(findings []validate.Finding) []string {
	var all []string
	for _, f := range findings {
		all = append(all, f.Rule.ID+": "+f.Message())
	}
	return all
}

// only keeps the findings of one rule.
func only(id string, findings []validate.Finding) []string {
	var all []string
	for _, f := range findings {
		if f.Rule.ID == "audit/"+id {
			all = append(all, f.Message())
		}
	}
	return all
}

func span(s string) cost.Span {
	d, err := time.ParseDuration(s)
	if err != nil {
		panic(err)
	}
	return cost.Span(d)
}
