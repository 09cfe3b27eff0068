package report_test

import (
	"bytes"
	"fmt"
	"testing"
	"time"

	"github.com/beevik/etree"
	"github.com/stretchr/testify/require"

	"quoin/cmd/quoin/internal/rehearsal"
	"quoin/cmd/quoin/internal/rehearsal/report"
	"quoin/convert/cost"
	"quoin/jdf"
	"quoin/jdf/job"
	"quoin/validate"
	"quoin/validate/plant"
	"quoin/validate/structure"
)

func act(t *testing.T) *rehearsal.Act {
	t.Helper()
	w := rehearsal.Work{
		Job: "J1", Part: "P1", Sheet: "S1", Device: "press-1", Kind: rehearsal.Press, Makeready: 40 * time.Minute,
		Run: 5 * time.Hour, WashUp: 10 * time.Minute, In: 41000, Out: 40000, PerIn: 1, SetupWaste: 400, RunWaste: 600,
		Paper: true, Stock: "gloss-135", Grammage: 135, Coating: "gloss", Front: []string{"Cyan", "Black"}, Plates: 2,
	}
	a := rehearsal.Play(w, w.In, 5, nil)
	days := plant.Shift{Days: plant.On(1, 2, 3, 4, 5), From: 360, To: 1320}
	cal := rehearsal.CalendarOf(&plant.Plant{Zone: time.UTC}, &plant.CostCentre{Shifts: []plant.Shift{days}})
	require.NoError(t, a.Place(time.Date(2026, 3, 2, 20, 0, 0, 0, time.UTC), cal))
	require.Greater(t, len(a.Phases), 4)
	return a
}

// sound reads a document and checks its structure.
func sound(t *testing.T, doc *etree.Document) *jdf.Document {
	t.Helper()
	data, err := doc.WriteToBytes()
	require.NoError(t, err)
	read, faults, err := jdf.Read("report", bytes.NewReader(data), jdf.Limits{})
	require.NoError(t, err)
	require.Empty(t, faults)
	structure.Check(read, structure.Options{}, func(f validate.Finding) {
		require.NotEqual(t, validate.Error, f.Severity, "%s\n%s", f.Message(), data)
	})
	return read
}

func lines(l *cost.Ledger) []string {
	var all []string
	for _, e := range l.Entries {
		all = append(all, fmt.Sprint(e.Job, e.Part, e.Device, e.State, e.Reason, e.Start.UTC(), e.End.UTC(), e.Good, e.Waste))
	}
	return all
}

func truth(a *rehearsal.Act) []string {
	var all []string
	for _, p := range a.Phases {
		all = append(all, fmt.Sprint(a.Job, a.Part, a.Device, p.State, p.Reason, p.Start.UTC(), p.End.UTC(), p.Good, p.Waste))
	}
	return all
}

// Each way of reporting, on its own, tells the whole of what a machine did, with
// a night in the middle.
func TestEachChannelTellsAll(t *testing.T) {
	a := act(t)
	for _, g := range []report.Generation{report.First, report.Second} {
		for _, running := range []bool{false, true} {
			c := report.Channel{Device: a.Device, Speaks: g, Signals: true, Running: running}
			doc := sound(t, report.Envelope(c, "e1", a.End(), report.Signals(a, c, "sub")))
			l, found := cost.Collect([]*jdf.Document{doc})
			require.Empty(t, found)
			require.Equal(t, truth(a), lines(l), "signals of %s", g)
			require.Len(t, l.Uses, len(a.Uses))
		}
		ticket := etree.NewDocument()
		if g == report.First {
			require.NoError(t, ticket.ReadFromString(`<JDF xmlns="http://www.CIP4.org/JDFSchema_1_1" ID="n1" JobID="J1" `+
				`JobPartID="P1" `+
				`Status="Waiting" Type="Approval" Version="1.6"/>`))
		} else {
			require.NoError(t, ticket.ReadFromString(`<XJDF xmlns="http://www.CIP4.org/JDFSchema_2_0" JobID="J1" `+
				`JobPartID="P1" Types="ConventionalPrinting" Version="2.2"/>`))
		}
		require.NoError(t, report.Audit(ticket, a))
		doc := sound(t, ticket)
		l, found := cost.Collect([]*jdf.Document{doc})
		require.Empty(t, found)
		require.Equal(t, truth(a), lines(l), "audits of %s", g)
		require.Len(t, l.Uses, len(a.Uses))
	}
}

// A signal has the same ID and words each time it is told, also when the act was
// cut short after it.
func TestSignalsStayTheSame(t *testing.T) {
	c := report.Channel{Device: "press-1", Speaks: report.Second}
	whole := report.Signals(act(t), c, "sub")
	cut := act(t)
	at := cut.Phases[1].Start.Add(30 * time.Minute)
	cut.Cut(at)
	cut.Ended = "Suspended"
	short := report.Signals(cut, c, "sub")
	require.Greater(t, len(short), 4)
	for i, s := range short {
		if s.At.Before(at) {
			require.Equal(t, [2]string{whole[i].ID, whole[i].At.String()}, [2]string{s.ID, s.At.String()})
		}
	}
	require.Equal(t, at, short[len(short)-1].At)
}

func TestChannelsMeetAllWays(t *testing.T) {
	p, _, err := plant.LoadFile("../../../../../testdata/plant/saltmarsh.yaml")
	require.NoError(t, err)
	ways := map[report.Channel]bool{}
	for id, c := range report.Channels(p) {
		require.Equal(t, id, c.Device)
		require.True(t, c.Tickets || c.Signals, "%s reports nothing", id)
		require.False(t, c.Idle && c.Speaks == report.First, "JMF has no word for switched off")
		c.Device = ""
		ways[c] = true
	}
	require.Len(t, ways, 6)
}

// A spawned node takes along all that it refers to, and nothing else.
func TestSpawn(t *testing.T) {
	tree := etree.NewDocument()
	require.NoError(t, tree.ReadFromString(`<JDF xmlns="http://www.CIP4.org/JDFSchema_1_1" ID="n0" JobID="J1" Type="ProcessGroup"
 Status="Waiting" Version="1.6">
 <ResourcePool>
  <Component ID="c1" Class="Quantity" Status="Available" ComponentType="Sheet"><MediaRef rRef="m1"/></Component>
  <Media ID="m1" Class="Consumable" Status="Available"/>
  <Media ID="m2" Class="Consumable" Status="Available"/>
 </ResourcePool>
 <JDF ID="n1" JobPartID="P1" Type="Cutting" Status="Waiting">
  <ResourceLinkPool><ComponentLink Usage="Output" rRef="c1"/></ResourceLinkPool>
 </JDF>
</JDF>`))
	out, err := report.Spawn(tree, "P1")
	require.NoError(t, err)
	require.NotNil(t, out.FindElement("//Component[@ID='c1']"))
	require.NotNil(t, out.FindElement("//Media[@ID='m1']"))
	require.Nil(t, out.FindElement("//Media[@ID='m2']"))
	require.Equal(t, "J1", out.Root().SelectAttrValue("JobID", ""))
	_, err = report.Spawn(tree, "P9")
	require.EqualError(t, err, `spawn part "P9": the tree has no such node`)
	a := act(t)
	a.Part = "P9"
	require.EqualError(t, report.Audit(tree, a), `audit ticket of job "J1": it has no node of part "P9"`)
	require.Equal(t, job.StateMakeready, a.Phases[0].State)
}
