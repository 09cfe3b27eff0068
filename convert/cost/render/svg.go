package render

import (
	"fmt"
	"html"
	"io"
	"strconv"
	"strings"
)

// chartWidth is the width of all charts, in units that a page scales.
const chartWidth = 960

// mostDrawn is how many rows or lines a chart has.
const mostDrawn = 24

// canvas writes the elements of a chart.
type canvas struct {
	strings.Builder
	id string // begins the ids of the elements
}

// esc makes text harmless in markup.
func esc(s string) string { return html.EscapeString(safe(s)) }

// at writes a coordinate with one decimal at most.
func at(f float64) string {
	return strings.TrimSuffix(strconv.FormatFloat(f, 'f', 1, 64), ".0")
}

// box draws a rectangle; tip is shown for a pointer and read to those who do not see.
func (c *canvas) box(x, y, w, h float64, class, tip string) {
	fmt.Fprintf(c, `<rect x="%s" y="%s" width="%s" height="%s" class="%s"`, at(x), at(y), at(max(w, 0)), at(h), class)
	if tip == "" {
		c.WriteString("/>")
		return
	}
	fmt.Fprintf(c, `><title>%s</title></rect>`, esc(tip))
}

func (c *canvas) label(x, y float64, class, s string) {
	fmt.Fprintf(c, `<text x="%s" y="%s" class="%s">%s</text>`, at(x), at(y), class, esc(s))
}

func (c *canvas) line(x1, y1, x2, y2 float64, class string) {
	fmt.Fprintf(c, `<path d="M%s %sL%s %s" class="%s"/>`, at(x1), at(y1), at(x2), at(y2), class)
}

// marks are the shapes that tell series apart, and dashes the lines.
const marks, dashes = 6, 6

// mark draws one of the shapes around a point.
func (c *canvas) mark(n int, x, y float64, class, tip string) {
	shape := [marks]string{
		"m-3.5 0a3.5 3.5 0 1 0 7 0a3.5 3.5 0 1 0-7 0z", "m-3 -3h6v6h-6z", "m0 -4l4 7h-8z",
		"m0 -4.5l4.5 4.5l-4.5 4.5l-4.5-4.5z",
		"m-4 -3h8l-4 7z", "m-3.5 -3.5l7 7m0-7l-7 7",
	}[n%marks]
	fmt.Fprintf(c, `<path d="M%s %s%s" class="%s"><title>%s</title></path>`, at(x), at(y), shape, class, esc(tip))
}

// write writes the chart as a figure. Title and words are what those get who do not
// see it; pages put a table with the figures beside it.
func (c *canvas) write(w io.Writer, height float64, title, words string) error {
	id := esc(c.id)
	_, err := fmt.Fprintf(w, `<svg class="chart" role="img" viewBox="0 0 %d %s" aria-labelledby="%s-t %s-d">`+
		`<title id="%s-t">%s</title><desc id="%s-d">%s</desc>%s</svg>`,
		chartWidth, at(height), id, id, id, esc(title), id, html.EscapeString(safeLine(words)), c.String())
	if err != nil {
		return fmt.Errorf("write chart: %w", err)
	}
	return nil
}

// patterns defines the fillings of the states, under ids that belong to the chart.
func (c *canvas) patterns() {
	id := esc(c.id)
	fmt.Fprintf(c, `<defs><pattern id="%s-mr" width="6" height="6" patternUnits="userSpaceOnUse">`+
		`<rect width="6" height="6" class="p0"/><path d="M-1 7L7-1M-1 1L1-1M5 7L7 5" class="p1"/></pattern>`+
		`<pattern id="%s-ws" width="6" height="6" patternUnits="userSpaceOnUse">`+
		`<rect width="6" height="6" class="p0"/><circle cx="3" cy="3" r="1.4" class="p2"/></pattern>`+
		`<pattern id="%s-st" width="5" height="5" patternUnits="userSpaceOnUse">`+
		`<rect width="5" height="5" class="p3"/><path d="M0 0L5 5M5 0L0 5" class="p4"/></pattern></defs>`, id, id, id)
}

// step picks the step of an axis: 1, 2 or 5 times a power of ten.
func step(most float64, steps int) float64 {
	raw := most / float64(steps)
	power := 1.0
	for power*10 <= raw {
		power *= 10
	}
	for power > raw {
		power /= 10
	}
	for _, f := range []float64{1, 2, 5, 10} {
		if power*f >= raw {
			return power * f
		}
	}
	return power * 10
}

// ChartStyle is the style sheet of the charts. It takes the colours of the page from
// the properties --ink, --quiet, --line, --paper, --run, --stop and --plan.
const ChartStyle = `.chart{width:100%;height:auto;display:block;color:var(--ink)}
.chart text{font:12px system-ui,sans-serif;fill:var(--ink)}
.chart text.e{text-anchor:end}.chart text.m{text-anchor:middle}
.chart text.q{fill:var(--quiet)}.chart path:not([fill]){fill:none}
.chart .grid{stroke:var(--line);stroke-width:1}.chart .axis{stroke:var(--quiet);stroke-width:1}
.chart rect.run,.chart path.run{fill:var(--run)}.chart rect.plan{fill:var(--paper);stroke:var(--plan);stroke-width:1.5}
.chart rect.idle,.chart path.idle{fill:var(--paper);stroke:var(--quiet);stroke-width:.7}
.chart rect.unknown,.chart path.unknown{fill:var(--line);stroke:var(--quiet);stroke-width:.7;stroke-dasharray:2 2}
.chart .p0{fill:var(--paper)}.chart .p1{stroke:var(--run);stroke-width:2}.chart .p2{fill:var(--plan)}
.chart .p3{fill:var(--stop)}.chart .p4{stroke:var(--paper);stroke-width:1}
.chart .o{stroke:var(--ink);stroke-width:.5}
.chart .band{fill:var(--line);opacity:.6}
.chart .tol{stroke:var(--quiet);stroke-dasharray:5 3}.chart .aim{stroke:var(--quiet)}
.chart .drift{stroke:var(--stop);stroke-width:2;stroke-dasharray:9 4}
.chart .s{stroke:var(--ink);stroke-width:1.6}.chart .d1{stroke-dasharray:7 3}.chart .d2{stroke-dasharray:2 3}
.chart .d3{stroke-dasharray:10 3 2 3}.chart .d4{stroke-dasharray:4 4}.chart .d5{stroke-dasharray:12 5}
.chart path.k{fill:var(--paper);stroke:var(--ink);stroke-width:1.3}
.chart path.kf{fill:var(--ink);stroke:var(--ink);stroke-width:1}
.chart path.out{fill:var(--stop);stroke:var(--stop)}
`
