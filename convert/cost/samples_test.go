package cost_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/convert/cost"
	"quoin/jdf"
	"quoin/testdata/standard"
)

// Source: published samples xjdf/samples/jmf/statusSignalSetup.xjmf and
// statusSignal.xjmf. By hand: setup from 16:00, run from 17:00, which is also
// the last word: one hour of makeready, no time of run yet.
func TestStatusSignalSamples(t *testing.T) {
	l, found := cost.Collect([]*jdf.Document{
		sample(t, "xjdf", "samples", "jmf", "statusSignal.xjmf"),
		sample(t, "xjdf", "samples", "jmf", "statusSignalSetup.xjmf"),
	})
	require.Equal(t, []string{
		"DeviceID j1 makeready 16:00-17:00 PT1H",
		"DeviceID j1 run 17:00-17:00 PT0S",
	}, lines(l))
	require.Equal(t, []string{"audit/open-phase: run of \"DeviceID\" from 2024-03-26T17:00:00Z has no end; " +
		"it is closed at 2024-03-26T17:00:00Z, the last word of the device"}, told(found))
}

// Source: published sample jdf/samples/jmf/statusSignal.jmf. By hand: setup
// from 11:35:40 to 11:35:41 (+02:00), when the run begins that is still open.
func TestStatusSignalSampleOfJMF(t *testing.T) {
	l, _ := cost.Collect([]*jdf.Document{sample(t, "jdf", "samples", "jmf", "statusSignal.jmf")})
	require.Len(t, l.Entries, 2)
	require.Equal(t, span("1s"), l.Entries[0].Time)
	require.Equal(t, "jpID", l.Entries[0].Part)
	require.True(t, l.Entries[1].Open)
}

// Source: published sample xjdf/samples/CAD_DieDesign_out.xjdf. By hand: in
// progress from 19:14:45, told at 22:14:45: three hours so far.
func TestDieDesignSample(t *testing.T) {
	l, found := cost.Collect([]*jdf.Document{sample(t, "xjdf", "samples", "CAD_DieDesign_out.xjdf")})
	require.Equal(t, []string{"dummy CAD run 19:14-22:14 PT3H"}, lines(l))
	require.Len(t, only("open-phase", found), 1)
}

// Source: published sample xjdf/samples/further/book-auditpool.xjdf. By hand:
// production is told at 10:47:19, the device is last heard of at 10:49:26
// (paper is low): 2 min 7 s.
func TestFoldingSample(t *testing.T) {
	l, _ := cost.Collect([]*jdf.Document{sample(t, "xjdf", "samples", "further", "book-auditpool.xjdf")})
	require.Equal(t, []string{"DEV_ID JOB-42 run 10:47-10:49 PT2M7S"}, lines(l))
}

// Source: published sample xjdf/samples/structure/auditpool.xjdf. By hand: all
// at one instant, so that run and phase agree on no time at all.
func TestAuditPoolSample(t *testing.T) {
	l, found := cost.Collect([]*jdf.Document{sample(t, "xjdf", "samples", "structure", "auditpool.xjdf")})
	require.Equal(t, []string{"CIP4_JDF_Writer_Java J1 run 10:21-10:21 PT0S"}, lines(l))
	require.Empty(t, only("run-differs", found))
}

// Source: published samples PaperAuditActual.xjdf (400 good and 21 waste of
// S1), resourceAuditLoggingOfConsumption.jdf (421 sheets, 400 planned) and
// resourceSignalAboutConsumedResources.jmf (3230, 1820 and 5050).
func TestResourceSamples(t *testing.T) {
	l, _ := cost.Collect([]*jdf.Document{
		sample(t, "xjdf", "samples", "structure", "PaperAuditActual.xjdf"),
		sample(t, "jdf", "samples", "structure", "resourceAuditLoggingOfConsumption.jdf"),
		sample(t, "jdf", "samples", "jmf", "resourceSignalAboutConsumedResources.jmf"),
	})
	require.Len(t, l.Uses, 5)
	byJob := map[string][]string{}
	for _, u := range l.Uses {
		byJob[u.Job] = append(byJob[u.Job], u.Kind+" "+u.Good.String()+"/"+u.Waste.String())
	}
	require.Equal(t, map[string][]string{
		"34028":      {"Media 3230/0", "Media 1820/0", "Media 5050/0"},
		"PaperAudit": {"Component 400/21"},
		"n_000190":   {"Media 421/0"},
	}, byJob)
	last := l.Uses[len(l.Uses)-1]
	require.Equal(t, "n_000190", last.Job)
	require.Equal(t, "400", last.Planned.String())
}

// Source: published sample xjdf/samples/Completed.xjmf: in progress and
// completed at one instant, so that nothing is open.
func TestCompletedSample(t *testing.T) {
	l, found := cost.Collect([]*jdf.Document{sample(t, "xjdf", "samples", "Completed.xjmf")})
	require.Equal(t, []string{"EngView CAD run 14:14-14:14 PT0S"}, lines(l))
	require.Empty(t, found)
}

// Source: all 292 published samples at once. Nothing in them goes wrong in a
// way that has no finding, and no finding is left with a fact unfilled.
func TestAllSamplesTogether(t *testing.T) {
	var docs []*jdf.Document
	for _, path := range standard.Samples(t) {
		doc, _, err := jdf.ReadFile(path, jdf.Limits{})
		require.NoError(t, err)
		docs = append(docs, doc)
	}
	l, found := cost.Collect(docs)
	require.Greater(t, len(l.Entries), 8)
	for _, f := range found {
		require.NotContains(t, f.Message()+f.Advice(), "{")
		require.True(t, f.Place.Known())
	}
}
