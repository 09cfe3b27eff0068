package render

import (
	"cmp"
	"fmt"
	"io"
	"slices"
	"time"

	"github.com/shopspring/decimal"

	"quoin/convert/cost/account"
)

// mostDays is how many days a trend draws one by one; beyond it, it draws weeks.
const mostDays = 45

// wasted is a device's share of waste in one day or week.
type wasted struct {
	Device      string
	When        string // first day
	Good, Waste decimal.Decimal
}

// wastes adds up shifts by device and day, or by week where there are many days. A day
// in which nothing was made is left out.
func wastes(shifts []account.Shift) (all []wasted, byWeek bool) {
	days := map[string]bool{}
	for _, s := range shifts {
		days[s.Day] = true
	}
	byWeek = len(days) > mostDays
	sums := map[[2]string]*wasted{}
	for _, s := range shifts {
		when := s.Day
		if t, err := time.Parse(time.DateOnly, s.Day); byWeek && err == nil {
			when = t.AddDate(0, 0, -(int(t.Weekday())+6)%7).Format(time.DateOnly)
		}
		if s.Good.Add(s.Waste).IsZero() || when == "" {
			continue
		}
		key := [2]string{s.Device, when}
		if sums[key] == nil {
			sums[key] = &wasted{Device: s.Device, When: when}
		}
		sums[key].Good, sums[key].Waste = sums[key].Good.Add(s.Good), sums[key].Waste.Add(s.Waste)
	}
	for _, w := range sums {
		all = append(all, *w)
	}
	slices.SortFunc(all, func(a, b wasted) int {
		return cmp.Or(cmp.Compare(a.Device, b.Device), cmp.Compare(a.When, b.When))
	})
	return all, byWeek
}

// percent is the share of waste in what was made.
func (w *wasted) percent() float64 {
	return 100 * w.Waste.InexactFloat64() / w.Good.Add(w.Waste).InexactFloat64()
}

// Waste draws the share of waste of each device day by day, or week by week over a
// long period: one line a device, told apart by dashes, marks and a name. It draws the
// six devices that wasted most. The id is as in Timeline, and the error that of the
// writer.
func Waste(w io.Writer, id string, shifts []account.Shift) error {
	all, byWeek := wastes(shifts)
	byDevice, total := map[string][]wasted{}, map[string]decimal.Decimal{}
	first, last := "", ""
	for _, x := range all {
		byDevice[x.Device] = append(byDevice[x.Device], x)
		total[x.Device] = total[x.Device].Add(x.Waste)
		if first == "" || x.When < first {
			first = x.When
		}
		last = max(last, x.When)
	}
	devices := sortedKeys(byDevice)
	slices.SortStableFunc(devices, func(a, b string) int { return total[b].Cmp(total[a]) })
	left := max(0, len(devices)-marks)
	devices = devices[:len(devices)-left]
	most := 1.0
	for _, device := range devices {
		for i := range byDevice[device] {
			most = max(most, byDevice[device][i].percent())
		}
	}
	c := &canvas{id: id}
	p := newPlot(first, last, most)
	p.axes(c, "waste, % of what was made")
	for n, device := range devices {
		p.lineOf(c, n, device, byDevice[device])
	}
	if left > 0 {
		c.label(p.left, p.bottom+34, "q", "and "+count(left, "device more", "devices more")+" with less waste")
	}
	unit := "day"
	if byWeek {
		unit = "week"
	}
	return c.write(w, p.bottom+40, "Trend of waste",
		fmt.Sprintf("Share of waste in what was made, by %s, from %s to %s.", unit, first, last))
}

// plot is a plane of days and percent.
type plot struct {
	left, right, top, bottom float64
	first                    time.Time
	days, most               float64
}

func newPlot(first, last string, most float64) *plot {
	p := &plot{left: 50, right: 760, top: 24, bottom: 254, most: most, days: 1}
	from, err1 := time.Parse(time.DateOnly, first)
	to, err2 := time.Parse(time.DateOnly, last)
	if err1 == nil && err2 == nil {
		p.first, p.days = from, max(1, to.Sub(from).Hours()/24)
	}
	return p
}

func (p *plot) x(when string) float64 {
	t, err := time.Parse(time.DateOnly, when)
	if err != nil {
		return p.left
	}
	return p.left + (p.right-p.left)*t.Sub(p.first).Hours()/24/p.days
}

func (p *plot) y(v float64) float64 { return p.bottom - (p.bottom-p.top)*v/p.most }

func (p *plot) axes(c *canvas, title string) {
	c.label(p.left, 12, "q", title)
	every := step(p.most, 5)
	for v := 0.0; v <= p.most; v += every {
		c.line(p.left, p.y(v), p.right, p.y(v), "grid")
		c.label(p.left-6, p.y(v)+4, "q e", at(v))
	}
	for n := 0.0; n <= p.days; n += max(1, float64(int(p.days/8))) {
		t := p.first.AddDate(0, 0, int(n))
		if !p.first.IsZero() {
			c.label(p.x(t.Format(time.DateOnly)), p.bottom+16, "q m", t.Format("02 Jan"))
		}
	}
	c.line(p.left, p.bottom, p.right, p.bottom, "axis")
}

func (p *plot) lineOf(c *canvas, n int, device string, all []wasted) {
	path := ""
	for i := range all {
		word := "L"
		if i == 0 {
			word = "M"
		}
		path += fmt.Sprintf("%s%s %s", word, at(p.x(all[i].When)), at(p.y(all[i].percent())))
	}
	fmt.Fprintf(c, `<path d="%s" class="s d%d"/>`, path, n%dashes)
	for i := range all {
		tip := fmt.Sprintf("%s, %s: %.1f %%", device, all[i].When, all[i].percent())
		c.mark(n, p.x(all[i].When), p.y(all[i].percent()), "k", tip)
	}
	y := p.top + 14 + 20*float64(n)
	c.line(p.right+14, y-4, p.right+44, y-4, fmt.Sprintf("s d%d", n%dashes))
	c.mark(n, p.right+29, y-4, "k", device)
	c.label(p.right+52, y, "", clip(safe(device), 20))
}
