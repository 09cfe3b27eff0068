package cost_test

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"quoin/convert/cost"
	"quoin/jdf"
)

// shift makes the documents of a random, often contradictory, day of a plant.
type shift struct {
	t    testing.TB
	rand *rand.Rand
}

func (s shift) one(words ...string) string { return words[s.rand.IntN(len(words))] }

func (s shift) clock() string { return fmt.Sprintf("%02d:%02d", 6+s.rand.IntN(9), s.rand.IntN(60)) }

// stamp is a random moment, written in one of several zones.
func (s shift) stamp() string {
	at := time.Date(2026, 3, 2, 6+s.rand.IntN(9), s.rand.IntN(60), 0, 0, time.UTC)
	return at.In(time.FixedZone("", s.rand.IntN(3)*3600)).Format(time.RFC3339)
}

func (s shift) maybe(text string) string {
	if s.rand.IntN(2) == 0 {
		return ""
	}
	return text
}

func (s shift) document(n int) *jdf.Document {
	name := fmt.Sprintf("doc-%02d", n)
	device, job := s.one("press-1", "press-2", "fold-1"), s.one("J1", "J2", "J3")
	switch s.rand.IntN(4) {
	case 0:
		return s.ticket(name, job)
	case 1:
		return s.xticket(name, device, job)
	case 2:
		return s.signal(name, device, job)
	}
	return s.xsignal(name, device, job)
}

func (s shift) ticket(name, job string) *jdf.Document {
	var audits []string
	for range 1 + s.rand.IntN(3) {
		status := s.one("Setup", "InProgress", "InProgress", "Cleanup", "Stopped", "Suspended")
		p := phase(s.one("press-1", "press-2", "fold-1"), status, s.clock(), s.one("", s.clock(), s.clock()))
		audits = append(audits, made(p, s.rand.IntN(900), s.rand.IntN(90)))
	}
	if s.rand.IntN(3) == 0 {
		audits = append(audits, fmt.Sprintf(`<ProcessRun TimeStamp=%q Start=%q End=%q EndStatus="Completed"/>`,
			s.stamp(), day("07:00"), day("1"+s.one("0", "1", "2")+":00")))
	}
	if s.rand.IntN(3) == 0 {
		audits = append(audits, fmt.Sprintf(`<ResourceAudit TimeStamp=%q><ComponentLink rRef="c" Usage="Output"
			ActualAmount="%d"/></ResourceAudit>`, s.stamp(), s.rand.IntN(900)))
	}
	return pool(s.t, name, job, audits...)
}

func (s shift) xticket(name, device, job string) *jdf.Document {
	return read(s.t, name, fmt.Sprintf(`<XJDF xmlns="http://www.CIP4.org/JDFSchema_2_0" JobID=%q %s Types="Folding">
<AuditPool><AuditStatus><Header DeviceID=%q Time=%q/><DeviceInfo Status="Production">%s</DeviceInfo></AuditStatus>
</AuditPool></XJDF>`, job, s.maybe(`JobPartID="P1"`), device, s.stamp(), s.jobPhase(job)))
}

func (s shift) jobPhase(job string) string {
	return fmt.Sprintf(`<JobPhase JobID=%q %s Status=%q %s %s Amount="%d" Waste="%d"/>`, job,
		s.maybe(`JobPartID="P1"`), s.one("Setup", "InProgress", "Cleanup", "Stopped", "Completed", "Waiting"),
		s.maybe(`StartTime="`+s.stamp()+`"`), s.maybe(s.maybe(`EndTime="`+s.stamp()+`"`)),
		s.rand.IntN(900), s.rand.IntN(90))
}

func (s shift) xsignal(name, device, job string) *jdf.Document {
	text := s.jobPhase(job)
	if s.rand.IntN(4) == 0 {
		text = ""
	}
	status := s.one("Idle", "Production", "Stopped", "Offline", "Setup")
	doc := xjmf(s.t, device, s.clock(), status, text)
	return read(s.t, name, doc.Source.Text)
}

func (s shift) signal(name, device, job string) *jdf.Document {
	doc := jmf(s.t, device, s.clock(), strings.Replace(s.jobPhase(job), "StartTime", "PhaseStartTime", 1))
	return read(s.t, name, doc.Source.Text)
}

// plain is the ledger without its sources, which a copy of a file may change.
func plain(l *cost.Ledger) cost.Ledger {
	bare := cost.Ledger{Entries: slices.Clone(l.Entries), Uses: slices.Clone(l.Uses)}
	for i := range bare.Entries {
		bare.Entries[i].Source = cost.Source{}
		bare.Entries[i].Start, bare.Entries[i].End = bare.Entries[i].Start.UTC(), bare.Entries[i].End.UTC()
	}
	for i := range bare.Uses {
		bare.Uses[i].Source = cost.Source{}
	}
	return bare
}

func TestAnyOrderGivesTheSameLedger(t *testing.T) {
	const days, shuffles = 60, 6
	entries := 0
	for seed := range uint64(days) {
		s := shift{t, rand.New(rand.NewPCG(seed, 8))}
		var docs []*jdf.Document
		for n := range 4 + s.rand.IntN(20) {
			docs = append(docs, s.document(n))
		}
		want, found := cost.Collect(docs)
		entries += len(want.Entries)
		timeIsCountedOnce(t, want)
		for range shuffles {
			mixed := slices.Clone(docs)
			for range s.rand.IntN(5) {
				mixed = append(mixed, docs[s.rand.IntN(len(docs))])
			}
			s.rand.Shuffle(len(mixed), func(i, j int) { mixed[i], mixed[j] = mixed[j], mixed[i] })
			got, gotFound := cost.Collect(mixed)
			require.Equal(t, want, got, "seed %d", seed)
			require.Equal(t, told(found), told(gotFound), "seed %d", seed)

			// The same reports in a file of another name change nothing but the source.
			twin := docs[s.rand.IntN(len(docs))]
			got, _ = cost.Collect(append(mixed, read(t, "a-copy", twin.Source.Text)))
			require.Equal(t, plain(want), plain(got), "seed %d", seed)
		}
	}
	require.Greater(t, entries, 5*days)
}

// timeIsCountedOnce holds that the time of a device is that in which anything
// is reported of it, neither more nor less.
func timeIsCountedOnce(t *testing.T, l *cost.Ledger) {
	t.Helper()
	counted, covered := map[string]cost.Span{}, map[string]cost.Span{}
	byDevice := map[string][]cost.Entry{}
	for _, e := range l.Entries {
		require.False(t, e.End.Before(e.Start))
		require.GreaterOrEqual(t, e.Time, cost.Span(0))
		if !e.FromRun && e.Device != "" {
			counted[e.Device] += e.Time
			byDevice[e.Device] = append(byDevice[e.Device], e)
		}
	}
	for device, all := range byDevice {
		slices.SortFunc(all, func(a, b cost.Entry) int { return a.Start.Compare(b.Start) })
		covered[device] = 0
		until := time.Time{}
		for _, e := range all {
			from := e.Start
			if until.After(from) {
				from = until
			}
			if e.End.After(from) {
				covered[device] += cost.Span(e.End.Sub(from))
				until = e.End
			}
		}
	}
	require.Equal(t, covered, counted)
}
