package cost_test

import (
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"
	_ "time/tzdata" // zones of the tests, whatever the system has

	"github.com/stretchr/testify/require"

	"quoin/convert/cost"
	"quoin/jdf"
	"quoin/validate"
)

// keptAsJSON writes what documents say to JSON and reads it again, as a store does.
func keptAsJSON(t *testing.T, docs []*jdf.Document) *cost.Said {
	t.Helper()
	var all cost.Said
	for _, doc := range docs {
		said, _ := cost.Read(doc)
		data, err := json.Marshal(said)
		require.NoError(t, err)
		var again cost.Said
		require.NoError(t, json.Unmarshal(data, &again))
		for i := range said.Records {
			require.Equal(t, said.Records[i].Key(), again.Records[i].Key())
			require.Equal(t, said.Records[i].Bounds().From.UTC(), again.Records[i].Bounds().From.UTC())
		}
		for i := range said.Uses {
			require.Equal(t, said.Uses[i].Key(), again.Uses[i].Key())
		}
		all.Add(&again)
	}
	return &all
}

// What was kept without the documents comes to the same ledger, and its findings
// name the same places.
func TestWithoutDocuments(t *testing.T) {
	places := 0
	for seed := range uint64(30) {
		s := shift{t, rand.New(rand.NewPCG(seed, 9))}
		var docs []*jdf.Document
		for n := range 12 {
			docs = append(docs, s.document(n))
		}
		want, found := cost.Collect(docs)
		got, kept := keptAsJSON(t, docs).Ledger()
		wantPlain, gotPlain := plain(want), plain(got)
		require.Equal(t, wantPlain, gotPlain, "seed %d", seed)
		for i := range want.Entries {
			require.Equal(t, want.Entries[i].Source.Path, got.Entries[i].Source.Path)
			require.Equal(t, want.Entries[i].Source.Line, got.Entries[i].Source.Line)
		}
		known := map[string]bool{}
		for _, f := range found {
			known[where(f)] = true
		}
		for _, f := range kept {
			require.True(t, known[where(f)], where(f))
			places++
		}
	}
	require.Greater(t, places, 100)
}

func where(f validate.Finding) string {
	pos := f.Place.Pos()
	return fmt.Sprintf("%s:%d:%d %s %s", f.Place.File(), pos.Line, pos.Column, f.Place.Path(), f.Message())
}

func TestKeys(t *testing.T) {
	hour := phase("press-1", "InProgress", "08:00", "09:00")
	doc := pool(t, "a.jdf", "J1", made(hour, 100, 3))
	copied := pool(t, "copy.jdf", "J1", "<!-- moved down -->", made(hour, 100, 3))
	zoned := read(t, "zone.jdf", strings.ReplaceAll(strings.ReplaceAll(doc.Source.Text, "08:00:00Z", "10:00:00+02:00"),
		"09:00:00Z", "11:00:00+02:00"))
	other := pool(t, "a.jdf", "J1", made(hour, 101, 3))
	key := func(doc *jdf.Document) string {
		said, found := cost.Read(doc)
		require.Empty(t, found)
		require.Len(t, said.Records, 1)
		require.Equal(t, "press-1", said.Records[0].Group())
		return said.Records[0].Key()
	}
	require.Len(t, key(doc), 32)
	require.Equal(t, key(doc), key(copied), "the place is no content")
	require.Equal(t, key(doc), key(zoned), "the zone in which a moment is written is no content")
	require.NotEqual(t, key(doc), key(other))
}

// A shift over the nights in which the clocks are set. Times without a zone are
// read by the clock on the wall of the plant; those with one are what they are.
//
// Source: Directive 2000/84/EC, articles 2 and 3: summer time begins and ends at
// 01:00 UTC on the last Sundays of March and October.
func TestDaylightSaving(t *testing.T) {
	zone, err := time.LoadLocation("Europe/Amsterdam")
	require.NoError(t, err)
	for _, test := range []struct{ start, end, want string }{
		{"2026-03-28T22:00:00", "2026-03-29T06:00:00", "PT7H"},
		{"2026-10-24T22:00:00", "2026-10-25T06:00:00", "PT9H"},
		{"2026-03-28T22:00:00+01:00", "2026-03-29T06:00:00+02:00", "PT7H"},
		{"2026-03-28T22:00:00", "2026-03-29T04:00:00Z", "PT7H"},
	} {
		doc := pool(t, "night.jdf", "J1", fmt.Sprintf(`<PhaseTime TimeStamp=%q Status="InProgress" Start=%q End=%q>`+
			`<Device DeviceID="press-1"/></PhaseTime>`, test.end, test.start, test.end))
		l, found := cost.Reading{Zone: zone}.Collect([]*jdf.Document{doc})
		require.Len(t, l.Entries, 1)
		require.Equal(t, test.want, l.Entries[0].Time.String(), test.start)
		for _, message := range only("no-zone", found) {
			require.Contains(t, message, "without a zone and is taken as Europe/Amsterdam")
		}
	}
}

