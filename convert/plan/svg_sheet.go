package plan

import (
	"cmp"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"quoin/validate/plant"
)

// SVG writes a picture of a sheet of the plan, by its name such as S1: the sheet
// with its gripper edge below, unprinted margins, colour bar, the pieces with
// their numbers, bleed, pages and fold lines, and the cuts with the numbers of
// the cutting program. Lines differ by pattern and weight, never by colour alone.
// The page is A4 or smaller, across. A name that the plan does not have is an
// error, and so is a writer that fails.
func SVG(w io.Writer, pl *Plan, sheet string) error {
	i := slices.IndexFunc(pl.Sheets, func(s *Sheet) bool { return s.Name == sheet })
	if i < 0 {
		return fmt.Errorf("draw sheet %q: the plan has no sheet of that name", sheet)
	}
	p := &picture{plan: pl, sheet: pl.Sheets[i]}
	for _, o := range pl.Operations {
		if o.Step == StepCut && o.Sheet == sheet {
			p.cuts = o.Cut.Program
		}
	}
	p.fit()
	p.head()
	p.press()
	for n, b := range p.sheet.Positions {
		p.piece(n+1, b)
	}
	p.cutLines()
	p.rect(p.left, p.top, p.long(p.sheet.Size.Width), p.long(p.sheet.Size.Height), strokeSheet, "none")
	p.measures()
	p.legend()
	return p.write(w, fmt.Sprintf("Sheet %s of job %s", sheet, pl.JobID))
}

// picture is the drawing of one sheet.
type picture struct {
	drawing
	plan      *Plan
	sheet     *Sheet
	cuts      []Cut
	scale     float64 // millimetres of paper for a micrometre of the sheet
	left, top float64 // corner of the sheet
	labels    [2][]cutLabel
}

// cutLabel is the numbers of the cuts along one line.
type cutLabel struct {
	at      float64 // on the paper
	numbers []string
	level   int // rows of labels lie behind each other where they would meet
}

// Sizes on the paper, in millimetres.
const (
	mostWide  = 265.0 // of the sheet as drawn, across
	mostHigh  = 150.0
	border    = 8.0
	headHigh  = 15.0
	rowHigh   = 3.2 // of a row of cut numbers
	letters   = 2.6
	legendTop = 13.0
)

// fit chooses the scale and makes room for the labels around the sheet.
func (p *picture) fit() {
	size := p.sheet.Size
	p.scale = min(mostWide/float64(size.Width), mostHigh/float64(size.Height))
	p.labels[0] = p.rows(false)
	p.labels[1] = p.rows(true)
	wide := 0.0
	for _, l := range p.labels[0] {
		wide = max(wide, float64(l.level)*5+textWide(l.words(), letters)+2)
	}
	high := 0.0
	for _, l := range p.labels[1] {
		high = max(high, float64(l.level+1)*rowHigh+2)
	}
	p.left, p.top = border+max(wide, 4), border+headHigh+high
	p.wide = max(p.left+p.long(size.Width)+border+9, 165)
	p.high = p.top + p.long(size.Height) + legendTop + 15
}

func (p *picture) long(l plant.Length) float64 { return float64(l) * p.scale }

func (p *picture) x(l plant.Length) float64 { return p.left + p.long(l) }

// y turns the sheet over: its gripper edge is below.
func (p *picture) y(l plant.Length) float64 { return p.top + p.long(p.sheet.Size.Height-l) }

func (p *picture) box(b Box, stroke, fill string) {
	p.rect(p.x(b.X), p.y(b.Y+b.Height), p.long(b.Width), p.long(b.Height), stroke, fill)
}

func (p *picture) head() {
	s := p.sheet
	title := fmt.Sprintf("%s  %s, sheet %s", p.plan.JobID, p.plan.Name, s.Name)
	if s.Part != "" {
		title += ", " + s.Part
	}
	p.text(border, border+4, 4, "start", title, false)
	line := fmt.Sprintf("%s on %s, %s, %d/%d, %d-up; %s", s.Size, s.Press, styleWord(s.Style), len(s.Front), len(s.Back),
		s.Ups(), s.Stock.ID)
	p.text(border, border+9, 3, "start", line, false)
	if s.Section > 0 {
		words := fmt.Sprintf("section of %d pages, pages %s", s.PiecePages*max(1, s.Leaves), s.Pages)
		p.text(border, border+13, 3, "start", words, false)
	}
}

