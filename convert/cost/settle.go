package cost

import (
	"slices"
	"time"

	"quoin/jdf/job"
	"quoin/validate"
)

// Settled is what the records of one device come to.
type Settled struct {
	Entries []Entry  // in the order of time, by the clock of the device
	Remarks []Remark // in no order, and with repetitions
}

// Remark is a finding, with the moment of the device that it is about.
type Remark struct {
	At      time.Time
	Finding validate.Finding
}

// Settle makes the entries of one device out of all its records, those of one
// Group. Order and repetition of the records make no difference. A run among
// them stands for phases where none of the device meets it; see MatchRuns for
// those whose phases are on another device. The findings are sorted and without
// repetitions.
func Settle(records []Record) ([]Entry, []validate.Finding) {
	settled := SettleIn(records, FrameOf(records))
	found := make([]validate.Finding, 0, len(settled.Remarks))
	for _, r := range settled.Remarks {
		found = append(found, r.Finding)
	}
	return settled.Entries, tidy(found)
}

// Frame is what of a device is known from all of its records.
type Frame struct {
	Clock Clock
	Heard time.Time // the last moment at which it was heard of
}

// FrameOf gathers the frame of one device from all of its records.
func FrameOf(records []Record) Frame {
	var heard time.Time
	for i := range records {
		heard = later(heard, records[i].Heard())
	}
	return Frame{Clock: ClockOf(records), Heard: heard}
}

// Heard is the last moment at which the record shows that its device was there.
// That of a run is told by a word beside it.
func (r *Record) Heard() time.Time {
	if r.Kind == KindRun {
		return time.Time{}
	}
	return later(r.Seen, r.End)
}

// SettleIn is Settle with records of which those before a quiet point are left
// out, in the frame of all; see QuietPoints.
func SettleIn(records []Record, frame Frame) Settled {
	f := newFloor(distinct(records, KindPhase), frame.Heard)
	entries := f.entries(f.standing(distinct(records, KindRun)))
	f.adjust(entries, frame.Clock)
	return Settled{Entries: entries, Remarks: f.remarks}
}

// standing makes phases of the runs that have none on the device. They take no
// part in closing other phases: what these are is the same with and without them.
func (f *floor) standing(runs []*report) []*phase {
	if len(runs) == 0 {
		return nil
	}
	spans := map[string][]stretch{} // by job
	for _, p := range f.kept() {
		spans[p.job] = append(spans[p.job], stretch{series: p.series, state: p.state, start: p.start, end: p.end})
	}
	var all []*phase
	for _, r := range latestRuns(runs) {
		if len(runPhases(r, spans[r.job])) > 0 {
			continue
		}
		all = append(all, &phase{
			series: r.series, state: job.StateRun, start: r.start.Time, seen: r.seen,
			records: []*report{r}, end: r.end.Time,
		})
	}
	return all
}

// tidy sorts findings and drops repetitions.
func tidy(found []validate.Finding) []validate.Finding {
	var report validate.Report
	for _, f := range found {
		report.Add(f)
	}
	report.Finish()
	return slices.Clip(report.Findings)
}
