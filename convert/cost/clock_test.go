package cost_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"quoin/convert/cost"
	"quoin/jdf"
	"quoin/jdf/job"
)

// signalAt is a signal of a device, by its own clock, with when it came in.
func signalAt(state job.State, seen, start, received string) cost.Record {
	at := func(clock string) time.Time {
		if clock == "" {
			return time.Time{}
		}
		t, err := time.Parse(time.RFC3339, "2026-03-02T"+clock+"Z")
		if err != nil {
			panic(err)
		}
		return t
	}
	return cost.Record{
		Kind: cost.KindPhase, Signal: true, Device: "press-1", Job: "J1", State: state,
		Seen: at(seen), Start: at(start), Received: at(received), Source: cost.Source{File: "s.xjmf", Line: 1, Column: 1},
	}
}

func TestClocks(t *testing.T) {
	for name, test := range map[string]struct {
		lateness [3]string // when three signals, of 08:00, 08:30 and 09:00, came in
		start    string
		shifted  string
		found    []string
	}{
		"right":       {[3]string{"08:00:01", "08:30:02", "09:00:01"}, "08:00", "PT0S", nil},
		"not known":   {[3]string{"", "", ""}, "08:00", "PT0S", nil},
		"held up":     {[3]string{"08:00:01", "08:55:00", "09:20:00"}, "08:00", "PT0S", nil},
		"all held up": {[3]string{"09:15:00", "09:15:01", "09:15:02"}, "08:00", "PT0S", nil},
		"fast": {[3]string{"07:50:01", "08:20:00", "08:50:03"}, "07:50", "-PT10M", []string{
			`audit/clock-off: the clock of "press-1" was PT10M fast on 2026-03-02; its times are put right by that`}},
		"slow": {[3]string{"08:07:00", "08:37:02", "09:07:05"}, "08:07", "PT7M", []string{
			`audit/clock-off: the clock of "press-1" was PT7M slow on 2026-03-02; its times are put right by that`}},
		"an hour slow, for want of summer time": {[3]string{"09:00:02", "09:30:02", "10:00:02"}, "09:00", "PT1H2S", []string{
			`audit/clock-off: the clock of "press-1" was PT1H2S slow on 2026-03-02; its times are put right by that`}},
		"set within the day": {[3]string{"07:50:00", "08:20:00", "09:00:01"}, "08:00", "PT0S", []string{
			`audit/clock-unsteady: messages of "press-1" came in between -0:10:00 and 0:00:01 after they were sent on ` +
				`2026-03-02; its times are left as they are`}},
	} {
		t.Run(name, func(t *testing.T) {
			records := []cost.Record{
				signalAt(job.StateRun, "08:00:00", "08:00:00", test.lateness[0]),
				signalAt(job.StateRun, "08:30:00", "08:00:00", test.lateness[1]),
				signalAt(job.StateDone, "09:00:00", "", test.lateness[2]),
			}
			entries, found := cost.Settle(records)
			require.Len(t, entries, 1)
			require.Equal(t, "PT1H", entries[0].Time.String(), "time is counted by the clock of the device")
			require.Equal(t, test.start, entries[0].Start.Truncate(time.Minute).Format("15:04"))
			require.Equal(t, test.shifted, entries[0].Shifted.String())
			require.Equal(t, test.found, told(found))

			// The same message that comes in again, later, tells nothing new.
			late := records[1]
			late.Received = late.Seen.Add(5 * time.Hour)
			if !records[1].Received.IsZero() {
				again, _ := cost.Settle(append([]cost.Record{late}, records...))
				require.Equal(t, entries, again)
			}
		})
	}
}

func TestDayNumber(t *testing.T) {
	require.EqualValues(t, 0, cost.DayNumber(time.Unix(0, 0)))
	require.EqualValues(t, 0, cost.DayNumber(time.Unix(86399, 0)))
	require.EqualValues(t, -1, cost.DayNumber(time.Unix(-1, 0)))
	require.EqualValues(t, -1, cost.DayNumber(time.Unix(-86400, 0)))
}

// A controller that hands messages on shows by its own stamps that the clock of
// the press is fast.
func TestRelayedMessages(t *testing.T) {
	relay := func(sent, handedOn, sender, jobPhase string) *jdf.Document {
		return read(t, sent+".xjmf", `<XJMF xmlns="http://www.CIP4.org/JDFSchema_2_0"><Header DeviceID="`+sender+
			`" Time="`+day(handedOn)+`"/><SignalStatus><Header DeviceID="press-1" ID="s" Time="`+day(sent)+
			`"/><DeviceInfo Status="Production"><JobPhase JobID="J1" `+jobPhase+`/></DeviceInfo></SignalStatus></XJMF>`)
	}
	collect := func(sender string) (string, []string) {
		l, found := cost.Collect([]*jdf.Document{
			relay("08:00", "07:50", sender, `Status="InProgress" StartTime="`+day("08:00")+`"`),
			relay("09:00", "08:50", sender, `Status="Completed"`),
		})
		require.Len(t, l.Entries, 1)
		return lines(l)[0], told(found)
	}
	line, found := collect("controller")
	require.Equal(t, "press-1 J1 run 07:50-08:50 PT1H", line)
	require.Equal(t, []string{
		`audit/clock-off: the clock of "press-1" was PT10M fast on 2026-03-02; its times are put right by that`,
	}, found)
	line, found = collect("press-1")
	require.Equal(t, "press-1 J1 run 08:00-09:00 PT1H", line, "two stamps of one clock tell nothing")
	require.Empty(t, found)
}