// press draws what the press leaves free: grip, margins and colour bar. Styles
// that turn the sheet end over end grip it at both ends.
func (p *picture) press() {
	s := p.sheet
	m, size := s.Margins, s.Size
	p.rect(p.left, p.y(m.Lead), p.long(size.Width), p.long(m.Lead), strokeLimit, "url(#grip)")
	p.text(p.x(size.Width/2), p.y(m.Lead/2)+letters*0.35, letters, "middle", "gripper "+m.Lead.String(), true)
	bar := size.Height - m.Trail
	if s.Style == WorkAndTumble || s.Style == Perfecting {
		grip := m.Trail - m.ColorBar
		p.rect(p.left, p.top, p.long(size.Width), p.long(grip), strokeLimit, "url(#grip)")
	}
	for _, x := range []plant.Length{m.Side, size.Width - m.Side} {
		p.line(p.x(x), p.y(m.Lead), p.x(x), p.y(bar), strokeLimit)
	}
	p.line(p.x(m.Side), p.y(bar), p.x(size.Width-m.Side), p.y(bar), strokeLimit)
	if m.ColorBar > 0 {
		step := m.ColorBar
		for i, x := 0, m.Side; x+step <= size.Width-m.Side; i, x = i+1, x+step {
			fill := []string{"#000", "#fff", "#888", "#fff"}[i%4]
			p.box(Box{X: x, Y: bar, Width: step, Height: step}, strokePage, fill)
		}
	}
}

// piece draws one cut block with what lies in it.
func (p *picture) piece(n int, b Box) {
	s := p.sheet
	if s.Bleed > 0 && s.Section == 0 {
		out := Box{X: b.X - s.Bleed, Y: b.Y - s.Bleed, Width: b.Width + 2*s.Bleed, Height: b.Height + 2*s.Bleed}
		p.box(out, strokeBleed, "none")
	}
	in := insideOf(p.plan, s, b.Turned)
	for _, page := range in.pages {
		page.X, page.Y = page.X+b.X, page.Y+b.Y
		p.box(page, strokePage, "#f4f4f4")
	}
	p.box(b, strokeTrim, "none")
	for i, f := range in.folds {
		p.line(p.x(b.X+f.X1), p.y(b.Y+f.Y1), p.x(b.X+f.X2), p.y(b.Y+f.Y2), strokeFold)
		if n == 1 {
			p.foldLabel(i, b, f)
		}
	}
	p.number(n, b, p.middle(in, b))
}

// middle is where the number of a piece stands: off its folds, in the first page
// or panel of it.
func (p *picture) middle(in inside, b Box) Box {
	if len(in.pages) > 0 {
		first := in.pages[0]
		first.X, first.Y = first.X+b.X, first.Y+b.Y
		return first
	}
	columns, rows := plant.Length(p.sheet.FoldGrid[0]), plant.Length(p.sheet.FoldGrid[1])
	if b.Turned {
		columns, rows = rows, columns
	}
	return Box{X: b.X, Y: b.Y, Width: b.Width / max(1, columns), Height: b.Height / max(1, rows)}
}

// foldLabel letters a fold line, a little off its end.
func (p *picture) foldLabel(i int, b Box, f Line) {
	x, y := p.x(b.X+f.X1), p.y(b.Y+f.Y1)
	if f.X1 == f.X2 {
		y -= 4 + 4*float64(i%2)
	} else {
		x += 4 + 4*float64(i%2)
	}
	p.text(x, y+1, letters, "middle", "fold "+string(rune('a'+i%26)), true)
}

// number writes the number of a piece in its middle, with an arrow to its head,
// and its format below where there is room.
func (p *picture) number(n int, b, in Box) {
	wide, high := p.long(in.Width), p.long(in.Height)
	x, y := p.x(in.X+in.Width/2), p.y(in.Y+in.Height/2)
	size := min(7, wide/3, high/3)
	p.text(x, y+size*0.35, size, "middle", strconv.Itoa(n), true)
	format := strings.TrimSuffix(Format{b.Width, b.Height}.String(), " mm")
	if len(p.plan.Products) > 1 {
		format = p.plan.Products[b.Product].Name
	}
	if small := min(letters, size*0.6); textWide(format, small) < wide-2 && size > 3.5 {
		p.text(x, y+size*0.35+small*1.5, small, "middle", format, true)
	}
	a := min(1.6, size/3)
	if b.Turned {
		p.shape(fmt.Sprintf("%.2f,%.2f %.2f,%.2f %.2f,%.2f", x-size, y, x-size+a, y-a*0.7, x-size+a, y+a*0.7))
		return
	}
	y -= size * 0.75
	p.shape(fmt.Sprintf("%.2f,%.2f %.2f,%.2f %.2f,%.2f", x, y-a, x-a*0.7, y, x+a*0.7, y))
}

