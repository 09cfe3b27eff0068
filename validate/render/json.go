package render

import (
	"bufio"
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"unicode/utf8"

	"quoin/jdf"
	"quoin/validate"
)

// formatVersion is raised when a field of the JSON form is taken away or
// changes its meaning. New fields do not raise it.
const formatVersion = 1

// document is the JSON form of a report. Field names are stable; they are
// described in report.schema.json.
type document struct {
	Version  int     `json:"version"`
	Files    int     `json:"files"`
	Errors   int     `json:"errors"`
	Warnings int     `json:"warnings"`
	Notes    int     `json:"notes"`
	Silenced int     `json:"silenced"`
	NotShown int     `json:"notShown"`
	Findings []entry `json:"findings"`
}

type entry struct {
	ID          string            `json:"id"`
	Severity    string            `json:"severity"`
	Message     string            `json:"message"`
	Advice      string            `json:"advice,omitempty"`
	Mends       string            `json:"mends"`
	At          place             `json:"at"`
	Facts       map[string]string `json:"facts,omitempty"`
	Related     []related         `json:"related,omitempty"`
	Silenced    *silence          `json:"silenced,omitempty"`
	Fingerprint string            `json:"fingerprint"`
}

// place counts lines and columns from 1; a column is one Unicode code point.
// The end is exclusive.
type place struct {
	File      string `json:"file,omitempty"`
	Line      int    `json:"line,omitempty"`
	Column    int    `json:"column,omitempty"`
	EndLine   int    `json:"endLine,omitempty"`
	EndColumn int    `json:"endColumn,omitempty"`
	Path      string `json:"path,omitempty"`
}

type related struct {
	At  place  `json:"at"`
	Say string `json:"say"`
}

type silence struct {
	At     place  `json:"at"`
	Reason string `json:"reason"`
}

// JSON writes the report as one JSON object.
func JSON(w io.Writer, r *validate.Report) error {
	doc := document{
		Version: formatVersion,
		Files:   r.Files, Errors: r.Count(validate.Error), Warnings: r.Count(validate.Warning),
		Notes: r.Count(validate.Note), Silenced: r.Silenced, NotShown: r.Left,
		Findings: make([]entry, 0, len(r.Findings)),
	}
	for _, f := range r.Findings {
		doc.Findings = append(doc.Findings, toJSON(f))
	}
	return writeJSON(w, doc)
}

func toJSON(f validate.Finding) entry {
	out := entry{
		ID: f.Rule.ID, Severity: f.Severity.String(), Message: f.Message(), Advice: f.Advice(),
		Mends: string(f.Rule.Mends), At: at(f.Place), Fingerprint: f.Fingerprint(),
	}
	for _, fact := range f.Facts {
		if out.Facts == nil {
			out.Facts = map[string]string{}
		}
		out.Facts[fact.Name] = fact.Value
	}
	for _, rel := range f.Related {
		out.Related = append(out.Related, related{at(rel.Place), rel.Say})
	}
	if f.Silenced != nil {
		out.Silenced = &silence{at(f.Silenced.Place), f.Silenced.Reason}
	}
	return out
}

func at(p jdf.Place) place {
	start, end := p.Pos(), p.EndPos()
	return place{p.File(), start.Line, start.Column, end.Line, end.Column, p.Path()}
}

// writeJSON writes a value with characters that a terminal would obey as
// escapes. Outside of ASCII, JSON has characters in strings alone, so that
// replacing them in the finished text is safe.
func writeJSON(w io.Writer, value any) error {
	var text bytes.Buffer
	enc := json.NewEncoder(&text)
	enc.SetIndent("", "  ")
	enc.SetEscapeHTML(false)
	if err := enc.Encode(value); err != nil {
		return fmt.Errorf("encode report: %w", err)
	}
	out := bufio.NewWriter(w)
	for rest := text.Bytes(); len(rest) > 0; {
		i := bytes.IndexFunc(rest, func(r rune) bool { return r >= 0x7F && r <= 0xFFFF && hidden(r) })
		if i < 0 {
			out.Write(rest)
			break
		}
		r, size := utf8.DecodeRune(rest[i:])
		out.Write(rest[:i])
		fmt.Fprintf(out, `\u%04x`, r)
		rest = rest[i+size:]
	}
	if err := out.Flush(); err != nil {
		return fmt.Errorf("write report: %w", err)
	}
	return nil
}
