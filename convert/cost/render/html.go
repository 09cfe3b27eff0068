package render

import (
	"bytes"
	"crypto/sha256"
	_ "embed"
	"encoding/base64"
	"fmt"
	"html/template"
	"io"
	"regexp"
	"strings"

	"quoin/convert/cost/account"
)

var (
	//go:embed page.html.tmpl
	pageText string
	//go:embed page.css
	pageStyle string
	//go:embed page.js
	pageScript string
)

// page is what the template is filled with.
type page struct {
	Title, Narrowed, Currency, Policy string
	Style, Script                     template.HTML
	Notes                             []string
	Tiles                             []tile
	Sections                          []part
}

type tile struct{ Name, Value string }

// part is a section of the page. Parts without anything are left out.
type part struct {
	ID, Title, Words string
	List             []string
	Figures          []figure
	Tables           []grid
	Branches         []branch
	Rest             string
}

func (p *part) empty() bool {
	return len(p.List)+len(p.Figures)+len(p.Tables)+len(p.Branches) == 0
}

type figure struct {
	Chart   template.HTML
	Caption string
	Fold    bool
}

// grid is a table of the page: the first Left columns are words.
type grid struct {
	Caption    string
	Head       []string
	Rows       [][]string
	Foot       []string
	Left       int
	Fold, Sort bool
	Rest       string
}

type branch struct {
	Summary string
	Below   []branch
	Table   *grid
}

// mostPageRows is how many rows a table of the page has.
const mostPageRows = 1000

// gridOf takes a table of the text form. The last row is the foot where total is true.
func gridOf(caption string, t *table, total, fold bool) []grid {
	if len(t.rows) < 2 {
		return nil
	}
	g := grid{Caption: caption, Head: t.rows[0], Rows: t.rows[1:], Left: t.left, Fold: fold, Sort: true}
	if total {
		g.Foot, g.Rows = g.Rows[len(g.Rows)-1], g.Rows[:len(g.Rows)-1]
	}
	if left := len(g.Rows) - mostPageRows; left > 0 {
		g.Rows, g.Rest = g.Rows[:mostPageRows], "and "+count(left, "row more", "rows more")+", which CSV and XLSX have"
	}
	return []grid{g}
}

// HTML writes a report as one page that asks for nothing from elsewhere and needs no
// script: charts are SVG with a table of their figures, details unfold. Its size is
// bounded, and what it leaves out is said. The error is that of the writer.
func HTML(w io.Writer, r *Report) error {
	t, err := template.New("page").Funcs(template.FuncMap{"sortable": sortable}).Parse(pageText)
	if err != nil {
		return fmt.Errorf("read template of page: %w", err)
	}
	s := r.Statement
	p := &page{Currency: safe(s.Currency), Notes: append(missing(s), r.Notes...), Tiles: tiles(s)}
	for i := range p.Notes {
		p.Notes[i] = safeLine(p.Notes[i])
	}
	p.Title, p.Narrowed = headline(s)
	style := pageStyle + ChartStyle
	p.Policy = fmt.Sprintf("default-src 'none'; style-src '%s'; script-src '%s'; base-uri 'none'; form-action 'none'",
		digest(style), digest(pageScript))
	p.Style = template.HTML("<style>" + style + "</style>")
	p.Script = template.HTML("<script>" + pageScript + "</script>")
	if p.Sections, err = parts(r); err != nil {
		return err
	}
	var out bytes.Buffer // a template that fails writes nothing
	if err := t.Execute(&out, p); err != nil {
		return fmt.Errorf("fill page: %w", err)
	}
	if _, err := out.WriteTo(w); err != nil {
		return fmt.Errorf("write page: %w", err)
	}
	return nil
}

// digest is the hash that a content security policy allows a style or script by.
func digest(s string) string {
	sum := sha256.Sum256([]byte(s))
	return "sha256-" + base64.StdEncoding.EncodeToString(sum[:])
}

var (
	figureShape = regexp.MustCompile(`^[+-]?\d[\d,]*(\.\d+)?( %)?$`)
	clockShape  = regexp.MustCompile(`^-?\d[\d,]*:\d\d(:\d\d)?$`)
)

// sortable is the number that a cell shows, for sorting, or "". Times are of two
// forms, hours and minutes, or with seconds too.
func sortable(cell string) string {
	bare := strings.ReplaceAll(cell, ",", "")
	switch {
	case figureShape.MatchString(cell):
		return strings.TrimSuffix(strings.TrimPrefix(bare, "+"), " %")
	case clockShape.MatchString(cell):
		var h, m, s int
		sign := ""
		if strings.HasPrefix(bare, "-") {
			sign, bare = "-", bare[1:]
		}
		_, _ = fmt.Sscanf(bare, "%d:%d:%d", &h, &m, &s) // s stays 0 without seconds
		return fmt.Sprintf("%s%d", sign, h*3600+m*60+s)
	}
	return ""
}

func tiles(s *account.Statement) []tile {
	if len(s.Rows) == 0 {
		return nil
	}
	t := &s.Total
	all := []tile{{"Cost", money(t.Actual.Total, s.Places)}}
	if t.Plan.Known {
		off := difference(t.Variance.Total, s.Places)
		if p := share(t.Variance.Total, t.Plan.Total); p != "" {
			off += " (" + p + ")"
		}
		all = append(all, tile{"Planned", money(t.Plan.Total, s.Places)}, tile{"Difference", off})
	}
	return append(all, tile{"Time, hours", hours(t.Times.Total())}, tile{"of it run", hours(t.Times.Run)},
		tile{"Material", money(t.Actual.Material, s.Places)}, tile{"OEE", t.OEE.Overall.Percent()})
}
