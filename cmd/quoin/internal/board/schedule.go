package board

import (
	"cmp"
	"net/http"
	"slices"
	"strconv"
	"time"

	"quoin/cmd/quoin/internal/works"
	"quoin/validate/plant"
)

type schedulePage struct {
	Lanes        []lane
	Axis         []tick
	Height, Base int
	NowX         float64 // where now is, in the picture; 0 outside
	From         time.Time
	Days         []option
	Earlier      string
	Today        string
	Later        string
	Slots        int
	Hidden       int // tickets beyond those that are drawn
}

type lane struct {
	ID, Name string
	Y        int
	Shifts   []bar
	Slots    []slot
}

type bar struct{ X, W float64 }

type slot struct {
	bar
	*works.Step
	Ticket *works.Ticket
	Number int // in the table
	Y      int
	Fits   int  // letters that fit into it
	Behind bool // it should have ended or begun
}

// tick is a mark of the axis.
type tick struct {
	X    float64
	Text string
	Day  bool // a day begins
}

// The picture of the schedule, in units of its own.
const (
	laneLeft  = 200
	laneRight = 1180
	laneHigh  = 46
	axisHigh  = 40
	letter    = 7.4 // width of a letter
	mostDrawn = 400 // tickets
)

var spans = []int{1, 2, 3, 7}

func (b *board) showSchedule(w http.ResponseWriter, r *http.Request) error {
	win, err := b.window(r)
	if err != nil {
		return err
	}
	body := win.page(r)
	var slots []slot
	err = b.Store.Read(r.Context(), func(tx *works.Tx) (err error) {
		slots, body.Hidden, err = plannedBetween(tx, win)
		return err
	})
	if err != nil {
		return err
	}
	body.Slots = len(slots)
	now, drawn := b.Clock(), 0
	for i, m := range b.Plant.Machines() {
		l := lane{ID: m.ID, Name: nameOr(m.Name, m.ID), Y: axisHigh + i*laneHigh}
		if m.CostCentre != nil {
			l.Shifts = win.shifts(m.CostCentre.Shifts, b.Plant)
		}
		for _, s := range slots {
			if s.Device == m.ID {
				drawn++
				s.Number = drawn
				s.bar, s.Y = win.bar(s.Start, s.End), l.Y
				s.Fits = int(s.W / letter)
				s.Behind = behindPlan([]*works.Step{s.Step}, now) > 0
				l.Slots = append(l.Slots, s)
			}
		}
		body.Lanes = append(body.Lanes, l)
	}
	body.Base = axisHigh + len(body.Lanes)*laneHigh
	body.Height = body.Base + 6
	if now.After(win.from) && now.Before(win.to) {
		body.NowX = win.x(now)
	}
	return b.show(w, r, http.StatusOK, "schedule", "Schedule", body)
}

// plannedBetween gives the steps with a device that are planned within a window, in
// the order of time, and how many tickets were left out.
func plannedBetween(tx *works.Tx, win window) ([]slot, int, error) {
	f := works.TicketFilter{States: []works.State{works.Planned, works.Released, works.Running}, Limit: mostDrawn}
	open, err := tx.Tickets(f)
	if err != nil {
		return nil, 0, err
	}
	total, err := tx.CountTickets(f)
	if err != nil {
		return nil, 0, err
	}
	over, err := tx.Tickets(works.TicketFilter{
		States: []works.State{works.Done, works.Returned}, Since: win.from, Limit: mostDrawn,
	})
	if err != nil {
		return nil, 0, err
	}
	var slots []slot
	for _, k := range append(open, over...) {
		if k.End.IsZero() || k.End.Before(win.from) || k.Start.After(win.to) {
			continue
		}
		steps, err := tx.Steps(k.ID)
		if err != nil {
			return nil, 0, err
		}
		for _, s := range steps {
			if s.Device != "" && s.End.After(win.from) && s.Start.Before(win.to) {
				slots = append(slots, slot{Step: s, Ticket: k})
			}
		}
	}
	slices.SortStableFunc(slots, func(a, b slot) int { return cmp.Or(a.Start.Compare(b.Start), cmp.Compare(a.ID, b.ID)) })
	return slots, total - len(open), nil
}

// window is the time that is looked at: whole days of the plant.
type window struct {
	from, to time.Time
	days     int
	zone     *time.Location
}

func (b *board) window(r *http.Request) (window, error) {
	win := window{days: 1, zone: b.words.zone}
	if text := r.URL.Query().Get("days"); text != "" {
		n, err := strconv.Atoi(text)
		if err != nil || !slices.Contains(spans, n) {
			return win, wrong("The schedule shows 1, 2, 3 or 7 days, not %q.", text)
		}
		win.days = n
	}
	day := b.Clock().In(win.zone)
	if text := r.URL.Query().Get("from"); text != "" {
		t, err := time.ParseInLocation(time.DateOnly, text, win.zone)
		if err != nil {
			return win, wrong("The first day is %q; write it as in 2026-11-25.", text)
		}
		day = t
	}
	win.from = time.Date(day.Year(), day.Month(), day.Day(), 0, 0, 0, 0, win.zone)
	win.to = win.from.AddDate(0, 0, win.days)
	return win, nil
}

func (win window) page(r *http.Request) schedulePage {
	p := schedulePage{From: win.from}
	day := func(t time.Time) string { return withQuery(r.URL, "from", t.Format(time.DateOnly)) }
	p.Earlier, p.Later = day(win.from.AddDate(0, 0, -win.days)), day(win.to)
	p.Today = "/schedule?days=" + strconv.Itoa(win.days)
	for _, n := range spans {
		p.Days = append(p.Days, option{strconv.Itoa(n), plural(n, "day"), n == win.days})
	}
	step := map[int]int{1: 2, 2: 3, 3: 6, 7: 24}[win.days]
	for d := range win.days {
		for h := 0; h < 24; h += step {
			t := time.Date(win.from.Year(), win.from.Month(), win.from.Day()+d, h, 0, 0, 0, win.zone)
			text := t.Format("15:04")
			if h == 0 {
				text = t.Format("Mon 2 Jan")
			}
			p.Axis = append(p.Axis, tick{win.x(t), text, h == 0})
		}
	}
	return p
}

func (win window) x(t time.Time) float64 {
	share := float64(t.Sub(win.from)) / float64(win.to.Sub(win.from))
	return laneLeft + min(max(share, 0), 1)*(laneRight-laneLeft)
}

func (win window) bar(from, to time.Time) bar {
	x := win.x(from)
	return bar{x, max(win.x(to)-x, 3)}
}

// shifts are when somebody is there. A shift belongs to the day on which it begins,
// by the clock on the wall; on holidays none begins.
func (win window) shifts(all []plant.Shift, p *plant.Plant) []bar {
	var bars []bar
	for d := -1; d < win.days; d++ { // a night shift of the day before may run into the first
		day := win.from.AddDate(0, 0, d)
		if p.Holiday(day.Add(12 * time.Hour)) {
			continue
		}
		for _, s := range all {
			if !s.Days.Has(day.Weekday()) {
				continue
			}
			from := time.Date(day.Year(), day.Month(), day.Day(), 0, s.From, 0, 0, win.zone)
			to := time.Date(day.Year(), day.Month(), day.Day(), 0, s.To, 0, 0, win.zone)
			if to.After(win.from) {
				bars = append(bars, win.bar(from, to))
			}
		}
	}
	return bars
}
