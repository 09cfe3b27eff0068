package render

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"quoin/jdf"
	"quoin/validate"
)

// SARIF writes the report as a log of SARIF 2.1.0. The rules are all that
// could have been broken; they are listed whether they were or not, so that
// the list does not depend on the tickets. A rule that only a finding names is
// listed behind them. File names become relative to the current folder.
//
// Source: Static Analysis Results Interchange Format (SARIF) Version 2.1.0
// Plus Errata 01, OASIS Standard.
func SARIF(w io.Writer, r *validate.Report, rules []*validate.Rule) error {
	table := newRuleTable(rules)
	run := sarifRun{
		ColumnKind: "unicodeCodePoints",
		Properties: map[string]any{"files": r.Files, "silenced": r.Silenced, "notShown": r.Left},
		Results:    make([]sarifResult, 0, len(r.Findings)),
	}
	for _, f := range r.Findings {
		run.Results = append(run.Results, table.result(f))
	}
	tellSuppressed(run.Results)
	run.Tool.Driver = sarifDriver{Name: "Quoin", Rules: table.descriptors}
	invocation := sarifInvocation{Successful: true}
	if r.Left > 0 {
		invocation.Notes = []sarifNotification{{
			Level:   "note",
			Message: sarifText{plural(r.Left, "finding") + " counted but not shown"},
		}}
	}
	run.Invocations = []sarifInvocation{invocation}
	return writeJSON(w, sarifLog{Schema: sarifSchema, Version: "2.1.0", Runs: []sarifRun{run}})
}

// ruleTable numbers rules in the order they are listed.
type ruleTable struct {
	descriptors []sarifRule
	index       map[string]int // by id
}

func newRuleTable(rules []*validate.Rule) *ruleTable {
	t := &ruleTable{index: map[string]int{}, descriptors: []sarifRule{}}
	for _, r := range rules {
		t.number(r)
	}
	return t
}

func (t *ruleTable) number(r *validate.Rule) int {
	if i, ok := t.index[r.ID]; ok {
		return i
	}
	i := len(t.descriptors)
	t.index[r.ID] = i
	d := sarifRule{
		ID:            r.ID,
		Short:         sarifText{sarifMessage(pattern(r.Say))},
		Configuration: sarifConfiguration{r.Severity.String()},
		Properties:    map[string]any{"group": r.Group(), "mends": string(r.Mends)},
	}
	if r.Why != "" {
		d.Full = &sarifText{sarifMessage(r.Why)}
	}
	if r.Do != "" {
		d.Help = &sarifText{sarifMessage(pattern(r.Do))}
	}
	t.descriptors = append(t.descriptors, d)
	return i
}

func (t *ruleTable) result(f validate.Finding) sarifResult {
	out := sarifResult{
		RuleID: f.Rule.ID, RuleIndex: t.number(f.Rule), Level: f.Severity.String(),
		Message:      sarifText{sarifMessage(f.Message())},
		Fingerprints: map[string]string{"ruleAndFacts/v1": f.Fingerprint()},
		Properties:   map[string]any{"mends": string(f.Rule.Mends)},
	}
	if advice := f.Advice(); advice != "" {
		out.Properties["advice"] = advice
	}
	if at, ok := sarifAt(f.Place); ok {
		out.Locations = []sarifLocation{at}
	}
	for _, rel := range f.Related {
		if at, ok := sarifAt(rel.Place); ok {
			id := len(out.Related) + 1
			at.ID, at.Message = &id, &sarifText{sarifMessage(rel.Say)}
			out.Related = append(out.Related, at)
		}
	}
	if s := f.Silenced; s != nil {
		out.Suppressions = []sarifSuppression{suppression(f.Place, s)}
	}
	return out
}

// tellSuppressed gives all results a list of suppressions once one has it: the
// lists of a run are all there or all missing.
//
// From memory: SARIF 2.1.0, section 3.27.23.
func tellSuppressed(results []sarifResult) {
	if !slices.ContainsFunc(results, func(r sarifResult) bool { return len(r.Suppressions) > 0 }) {
		return
	}
	for i := range results {
		if results[i].Suppressions == nil {
			results[i].Suppressions = []sarifSuppression{}
		}
	}
}

// suppression is in the source when the ticket itself asks for it.
func suppression(of jdf.Place, s *validate.Silence) sarifSuppression {
	out := sarifSuppression{Kind: "external", Justification: s.Reason}
	if s.Place.Known() && s.Place.Source == of.Source {
		out.Kind = "inSource"
	}
	if at, ok := sarifAt(s.Place); ok {
		out.Location = &at
	}
	return out
}

// sarifAt is not ok for a place in no file.
func sarifAt(p jdf.Place) (sarifLocation, bool) {
	if !p.Known() {
		return sarifLocation{}, false
	}
	start, end := p.Pos(), p.EndPos()
	at := sarifLocation{Physical: sarifPhysical{
		Artifact: sarifArtifact{relativeURI(p.File())},
		Region:   sarifRegion{start.Line, start.Column, end.Line, end.Column},
	}}
	if path := p.Path(); path != "" {
		at.Logical = []sarifLogical{{path}}
	}
	return at, true
}

// sarifMessage keeps a text from being read as a link: a plain message may
// hold links written [like this](target), and the words come out of tickets.
//
// From memory: SARIF 2.1.0, section 3.11.6.
func sarifMessage(s string) string {
	if !strings.Contains(s, "](") {
		return s
	}
	return strings.NewReplacer(`\`, `\\`, `[`, `\[`, `]`, `\]`).Replace(s)
}

// pattern writes the facts of a template as ‹name›, since braces stand
// for the arguments of a message in SARIF.
func pattern(template string) string {
	var out strings.Builder
	for {
		before, rest, ok := strings.Cut(template, "{")
		out.WriteString(before)
		name, after, closed := strings.Cut(rest, "}")
		if !ok || !closed {
			out.WriteString(rest)
			return out.String()
		}
		fmt.Fprintf(&out, "‹%s›", strings.TrimSuffix(name, "|q"))
		template = after
	}
}
