//go:build !checker

package render

import (
	"bufio"
	_ "embed"
	"fmt"
	"html/template"
	"io"
	"slices"
	"sync"
	"time"

	"quoin/jdf"
	"quoin/validate"
)

// Page is what an HTML report says beside the findings.
type Page struct {
	Title string    // "" means "Ticket report"
	Made  time.Time // when the tickets were checked; the zero time is left out
}

//go:embed report.html.tmpl
var pageText string

var pageTemplate = sync.OnceValue(func() *template.Template {
	return template.Must(template.New("report").Parse(pageText))
})

// HTML writes the report as one page that needs no script and asks for nothing
// from outside, so that it can be mailed and printed. It opens with what is to
// be mended by whom; the findings follow in that order.
func HTML(w io.Writer, r *validate.Report, page Page) error {
	out := bufio.NewWriter(w)
	if err := pageTemplate().Execute(out, newPage(r, page)); err != nil {
		return fmt.Errorf("write report: %w", err)
	}
	if err := out.Flush(); err != nil {
		return fmt.Errorf("write report: %w", err)
	}
	return nil
}

type htmlPage struct {
	Title, Made      string
	Verdict          htmlVerdict
	Summary          string
	NotShown         string
	Parties          []*htmlParty
	Files            []*htmlTally // those with findings, when there are several
	Silenced         []htmlFinding
	SilencedNotShown string
}

// htmlVerdict is told by a word and a shape; the class only adds colour.
type htmlVerdict struct{ Class, Shape, Text string }

// htmlTally counts the findings that are shown.
type htmlTally struct {
	Name                    string
	Errors, Warnings, Notes int
}

type htmlParty struct {
	htmlTally
	ID       string
	Findings []htmlFinding
}

type htmlFinding struct {
	Severity, Shape      string
	Message, Where, Path string
	Rule, Why, Advice    string
	Excerpt              *htmlExcerpt
	Related              []htmlRelated
	Reason, By           string // of a silence
}

type htmlExcerpt struct {
	Line                   int
	Before, Stretch, After string
}

type htmlRelated struct{ Where, Say string }

func newPage(r *validate.Report, page Page) *htmlPage {
	p := &htmlPage{Title: page.Title, Summary: summaryCounts(r), Verdict: verdict(r)}
	if p.Title == "" {
		p.Title = "Ticket report"
	}
	if !page.Made.IsZero() {
		p.Made = page.Made.Format("2 January 2006, 15:04 MST")
	}
	if r.Left > 0 {
		p.NotShown = plural(r.Left, "finding") + " counted above but not shown below."
	}
	for _, f := range r.Findings {
		if f.Silenced != nil {
			p.Silenced = append(p.Silenced, toHTML(f))
			continue
		}
		party := p.party(f.Rule.Mends)
		party.count(f.Severity)
		party.Findings = append(party.Findings, toHTML(f))
		p.file(f.Place).count(f.Severity)
	}
	if n := r.Silenced - len(p.Silenced); n > 0 {
		p.SilencedNotShown = plural(n, "more silenced finding") + " not shown."
	}
	if len(p.Files) < 2 {
		p.Files = nil
	}
	return p
}

// partyOrder is the order of the sections: a ticket is first mended at its source.
var partyOrder = []validate.Party{validate.Sender, validate.Operator, validate.Plant}

func (p *htmlPage) party(who validate.Party) *htmlParty {
	id := "for-" + string(who)
	for _, party := range p.Parties {
		if party.ID == id {
			return party
		}
	}
	party := &htmlParty{htmlTally: htmlTally{Name: string(who)}, ID: id}
	p.Parties = append(p.Parties, party)
	slices.SortStableFunc(p.Parties, func(a, b *htmlParty) int {
		return slices.Index(partyOrder, validate.Party(a.Name)) - slices.Index(partyOrder, validate.Party(b.Name))
	})
	return party
}

func (p *htmlPage) file(at jdf.Place) *htmlTally {
	name := safe(at.File())
	if name == "" {
		name = "no file"
	}
	// Findings come sorted by file.
	if n := len(p.Files); n > 0 && p.Files[n-1].Name == name {
		return p.Files[n-1]
	}
	p.Files = append(p.Files, &htmlTally{Name: name})
	return p.Files[len(p.Files)-1]
}

func (t *htmlTally) count(s validate.Severity) {
	switch s {
	case validate.Error:
		t.Errors++
	case validate.Warning:
		t.Warnings++
	default:
		t.Notes++
	}
}

func verdict(r *validate.Report) htmlVerdict {
	switch r.Worst() {
	case validate.Error:
		return htmlVerdict{"error", shape(validate.Error), "Not fit for use"}
	case validate.Warning:
		return htmlVerdict{"warning", shape(validate.Warning), "Fit for use, with warnings to look at"}
	case validate.Note:
		return htmlVerdict{"note", shape(validate.Note), "Fit for use, with notes"}
	}
	if r.Files == 0 {
		return htmlVerdict{"note", shape(validate.Note), "Nothing was checked"}
	}
	return htmlVerdict{"clean", "✓", "Nothing found that would have to be mended"}
}

// shape tells severities apart without colour.
func shape(s validate.Severity) string {
	switch s {
	case validate.Error:
		return "■"
	case validate.Warning:
		return "▲"
	}
	return "○"
}

func toHTML(f validate.Finding) htmlFinding {
	out := htmlFinding{
		Severity: f.Severity.String(), Shape: shape(f.Severity), Message: brief(f.Message()),
		Where: where(f.Place), Path: safe(f.Place.Path()), Rule: f.Rule.ID,
		Why: f.Rule.Why, Advice: brief(f.Advice()),
	}
	if e, ok := excerptOf(f.Place, defaultWidth); ok {
		left, right := e.ends()
		out.Excerpt = &htmlExcerpt{e.line, left + show(e.before), show(e.stretch), show(e.after) + right}
		if e.stretch == "" {
			out.Excerpt.Stretch = "‸"
		}
	}
	if !f.Place.Known() {
		out.Where = ""
	}
	for _, rel := range f.Related {
		out.Related = append(out.Related, htmlRelated{where(rel.Place), safe(rel.Say)})
	}
	if f.Silenced != nil {
		out.Reason, out.By = safe(f.Silenced.Reason), where(f.Silenced.Place)
	}
	return out
}
