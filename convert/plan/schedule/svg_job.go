package schedule

import (
	"fmt"
	"math"
	"slices"
	"strconv"
)

// The width of a digit in a label, and of a letter in the list, in pixels.
const (
	digitWidth  = 5.6
	letterWidth = 5.9
)

// patternLines are the strokes of each pattern on a tile of 8 x 8 pixels; the
// first has none.
var patternLines = []string{
	"",
	"M-2 2 L2 -2 M-2 10 L10 -2 M6 10 L10 6",
	"M0 4 H8",
	"M3 3 h1.6 v1.6 h-1.6 z",
	"M-2 6 L2 10 M-2 -2 L10 10 M6 -2 L10 2",
	"M4 0 V8",
	"M-2 2 L2 -2 M-2 10 L10 -2 M6 10 L10 6 M-2 6 L2 10 M-2 -2 L10 10 M6 -2 L10 2",
	"M0 4 H8 M4 0 V8",
	"M0 6 L4 2 L8 6",
	"M0 2 H8 M0 6 H8",
	"M2 0 V8 M6 0 V8",
}

// patterns defines what bars are filled with.
func (p *picture) patterns() {
	defs := p.element(p.root, "defs")
	for i, lines := range patternLines {
		tile := p.element(defs, "pattern", "id", "p"+strconv.Itoa(i), "width", "8", "height", "8",
			"patternUnits", "userSpaceOnUse")
		p.rect(tile, 0, 0, 8, 8, "fill", "white")
		if lines != "" {
			p.element(tile, "path", "d", lines, "stroke", "#555555", "stroke-width", "0.9", "fill", "none")
		}
	}
}

func pattern(job int) string { return fmt.Sprintf("url(#p%d)", (job-1)%len(patternLines)) }

// frame is thick for late jobs.
func (p *picture) frame(job int) string {
	if p.schedule.Jobs[job-1].Late.Duration > 0 {
		return "2.4"
	}
	return "0.8"
}

// lane draws the operations of a machine.
func (p *picture) lane(s strip, m *Machine, y float64) {
	for _, o := range m.Operations {
		label := false
		group := p.element(p.root, "g", "stroke", "black")
		for _, w := range o.Slices {
			from, to := s.x(w.From), s.x(w.To)
			if to <= from {
				continue
			}
			bar, top := float64(barHeight), y+laneHeight-barHeight-2
			fill, frame := pattern(o.Job), p.frame(o.Job)
			switch w.Activity {
			case Makeready:
				bar, top = barHeight/2, top+barHeight/2
				fill = "white"
			case WashUp:
				bar, top = 4, top+barHeight-4
				fill, frame = "#777777", "0.5"
			}
			p.rect(group, from, top, to-from, bar, "fill", fill, "stroke-width", frame)
			if w.Activity == Run && !label {
				label = p.label(o, from, to, y)
			}
		}
		if len(group.Child) == 0 {
			p.root.RemoveChild(group)
			continue
		}
		j := p.schedule.Jobs[o.Job-1]
		p.element(group, "title").SetText(fmt.Sprintf("%d %s %s %s, %s to %s", o.Job, j.title(), o.Step,
			printable(o.Sheet, 12), clock(o.Start), clock(o.End)))
	}
}

// label writes the number of a job on a bar, with its name where there is room
// and on its side where there is little; it is false when there is none.
func (p *picture) label(o *Operation, from, to, y float64) bool {
	short := strconv.Itoa(o.Job)
	long := short + " " + printable(o.JobID, 20)
	x, middle := (from+to)/2, y+laneHeight-barHeight/2-2
	halo := []string{"text-anchor", "middle", "stroke", "white", "stroke-width", "3", "paint-order", "stroke"}
	switch room := to - from - 3; {
	case room >= digitWidth*float64(len([]rune(long))):
		p.text(x, middle+3.5, long, halo...)
	case room >= digitWidth*float64(len(short)):
		p.text(x, middle+3.5, short, halo...)
	case room >= 4:
		turn := fmt.Sprintf("rotate(-90 %s %s)", number(x), number(middle))
		p.text(x, middle+3, short, append(halo, "transform", turn, "font-size", "9")...)
	default:
		return false
	}
	return true
}

// dues marks where jobs are due, with their numbers where there is room.
func (p *picture) dues(s strip, y float64) {
	p.text(laneLeft-24, y+dueHeight-4, "due", "text-anchor", "end")
	rows := []float64{math.Inf(-1), math.Inf(-1)}
	for _, j := range byDue(p.schedule.Jobs) {
		if j.Due.Before(s.from) || !j.Due.Before(s.next) {
			continue
		}
		x, base := s.x(*j.Due), y+dueHeight
		p.element(p.root, "path", "d", fmt.Sprintf("M%s %s l-3.5 -7 h7 z", number(x), number(base)),
			"fill", dueFill(j), "stroke", "black", "stroke-width", "0.8")
		label := strconv.Itoa(j.Number)
		half := digitWidth*float64(len(label))/2 + 1
		for i := range rows {
			if x-half > rows[i] {
				p.text(x, base-10-float64(11*i), label, "text-anchor", "middle", "font-weight", weight(j))
				rows[i] = x + half
				break
			}
		}
	}
}

// dueFill is black where a job is late.
func dueFill(j *Job) string {
	if j.Late.Duration > 0 {
		return "black"
	}
	return "white"
}

func weight(j *Job) string {
	if j.Late.Duration > 0 {
		return "bold"
	}
	return "normal"
}

// list names the jobs in two columns, and gives its lower edge.
func (p *picture) list(y int) int {
	const row, columns = 16, 2
	rows := (len(p.schedule.Jobs) + columns - 1) / columns
	width := float64(pictureWidth-20) / columns
	for i, j := range p.schedule.Jobs {
		x, top := 10+width*float64(i/max(1, rows)), float64(y+row*(i%max(1, rows)))
		p.rect(p.root, x, top, 24, 12, "fill", pattern(j.Number), "stroke", "black", "stroke-width", p.frame(j.Number))
		say := strconv.Itoa(j.Number) + " "
		if j.Late.Duration > 0 {
			say += "LATE by " + spelled(j.Late) + ": "
		}
		say += j.title() + "; "
		if j.Due != nil {
			say += "due " + clock(*j.Due) + " "
		}
		if j.Late.Duration == 0 {
			say += "done " + clock(j.End)
		}
		p.text(x+30, top+10, printable(say, int((width-34)/letterWidth)), "font-weight", weight(j))
	}
	return y + row*rows + 12
}

// byDue is the jobs that have a due time, the soonest first.
func byDue(jobs []*Job) []*Job {
	var all []*Job
	for _, j := range jobs {
		if j.Due != nil {
			all = append(all, j)
		}
	}
	slices.SortStableFunc(all, func(a, b *Job) int { return a.Due.Compare(*b.Due) })
	return all
}
