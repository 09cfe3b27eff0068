package job_test

import (
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/jdf"
	"quoin/jdf/job"
	"quoin/testdata/standard"
)

// audits reads a ticket written in a test.
func audits(t *testing.T, ticket string) ([]*job.Audit, []job.Fault) {
	t.Helper()
	doc, faults, err := jdf.Read("ticket.xml", strings.NewReader(ticket), jdf.Limits{})
	require.NoError(t, err)
	require.Empty(t, faults)
	return job.Audits(doc)
}

func sampleAudits(t *testing.T, path ...string) []*job.Audit {
	t.Helper()
	doc, faults, err := jdf.ReadFile(filepath.Join(append([]string{standard.Dir(t)}, path...)...), jdf.Limits{})
	require.NoError(t, err)
	require.Empty(t, faults)
	all, unread := job.Audits(doc)
	require.Empty(t, unread)
	return all
}

const pool = `<JDF xmlns="http://www.CIP4.org/JDFSchema_1_1" JobID="J7" Type="ProcessGroup" ID="n0">
 <ResourcePool>
  <Device ID="d1" DeviceID="press-1"><CostCenter CostCenterID="cc-74"/></Device>
  <Employee ID="e1" PersonalID="P12"/>
 </ResourcePool>
 <JDF ID="n1" JobPartID="print" Type="ConventionalPrinting">
  <AuditPool>
   <Created ID="a0" TimeStamp="2026-03-02T06:00:00Z"/>
   <PhaseTime ID="a1" TimeStamp="2026-03-02T09:00:00Z" Start="2026-03-02T08:00:00+01:00"
     End="2026-03-02T09:00:00+01:00" Status="Setup" StatusDetails="FormChange">
    <DeviceRef rRef="d1"/><EmployeeRef rRef="e1"/>
    <MISDetails WorkType="Rework"/>
    <ModulePhase DeviceID="press-1" ModuleIndex="0 ~ 3" ModuleType="PrintModule"/>
    <ModulePhase DeviceID="dryer-1" ModuleID="M9" ModuleType="Dryer"/>
    <Part SheetName="S1"/>
    <MediaLink rRef="m1" Usage="Input" ActualAmount="300"/>
    <ComponentLink rRef="c1" Usage="Output"><AmountPool>
      <PartAmount ActualAmount="250.5"><Part Condition="Good"/></PartAmount>
      <PartAmount ActualAmount="40"><Part Condition="Waste"/></PartAmount>
      <PartAmount ActualAmount="2"><Part Condition="DoubleFeed"/></PartAmount>
    </AmountPool></ComponentLink>
   </PhaseTime>
   <ProcessRun ID="a2" TimeStamp="2026-03-02T12:00:00Z" Start="2026-03-02T07:00:00Z" End="2026-03-02T11:00:00Z"
     Duration="PT3H30M" EndStatus="Completed"><Part SheetName="S1"/></ProcessRun>
   <Notification ID="a3" TimeStamp="2026-03-02T12:00:00Z" Class="Warning"><Comment> low ink </Comment></Notification>
  </AuditPool>
 </JDF>
</JDF>`

func TestFirstGenerationPool(t *testing.T) {
	all, faults := audits(t, pool)
	require.Empty(t, faults)
	require.Len(t, all, 5)

	require.Equal(t, job.AuditOther, all[0].Kind)
	require.Equal(t, "Created", all[0].Name)

	p := all[1].Phase
	require.Equal(t, "J7", all[1].JobID.Value)
	require.Equal(t, "print", all[1].PartID.Value)
	require.Equal(t, "press-1", p.Device.Value)
	require.Equal(t, "cc-74", p.CostCenter.Value)
	require.Equal(t, "P12", p.Employee.Value)
	require.Equal(t, job.StateMakeready, p.State)
	require.Equal(t, "FormChange", p.Details.Value)
	require.Equal(t, "Rework", p.Work.Value)
	require.Equal(t, []string{"0 ~ 3", "M9"}, p.Modules.Value)
	require.Equal(t, "SheetName=S1", p.Part.String())
	require.Equal(t, "250.5", p.Good.Value.String())
	require.Equal(t, "42", p.Waste.Value.String())
	require.Equal(t, "2026-03-02T08:00:00+01:00", p.Start.Value.String())
	require.Equal(t, 9, p.Start.Place.Pos().Line)

	// The second device was busy as long; the sheets are counted with the first.
	require.Equal(t, "dryer-1", all[2].Phase.Device.Value)
	require.False(t, all[2].Phase.Good.Given)

	run := all[3].Run
	require.Equal(t, "PT3H30M", run.Duration.Value.String())
	require.Equal(t, "Completed", run.EndStatus.Value)
	require.Equal(t, "low ink", all[4].Notice.Text.Value)
	require.Equal(t, "Warning", all[4].Notice.Class.Value)
}

