package board

import (
	"encoding/json"
	"fmt"
	"strings"

	"quoin/cmd/quoin/internal/desk"
	"quoin/jdf"
)

// report is what a page shows of the JSON form of a validate.Report.
type report struct {
	Errors   int       `json:"errors"`
	Warnings int       `json:"warnings"`
	Notes    int       `json:"notes"`
	Silenced int       `json:"silenced"`
	NotShown int       `json:"notShown"`
	Findings []finding `json:"findings"`
}

type finding struct {
	ID       string `json:"id"`
	Severity string `json:"severity"`
	Message  string `json:"message"`
	Advice   string `json:"advice"`
	Mends    string `json:"mends"`
	At       place  `json:"at"`
	Related  []struct {
		At  place  `json:"at"`
		Say string `json:"say"`
	} `json:"related"`
	Silenced *struct {
		Reason string `json:"reason"`
	} `json:"silenced"`

	Excerpt *excerpt `json:"-"`
}

type place struct {
	File      string `json:"file"`
	Line      int    `json:"line"`
	Column    int    `json:"column"`
	EndLine   int    `json:"endLine"`
	EndColumn int    `json:"endColumn"`
	Path      string `json:"path"`
}

// String is file:line:column, as far as there is one.
func (p place) String() string {
	switch {
	case p.Line == 0:
		return p.File
	case p.File == "":
		return fmt.Sprintf("%d:%d", p.Line, p.Column)
	}
	return fmt.Sprintf("%s:%d:%d", p.File, p.Line, p.Column)
}

// excerpt is the line of a finding, cut to what fits, in three parts: the middle
// one is what the finding is about.
type excerpt struct {
	Line                  int
	Before, Marked, After string
}

// mostFindings is how many findings a page shows.
const mostFindings = 200

// readReport reads a stored report and puts the lines of the source beside the
// findings; body may be nil.
func readReport(text []byte, name, media string, body []byte) (*report, error) {
	if len(text) == 0 {
		return nil, nil
	}
	r := &report{}
	if err := json.Unmarshal(text, r); err != nil {
		return nil, fmt.Errorf("read the findings of %q: %w", name, err)
	}
	if more := len(r.Findings) - mostFindings; more > 0 {
		r.Findings, r.NotShown = r.Findings[:mostFindings], r.NotShown+more
	}
	sources := sourcesOf(name, media, body)
	for i := range r.Findings {
		f := &r.Findings[i]
		if src := sources(f.At.File); src != nil && f.At.Line > 0 {
			f.Excerpt = cutOut(src.Line(f.At.Line), f.At)
		}
	}
	return r, nil
}

// sourcesOf finds the sources of a body by their file names. A body that can not be
// read has none: its findings say why.
func sourcesOf(name, media string, body []byte) func(file string) *jdf.Source {
	var items []desk.Item
	if len(body) > 0 {
		items, _ = desk.Items(name, media, body)
	}
	return func(file string) *jdf.Source {
		for _, i := range items {
			if i.Name == file || i.Document.Source.Name == file {
				return i.Document.Source
			}
		}
		return nil
	}
}

// excerptWidth is how many letters of a line are shown: tickets that a program
// wrote are often one line.
const excerptWidth = 96

func cutOut(line string, at place) *excerpt {
	letters := []rune(strings.TrimRight(line, "\r\n"))
	from := min(max(at.Column-1, 0), len(letters))
	to := len(letters)
	if at.EndLine == at.Line && at.EndColumn > at.Column {
		to = min(at.EndColumn-1, len(letters))
	}
	to = min(to, from+excerptWidth)
	left := max(0, min(from-excerptWidth/3, len(letters)-excerptWidth))
	right := min(len(letters), max(left+excerptWidth, to))
	e := &excerpt{Line: at.Line, Marked: string(letters[from:to])}
	e.Before, e.After = string(letters[left:from]), string(letters[to:right])
	if left > 0 {
		e.Before = "…" + e.Before
	} else {
		e.Before = strings.TrimLeft(e.Before, " \t")
	}
	if right < len(letters) {
		e.After += "…"
	}
	return e
}
