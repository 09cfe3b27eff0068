package render

import (
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"quoin/convert/cost"
	"quoin/jdf/job"
)

const (
	timeLeft   = 130.0 // where the time axis begins
	timeRow    = 22.0
	timeColumn = 1.5 // of the chart; the finest that is drawn
)

// look is how the phases of a state are drawn.
type look struct {
	state  job.State
	name   string
	class  string
	filled string // end of the id of a pattern, or ""
}

var looks = []look{
	{job.StateRun, "run", "run", ""}, {job.StateMakeready, "makeready", "o", "mr"}, {job.StateWash, "wash-up", "o", "ws"},
	{job.StateIdle, "idle", "idle", ""}, {job.StateStopped, "stopped", "o", "st"}, {job.StateUnknown, "unknown",
		"unknown", ""},
}

// Timeline draws what each device did from one moment to another, a row a device.
// States differ by pattern. In each column of the chart stands the state that most of
// its time was spent in, so that its size is bounded however many the entries; they
// need no order. The id begins those of the elements, and is to be the only such on
// the page. The error is that of the writer.
func Timeline(w io.Writer, id string, entries []cost.Entry, from, to time.Time, zone *time.Location) error {
	c := &canvas{id: id}
	c.patterns()
	byDevice := map[string][]cost.Entry{}
	for _, e := range entries {
		if e.End.After(from) && e.Start.Before(to) {
			byDevice[e.Device] = append(byDevice[e.Device], e)
		}
	}
	devices := sortedKeys(byDevice)
	left := max(0, len(devices)-mostDrawn)
	devices = devices[:len(devices)-left]
	c.key(timeLeft, 12)
	top := 26.0
	bottom := top + timeRow*float64(len(devices))
	c.timeAxis(from, to, zone, top, bottom)
	for n, device := range devices {
		y := top + timeRow*float64(n)
		name := device
		if name == "" {
			name = "(no device)"
		}
		c.label(timeLeft-6, y+15, "e", clip(safe(name), 18))
		c.phases(byDevice[device], from, to, y+3)
	}
	words := fmt.Sprintf("Phases of %s from %s to %s.", count(len(devices), "device", "devices"),
		from.In(zone).Format("2006-01-02 15:04"), to.In(zone).Format("2006-01-02 15:04"))
	if left > 0 {
		c.label(timeLeft, bottom+34, "q", "and "+count(left, "device more", "devices more"))
		bottom += 18
	}
	return c.write(w, bottom+24, "Phases of devices", words)
}

// key explains the patterns.
func (c *canvas) key(x, y float64) {
	for _, l := range looks {
		fmt.Fprintf(c, `<path d="M%s %sh22v10h-22z" class="%s"%s/>`, at(x), at(y-9), l.class, c.fill(l))
		c.label(x+27, y, "", l.name)
		x += 38 + 7*float64(len(l.name))
	}
}

func (c *canvas) fill(l look) string {
	if l.filled == "" {
		return ""
	}
	return fmt.Sprintf(` fill="url(#%s-%s)"`, esc(c.id), l.filled)
}

// phases draws a row, one path a state.
func (c *canvas) phases(entries []cost.Entry, from, to time.Time, y float64) {
	const columns = 553 // as many as stand between timeLeft and chartWidth
	spent := make([][]time.Duration, len(looks))
	for i, l := range looks {
		spent[i] = make([]time.Duration, columns)
		for _, e := range entries {
			if e.State == l.state {
				spread(spent[i], e, from, to)
			}
		}
	}
	for i, l := range looks {
		var path strings.Builder
		for x := 0; x < columns; {
			end := x
			for end < columns && greatest(spent, end) == i {
				end++
			}
			if end > x {
				width := float64(end-x) * timeColumn
				fmt.Fprintf(&path, "M%s %sh%sv15h-%sz", at(timeLeft+float64(x)*timeColumn), at(y), at(width), at(width))
			}
			x = max(end, x+1)
		}
		if path.Len() > 0 {
			fmt.Fprintf(c, `<path d="%s" class="%s"%s><title>%s</title></path>`, path.String(), l.class, c.fill(l), l.name)
		}
	}
}

// spread adds the time of an entry to the columns that it is in.
func spread(columns []time.Duration, e cost.Entry, from, to time.Time) {
	wide := to.Sub(from) / time.Duration(len(columns))
	if wide <= 0 {
		return
	}
	first := max(0, int(e.Start.Sub(from)/wide))
	for x := first; x < len(columns); x++ {
		begin := from.Add(time.Duration(x) * wide)
		if !begin.Before(e.End) {
			return
		}
		columns[x] += earlier(begin.Add(wide), e.End).Sub(later(begin, e.Start))
	}
}

func later(a, b time.Time) time.Time {
	if a.After(b) {
		return a
	}
	return b
}

func earlier(a, b time.Time) time.Time {
	if a.Before(b) {
		return a
	}
	return b
}

// greatest is the state with most time in a column, -1 where there is none.
func greatest(spent [][]time.Duration, x int) int {
	best, most := -1, time.Duration(0)
	for i := range spent {
		if spent[i][x] > most {
			best, most = i, spent[i][x]
		}
	}
	return best
}

// timeAxis draws days or hours, as many as there is room for.
func (c *canvas) timeAxis(from, to time.Time, zone *time.Location, top, bottom float64) {
	width := chartWidth - timeLeft
	x := func(t time.Time) float64 {
		return timeLeft + width*float64(t.Sub(from))/float64(max(1, to.Sub(from)))
	}
	hoursLong := to.Sub(from).Hours()
	start := from.In(zone)
	days := 1 + int(hoursLong/24)/14
	t := time.Date(start.Year(), start.Month(), start.Day(), 0, 0, 0, 0, zone)
	for n := 0; !t.After(to); n++ {
		if !t.Before(from) {
			c.line(x(t), top, x(t), bottom, "grid")
			form := "02 Jan"
			if hoursLong <= 72 {
				form = "15:04"
			}
			if x(t) < chartWidth-20 {
				c.label(x(t)+2, bottom+14, "q", t.Format(form))
			}
		}
		if hoursLong <= 72 {
			every := 2 * max(1, int(hoursLong/24+0.5))
			t = time.Date(start.Year(), start.Month(), start.Day(), (n+1)*every, 0, 0, 0, zone)
		} else {
			t = time.Date(start.Year(), start.Month(), start.Day()+(n+1)*days, 0, 0, 0, 0, zone)
		}
	}
	c.line(timeLeft, bottom, chartWidth, bottom, "axis")
}

func sortedKeys[V any](m map[string]V) []string {
	keys := make([]string, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	return keys
}
