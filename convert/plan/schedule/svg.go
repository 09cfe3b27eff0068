package schedule

import (
	"fmt"
	"io"
	"strconv"
	"time"

	"github.com/beevik/etree"
)

// Sizes of the picture in pixels; it fits a sheet of A4 on its side.
const (
	pictureWidth = 1120
	laneLeft     = 110
	laneWidth    = pictureWidth - laneLeft - 10
	laneHeight   = 30
	barHeight    = 20
	dueHeight    = 34
	axisHeight   = 32
	stripGap     = 22
	headHeight   = 50
)

// SVG draws a schedule: a strip a day, below each other, with a lane a machine
// and a mark where a job is due. A job is told by its number and its
// pattern, so that it can be read in black and white; the list below has the
// names. Days on which nothing is done are left out. The error is that of the
// writer.
func SVG(w io.Writer, s *Schedule) error {
	p := newPicture(s)
	y := headHeight
	for _, strip := range p.strips() {
		y = p.strip(strip, y) + stripGap
	}
	y = p.list(y)
	p.root.CreateAttr("viewBox", fmt.Sprintf("0 0 %d %d", pictureWidth, y))
	p.root.CreateAttr("width", strconv.Itoa(pictureWidth))
	p.root.CreateAttr("height", strconv.Itoa(y))
	p.doc.Indent(1)
	if _, err := p.doc.WriteTo(w); err != nil {
		return fmt.Errorf("write picture of the schedule: %w", err)
	}
	return nil
}

type picture struct {
	schedule *Schedule
	doc      *etree.Document
	root     *etree.Element
}

func newPicture(s *Schedule) *picture {
	p := &picture{schedule: s, doc: etree.NewDocument()}
	p.root = p.doc.CreateElement("svg")
	p.root.CreateAttr("xmlns", "http://www.w3.org/2000/svg")
	p.root.CreateAttr("font-family", "Helvetica, Arial, sans-serif")
	p.root.CreateAttr("font-size", "10")
	p.rect(p.root, 0, 0, pictureWidth, 100, "fill", "white", "height", "100%")
	p.patterns()
	title := fmt.Sprintf("%s: schedule from %s", printable(s.Plant, 60), moment(s.Now))
	p.text(10, 20, title, "font-size", "15", "font-weight", "bold")
	late := "no job late"
	if n := s.Totals.LateJobs; n > 0 {
		late = fmt.Sprintf("%s late by %s in all", many(n, "job"), spelled(s.Totals.Late))
	}
	p.text(10, 37, fmt.Sprintf("%s, %s, all done by %s; times in %s. Low bars: making ready; thin bars: washing up; "+
		"grey: nobody works; thick frames: late.", many(len(s.Jobs), "job"), late, moment(s.Totals.End), s.Zone))
	return p
}

// element appends an element with attributes given as names and values.
func (p *picture) element(to *etree.Element, name string, attrs ...string) *etree.Element {
	e := to.CreateElement(name)
	for i := 0; i < len(attrs); i += 2 {
		e.RemoveAttr(attrs[i])
		e.CreateAttr(attrs[i], attrs[i+1])
	}
	return e
}

func (p *picture) rect(to *etree.Element, x, y, width, height float64, attrs ...string) *etree.Element {
	return p.element(to, "rect", append([]string{
		"x", number(x), "y", number(y), "width", number(width), "height", number(height),
	}, attrs...)...)
}

func (p *picture) line(x1, y1, x2, y2 float64, attrs ...string) {
	p.element(p.root, "line", append([]string{
		"x1", number(x1), "y1", number(y1), "x2", number(x2), "y2", number(y2), "stroke", "black",
	}, attrs...)...)
}

func (p *picture) text(x, y float64, say string, attrs ...string) {
	p.element(p.root, "text", append([]string{"x", number(x), "y", number(y)}, attrs...)...).SetText(say)
}

// number writes a length to a tenth of a pixel.
func number(v float64) string { return strconv.FormatFloat(float64(int(v*10+0.5))/10, 'f', -1, 64) }

// strip is a row of the picture, from one moment of a day to another. What is
// due before next is marked in it.
type strip struct {
	from, to, next time.Time
}