func TestAheadOfItsStamp(t *testing.T) {
	early := strings.Replace(phase("press-1", "InProgress", "08:00", "09:00"),
		`TimeStamp="`+day("09:00"), `TimeStamp="`+day("08:50"), 1)
	_, found := cost.Read(pool(t, "a.jdf", "J1", early, phase("press-1", "InProgress", "09:00", "10:00")))
	require.Equal(t, []string{"audit/ahead-of-stamp: PhaseTime/@End is 2026-03-02T09:00:00Z, PT10M after the report " +
		"itself was written at 2026-03-02T08:50:00Z"}, told(found))
}

func TestNotices(t *testing.T) {
	said, _ := cost.Read(read(t, "low.xjmf", `<XJMF xmlns="http://www.CIP4.org/JDFSchema_2_0">`+
		`<Header DeviceID="press-1" Time="2026-03-02T08:00:00Z"/>`+
		`<SignalNotification><Header DeviceID="press-1" ID="n1" Time="2026-03-02T08:00:00Z"/>`+
		`<Notification Class="Warning" JobID="J1"><Comment>paper is low</Comment></Notification>`+
		`</SignalNotification></XJMF>`))
	require.Len(t, said.Notices, 1)
	n := said.Notices[0]
	require.Equal(t, []string{"n1", "press-1", "J1", "Warning", "paper is low"},
		[]string{n.ID, n.Device, n.Job, n.Class, n.Text})
	require.Len(t, said.Records, 1, "and the device was heard of")
	require.Equal(t, cost.KindWord, said.Records[0].Kind)
	again := n
	again.ID = "n2"
	require.NotEqual(t, n.Key(), again.Key(), "two events may be alike")
}

// Papers of one part are told apart by their product ids; a report that leaves
// the id out speaks of the only one there is.
func TestItems(t *testing.T) {
	use := func(stamp, id string, sheets int) string {
		return fmt.Sprintf(`<ResourceAudit TimeStamp=%q><MediaLink rRef=%q Usage="Input" ActualAmount="%d"/></ResourceAudit>`,
			day(stamp), id, sheets)
	}
	doc := func(audits ...string) *jdf.Document {
		return read(t, "papers.jdf", `<JDF xmlns="http://www.CIP4.org/JDFSchema_1_1" ID="n" JobID="J1"
 Type="ConventionalPrinting">
<ResourcePool><Media ID="body" Class="Consumable" MediaType="Paper" ProductID="P-115" Brand="Marsh Silk" Unit="Sheets"/>
<Media ID="cover" Class="Consumable" MediaType="Paper" ProductID="P-250"/>
<Media ID="bare" Class="Consumable"/></ResourcePool>
<AuditPool>`+strings.Join(audits, "")+`</AuditPool></JDF>`)
	}
	uses := func(doc *jdf.Document) (all []string) {
		said, _ := cost.Read(doc)
		for _, u := range cost.SettleUses(said.Uses) {
			all = append(all, strings.Join([]string{
				u.Item, u.Name, u.Type, u.Unit, u.Good.String(), u.Seen.Format("15:04"),
			}, "|"))
		}
		return all
	}
	require.Equal(t, []string{"P-115|Marsh Silk|Paper|Sheets|400|08:00", "P-250||Paper||120|08:10"},
		uses(doc(use("08:00", "body", 400), use("08:10", "cover", 120))))
	require.Equal(t, []string{"P-115|Marsh Silk|Paper|Sheets|450|09:00"},
		uses(doc(use("08:00", "body", 400), use("09:00", "bare", 450))))
	require.Equal(t, []string{"||||7|09:00", "P-115|Marsh Silk|Paper|Sheets|400|08:00", "P-250||Paper||120|08:10"},
		uses(doc(use("08:00", "body", 400), use("08:10", "cover", 120), use("09:00", "bare", 7))))
}

// Settling one device is collecting its documents.
func TestSettleOneDevice(t *testing.T) {
	docs := []*jdf.Document{
		pool(t, "a.jdf", "J1", made(phase("press-1", "Setup", "08:00", "08:30"), 0, 90),
			made(phase("press-1", "InProgress", "08:30", "10:00"), 2000, 30),
			`<ProcessRun TimeStamp="`+day("10:00")+`" Start="`+day("08:00")+`" End="`+day("10:30")+`" EndStatus="Completed"/>`),
		xjmf(t, "press-1", "10:20", "Idle", ""),
	}
	var said cost.Said
	for _, doc := range docs {
		one, _ := cost.Read(doc)
		said.Add(one)
	}
	device := slices.DeleteFunc(slices.Clone(said.Records), func(r cost.Record) bool { return r.Group() != "press-1" })
	entries, _ := cost.Settle(device)
	l, found := cost.Collect(docs)
	require.Equal(t, l.Entries, entries)
	require.Equal(t, []string{`process run of job "J1" took PT2H30M, but its phases add up to PT2H, PT30M less`},
		only("run-differs", found))
}
