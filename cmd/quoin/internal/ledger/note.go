package ledger

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"slices"

	"quoin/convert/cost"
	"quoin/convert/cost/colour"
	"quoin/jdf"
	"quoin/validate"
)

// note is a finding as it is kept: without the text it was found in.
type note struct {
	Rule    string          `json:"rule"`
	Facts   []validate.Fact `json:"facts,omitempty"`
	Source  cost.Source     `json:"source"`
	Related []relatedNote   `json:"related,omitempty"`
}

type relatedNote struct {
	Source cost.Source `json:"source"`
	Say    string      `json:"say"`
}

func sourceOf(p jdf.Place) cost.Source {
	pos := p.Pos()
	return cost.Source{File: p.File(), Line: pos.Line, Column: pos.Column, Path: p.Path()}
}

func placeOf(s cost.Source) jdf.Place {
	if s.File == "" {
		return jdf.Place{}
	}
	return jdf.PlaceIn(s.File, jdf.Pos{Line: s.Line, Column: s.Column}, s.Path)
}

// forget gives the finding without the text it was found in.
func forget(f validate.Finding) validate.Finding {
	related := f.Related
	f.Place, f.Related = placeOf(sourceOf(f.Place)), nil
	for _, r := range related {
		f = f.With(placeOf(sourceOf(r.Place)), r.Say)
	}
	return f
}

func noteOf(f validate.Finding) note {
	n := note{Rule: f.Rule.ID, Facts: f.Facts, Source: sourceOf(f.Place)}
	for _, r := range f.Related {
		n.Related = append(n.Related, relatedNote{sourceOf(r.Place), r.Say})
	}
	return n
}

// key is the hash of the finding, 32 hexadecimal digits.
func (n note) key() string {
	text := fmt.Appendf(nil, "%q %q %q", n.Rule, n.Facts, place(n.Source))
	for _, r := range n.Related {
		text = fmt.Appendf(text, " %q %q", place(r.Source), r.Say)
	}
	sum := sha256.Sum256(text)
	return hex.EncodeToString(sum[:16])
}

func place(s cost.Source) string { return fmt.Sprintf("%s:%d:%d", s.File, s.Line, s.Column) }

// rules finds a rule by its id.
type rules map[string]*validate.Rule

func newRules() rules {
	r := rules{}
	for _, rule := range slices.Concat(cost.Rules(), colour.Rules(), Rules()) {
		r[rule.ID] = rule
	}
	return r
}

// finding makes a finding of a note again. A rule that this Quoin does not know
// any more has no words, and its findings are left out.
func (r rules) finding(body []byte) (f validate.Finding, known bool, err error) {
	var n note
	if err := json.Unmarshal(body, &n); err != nil {
		return f, false, fmt.Errorf("read finding: %w", err)
	}
	rule := r[n.Rule]
	if rule == nil {
		return f, false, nil
	}
	f = rule.At(placeOf(n.Source), n.Facts...)
	for _, related := range n.Related {
		f = f.With(placeOf(related.Source), related.Say)
	}
	return f, true, nil
}
