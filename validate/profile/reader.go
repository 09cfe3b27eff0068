package profile

import (
	"slices"

	"go.yaml.in/yaml/v3"

	"quoin/jdf"
	"quoin/validate"
	"quoin/validate/yamltext"
)

// reader carries what is known while one profile is decoded.
type reader struct {
	src      *jdf.Source
	file     *yamltext.Text
	names    *names
	meant    map[string]bool // keys that the wrong keys of the last group may stand for
	findings []validate.Finding
}

func newReader(name, text string) *reader {
	src := jdf.NewSource(name, text)
	return &reader{src: src, file: yamltext.New(src, "the profile"), names: newNames(nil)}
}

// parse returns the root node, or nil for what can not be read, which is reported.
func (r *reader) parse() *yaml.Node {
	root, fault := r.file.Parse()
	if fault != nil {
		r.broken(fault)
		return nil
	}
	return root
}

func (r *reader) broken(f *yamltext.Fault) {
	problem := f.Problem
	switch f.Kind {
	case yamltext.Empty:
		r.findings = append(r.findings, missingKey.At(f.Place, validate.F("path", "the profile"),
			validate.F("key", "profile"), validate.F("form", "a name, and the other keys of a profile")))
		return
	case yamltext.Second:
		problem += "; a profile is one document"
	}
	r.findings = append(r.findings, fileSyntax.At(f.Place, validate.F("problem", problem)))
}

func (r *reader) report(rule *validate.Rule, n *yaml.Node, path string, facts ...validate.Fact) {
	facts = slices.Insert(facts, 0, validate.F("path", path))
	r.findings = append(r.findings, rule.At(r.file.Place(n, path), facts...))
}

// bad reports what is wrong with an expression or path.
func (r *reader) bad(n *yaml.Node, path string, f *fault) {
	rule := badExpression
	switch {
	case f.unknown:
		rule = unknownName
	case f.misplaced:
		rule = misplacedName
	}
	r.findings = append(r.findings, rule.At(r.file.PlaceIn(n, path, f.start, f.end), validate.F("path", path),
		validate.F("problem", f.problem), validate.F("near", f.advice)))
}