// rows gathers the numbers of the cuts along each line and shares them out so
// that none covers another: across for cuts along the width, else along the height.
func (p *picture) rows(upright bool) []cutLabel {
	at := map[plant.Length][]string{}
	for _, c := range p.cuts {
		if vertical := c.Line.X1 == c.Line.X2; vertical == upright {
			place := c.Line.Y1
			if upright {
				place = c.Line.X1
			}
			at[place] = append(at[place], strconv.Itoa(c.Number))
		}
	}
	var all []cutLabel
	for place, numbers := range at {
		all = append(all, cutLabel{at: p.long(place), numbers: numbers})
	}
	slices.SortFunc(all, func(a, b cutLabel) int { return cmp.Compare(a.at, b.at) })
	var ends []float64
	for i := range all {
		l := &all[i]
		reach := letters + 0.4
		if upright {
			reach = textWide(l.words(), letters) + 0.8
		}
		for l.level < len(ends) && l.at-reach/2 < ends[l.level] {
			l.level++
		}
		if l.level == len(ends) {
			ends = append(ends, 0)
		}
		ends[l.level] = l.at + reach/2
	}
	return all
}

// words lists the numbers; those of strips that are cut one by one, which are
// many, are cut short.
func (l cutLabel) words() string {
	if n := len(l.numbers); n > 3 {
		return l.numbers[0] + ", … " + l.numbers[n-1]
	}
	return strings.Join(l.numbers, ", ")
}

// cutLines draws the cuts, drawn out over the edge of the sheet to their numbers.
func (p *picture) cutLines() {
	for _, c := range p.cuts {
		p.line(p.x(c.Line.X1), p.y(c.Line.Y1), p.x(c.Line.X2), p.y(c.Line.Y2), strokeCut)
	}
	for _, l := range p.labels[0] {
		y := p.top + p.long(p.sheet.Size.Height) - l.at
		end := p.left - 1.5 - float64(l.level)*5
		p.line(end, y, p.left, y, strokeCut)
		p.text(end-0.4, y+letters*0.35, letters, "end", l.words(), true)
	}
	for _, l := range p.labels[1] {
		end := p.top - 1.5 - float64(l.level)*rowHigh
		p.line(p.left+l.at, end, p.left+l.at, p.top, strokeCut)
		p.text(p.left+l.at, end-0.4, letters, "middle", l.words(), true)
	}
}

// measures writes the format of the sheet and the grain of its paper.
func (p *picture) measures() {
	size := p.sheet.Size
	below := p.top + p.long(size.Height)
	p.text(p.x(size.Width/2), below+4, 3, "middle", size.Width.String()+" across the cylinder", false)
	x, y := p.x(size.Width)+4, p.y(size.Height/2)
	fmt.Fprintf(&p.body, `<text x="%.2f" y="%.2f" font-size="3" text-anchor="middle" `+
		`transform="rotate(-90 %.2f %.2f)">%s</text>`+"\n", x, y, x, y, escaped(size.Height.String()+" along the run"))
	if up, known := grainUp(p.sheet); known {
		word := "across the cylinder"
		if up {
			word = "along the run"
		}
		p.text(p.x(size.Width), below+4, 3, "end", "grain "+word, false)
	}
}

// legend names the kinds of line.
func (p *picture) legend() {
	y := p.top + p.long(p.sheet.Size.Height) + legendTop
	s := p.sheet
	in := insideOf(p.plan, s, s.Turned)
	x := border
	for _, e := range []struct {
		here          bool
		stroke, words string
	}{
		{true, strokeTrim, "piece, with its number and an arrow to its head"},
		{len(p.cuts) > 0, strokeCut, "cut, with its number in the program"},
		{s.Bleed > 0 && s.Section == 0, strokeBleed, "bleed"},
		{len(in.pages) > 0, strokePage, "page after trimming"},
		{len(in.folds) > 0, strokeFold, "fold, lettered by place and not by order"},
		{true, strokeLimit, "end of the printable area"},
	} {
		if !e.here {
			continue
		}
		if wide := 10 + textWide(e.words, letters); x > border && x+wide > p.wide-border {
			x, y = border, y+5
		}
		p.line(x, y-0.9, x+8, y-0.9, e.stroke)
		p.text(x+9.5, y, letters, "start", e.words, false)
		x += 14 + textWide(e.words, letters)
	}
}