func TestSecondGenerationPool(t *testing.T) {
	all, faults := audits(t, `<XJDF xmlns="http://www.CIP4.org/JDFSchema_2_0" JobID="J8" JobPartID="P1" Types="Folding">
 <AuditPool>
  <AuditStatus><Header DeviceID="fold-1" ID="s1" Time="2026-03-02T09:00:00Z" PersonalID="P3"/>
   <DeviceInfo Status="Production">
    <JobPhase JobID="J8" Status="InProgress" StartTime="2026-03-02T08:00:00Z" EndTime="2026-03-02T09:00:00Z"
      Amount="500" Waste="12" CostCenterID="cc-9" ModuleIDs="M1 M2"/>
    <JobPhase JobID="J9" JobPartID="P7" Status="Waiting"/>
   </DeviceInfo></AuditStatus>
  <AuditStatus><Header DeviceID="fold-1" Time="2026-03-02T10:00:00Z"/>
   <DeviceInfo Status="Idle" IdleStartTime="2026-03-02T09:00:00Z" StatusDetails="NoWork"/></AuditStatus>
  <AuditStatus><Header DeviceID="fold-1" Time="yesterday"/>
   <DeviceInfo Status="NonProductive"/></AuditStatus>
 </AuditPool></XJDF>`)
	require.Len(t, faults, 1)
	require.Equal(t, "Header/@Time", faults[0].Name)
	require.Len(t, all, 4)
	first := all[0]
	require.Equal(t, job.StateRun, first.Phase.State)
	require.Equal(t, "P1", first.PartID.Value, "the ticket's own part")
	require.Equal(t, "cc-9", first.Phase.CostCenter.Value)
	require.Equal(t, "P3", first.Phase.Employee.Value)
	require.Equal(t, []string{"M1", "M2"}, first.Phase.Modules.Value)
	require.Equal(t, "500", first.Phase.Good.Value.String())
	require.Equal(t, "J9", all[1].JobID.Value)
	require.Equal(t, "P7", all[1].PartID.Value)
	require.Equal(t, job.StateOff, all[1].Phase.State)
	require.Equal(t, job.StateIdle, all[2].Phase.State)
	require.True(t, all[2].Phase.Start.Given)
	require.Equal(t, "J8", all[2].JobID.Value)
	require.Equal(t, job.StateStopped, all[3].Phase.State)
	require.False(t, all[3].Time.Given)
}

// Source: published sample jdf/samples/structure/resourceAuditLoggingOfConsumption.jdf:
// 421 sheets were used in place of the 400 planned.
func TestResourceAuditSample(t *testing.T) {
	all := sampleAudits(t, "jdf", "samples", "structure", "resourceAuditLoggingOfConsumption.jdf")
	require.Len(t, all, 1)
	c := all[0].Consumption
	require.Equal(t, "Media", c.Kind)
	require.False(t, c.Output)
	require.Equal(t, "421", c.Amounts.Good.Value.String())
	require.Equal(t, "400", c.Planned.Value.String())
	require.Equal(t, "n_000190", all[0].JobID.Value)
	require.Equal(t, "ID234", all[0].PartID.Value)
}

// Source: published sample xjdf/samples/structure/PaperAuditActual.xjdf: 400
// good sheets of S1 and 21 of waste; a second audit names the paper alone.
func TestPaperAuditSample(t *testing.T) {
	all := sampleAudits(t, "xjdf", "samples", "structure", "PaperAuditActual.xjdf")
	require.Len(t, all, 3)
	c := all[1].Consumption
	require.Equal(t, "Component", c.Kind)
	require.Equal(t, "400", c.Amounts.Good.Value.String())
	require.Equal(t, "21", c.Amounts.Waste.Value.String())
	require.Equal(t, "SheetName=S1", c.Part.String())
	require.Equal(t, "Media", all[2].Consumption.Kind)
	require.False(t, all[2].Consumption.Amounts.Good.Given)
}

// Source: published sample xjdf/samples/structure/auditpool.xjdf, which has one
// audit of each kind.
func TestAuditPoolSample(t *testing.T) {
	var kinds []job.AuditKind
	for _, a := range sampleAudits(t, "xjdf", "samples", "structure", "auditpool.xjdf") {
		kinds = append(kinds, a.Kind)
		require.Equal(t, "CIP4_JDF_Writer_Java", a.Device.Value)
		require.Equal(t, "2024-04-29T12:21:56+02:00", a.Time.Value.String())
	}
	require.Equal(t, []job.AuditKind{
		job.AuditOther, job.AuditPhase, job.AuditResource, job.AuditNotice, job.AuditRun,
	}, kinds)
}

// Source: all published tickets. Each element of an AuditPool is decoded; a
// search of the files for the tags, with and without prefix, gives the numbers.
func TestAllSamplePools(t *testing.T) {
	count := map[string]int{}
	for _, path := range standard.Samples(t) {
		doc, _, err := jdf.ReadFile(path, jdf.Limits{})
		require.NoError(t, err)
		all, faults := job.Audits(doc)
		require.Empty(t, faults, path)
		for _, a := range all {
			count[a.Name]++
		}
	}
	require.Equal(t, 65, count["AuditCreated"])
	require.Equal(t, 3, count["AuditStatus"])
	require.Equal(t, 4, count["AuditResource"])
	require.Equal(t, 3, count["AuditNotification"])
	require.Equal(t, 1, count["AuditProcessRun"])
	require.Equal(t, 1, count["ResourceAudit"])
}

// Source: the enumerations of the published schemas. Each status of a device
// and of a phase has a state, but for those that say nothing of a device.
func TestStatesCoverTheStandard(t *testing.T) {
	for _, s := range strings.Fields("TestRunInProgress Setup InProgress Cleanup Spawned Suspended Stopped " +
		"Waiting Ready FailedTestRun Completed Aborted") {
		require.NotEqual(t, job.StateUnknown, job.StateOfNode(s), s)
	}
	for _, s := range strings.Fields("Part Pool") {
		require.Equal(t, job.StateUnknown, job.StateOfNode(s), s)
	}
	for _, s := range strings.Fields("Idle Down Setup Running Cleanup Stopped NonProductive Offline Production") {
		require.NotEqual(t, job.StateUnknown, job.StateOfDevice(s), s)
	}
	require.Equal(t, job.StateUnknown, job.StateOfDevice("Unknown"))
}
