package board

import (
	"context"
	"slices"
	"time"

	"quoin/cmd/quoin/internal/ledger"
	"quoin/cmd/quoin/internal/works"
	"quoin/convert/cost"
)

// timeline is what the devices did for a job, as they reported it, beside what was
// planned.
type timeline struct {
	Rows         []timeRow
	Ticks        []tick
	Height, Base int
	Phases       []phase // for the table
	More         int     // phases beyond those shown
}

type timeRow struct {
	Name   string
	Y      int
	Plan   []bar
	Phases []phase
}

type phase struct {
	bar
	cost.Entry
	DeviceName string
	Word       string
}

// mostPhases is how many phases a page shows; the reports have the sums of all.
const mostPhases = 300

// timelineOf is nil when nothing was reported for the job.
func (b *board) timelineOf(ctx context.Context, k *works.Ticket, steps []*works.Step) (*timeline, error) {
	t := &timeline{}
	var from, to time.Time
	for e, err := range b.Ledger.Entries(ctx, ledger.Filter{Jobs: []string{k.Job}}) {
		if err != nil {
			return nil, err
		}
		if len(t.Phases) == mostPhases {
			t.More++
			continue
		}
		if from.IsZero() || e.Start.Before(from) {
			from = e.Start
		}
		if e.End.After(to) {
			to = e.End
		}
		t.Phases = append(t.Phases, phase{Entry: e, DeviceName: b.deviceName(e.Device), Word: e.State.String()})
	}
	if len(t.Phases) == 0 {
		return nil, nil
	}
	slices.SortStableFunc(t.Phases, func(a, b phase) int { return a.Start.Compare(b.Start) })
	var planned []*works.Step
	for _, s := range steps { // a plan for quite another week would press all phases into a line
		if s.Device != "" && !s.Start.IsZero() && s.Start.Before(to.AddDate(0, 0, 2)) && s.End.After(from.AddDate(0, 0, -2)) {
			planned = append(planned, s)
			from, to = earlier(from, s.Start), later(to, s.End)
		}
	}
	t.draw(from, to, planned, b.words.zone)
	return t, nil
}

func earlier(a, b time.Time) time.Time {
	if b.Before(a) {
		return b
	}
	return a
}

func later(a, b time.Time) time.Time {
	if b.After(a) {
		return b
	}
	return a
}

// rowHigh is the height of a row of the picture.
const rowHigh = 40

// draw lays the phases out, a row a device in the order in which they begin.
func (t *timeline) draw(from, to time.Time, planned []*works.Step, zone *time.Location) {
	scale := window{from: from, to: later(to, from.Add(time.Minute)), zone: zone}
	rows := map[string]int{}
	row := func(device, name string) *timeRow {
		i, ok := rows[device]
		if !ok {
			i = len(t.Rows)
			rows[device] = i
			t.Rows = append(t.Rows, timeRow{Name: name, Y: axisHigh + i*rowHigh})
		}
		return &t.Rows[i]
	}
	for i := range t.Phases {
		p := &t.Phases[i]
		p.bar = scale.bar(p.Start, p.End)
		r := row(p.Device, p.DeviceName)
		r.Phases = append(r.Phases, *p)
	}
	for _, s := range planned {
		if i, ok := rows[s.Device]; ok {
			t.Rows[i].Plan = append(t.Rows[i].Plan, scale.bar(s.Start, s.End))
		}
	}
	t.Ticks = scale.ticks()
	t.Base = axisHigh + len(t.Rows)*rowHigh
	t.Height = t.Base + 6
}

// ticks are marks at round times, seven at most.
func (win window) ticks() []tick {
	long := win.to.Sub(win.from)
	step := 24 * time.Hour
	quarter := 15 * time.Minute
	for _, s := range []time.Duration{quarter, 2 * quarter, time.Hour, 2 * time.Hour, 6 * time.Hour, 12 * time.Hour} {
		if long/s < 8 {
			step = s
			break
		}
	}
	for long/step > 7 {
		step *= 2
	}
	var all []tick
	day := win.from.In(win.zone)
	at := time.Date(day.Year(), day.Month(), day.Day(), 0, 0, 0, 0, win.zone)
	shown := ""
	for ; !at.After(win.to); at = at.Add(step) {
		if at.Before(win.from) {
			continue
		}
		text := at.In(win.zone).Format("15:04")
		if d := at.In(win.zone).Format("Mon 2 Jan"); d != shown {
			text, shown = d+" "+text, d
		}
		all = append(all, tick{X: win.x(at), Text: text})
	}
	return all
}