// strips are the days on which something is done, from the hour at which work
// begins on any of them to that at which it ends.
func (p *picture) strips() []strip {
	begin, end := p.hours()
	at := func(day time.Time, hour int) time.Time {
		return wall(day.Year(), day.Month(), day.Day(), hour*60, p.schedule.Now.Location())
	}
	var all []strip
	for day := p.next(p.schedule.Now); !day.IsZero(); {
		s := strip{from: at(day, begin), to: at(day, end)}
		s.next = s.to
		if day = p.next(s.to); !day.IsZero() {
			s.next = at(day, begin)
		}
		all = append(all, s)
	}
	return all
}

// hours is the part of the day that something is done in on any day.
func (p *picture) hours() (begin, end int) {
	begin, end = 24, 0
	for _, m := range p.schedule.Machines {
		for _, o := range m.Operations {
			for _, s := range o.Slices {
				last := s.To.Add(-1)
				if s.From.YearDay() != last.YearDay() || s.From.Year() != last.Year() {
					return 0, 24
				}
				begin, end = min(begin, s.From.Hour()), max(end, last.Hour()+1)
			}
		}
	}
	return begin, end
}

// next is the first moment from one on at which a machine works, zero for none.
func (p *picture) next(t time.Time) time.Time {
	var first time.Time
	for _, m := range p.schedule.Machines {
		for _, o := range m.Operations {
			for _, s := range o.Slices {
				if at := later(s.From, t); s.To.After(t) && (first.IsZero() || at.Before(first)) {
					first = at
				}
			}
		}
	}
	return first
}

func later(a, b time.Time) time.Time {
	if a.After(b) {
		return a
	}
	return b
}

// x is where a moment lies, cut off at the ends of the strip.
func (s strip) x(t time.Time) float64 {
	share := float64(t.Sub(s.from)) / float64(s.to.Sub(s.from))
	return laneLeft + laneWidth*min(1, max(0, share))
}

// strip draws one strip from a height on, and gives its lower edge.
func (p *picture) strip(s strip, y int) int {
	p.dues(s, float64(y))
	top := y + dueHeight + axisHeight
	for i, m := range p.schedule.Machines {
		p.shifts(s, m, float64(top+i*laneHeight))
	}
	bottom := top + len(p.schedule.Machines)*laneHeight
	p.axis(s, float64(y+dueHeight), float64(bottom))
	for i, m := range p.schedule.Machines {
		p.lane(s, m, float64(top+i*laneHeight))
	}
	return bottom
}

// shifts draws the lane of a machine: grey where nobody works.
func (p *picture) shifts(s strip, m *Machine, y float64) {
	p.rect(p.root, laneLeft, y, laneWidth, laneHeight, "fill", "#dcdcdc", "stroke", "black", "stroke-width", "0.5")
	for _, w := range m.Shifts {
		if from, to := s.x(w.From), s.x(w.To); to > from {
			p.rect(p.root, from, y+0.5, to-from, laneHeight-1, "fill", "white")
		}
	}
	p.text(laneLeft-6, y+laneHeight/2+4, printable(m.ID, 17), "text-anchor", "end", "font-weight", "bold")
}

// axis draws the day and its hours.
func (p *picture) axis(s strip, y, bottom float64) {
	for _, x := range []float64{laneLeft, laneLeft + laneWidth} {
		p.line(x, y, x, bottom, "stroke-width", "1.2")
	}
	p.text(laneLeft+4, y+12, s.from.Format("Mon 2006-01-02"), "font-weight", "bold")
	seen := ""
	for h := range 24 {
		t := wall(s.from.Year(), s.from.Month(), s.from.Day(), h*60, s.from.Location())
		// An hour that a clock change leaves out shows the next one.
		if t.Format("15") == seen || t.Before(s.from) || !t.Before(s.to) {
			continue
		}
		seen = t.Format("15")
		x := s.x(t)
		p.line(x, y+28, x, bottom, "stroke", "#999999", "stroke-width", "0.5", "stroke-dasharray", "2 2")
		p.text(x+2, y+26, seen, "font-size", "9")
	}
}
