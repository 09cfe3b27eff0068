package api

import (
	"bytes"
	"encoding/json"
	"fmt"
	"net/http"
	"slices"

	"quoin/cmd/quoin/internal/desk"
	ticket "quoin/jdf/job"

	"quoin/convert/plan"
	"quoin/validate"
	"quoin/validate/packages"
	"quoin/validate/packages/pdf"
	"quoin/validate/profile"
	"quoin/validate/render"
)

// report is the findings on a document, as `quoin validate --format json` writes them.
type report struct {
	Version  int       `json:"version" doc:"of this form"`
	Files    int       `json:"files"`
	Errors   int       `json:"errors"`
	Warnings int       `json:"warnings"`
	Notes    int       `json:"notes"`
	Silenced int       `json:"silenced"`
	NotShown int       `json:"notShown" doc:"findings beyond the most that are kept"`
	Findings []finding `json:"findings"`
}

// finding is one mistake.
type finding struct {
	ID          string            `json:"id" doc:"of the rule, such as ref/wrong-class"`
	Severity    string            `json:"severity" doc:"note, warning or error"`
	Message     string            `json:"message"`
	Advice      string            `json:"advice,omitempty"`
	Mends       string            `json:"mends" doc:"who mends it"`
	At          place             `json:"at"`
	Facts       map[string]string `json:"facts,omitempty"`
	Related     []related         `json:"related,omitempty"`
	Silenced    *silence          `json:"silenced,omitempty"`
	Fingerprint string            `json:"fingerprint" doc:"stays the same when lines move"`
}

// place is where in a document something stands; the end is exclusive.
type place struct {
	File      string `json:"file,omitempty"`
	Line      int    `json:"line,omitempty" doc:"from 1"`
	Column    int    `json:"column,omitempty" doc:"from 1, in Unicode code points"`
	EndLine   int    `json:"endLine,omitempty"`
	EndColumn int    `json:"endColumn,omitempty"`
	Path      string `json:"path,omitempty" doc:"in the ticket"`
}

// related is another place that a finding speaks of.
type related struct {
	At  place  `json:"at"`
	Say string `json:"say"`
}

// silence is why a finding does not count.
type silence struct {
	At     place  `json:"at"`
	Reason string `json:"reason"`
}

func validateDocument(a *api, c *call) (*reply, error) {
	d, err := c.document()
	if err != nil {
		return nil, err
	}
	engine, err := a.engine(c.text("plant") == "yes", c.all("profile"))
	if err != nil {
		return nil, err
	}
	body, opt := desk.Whole(d.media, d.data), packages.Options{PDF: pdf.Reader{}}
	found, err := packages.CheckBytes(c.r.Context(), engine, d.name, body, opt)
	if err != nil {
		return nil, unreadable(err)
	}
	return writeReport(found, engine.Rules(), c.text("format"), d.name)
}

func unreadable(err error) error {
	return &problem{Status: http.StatusUnprocessableEntity, Code: "unreadable", Where: "body", Detail: err.Error(),
		Do: "send a whole ticket, message or package"}
}

// engine is that of the desk, without the plant where nobody asks for it, and with more
// profiles. Profiles are those built in alone: a name never leads to a file here.
func (a *api) engine(plant bool, profiles []string) (*validate.Engine, error) {
	e := *a.parts.Desk.Engine()
	e.Stages = slices.Clone(e.Stages)
	if !plant {
		e.Stages = slices.DeleteFunc(e.Stages, func(s validate.Stage) bool { return s.Name == "plant" })
	}
	for _, name := range profiles {
		p, _, err := profile.Load(name) // the table of parameters knows those built in alone
		if err != nil {
			return nil, fmt.Errorf("load profile %q: %w", name, err)
		}
		e.Stages = append(e.Stages, validate.Stage{
			Name: "profile " + name, Rules: profile.Rules(),
			Check: func(s *validate.Subject, report func(validate.Finding)) error {
				p.Check(s.Doc, s.Job, report)
				return nil
			},
		})
	}
	return &e, nil
}

func writeReport(found *validate.Report, rules []*validate.Rule, format, name string) (*reply, error) {
	var text bytes.Buffer
	var err error
	out := &reply{}
	switch format {
	case "sarif":
		out.media, err = "application/sarif+json", render.SARIF(&text, found, rules)
	case "junit":
		out.media, err = "application/xml", render.JUnit(&text, found, []string{name}, validate.Error)
	case "text":
		out.media, err = "text/plain; charset=utf-8", render.Text(&text, found, render.Style{})
	default:
		out.media, err = "application/json", render.JSON(&text, found)
	}
	out.body = text.Bytes()
	return out, err
}

// planned is a plan with its pictures.
type planned struct {
	Plan   *plan.Plan `json:"plan"`
	Sheets []sheet    `json:"sheets"`
	Report report     `json:"report" doc:"what is to be looked at beside the plan"`
}

// sheet is the picture of one sheet of a plan.
type sheet struct {
	Name string `json:"name" doc:"S1, S2, …"`
	SVG  string `json:"svg"`
}

// noPlan is why a ticket can not be planned.
func noPlan(r report) error {
	p := &problem{Status: http.StatusUnprocessableEntity, Code: "no-plan", Where: "body",
		Detail: "the ticket can not be made in this plant", Do: "mend the ticket; POST it to /validate for the findings"}
	for _, f := range r.Findings {
		if f.Severity == "error" {
			p.Detail += ": " + f.Message
			break
		}
	}
	return p
}

func planDocument(a *api, c *call) (*reply, error) {
	d, err := c.document()
	if err != nil {
		return nil, err
	}
	item, err := desk.Ticket(d.name, d.media, d.data)
	if err != nil {
		return nil, unreadable(err)
	}
	pl, findings := plan.Make(ticket.Decode(item.Document), a.parts.Plant, plan.Options{})
	found := validate.NewReport(0)
	found.Files = 1
	for _, f := range findings {
		found.Add(f)
	}
	found.Finish()
	out := planned{Plan: pl}
	var text bytes.Buffer
	if err := render.JSON(&text, found); err != nil {
		return nil, err
	}
	if err := json.Unmarshal(text.Bytes(), &out.Report); err != nil {
		return nil, fmt.Errorf("read the findings: %w", err)
	}
	if pl == nil {
		return nil, noPlan(out.Report)
	}
	out.Sheets, err = draw(pl)
	return &reply{value: out}, err
}

func draw(pl *plan.Plan) ([]sheet, error) {
	sheets := []sheet{}
	for _, s := range pl.Sheets {
		var picture bytes.Buffer
		if err := plan.SVG(&picture, pl, s.Name); err != nil {
			return nil, fmt.Errorf("draw sheet %q: %w", s.Name, err)
		}
		sheets = append(sheets, sheet{s.Name, picture.String()})
	}
	return sheets, nil
}
